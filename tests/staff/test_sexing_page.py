"""The page of looks at heels: one animal at a time, each look alone."""

from datetime import UTC, datetime, timedelta
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.utils import timezone
from PIL import ExifTags, Image
from pytest_django import Settings

from clutches.models import SpurCheck
from clutches.queries.open_looks import open_looks
from core.models import User
from core.photographs import LARGEST_BYTES
from core.roles import Role
from husbandry.actions.profiles import load_shipped_profiles
from husbandry.models import Animal, Species
from tests.factories import (
    SHIPPED_PROFILE,
    AnimalFactory,
    CareProfileFactory,
    SpeciesFactory,
    SpurCheckFactory,
    StayFactory,
    UserFactory,
)
from tests.husbandry.care_lists import queries_of
from tests.staff.conftest import Visitor, client_of
from tests.staff.test_egg_pages import text

pytestmark = pytest.mark.django_db
PAGE, RECORD = "/breeding/sexing/", "/breeding/sexing/record/"
UNSEXED = {"sex": "unknown", "sex_basis": "not_sexed", "sex_confidence": "uncertain"}
AGO = timedelta(days=2)


@pytest.fixture(autouse=True)
def media(settings: Settings, tmp_path: Path) -> Path:
    settings.MEDIA_ROOT = tmp_path / "media"
    return tmp_path / "media"


@pytest.fixture
def species() -> Species:
    load_shipped_profiles(by=None, at=datetime(2025, 1, 1, tzinfo=UTC))
    return Species.objects.get(code="veiled_chameleon")


@pytest.fixture
def young(species: Species) -> list[Animal]:
    return [
        AnimalFactory(code=f"C-1-0{n}", name="", species=species, **UNSEXED)
        for n in (1, 2, 3)
    ]


def look(client: Client, code: str = "C-1-01", **typed: Any) -> Any:
    sent = {"animal": code, "left": "present", "right": "present", **typed}
    return client.post(RECORD, sent, follow=True)


def seen_by(user: User, animal: Animal, left: str, right: str) -> SpurCheck:
    check: SpurCheck = SpurCheckFactory.create(
        animal=animal,
        looked_by=user,
        left=left,
        right=right,
        at=timezone.now() - AGO,
    )
    return check


def heel(**given: object) -> bytes:
    file = BytesIO()
    Image.new("RGB", (40, 30), (90, 140, 60)).save(file, "JPEG", **given)
    return file.getvalue()


def test_the_first_is_opened_and_the_others_are_links(
    young: list[Animal], keeper: Client
) -> None:
    page = keeper.get(PAGE).content.decode()

    told = text(keeper.get(PAGE))
    assert "C-1-01" in told.partition("Its heels were never looked at.")[0]
    assert "2 others wait for a look of yours" in told
    assert "?animal=C-1-02" in page
    assert "?animal=C-1-01" not in page
    assert 'name="animal" value="C-1-01"' in page
    assert page.count('type="radio"') == 6
    assert "No look at heels leaves anything open." in told
    second = keeper.get(f"{PAGE}?animal=C-1-02").content.decode()
    assert 'name="animal" value="C-1-02"' in second
    assert keeper.get(f"{PAGE}?animal=nobody").status_code == 404


def test_breeding_leads_here(keeper: Client) -> None:
    assert f'href="{PAGE}"' in keeper.get("/breeding/").content.decode()


def test_a_look_is_recorded_with_what_follows_and_the_next_comes(
    young: list[Animal], keeper: Client
) -> None:
    answer = look(keeper, note="Small but clear.")

    told = text(answer)
    assert "Kept: C-1-01, left present, right present," in told
    assert "Likely; it counts as confirmed once another person has looked" in told
    assert 'name="animal" value="C-1-02"' in answer.content.decode()
    assert "1 other waits for a look of yours" in told
    [check] = SpurCheck.objects.all()
    assert (check.left, check.right, check.note) == (
        *("present", "present"),
        "Small but clear.",
    )
    assert str(check.looked_by_id) == keeper.session["_auth_user_id"]
    young[0].refresh_from_db()
    assert (young[0].sex, young[0].sex_confidence) == ("male", "likely")


