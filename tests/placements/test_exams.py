"""Looks over animals, and photographs of them as they came."""

from datetime import date, timedelta
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from django.core.files.storage import default_storage
from django.db import connection
from django.test.utils import CaptureQueriesContext
from PIL import Image
from pytest_django import Settings

from core.models import AuditEntry
from core.photographs import PhotographError
from husbandry.models import Observation
from husbandry.rules.care_entries import CareEntryError
from placements.actions.exams import ExamRow, record_exam, record_exams
from placements.actions.intake_photos import MOST_PHOTOS, add_intake_photo
from placements.models import Exam, ExamLine, IntakePhoto
from placements.rules.exams import ExamError, ExamPart
from placements.rules.intakes import IntakeError
from placements.rules.vocabulary import BodySystem, ExamOutcome
from tests.factories import (
    NOW,
    TODAY,
    AnimalFactory,
    CareProfileFactory,
    EarlierCareFactory,
    IntakeFactory,
    IntakePhotoFactory,
    UserFactory,
)

DAY = timedelta(days=1)
EYES = (ExamPart(BodySystem.EYES, ExamOutcome.NOTHING_UNUSUAL, " clear "),)


def row(**said: Any) -> ExamRow:
    asked = {"at": NOW, "examined_by": "Quitéria Lumbrales", "parts": EYES} | said
    if "animal" not in asked:
        asked["animal"] = AnimalFactory.create()
    return ExamRow(**asked)


@pytest.mark.django_db
def test_a_later_look_stands_for_itself() -> None:
    person = UserFactory.create()

    exam = record_exam(row=row(note=" calm "), by=person, recorded_at=NOW)

    exam.refresh_from_db()
    assert (exam.intake, exam.examined_by, exam.note) == (
        None,
        "Quitéria Lumbrales",
        "calm",
    )
    assert exam.recorded_by == person
    assert exam.lines.get(system="eyes").note == "clear"
    assert exam.lines.filter(outcome="not_looked_at").count() == len(BodySystem) - 1
    entry = AuditEntry.objects.get()
    assert entry.verb == "record_exam"
    # Whoever looked may be from outside: no name in the audit trail.
    assert "Quitéria" not in str(entry.after)
    assert entry.after["parts"]["eyes"] == "nothing_unusual"


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("said", "error", "wrong"),
    [
        ({"examined_by": " "}, ExamError, "Say who looked"),
        ({"parts": ()}, ExamError, "Nothing was looked at"),
        ({"note": "x" * 2001}, ExamError, "at most 2000"),
        ({"at": NOW + DAY}, CareEntryError, "has not come yet"),
    ],
)
def test_an_exam_that_cannot_be(
    said: dict[str, Any], error: type[Exception], wrong: str
) -> None:
    with pytest.raises(error, match=wrong):
        record_exam(row=row(**said), by=None, recorded_at=NOW)

    assert not Exam.objects.exists()


@pytest.mark.django_db
def test_nothing_is_seen_of_an_animal_that_is_not_here() -> None:
    ancestor = AnimalFactory.create(status="elsewhere", left_on=TODAY)
    away = AnimalFactory.create(name="", arrived_on=TODAY)
    EarlierCareFactory.create(
        animal=away, arrived_on=date(2025, 1, 1), left_on=date(2025, 2, 1)
    )

    with pytest.raises(CareEntryError, match="was never in care here"):
        record_exam(row=row(animal=ancestor), by=None, recorded_at=NOW)
    with pytest.raises(CareEntryError, match="was not here on 01 Mar 2026"):
        record_exam(row=row(animal=away, at=NOW - DAY), by=None, recorded_at=NOW)


@pytest.mark.django_db
def test_a_sign_that_is_seen_is_told_by_the_night_until_it_is_gone() -> None:
    CareProfileFactory.create()
    looked_over = AnimalFactory.create()

    record_exam(
        row=row(animal=looked_over, signs=("sign-eyes-closed",)),
        by=None,
        recorded_at=NOW,
    )
    with pytest.raises(ExamError, match="is no warning sign"):
        record_exam(
            row=row(animal=looked_over, signs=("bad-mood",)), by=None, recorded_at=NOW
        )

    seen = Observation.objects.get()
    assert (seen.kind, seen.sign, seen.observed) == (
        "sign",
        "sign-eyes-closed",
        "present",
    )
    assert Exam.objects.count() == 1


@pytest.mark.django_db
def test_exams_are_kept_all_or_none_in_few_queries() -> None:
    def queries(number: int) -> int:
        rows = [row() for _ in range(number)]
        with CaptureQueriesContext(connection) as found:
            record_exams(rows=rows, by=None, recorded_at=NOW)
        return len(found)

    assert queries(1) == queries(5)
    assert record_exams(rows=[], by=None, recorded_at=NOW) == []
    with pytest.raises(ExamError):
        record_exams(rows=[row(), row(parts=())], by=None, recorded_at=NOW)
    assert Exam.objects.count() == 6
    assert ExamLine.objects.count() == 6 * len(BodySystem)


# Photographs.


def picture(kind: str = "JPEG") -> bytes:
    file = BytesIO()
    exif = Image.Exif()
    exif[0x010F] = "A maker's name"
    Image.new("RGB", (32, 24), "green").save(file, kind, exif=exif)
    return file.getvalue()


@pytest.fixture
def _files(settings: Settings, tmp_path: Path) -> None:
    settings.MEDIA_ROOT = tmp_path


@pytest.mark.usefixtures("_files")
@pytest.mark.django_db(transaction=True)
def test_a_photograph_is_kept_without_what_it_gives_away() -> None:
    intake = IntakeFactory.create()

    photo = add_intake_photo(
        intake=intake, data=picture(), by=None, at=NOW, caption=" left eye "
    )

    assert (photo.intake, photo.caption) == (intake, "left eye")
    with default_storage.open(photo.photo.name) as file:
        data = file.read()
    assert b"A maker's name" not in data
    assert Image.open(BytesIO(data)).format == "JPEG"
    entry = AuditEntry.objects.get()
    assert entry.after == {"animal": intake.animal_id, "photo": photo.photo.name}


@pytest.mark.usefixtures("_files")
@pytest.mark.django_db(transaction=True)
def test_a_photograph_that_cannot_be_kept(tmp_path: Path) -> None:
    intake = IntakeFactory.create()

    with pytest.raises(PhotographError):
        add_intake_photo(intake=intake, data=b"%PDF-1.7", by=None, at=NOW)
    with pytest.raises(IntakeError, match="at most 200"):
        add_intake_photo(
            intake=intake, data=picture(), by=None, at=NOW, caption="x" * 201
        )
    IntakePhotoFactory.create_batch(MOST_PHOTOS, intake=intake)
    with pytest.raises(IntakeError, match="20 photographs"):
        add_intake_photo(intake=intake, data=picture(), by=None, at=NOW)

    assert IntakePhoto.objects.count() == MOST_PHOTOS
    assert not list(tmp_path.rglob("*.jpg"))
