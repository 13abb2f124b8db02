"""Files of loggers: taken in once, good rows kept beside bad ones."""

from datetime import date

import pytest
from django.db import DatabaseError

from core.models import AuditEntry
from husbandry.actions import imports as actions
from husbandry.actions.imports import NothingForProbesError
from husbandry.models import LoggerMapping, Reading, ReadingImport
from husbandry.rules.import_answers import (
    Answers,
    FileUndecidedError,
)
from husbandry.rules.import_reports import ImportReport
from husbandry.rules.loggers.trust import UntrustedFileError
from husbandry.rules.loggers.vocabulary import Asked, DayOrder, Unit
from husbandry.rules.reading_reports import MOST_LISTED
from tests.factories import (
    ReviewRunFactory,
    UserFactory,
)
from tests.husbandry.logger_files import (
    LOST,
    MIXED,
    NOW,
    PLAIN,
    TAKEN,
    probe_at,
    stored,
    take,
)

pytestmark = pytest.mark.django_db


def test_a_file_is_stored_and_reported() -> None:
    probe, keeper = probe_at(), UserFactory()

    report = take(PLAIN, probe, by=keeper)

    assert stored(probe) == TAKEN
    assert report.lines() == (
        "tub.csv: 4 rows read, from 2026-03-01T10:00:00Z to 2026-03-01T10:10:00Z.",
        "3 readings stored, 0 known already.",
        f"'Temperature (°C)' is temperature in °C of probe {probe.code}.",
        f"'Humidity (%)' is humidity in % of probe {probe.code}.",
        "The clock runs in the site's local time.",
        "1 rows hold no value. Lines 5.",
        "4 stamps name no time zone and were read as the site's local time.",
    )
    record = ReadingImport.objects.get()
    assert (record.accepted, record.imported_by, record.imported_at) == (
        True,
        keeper,
        NOW,
    )
    assert (record.rows_read, record.rows_stored, record.rows_known) == (4, 3, 0)
    assert ImportReport.from_document(record.report) == report
    entry = AuditEntry.objects.get()
    assert (entry.verb, entry.by, entry.subject_id) == (
        "import_logger_file",
        keeper,
        str(record.pk),
    )
    assert entry.after["rows_stored"] == 3


def test_the_same_file_twice_is_stored_once_and_the_report_says_so() -> None:
    probe = probe_at()
    take(PLAIN, probe)

    again = take(PLAIN, probe)

    assert stored(probe) == TAKEN
    assert (again.stored, again.known) == (0, 3)
    assert "The very same file was taken in before, on 02 Apr 2026 at 12:00 UTC." in (
        again.notes
    )
    assert ReadingImport.objects.count() == 2


def test_the_same_readings_in_another_dialect_are_known() -> None:
    probe = probe_at()
    take(PLAIN, probe)
    american = b"""When\tTemp F\tRH
3/1/2026 10:00 AM\t76.1\t48.0
3/1/2026 10:05 AM\t76.28\t47.5
3/1/2026 10:10 AM\t76.64\t47.0
"""

    report = take(
        american, probe, answers=Answers(units=(Unit.F,), day_order=DayOrder.MDY)
    )

    assert (report.stored, report.known, report.conflicting) == (0, 3, 0)


def test_good_rows_beside_bad_ones_are_kept_and_each_bad_one_is_named() -> None:
    probe = probe_at()

    report = take(MIXED, probe)

    assert stored(probe) == [
        ("01 10:00", 24_500, 48_000),
        ("01 10:05", None, 48_000),
        ("01 10:10", 24_800, 47_000),
        ("01 10:20", 24_900, 47_000),
        ("01 10:25", 24_900, None),
    ]
    assert report.rows_refused == 1
    assert [line[:6] for line in report.refusals] == ["Line 3", "Line 5"]
    assert "fault!" in report.refusals[0]
    assert "2026-13-45" in report.refusals[1]
    assert report.refusals_in_all == 2
    assert ReadingImport.objects.get().rows_refused == 1


def test_a_reading_that_cannot_be_stored_is_named_by_its_line() -> None:
    probe = probe_at(from_on=date(2026, 3, 2))
    data = PLAIN.replace(b"2026-03-01 10:10", b"2026-03-02 10:10")

    report = take(data, probe)

    assert stored(probe) == [("02 10:10", 24_800, 47_000)]
    assert report.refusals == (
        "Line 2: at 2026-03-01T10:00:00Z the probe was not in use; accepted is from "
        "2026-03-02T00:00:00Z.",
        "Line 3: at 2026-03-01T10:05:00Z the probe was not in use; accepted is from "
        "2026-03-02T00:00:00Z.",
    )
    assert (report.stored, report.refused) == (1, 2)
    assert "1 reading stored, 0 known already, 2 refused." in report.lines()


def test_a_contradicting_file_changes_nothing_and_says_both_values() -> None:
    probe = probe_at()
    take(PLAIN, probe)

    report = take(PLAIN.replace(b"24,6", b"26,4"), probe)

    assert stored(probe) == TAKEN
    assert (report.known, report.conflicting) == (2, 1)
    assert report.refusals == (
        "Line 3: 2026-03-01T10:05:00Z: temperature 26.4 °C, but temperature 24.6 °C "
        "was stored earlier and stays.",
    )