def test_what_the_first_saw_is_hidden_until_the_second_has_looked(
    young: list[Animal], keeper: Client
) -> None:
    ben = UserFactory.create(username="ben", role=Role.KEEPER.value)
    look(client_of(ben), left="absent", right="present")

    before = text(keeper.get(f"{PAGE}?animal=C-1-01"))

    assert "Somebody else has looked: yours is the second look." in before
    assert "ben," in before
    assert "left absent" not in before
    assert "one heel only" not in before
    after = text(look(keeper, left="absent", right="absent"))
    assert "left absent, right present" in after
    assert "left absent, right absent" in after
    assert "A bump at one heel only leaves the sex open" in after
    assert "Look again at C-1-01" in after
    again = text(keeper.get(f"{PAGE}?animal=C-1-01"))
    assert "You have looked already; of each person the newest look counts." in again


def test_a_third_look_is_told_apart_from_a_second(
    young: list[Animal], keeper: Client
) -> None:
    for left in ("present", "absent"):
        seen_by(UserFactory.create(), young[0], left, left)

    told = text(keeper.get(f"{PAGE}?animal=C-1-01"))

    assert "Others have looked, and the sex is open still." in told
    assert "disagree" not in told


def test_who_never_looks_reads_everything_and_records_nothing(
    young: list[Animal], visitor: Visitor
) -> None:
    seen_by(UserFactory.create(username="ana"), young[0], "unclear", "absent")

    answer = visitor(Role.VET).get(PAGE)

    told = text(answer)
    assert "left unclear, right absent" in told
    assert "The sex stays open until a look is clear." in told
    assert '<form method="post"' not in answer.content.decode().partition("<main")[2]
    assert look(visitor(Role.VET)).status_code == 403


def test_species_without_the_mark_are_named_with_the_reason(keeper: Client) -> None:
    text_ = SHIPPED_PROFILE.read_text("utf-8")
    rule = text_[text_.index("\nsexing:") : text_.index("\ncautions:")]
    none = text_.replace("mark: heel_spur", "mark: none")
    for name, source in (("Bare", none), ("Mute", text_.replace(rule, "\n"))):
        species = SpeciesFactory.create(code=name.lower(), common_name=name)
        CareProfileFactory.create(species=species, source_text=source)
        AnimalFactory(code=f"{name}-1", species=species, **UNSEXED)
    AnimalFactory(species=SpeciesFactory.create(common_name="Odd"), **UNSEXED)

    told = text(keeper.get(PAGE))

    assert "No animal waits for a look of yours." in told
    assert "Bare: 1 animal not sexed. It has no such mark; record the sex by" in told
    assert "Mute: 1 animal not sexed. Its care profile says nothing of heels;" in told
    assert "Odd: 1 animal not sexed. It has no care profile, so nobody says" in told
    refused = look(keeper, "Bare-1")
    assert refused.status_code == 409
    assert "cannot be sexed by heel spur" in text(refused)


def test_what_is_missing_is_said_and_what_was_tapped_stays(
    young: list[Animal], keeper: Client
) -> None:
    answer = keeper.post(
        RECORD,
        {
            "animal": "C-1-02",
            "left": "unclear",
            "note": "Moves.",
            "photo": SimpleUploadedFile("heel.jpg", heel()),
        },
    )

    page = answer.content.decode()
    assert answer.status_code == 400
    assert "Say what you see at the right heel; unclear is an answer too." in page
    assert 'name="left" value="unclear" checked' in page
    assert 'value="Moves."' in page
    assert 'name="animal" value="C-1-02"' in page
    assert "Choose the photograph again." in page
    assert not SpurCheck.objects.exists()


