"""A logger's file taken in at its desk: what became of it, or what is still asked."""

from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from core.models import AuditEntry
from core.roles import Role
from husbandry.models import Reading, ReadingImport
from tests.factories import ProbeFactory
from tests.husbandry.logger_files import LOST, MIXED, PLAIN, TWO_CHANNELS, UNCLEAR
from tests.staff.conftest import Visitor
from tests.staff.record_forms import errors, text, url

pytestmark = pytest.mark.django_db
DESK = "husbandry.readingimport"


def _bring(client: Client, data: bytes, **answers: Any) -> Any:
    file = SimpleUploadedFile("tub.csv", data)
    probe = ProbeFactory.create(code="P-1")
    return client.post(url(DESK), {"file": file, "probe": probe.pk, **answers})


def test_a_file_is_taken_in_and_its_report_is_shown(keeper: Client) -> None:
    answer = _bring(keeper, PLAIN)

    row = ReadingImport.objects.get()
    place = url(DESK, f"{row.pk}/change/")
    assert (answer.status_code, answer.headers["Location"]) == (302, place)
    shown = text(keeper.get(place))
    # PLAIN has four rows, the last of them empty.
    assert "<li>3 readings stored, 0 known already.</li>" in shown
    assert "<li>'Humidity (%)' is humidity in % of probe P-1.</li>" in shown
    assert Reading.objects.count() == 3
    entry = AuditEntry.objects.get()
    assert entry.verb == "import_logger_file"
    assert str(entry.by_id) == keeper.session["_auth_user_id"]


def test_good_rows_beside_bad_ones_are_kept_and_the_bad_ones_named(
    keeper: Client,
) -> None:
    _bring(keeper, MIXED)

    row = ReadingImport.objects.get()
    shown = text(keeper.get(url(DESK, f"{row.pk}/change/")))
    assert "'2026-13-45 10:15'" in shown
    assert "'fault!'" in shown
    assert Reading.objects.count() == row.rows_stored == 5


def test_what_the_file_does_not_say_is_asked_line_by_line(keeper: Client) -> None:
    answer = _bring(keeper, UNCLEAR)

    (said,) = errors(answer)
    assert "Is the day or the month first" in said
    assert "In which unit is 'Temperature'?" in said
    assert "Nothing was taken yet" in said
    assert text(answer).count("<li>In which unit") == 1
    assert not ReadingImport.objects.exists()


def test_the_answers_decide(keeper: Client) -> None:
    answers = {"day_order": "dmy", "temperature_unit": "F", "zone": "+01:00"}

    answer = _bring(keeper, UNCLEAR, **answers)

    assert (answer.status_code, errors(answer)) == (302, [])
    first = Reading.objects.order_by("at").first()
    assert first is not None
    # 3 April 2026, 10:00 at UTC+1; (70.5 - 32) × 5/9 = 21.3888… °C
    assert (first.at, first.temperature_milli_c) == (1_775_206_800, 21_389)


def test_an_empty_file_is_named(keeper: Client) -> None:
    assert errors(_bring(keeper, b"")) == ["The submitted file is empty."]


def test_a_refusal_is_on_record(keeper: Client) -> None:
    answer = _bring(keeper, LOST)

    assert "The decimals are lost" in str(errors(answer))
    row = ReadingImport.objects.get()
    assert not row.accepted
    shown = text(keeper.get(url(DESK, f"{row.pk}/change/")))
    assert "<li>tub.csv was refused. The decimals are lost" in shown
    assert AuditEntry.objects.get().verb == "refuse_logger_file"


def test_a_file_of_several_probes_is_sent_elsewhere(keeper: Client) -> None:
    answer = _bring(keeper, TWO_CHANNELS)

    assert "Give each a probe" in str(errors(answer))
    assert "./dev manage import_readings" in text(answer)
    assert not Reading.objects.exists()


def test_a_zone_that_does_not_exist_is_named(keeper: Client) -> None:
    answer = _bring(keeper, PLAIN, zone="Europe/Nowhere")

    assert "'Europe/Nowhere'" in str(errors(answer))
    assert not ReadingImport.objects.exists()


def test_a_file_that_is_too_large_is_not_read(
    keeper: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("husbandry.admin.imports.SIZE_LIMIT_BYTES", 10)

    answer = _bring(keeper, PLAIN)

    assert f"The file has {len(PLAIN)} bytes; at most 10 are read" in str(
        errors(answer)
    )
    assert not ReadingImport.objects.exists()


def test_who_may_not_brings_no_file(visitor: Visitor) -> None:
    answer = _bring(visitor(Role.ADOPTION_COORDINATOR), PLAIN)

    assert answer.status_code == 403
    assert not ReadingImport.objects.exists()


def test_the_form_sends_the_file_and_not_only_its_name(keeper: Client) -> None:
    shown = text(keeper.get(url(DESK)))

    assert 'enctype="multipart/form-data"' in shown
    assert 'type="file" name="file"' in shown
