"""Arrivals, intakes, exams and hold policies over the API."""

from datetime import date, timedelta
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from django.utils import timezone
from PIL import Image
from pytest_django import Settings
from rest_framework.test import APIClient

from core.roles import Role
from husbandry.models import Animal, Quarantine
from placements.models import Arrival, Home, Intake, IntakePhoto
from placements.rules.intake_cautions import CAUTIONS
from placements.rules.vocabulary import BodySystem
from tests.api.conftest import Caller
from tests.factories import (
    AnimalFactory,
    ArrivalFactory,
    EnclosureFactory,
    ExamLineFactory,
    HoldPolicyFactory,
    HomeFactory,
    IntakeFactory,
    IntakePhotoFactory,
    PlacementFactory,
    RoomFactory,
    SiteFactory,
    SpeciesFactory,
)

API = "/api/v1"
CHIP = "620098100000001"


@pytest.fixture
def coordinator(caller: Caller) -> APIClient:
    return caller(Role.ADOPTION_COORDINATOR)


def post(client: APIClient, address: str, **body: Any) -> Any:
    return client.post(f"{API}/{address}/", body, format="json")


def delivery(*animals: dict[str, Any], **said: Any) -> dict[str, Any]:
    if not Animal.objects.exists():
        SiteFactory.create(code="north", time_zone="UTC")
    SpeciesFactory.create()
    return {
        "site": "north",
        "source": "surrender",
        "animals": list(animals),
    } | said


def test_a_delivery_is_taken_in_whole(keeper: APIClient) -> None:
    site = SiteFactory.create(code="north", time_zone="UTC")
    room = RoomFactory.create(site=site, quarantine=True)
    EnclosureFactory.create(room=room, code="Q-1")
    SpeciesFactory.create()

    answer = post(
        keeper,
        "arrivals",
        site="north",
        source="stray",
        found_at="at the river",
        giver={"name": "Zeferino Quintal", "contact": "3 Quay Street"},
        came_with="a box",
        animals=[
            {
                "code": "V-1",
                "species": "veiled_chameleon",
                "microchip": "620 098 100 000 001",
                "chip_scan": "read",
                "condition": "rehabilitatable",
                "mass_g": 61.5,
                "enclosure": "Q-1",
                "exam": {
                    "examined_by": "a keeper",
                    "parts": [{"system": "eyes", "outcome": "nothing_unusual"}],
                },
            },
            {"code": "V-2", "species_sure": False, "species_told": "a lizard"},
        ],
    )

    assert answer.status_code == 201
    told = answer.json()
    # A keeper does not see homes: neither who brought it nor where it was found.
    assert (told["home"], told["found_at"], told["note"]) == (None, None, None)
    assert (told["source"], told["came_with"]) == ("stray", "a box")
    assert told["cautions"] == list(CAUTIONS)
    first, second = told["intakes"]
    animal = Animal.objects.get(code="V-1")
    assert first == {
        "id": Intake.objects.get(animal=animal).pk,
        "arrival": told["id"],
        "animal": {"id": animal.pk, "code": "V-1"},
        "species": "veiled_chameleon",
        "species_told": "",
        "species_sure": True,
        "condition": "rehabilitatable",
        "chip_scan": "read",
        "came_with": "",
        "note": "",
        "returns": None,
        "hold_until": None,
        "hold_ended_on": None,
        "hold_ended_reason": "",
        "photos": [],
    }
    assert (second["species"], second["species_told"]) == ("not-yet-known", "a lizard")
    assert Quarantine.objects.count() == 2
    assert Home.objects.get().name == "Zeferino Quintal"
    assert "Zeferino" not in answer.content.decode()


def test_who_sees_homes_sees_from_whom(
    coordinator: APIClient, keeper: APIClient
) -> None:
    home = HomeFactory.create(name="The Greys")
    row = ArrivalFactory.create(home=home, note="they moved", found_at="")
    IntakeFactory.create(arrival=row)

    seen = coordinator.get(f"{API}/arrivals/{row.pk}/").json()
    hidden = keeper.get(f"{API}/arrivals/{row.pk}/")

    assert (seen["home"], seen["note"], seen["found_at"]) == (home.pk, "they moved", "")
    assert (hidden.json()["home"], hidden.json()["note"]) == (None, None)
    for private in ("The Greys", "2 Mill Lane", "they moved"):
        assert private not in hidden.content.decode()