def test_a_long_list_of_refusals_is_cut_and_counted() -> None:
    probe = probe_at(from_on=date(2026, 3, 30))
    rows = [f"2026-03-{d:02d} {h:02d}:00,20.5" for d in range(1, 29) for h in range(24)]
    rows.append("2026-03-30 10:00,20.5")

    report = take("\n".join(["Date,Temperature (C)", *rows]).encode(), probe)

    assert report.refused == report.refusals_in_all == 28 * 24
    assert len(report.refusals) == MOST_LISTED
    assert report.lines()[-1] == f"… and {28 * 24 - MOST_LISTED} more like these."


# The clock


def test_an_hour_that_does_not_exist_is_refused_with_the_good_rows_kept() -> None:
    # Lisbon, 29 March 2026: 00:59 is followed by 02:00.
    probe = probe_at("Europe/Lisbon")
    data = b"""Date,Temperature (C)
2026-03-29 00:30,20.0
2026-03-29 01:30,20.1
2026-03-29 02:30,20.2
2026-03-29 03:30,20.3
"""

    report = take(data, probe)

    assert [row[:2] for row in stored(probe)] == [
        ("29 00:30", 20_000),
        ("29 01:30", 20_200),
        ("29 02:30", 20_300),
    ]
    (refusal,) = report.refusals
    assert refusal.startswith("Line 3: '2026-03-29 01:30' does not exist in")


def test_the_zone_that_a_person_gives_wins() -> None:
    probe = probe_at("Europe/Lisbon")

    report = take(PLAIN, probe, answers=Answers(zone="+05:30"))

    assert stored(probe)[0][0] == "01 04:30"
    assert "The clock runs in +05:30." in report.read_as


def test_times_without_dates_need_the_day_they_start_on() -> None:
    probe = probe_at()
    data = b"Time,Temperature (C)\n23:50,20.5\n23:55,20.6\n00:00,20.7\n"

    with pytest.raises(FileUndecidedError) as asked:
        take(data, probe)
    take(data, probe, answers=Answers(starts_on=date(2026, 3, 1)))

    assert [q.asked for q in asked.value.questions] == [Asked.START_DATE]
    assert [at for at, *_ in stored(probe)] == ["01 23:50", "01 23:55", "02 00:00"]


def test_an_abbreviated_zone_that_means_several_is_asked_for() -> None:
    probe = probe_at()
    data = PLAIN.replace(b"Date;", b"Date (CST);")

    with pytest.raises(FileUndecidedError) as asked:
        take(data, probe)
    take(data, probe, answers=Answers(zone="America/Chicago"))

    assert [q.asked for q in asked.value.questions] == [Asked.ZONE]
    assert stored(probe)[0][0] == "01 16:00"


def test_late_readings_mark_the_night_stale() -> None:
    probe = probe_at()
    run = ReviewRunFactory(site=probe.enclosure.room.site, on=date(2026, 3, 1))

    take(PLAIN, probe)

    run.refresh_from_db()
    assert run.stale_since == NOW


# Refused whole, and broken off


def test_a_file_that_lost_its_decimals_is_refused_and_recorded() -> None:
    probe, keeper = probe_at(), UserFactory()

    with pytest.raises(UntrustedFileError, match="decimals are lost"):
        take(LOST, probe, by=keeper)

    assert stored(probe) == []
    record = ReadingImport.objects.get()
    assert (record.accepted, record.rows_stored, record.imported_by) == (
        False,
        0,
        keeper,
    )
    report = ImportReport.from_document(record.report)
    assert report.lines() == (f"tub.csv was refused. {report.reason}",)
    entry = AuditEntry.objects.get()
    assert (entry.verb, entry.reason) == ("refuse_logger_file", report.reason)


@pytest.mark.parametrize("data", [b"", b"\x89PNG\r\n\x1a\n" + bytes(range(256)) * 20])
def test_what_is_no_table_is_refused_and_recorded(data: bytes) -> None:
    with pytest.raises(UntrustedFileError):
        take(data, probe_at())

    assert ReadingImport.objects.get().accepted is False


def test_a_refused_file_is_not_the_same_file_taken_before() -> None:
    probe = probe_at(measures_temperature=False, measures_uv_index=True)
    probe.measures_humidity = False
    with pytest.raises(NothingForProbesError):
        take(PLAIN, probe)

    report = take(PLAIN, probe_at())

    assert not any("taken in before" in note for note in report.notes)


def test_nothing_is_half_written_when_it_breaks_off(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def break_off(*_: object, **__: object) -> None:
        raise DatabaseError("the disk is full")

    monkeypatch.setattr(actions.audit, "record", break_off)
    with pytest.raises(DatabaseError, match="the disk is full"):
        take(PLAIN, probe_at(), save_as="attic")

    assert not Reading.objects.exists()
    assert not ReadingImport.objects.exists()
    assert not LoggerMapping.objects.exists()


def test_an_old_report_without_newer_parts_can_still_be_read() -> None:
    document = {"file_name": "old.csv", "accepted": True, "stored": 1, "gone": "x"}

    report = ImportReport.from_document(document)

    assert report.lines() == (
        "old.csv: 0 rows read.",
        "1 reading stored, 0 known already.",
    )
