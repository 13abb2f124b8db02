"""Pages of intake: take in a delivery, look each animal over, hold and let go."""

from collections.abc import Callable
from datetime import timedelta
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.utils import timezone
from PIL import Image
from pytest_django import Settings

from core.models import Site
from core.roles import Role
from husbandry.models import Animal, Observation, Quarantine
from placements.models import Arrival, Exam, Home, Intake, IntakePhoto
from tests.factories import (
    AnimalFactory,
    ArrivalFactory,
    CareProfileFactory,
    EnclosureFactory,
    HomeFactory,
    IntakeFactory,
    PlacementFactory,
    RoomFactory,
    SiteFactory,
    SpeciesFactory,
)
from tests.staff.conftest import Visitor

pytestmark = pytest.mark.django_db
NEW = "/arrivals/new/"
CHIP = "620098100000001"


@pytest.fixture
def site() -> Site:
    return SiteFactory.create(time_zone="UTC")


@pytest.fixture
def coordinator(visitor: Visitor) -> Client:
    return visitor(Role.ADOPTION_COORDINATOR)


def typed(site: Site, *animals: dict[str, Any], **said: Any) -> dict[str, Any]:
    form = {"site": site.pk, "source": "surrender", "many": len(animals)} | said
    for n, animal in enumerate(animals):
        usual = {
            "species": SpeciesFactory.create().pk,
            "species_sure": "on",
            "chip_scan": "none_found",
            "condition": "not_judged",
        }
        form |= {f"a{n}-{name}": value for name, value in (usual | animal).items()}
    return form


def test_a_delivery_is_taken_in_on_one_form(keeper: Client, site: Site) -> None:
    room = RoomFactory.create(site=site, quarantine=True)
    enclosure = EnclosureFactory.create(room=room)
    form = typed(
        site,
        {
            "code": "V-1",
            "mass_g": "61,5",
            "enclosure": enclosure.pk,
            "sex": "male",
            "sex_basis": "heel_spur",
        },
        {"code": "V-2", "species": "", "species_sure": "", "species_told": "a lizard"},
        source="stray",
        found_at="at the river",
        giver="Zeferino Quintal",
        contact="3 Quay Street",
    )

    answer = keeper.post(NEW, form, follow=True)

    arrival = Arrival.objects.get()
    assert answer.redirect_chain == [(f"/arrivals/{arrival.pk}/", 302)]
    text = answer.content.decode()
    assert "2 animals taken in" in text
    # A keeper does not read from whom, nor where it was found.
    assert "Zeferino" not in text
    assert "at the river" not in text
    animal = Animal.objects.get(code="V-1")
    assert (animal.sex, animal.sex_confidence) == ("male", "likely")
    assert Animal.objects.get(code="V-2").species.code == "not-yet-known"
    assert Home.objects.get().name == "Zeferino Quintal"
    assert Quarantine.objects.count() == 2


def test_each_line_s_error_stands_beside_it_and_what_was_typed_stays(
    keeper: Client, site: Site
) -> None:
    AnimalFactory.create(code="V-8")
    form = typed(site, {"code": "V-1", "name": "Pip"}, {"code": "V-8"})

    answer = keeper.post(NEW, form)

    assert answer.status_code == 409
    text = answer.content.decode()
    first, second = text.split('id="animal-2"')
    assert "There is an animal V-8 already, in care since" in second
    assert 'class="refused"' not in first
    assert 'value="Pip"' in first
    assert "Nothing was recorded" in first
    assert not Arrival.objects.exists()