def test_a_bad_line_is_named_by_its_place(keeper: APIClient) -> None:
    body = delivery(
        {"code": "V-1", "species": "veiled_chameleon"},
        {"code": "", "species": "veiled_chameleon"},
    )

    answer = post(keeper, "arrivals", **body)

    assert answer.status_code == 409
    told = answer.json()
    assert told["code"] == "intake_refused"
    assert told["detail"].startswith("Animal 2 (no code): ")
    assert told["fields"] == {"animals[1].code": "1 to 20 characters"}
    assert not Arrival.objects.exists()
    assert not Animal.objects.exists()


@pytest.mark.parametrize(
    ("said", "code"),
    [
        ({"site": "nowhere"}, "unknown_site"),
        ({"home": 999}, "unknown_home"),
        ({"home": 1, "giver": {"name": "A"}}, "home_and_giver"),
        ({"animals": []}, "no_rows"),
        ({"animals": [{"code": "X"}] * 61}, "too_many_rows"),
        ({"animals": [{"code": "X", "again": True}]}, "unknown_animal"),
        ({"animals": [{"code": "X", "species": "nessie"}]}, "unknown_species"),
        ({"animals": [{"code": "X", "enclosure": "Q-99"}]}, "unknown_enclosure"),
        ({"animals": [{"code": "X", "nickname": "Y"}]}, "invalid_body"),
        ({"source": "gift"}, "invalid_body"),
    ],
)
def test_what_is_not_on_record_is_refused(
    keeper: APIClient, said: dict[str, Any], code: str
) -> None:
    answer = post(keeper, "arrivals", **delivery({"code": "V-1"}, **said))

    assert answer.status_code in {400, 413}
    assert answer.json()["code"] == code
    assert not Arrival.objects.exists()


def test_an_animal_that_was_here_is_found_and_comes_again(
    coordinator: APIClient,
) -> None:
    SiteFactory.create(code="north", time_zone="UTC")
    today = timezone.now().date()
    animal = AnimalFactory.create(
        code="V-7",
        name="Rango",
        microchip=CHIP,
        status="placed",
        left_on=today - timedelta(days=30),
    )
    placement = PlacementFactory.create(
        animal=animal, state="handed_over", handed_over_on=today - timedelta(days=30)
    )

    found = coordinator.get(f"{API}/arrivals/known/?code_or_chip=620 098-100000001")
    answer = post(
        coordinator,
        "arrivals",
        site="north",
        source="return",
        animals=[
            {"code": "V-7", "again": True, "microchip": CHIP, "chip_scan": "read"}
        ],
    )

    assert found.json() == {
        "animal": {"id": animal.pk, "code": "V-7"},
        "label": "V-7 Rango",
        "status": "placed",
        "arrived_on": "2025-01-01",
        "left_on": str(today - timedelta(days=30)),
        "microchip": CHIP,
    }
    assert answer.status_code == 201
    assert answer.json()["home"] == placement.home_id
    assert answer.json()["intakes"][0]["returns"] == placement.pk
    placement.refresh_from_db()
    assert placement.state == "came_back"


def test_a_code_that_no_animal_has(keeper: APIClient) -> None:
    answer = keeper.get(f"{API}/arrivals/known/?code_or_chip=V-99")

    assert answer.status_code == 404


def test_a_keeper_is_not_told_of_placements(keeper: APIClient) -> None:
    placement = PlacementFactory.create(handed_over=True)
    row = IntakeFactory.create(animal=placement.animal, returns=placement)

    assert keeper.get(f"{API}/intakes/{row.pk}/").json()["returns"] is None


# Holds.


def test_a_hold_is_set_and_lifted(owner: APIClient) -> None:
    row = IntakeFactory.create(arrival__site__time_zone="UTC")
    until = date(2026, 12, 31)

    held = post(
        owner,
        f"arrivals/{row.arrival_id}/hold",
        until_on=str(until),
        reason="order 7 of the court",
    )
    lifted = post(
        owner,
        f"intakes/{row.pk}/lift-hold",
        on=str(row.arrival.arrived_at.date()),
        reason="the owner gave up",
    )

    assert held.json()["hold_until"] == str(until)
    assert lifted.json()["hold_ended_reason"] == "the owner gave up"
    again = post(owner, f"intakes/{row.pk}/lift-hold", reason="once more")
    assert (again.status_code, again.json()["code"]) == (409, "hold_refused")


