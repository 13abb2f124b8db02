"""Photographs of looks at heels: handed in and handed out behind the door."""

from io import BytesIO
from pathlib import Path

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import ExifTags, Image
from pytest_django import Settings
from rest_framework.test import APIClient

from clutches.models import SpurCheck
from core.photographs import LARGEST_BYTES
from tests.factories import SpurCheckFactory

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def media(settings: Settings, tmp_path: Path) -> Path:
    settings.MEDIA_ROOT = tmp_path / "media"
    return tmp_path / "media"


@pytest.fixture
def look() -> SpurCheck:
    check: SpurCheck = SpurCheckFactory.create()
    return check


def address(look: SpurCheck) -> str:
    return f"/api/v1/spur-checks/{look.pk}/photo/"


def picture(kind: str) -> bytes:
    exif, file = Image.Exif(), BytesIO()
    exif[ExifTags.Base.BodySerialNumber] = "4711"
    Image.new("RGB", (40, 30), (90, 140, 60)).save(file, kind, exif=exif)
    return file.getvalue()


@pytest.mark.parametrize("kind", ["jpeg", "png"])
def test_a_photograph_as_the_body_is_kept_and_handed_out(
    kind: str, look: SpurCheck, keeper: APIClient, viewer: APIClient
) -> None:
    data = picture(kind)
    with Image.open(BytesIO(data)) as image:
        assert dict(image.getexif()) == {ExifTags.Base.BodySerialNumber: "4711"}

    kept = keeper.generic("POST", address(look), data, f"image/{kind}")

    assert kept.status_code == 201
    assert kept["Content-Type"] == "application/json"
    assert (kept.json()["id"], kept.json()["has_photo"]) == (look.pk, True)
    answer = viewer.get(address(look))
    assert answer.status_code == 200
    assert answer["Content-Type"] == "image/jpeg"
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert answer["Cache-Control"] == "private, max-age=3600"
    with Image.open(BytesIO(answer.content)) as image:
        assert (image.format, image.size) == ("JPEG", (40, 30))
        assert not image.getexif()


def test_a_photograph_as_a_part_of_a_form_is_kept_under_no_name_of_its_own(
    look: SpurCheck, keeper: APIClient, media: Path
) -> None:
    part = SimpleUploadedFile("garden.png", picture("png"), "image/png")

    kept = keeper.post(address(look), {"file": part}, format="multipart")

    assert kept.status_code == 201
    [file] = [path for path in media.rglob("*") if path.is_file()]
    assert "garden" not in file.name
    assert file.suffix == ".jpg"


def test_a_second_photograph_is_refused_and_the_first_stays(
    look: SpurCheck, keeper: APIClient, media: Path
) -> None:
    data = picture("jpeg")
    keeper.generic("POST", address(look), data, "image/jpeg")

    again = keeper.generic("POST", address(look), data, "image/jpeg")

    assert (again.status_code, again.json()["code"]) == (409, "sexing_refused")
    assert "This look has a photograph already." in again.json()["detail"]
    assert len([path for path in media.rglob("*") if path.is_file()]) == 1


@pytest.mark.parametrize(
    ("data", "kind", "status", "said"),
    [
        (b"", "image/jpeg", 400, "A photograph is needed and none was sent"),
        (b"words", "image/jpeg", 409, "neither a JPEG nor a PNG"),
        (picture("jpeg")[:400], "image/png", 409, "is broken and cannot be read"),
        (bytes(LARGEST_BYTES + 1), "image/png", 409, "The photograph has 8.0 MB."),
        (b'{"file": 1}', "application/json", 415, "application/json"),
    ],
    ids=["nothing", "words", "half", "huge", "json"],
)
def test_what_is_no_photograph_is_refused_with_what_would_be_one(
    data: bytes,
    kind: str,
    status: int,
    said: str,
    look: SpurCheck,
    keeper: APIClient,
    media: Path,
) -> None:
    answer = keeper.generic("POST", address(look), data, kind)

    assert answer.status_code == status
    assert said in answer.json()["detail"]
    assert not media.exists()


@pytest.mark.parametrize(
    "part",
    [SimpleUploadedFile("heel.jpg", bytes(LARGEST_BYTES + 1)), "heel.jpg"],
    ids=["huge", "text"],
)
def test_a_form_without_a_photograph_is_refused(
    part: SimpleUploadedFile | str, look: SpurCheck, keeper: APIClient
) -> None:
    answer = keeper.post(address(look), {"file": part}, format="multipart")

    assert answer.status_code in {400, 409}
    assert "a JPEG or PNG of at most 8 MB" in " ".join(answer.json()["fields"].values())
    look.refresh_from_db()
    assert not look.photo


def test_a_photograph_that_is_not_there_is_not_found(
    look: SpurCheck, viewer: APIClient
) -> None:
    assert viewer.get(address(look)).status_code == 404
    SpurCheck.objects.update(photo="spur_checks/gone.jpg")
    assert viewer.get(address(look)).status_code == 404
    assert viewer.get(address(look)).json()["code"] == "not_found"