def test_an_animal_that_was_here_is_offered_by_its_chip_and_never_taken(
    coordinator: Client, site: Site
) -> None:
    today = timezone.now().date()
    known = AnimalFactory.create(
        code="V-7",
        microchip=CHIP,
        status="placed",
        left_on=today - timedelta(days=30),
    )
    placement = PlacementFactory.create(
        animal=known, state="handed_over", handed_over_on=today - timedelta(days=30)
    )
    form = typed(
        site,
        {"code": "V-99", "microchip": "620 098 100000001", "chip_scan": "read"},
    )

    refused = coordinator.post(NEW, form)
    offered = coordinator.post(NEW, {**form, "take_back": "a0:V-7"})

    assert refused.status_code == 409
    assert 'name="take_back" value="a0:V-7"' in refused.content.decode()
    assert offered.status_code == 200
    assert 'value="V-7"' in offered.content.decode()
    assert not Arrival.objects.exists()

    again = {**form, "a0-code": "V-7", "a0-again": "on", "a0-species": ""}
    taken = coordinator.post(NEW, {**again, "source": "return"})

    assert taken.status_code == 302
    placement.refresh_from_db()
    assert placement.state == "came_back"
    assert Intake.objects.get().returns == placement


def test_one_animal_more_keeps_what_was_typed(keeper: Client, site: Site) -> None:
    answer = keeper.post(NEW, {**typed(site, {"code": "V-1"}), "more": "1"})

    text = answer.content.decode()
    assert answer.status_code == 200
    assert 'id="animal-2"' in text
    assert 'value="V-1"' in text
    assert not Arrival.objects.exists()


@pytest.mark.parametrize(
    ("said", "wrong"),
    [
        ({"on": "someday"}, "This is no date"),
        ({"at": "noonish"}, "This is no time"),
        ({"a0-code": "X-1", "a0-again": "on"}, "There is no animal of this code"),
        ({"a0-mass_g": "heavy"}, "is no mass"),
        ({"on": "2199-01-01"}, "has not come yet"),
        ({"source": "stray"}, "Say where the stray was found"),
        ({"source": "bought"}, "Say from whom they came"),
        ({"hold_until": "2199-01-01", "hold_reason": "a"}, "does not fit"),
    ],
)
def test_what_cannot_be_is_said_and_nothing_is_kept(
    keeper: Client, site: Site, said: dict[str, str], wrong: str
) -> None:
    answer = keeper.post(NEW, typed(site, {"code": "V-1"}) | said)

    assert answer.status_code in {400, 409}
    assert wrong in answer.content.decode()
    assert not Arrival.objects.exists()


def test_homes_are_offered_to_those_who_see_them(
    keeper: Client, coordinator: Client, site: Site
) -> None:
    home = HomeFactory.create(name="The Greys")

    assert "The Greys" not in keeper.get(NEW).content.decode()
    assert "The Greys" in coordinator.get(NEW).content.decode()
    both = typed(site, {"code": "V-1"}, home=home.pk, giver="Somebody")
    assert "not both" in coordinator.post(NEW, both).content.decode()
    coordinator.post(NEW, typed(site, {"code": "V-1"}, home=home.pk))
    page = coordinator.get(f"/arrivals/{Arrival.objects.get().pk}/").content.decode()
    assert "The Greys" in page


def test_the_list_finds_animals_and_takes_the_same_queries_for_many(
    keeper: Client,
    django_assert_num_queries: Callable[..., Any],
    django_assert_max_num_queries: Callable[..., Any],
) -> None:
    AnimalFactory.create(code="V-7", name="", status="placed", left_on="2026-02-20")
    IntakeFactory.create()
    with django_assert_max_num_queries(12) as one:
        keeper.get("/arrivals/")
    for _ in range(2):
        IntakeFactory.create_batch(2, arrival=ArrivalFactory.create())
    with django_assert_num_queries(len(one)):
        keeper.get("/arrivals/")

    found = keeper.get("/arrivals/", {"find": "V-7"}).content.decode()
    nobody = keeper.get("/arrivals/", {"find": "X"}).content.decode()

    assert "/arrivals/new/?again=V-7" in found
    assert "No animal on record has this code" in nobody
    form = keeper.get(NEW, {"again": "V-7"}).content.decode()
    assert 'value="V-7"' in form