def test_a_policy_is_decided(owner: APIClient) -> None:
    HoldPolicyFactory.create(days=14)

    answer = post(owner, "hold-policies", source="stray", days=7, reason="local law")

    assert answer.status_code == 201
    told = answer.json()
    assert (told["source"], told["days"], told["reason"]) == ("stray", 7, "local law")
    assert "Local law decides" in told["caution"]
    listed = owner.get(f"{API}/hold-policies/?source=stray").json()["results"]
    assert [row["days"] for row in listed] == [7, 14]
    bad = post(owner, "hold-policies", source="stray", days=5000, reason="x")
    assert (bad.status_code, bad.json()["fields"]) == (409, {"days": "0 to 1096"})


# Species.


def test_a_species_is_settled(keeper: APIClient) -> None:
    row = IntakeFactory.create(
        species_sure=False, animal__species__code="not-yet-known"
    )
    SpeciesFactory.create()

    answer = post(
        keeper,
        f"intakes/{row.pk}/settle-species",
        species="veiled_chameleon",
        reason="the casque",
    )

    assert (answer.json()["species"], answer.json()["species_sure"]) == (
        "veiled_chameleon",
        True,
    )


# Exams.


def test_an_exam_by_itself(keeper: APIClient) -> None:
    AnimalFactory.create(code="V-1")

    answer = post(
        keeper,
        "exams",
        animal="V-1",
        examined_by="Quitéria Lumbrales",
        parts=[{"system": "vent", "outcome": "unusual", "note": "swollen"}],
    )

    assert answer.status_code == 201
    told = answer.json()
    assert [part["system"] for part in told["parts"]] == [s.value for s in BodySystem]
    by_system = {part["system"]: part for part in told["parts"]}
    assert by_system["vent"] == {
        "system": "vent",
        "outcome": "unusual",
        "note": "swollen",
    }
    assert by_system["eyes"]["outcome"] == "not_looked_at"
    assert "licensed reptile vet" in told["caution"]
    listed = keeper.get(f"{API}/exams/?animal=V-1").json()["results"]
    assert listed == [told]


def test_an_exam_without_words_is_refused(keeper: APIClient) -> None:
    AnimalFactory.create(code="V-1")

    answer = post(
        keeper,
        "exams",
        animal="V-1",
        examined_by="a keeper",
        parts=[{"system": "vent", "outcome": "unusual"}],
    )

    assert (answer.status_code, answer.json()["fields"]) == (409, {"vent": "not blank"})


def test_exams_are_read_by_those_who_see_animals(viewer: APIClient) -> None:
    line = ExamLineFactory.create()

    answer = viewer.get(f"{API}/exams/{line.exam_id}/")

    assert answer.json()["examined_by"] == "Quitéria Lumbrales"


# Photographs.


@pytest.fixture
def _files(settings: Settings, tmp_path: Path) -> None:
    settings.MEDIA_ROOT = tmp_path


def picture() -> bytes:
    file = BytesIO()
    Image.new("RGB", (40, 30), (90, 140, 60)).save(file, "PNG")
    return file.getvalue()


@pytest.mark.usefixtures("_files")
@pytest.mark.django_db(transaction=True)
def test_a_photograph_is_kept_and_handed_out(keeper: APIClient) -> None:
    row = IntakeFactory.create()

    kept = keeper.generic(
        "POST",
        f"{API}/intakes/{row.pk}/photos/?caption=left eye",
        picture(),
        "image/png",
    )

    assert kept.status_code == 201
    (photo,) = kept.json()["photos"]
    assert photo["caption"] == "left eye"
    answer = keeper.get(f"{API}/intake-photos/{photo['id']}/file/")
    assert (answer.status_code, answer["Content-Type"]) == (200, "image/jpeg")
    assert answer["Cache-Control"] == "private, max-age=3600"
    with Image.open(BytesIO(answer.content)) as image:
        assert (image.format, image.size) == ("JPEG", (40, 30))


@pytest.mark.usefixtures("_files")
@pytest.mark.django_db(transaction=True)
def test_what_is_no_photograph_is_refused(keeper: APIClient) -> None:
    row = IntakeFactory.create()

    answer = keeper.generic(
        "POST", f"{API}/intakes/{row.pk}/photos/", b"%PDF-1.7", "image/png"
    )

    assert (answer.status_code, answer.json()["code"]) == (409, "photograph_refused")
    assert not IntakePhoto.objects.exists()


@pytest.mark.usefixtures("_files")
def test_a_photograph_that_is_gone(keeper: APIClient) -> None:
    photo = IntakePhotoFactory.create()

    answer = keeper.get(f"{API}/intake-photos/{photo.pk}/file/")

    assert answer.status_code == 404