def test_an_animal_that_is_none_is_refused_in_words(keeper: Client) -> None:
    answer = look(keeper, "nobody")

    assert answer.status_code == 409
    assert "There is no animal 'nobody'" in text(answer)


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"Words in a file called heel.jpg.", "This file is neither a JPEG nor a PNG"),
        (bytes(LARGEST_BYTES + 1), "The photograph has 8.0 MB."),
        (b"", "This file is empty."),
    ],
    ids=["text", "huge", "empty"],
)
def test_a_file_that_is_no_photograph_is_refused_before_the_look(
    data: bytes, said: str, young: list[Animal], keeper: Client
) -> None:
    answer = look(keeper, photo=SimpleUploadedFile("heel.jpg", data, "image/jpeg"))

    assert answer.status_code == 400
    assert said in text(answer)
    assert not SpurCheck.objects.exists()


def test_a_photograph_is_kept_without_its_place_and_handed_out(
    young: list[Animal], keeper: Client, visitor: Visitor
) -> None:
    exif = Image.Exif()
    exif.get_ifd(ExifTags.IFD.GPSInfo)[ExifTags.GPS.GPSLatitudeRef] = "N"
    data = heel(exif=exif)
    with Image.open(BytesIO(data)) as image:
        assert image.getexif().get_ifd(ExifTags.IFD.GPSInfo)

    look(keeper, photo=SimpleUploadedFile("garden.jpg", data))

    check = SpurCheck.objects.get()
    assert "garden" not in check.photo.name
    answer = visitor(Role.VIEWER).get(f"/breeding/looks/{check.pk}/photo.jpg")
    assert answer.status_code == 200
    assert answer.headers["Content-Type"] == "image/jpeg"
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert answer.headers["Content-Disposition"].startswith("inline")
    assert answer.headers["Cache-Control"] == "private, max-age=3600"
    kept = b"".join(answer.streaming_content)  # type: ignore[arg-type] # a file
    answer.close()
    with Image.open(BytesIO(kept)) as image:
        assert not image.getexif()


def test_a_photograph_that_is_not_there_is_not_found(
    young: list[Animal], keeper: Client, media: Path
) -> None:
    none = seen_by(UserFactory.create(), young[0], "absent", "absent")
    assert keeper.get(f"/breeding/looks/{none.pk}/photo.jpg").status_code == 404
    SpurCheck.objects.update(photo="spur_checks/gone.jpg")
    assert keeper.get(f"/breeding/looks/{none.pk}/photo.jpg").status_code == 404


def test_where_the_photograph_fails_the_look_stands(
    young: list[Animal], keeper: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    # The form lets through what the action would refuse a moment later.
    monkeypatch.setattr("staff.heel_forms.stripped", lambda _: None)

    answer = look(keeper, photo=SimpleUploadedFile("heel.jpg", b"words"))

    assert "The look is kept, without photo: This file is neither" in text(answer)
    assert SpurCheck.objects.count() == 1


def test_the_page_of_an_animal_tells_all_looks(
    young: list[Animal], keeper: Client
) -> None:
    page = f"/animals/{young[0].pk}/"
    assert "Looks at its heels" not in text(keeper.get(page))
    ana = UserFactory.create(username="ana")
    seen_by(ana, young[0], "absent", "unclear")
    struck = seen_by(ana, young[0], "present", "present")
    SpurCheck.objects.filter(pk=struck.pk).update(
        struck_at=timezone.now(), struck_reason="Another animal."
    )

    told = text(keeper.get(page))

    assert "Looks at its heels" in told
    assert "absent unclear ana" in told
    assert "struck out: Another animal. present present ana" in told


def test_the_page_takes_the_same_queries_for_many(
    young: list[Animal], keeper: Client, species: Species
) -> None:
    seen_by(UserFactory.create(), young[0], "present", "absent")
    keeper.get(PAGE)
    one = queries_of(lambda: keeper.get(PAGE))
    for number in range(4):
        animal = AnimalFactory(code=f"C-2-{number}", species=species, **UNSEXED)
        StayFactory(animal=animal)
        seen_by(UserFactory.create(), animal, "present", "absent")

    assert queries_of(lambda: keeper.get(PAGE)) == one
    assert len(open_looks(at=timezone.now())) == 5