def test_an_animal_is_looked_over_part_by_part(keeper: Client, site: Site) -> None:
    CareProfileFactory.create()
    row = IntakeFactory.create(
        arrival__site=site, arrival__arrived_at=timezone.now() - timedelta(hours=1)
    )
    place = f"/intakes/{row.pk}/"
    form = {"examined_by": "Quitéria Lumbrales", "eyes": "unusual"}

    wordless = keeper.post(f"{place}look-over/", form)
    assert wordless.status_code == 409
    assert "Say in words what is unusual: eyes." in wordless.content.decode()
    assert not Exam.objects.exists()

    keeper.post(
        f"{place}look-over/",
        {**form, "eyes_note": "left one shut", "signs": ["sign-eyes-closed"]},
    )

    assert Exam.objects.get().intake == row
    assert Observation.objects.get().sign == "sign-eyes-closed"
    page = keeper.get(place).content.decode()
    assert "unusual: left one shut" in page
    assert "not looked at" in page
    assert "Salmonella" in page
    assert "licensed reptile vet" in page


def test_a_species_is_settled_on_the_page(keeper: Client) -> None:
    row = IntakeFactory.create(
        species_sure=False, animal__species__code="not-yet-known"
    )
    species = SpeciesFactory.create()
    place = f"/intakes/{row.pk}/settle/"

    empty = keeper.post(place, {"species": "", "reason": ""})
    keeper.post(place, {"species": species.pk, "reason": "the casque"})

    assert empty.status_code == 400
    row.animal.refresh_from_db()
    assert row.animal.species == species


def test_a_hold_is_set_and_lifted_by_managers(
    owner: Client, keeper: Client, site: Site
) -> None:
    row = IntakeFactory.create(
        arrival__site=site, arrival__arrived_at=timezone.now() - timedelta(hours=1)
    )
    until = timezone.now().date() + timedelta(days=30)
    hold = f"/arrivals/{row.arrival_id}/hold/"

    assert keeper.post(hold, {}).status_code == 403
    assert owner.post(hold, {"until_on": "soon", "reason": ""}).status_code == 400
    early = owner.post(hold, {"until_on": "2020-01-01", "reason": "order 7"})
    assert early.status_code == 409
    owner.post(hold, {"until_on": until, "reason": "order 7"})
    page = owner.get(f"/intakes/{row.pk}/").content.decode()
    assert "It may not leave until the end of" in page
    assert "Local law decides" in page

    owner.post(f"/intakes/{row.pk}/lift-hold/", {"reason": "given up"})

    row.refresh_from_db()
    assert row.hold_ended_reason == "given up"
    again = owner.post(f"/intakes/{row.pk}/lift-hold/", {"reason": "given up"})
    assert again.status_code == 409


@pytest.mark.django_db(transaction=True)
def test_a_photograph_is_kept_and_shown(
    keeper: Client, tmp_path: Path, settings: Settings
) -> None:
    settings.MEDIA_ROOT = tmp_path
    row, file = IntakeFactory.create(), BytesIO()
    Image.new("RGB", (40, 30), (90, 140, 60)).save(file, "JPEG")
    place = f"/intakes/{row.pk}/photograph/"

    none = keeper.post(place, {})
    bad = keeper.post(place, {"photo": SimpleUploadedFile("a.jpg", b"%PDF-1.7")})
    keeper.post(
        place,
        {"photo": SimpleUploadedFile("a.jpg", file.getvalue()), "caption": "left eye"},
    )

    assert (none.status_code, bad.status_code) == (400, 409)
    assert "neither a JPEG nor a PNG" in bad.content.decode()
    photo = IntakePhoto.objects.get()
    shown = keeper.get(f"/intakes/photos/{photo.pk}.jpg")
    assert (shown.status_code, shown["Content-Type"]) == (200, "image/jpeg")
    assert b"".join(shown.streaming_content)[:2] == b"\xff\xd8"  # type: ignore[attr-defined]  # a file
    shown.close()
    assert (
        f"/intakes/photos/{photo.pk}.jpg"
        in keeper.get(f"/intakes/{row.pk}/").content.decode()
    )
    (tmp_path / str(photo.photo.name)).unlink()
    assert keeper.get(f"/intakes/photos/{photo.pk}.jpg").status_code == 404
