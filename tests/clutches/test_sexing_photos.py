"""A photograph of a look is kept with its row, or neither is."""

from datetime import UTC, datetime
from io import BytesIO
from pathlib import Path

import pytest
from django.db import OperationalError, connection
from PIL import Image
from pytest_django import Settings

from clutches.actions.sexing_photos import keep_photo
from clutches.models import SpurCheck
from clutches.rules.sexing import SexingError
from core.models import AuditEntry
from core.photographs import PhotographError
from tests.factories import SpurCheckFactory, UserFactory

AT = datetime(2026, 3, 2, 12, tzinfo=UTC)
pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def media(settings: Settings, tmp_path: Path) -> Path:
    settings.MEDIA_ROOT = tmp_path / "media"
    return tmp_path / "media"


def heel() -> bytes:
    file = BytesIO()
    Image.new("RGB", (40, 30), (90, 140, 60)).save(file, "PNG")
    return file.getvalue()


def files(media: Path) -> list[Path]:
    return [path for path in media.rglob("*") if path.is_file()]


def test_a_photograph_is_kept_and_told(media: Path) -> None:
    check, by = SpurCheckFactory.create(), UserFactory.create()

    kept = keep_photo(check=check, data=heel(), by=by, at=AT)

    check.refresh_from_db()
    [file] = files(media)
    assert check.photo.name == kept.photo.name == f"spur_checks/{file.name}"
    with Image.open(file) as image:
        assert image.format == "JPEG"
    entry = AuditEntry.objects.get(verb="keep_photo")
    assert (entry.by, entry.at, entry.subject_id, entry.after) == (
        *(by, AT, str(check.pk)),
        {"photo": check.photo.name},
    )


def test_what_is_no_photograph_leaves_nothing(media: Path) -> None:
    check = SpurCheckFactory.create()

    with pytest.raises(PhotographError):
        keep_photo(check=check, data=b"words", by=None, at=AT)

    check.refresh_from_db()
    assert not check.photo
    assert files(media) == []


def test_a_look_has_one_photograph(media: Path) -> None:
    check = SpurCheckFactory.create()
    keep_photo(check=check, data=heel(), by=None, at=AT)

    with pytest.raises(SexingError, match="has a photograph already"):
        keep_photo(check=check, data=heel(), by=None, at=AT)

    assert len(files(media)) == 1


def test_a_look_struck_out_gets_none(media: Path) -> None:
    check = SpurCheckFactory.create(struck_at=AT, struck_reason="Another animal.")

    with pytest.raises(SexingError, match="was struck out"):
        keep_photo(check=check, data=heel(), by=None, at=AT)

    assert files(media) == []


def test_where_the_file_cannot_be_written_the_row_names_none(media: Path) -> None:
    check = SpurCheckFactory.create()
    media.write_text("A file lies where the folder would be.")

    with pytest.raises(OSError):
        keep_photo(check=check, data=heel(), by=None, at=AT)

    check.refresh_from_db()
    assert not check.photo
    assert not AuditEntry.objects.filter(verb="keep_photo").exists()


@pytest.mark.django_db(transaction=True)
def test_where_the_row_cannot_be_kept_the_file_goes(
    media: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    check = SpurCheckFactory.create()

    def fail() -> None:
        assert len(files(media)) == 1
        raise OperationalError("The disk is full.")

    # The database fails when all is to be kept: the one moment after the writing.
    monkeypatch.setattr(connection, "commit", fail)
    with pytest.raises(OperationalError, match="full"):
        keep_photo(check=check, data=heel(), by=None, at=AT)
    monkeypatch.undo()

    assert files(media) == []
    assert not SpurCheck.objects.get(pk=check.pk).photo
