"""Files of loggers: invented ones, in the dialects that loggers write."""

from datetime import UTC, date, datetime
from typing import Any

import pytest
from django.db import DatabaseError

from core.models import AuditEntry
from husbandry.actions import imports as actions
from husbandry.actions.imports import (
    NothingForProbesError,
    import_logger_file,
    save_logger_mapping,
)
from husbandry.models import LoggerMapping, Probe, Reading, ReadingImport
from husbandry.queries.logger_files import (
    UnknownChannelError,
    UnknownProbeError,
    UnknownSourceError,
    ZonesDifferError,
    look_at_file,
    probes_by_code,
    saved_mapping,
)
from husbandry.rules.import_answers import (
    NO_ANSWERS,
    Answers,
    AnswerUnusableError,
    FileUndecidedError,
)
from husbandry.rules.import_reports import ImportReport
from husbandry.rules.loggers.trust import UntrustedFileError
from husbandry.rules.loggers.vocabulary import Asked, DayOrder, Unit
from husbandry.rules.reading_reports import MOST_LISTED
from husbandry.rules.vocabulary import Quantity
from tests.factories import (
    EnclosureFactory,
    ProbeFactory,
    ReviewRunFactory,
    SiteFactory,
    UserFactory,
)

NOW = datetime(2026, 4, 2, 12, 0, tzinfo=UTC)
pytestmark = pytest.mark.django_db

PLAIN = b"""Date;Temperature (\xc2\xb0C);Humidity (%)
2026-03-01 10:00;24,5;48,0
2026-03-01 10:05;24,6;47,5
2026-03-01 10:10;24,8;47,0
2026-03-01 10:15;;
"""
MIXED = b"""Date,Temperature (C),Humidity (%)
2026-03-01 10:00,24.5,48.0
2026-03-01 10:05,fault!,48.0
2026-03-01 10:10,24.8,47.0
2026-13-45 10:15,24.8,47.0
2026-03-01 10:20,24.9,47.0
2026-03-01 10:25,24.9,
"""
TWO_CHANNELS = b"""Time,Ch1 Temperature (C),Ch2 Temperature (C)
2026-03-01 10:00,30.0,22.0
2026-03-01 10:05,31.0,22.5
"""
BY_ROW = b"""Time,Sensor,Temperature (C),Humidity (%)
2026-03-01 10:00,north,30.0,40.0
2026-03-01 10:00,south,22.0,50.0
2026-03-01 10:05,north,31.0,41.0
2026-03-01 10:05,south,22.5,51.0
"""
LOST = b"Date,Temperature (C),Humidity (%)\n" + b"".join(
    b"2026-03-01 %02d:00,%d,%d\n" % (hour, 240 + hour, 480 + hour) for hour in range(24)
)
UNCLEAR = b"""Date,Temperature
03/04/2026 10:00,70.5
03/04/2026 11:00,71.5
"""


def probe_at(zone: str = "Europe/Lisbon", **how: object) -> Probe:
    site = SiteFactory(time_zone=zone)
    probe = ProbeFactory(enclosure=EnclosureFactory(room__site=site), **how)
    return probes_by_code(codes=[probe.code])[probe.code]


def take(data: bytes, probe: Probe | None, **how: object) -> ImportReport:
    probe_for = {} if probe is None else {"": probe}
    given: dict[str, Any] = {"probe_for": probe_for, "by": None, "at": NOW} | how
    return import_logger_file(data=data, file_name="tub.csv", **given)


def stored(probe: Probe) -> list[tuple[str, int | None, int | None]]:
    return [
        (f"{datetime.fromtimestamp(at, UTC):%d %H:%M}", temperature, humidity)
        for at, temperature, humidity in Reading.objects.filter(probe=probe)
        .order_by("at")
        .values_list("at", "temperature_milli_c", "humidity_milli_pct")
    ]


TAKEN = [("01 10:00", 24_500, 48_000), ("01 10:05", 24_600, 47_500)]
TAKEN += [("01 10:10", 24_800, 47_000)]


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


# What has to be asked


def test_what_the_file_does_not_say_is_asked_and_nothing_recorded() -> None:
    with pytest.raises(FileUndecidedError) as asked:
        take(UNCLEAR, None)

    assert [q.asked for q in asked.value.questions] == [
        Asked.DAY_ORDER,
        Asked.UNIT,
        Asked.CHANNELS,
    ]
    assert set(asked.value.fields) == {"day_order", "unit", "channels"}
    assert asked.value.fields["channels"] == "Which probe does the file belong to?"
    assert asked.value.sentence.startswith(
        "Nothing of tub.csv was taken yet, because it does not say enough. Is the day "
        "or the month first"
    )
    assert not ReadingImport.objects.exists()


@pytest.mark.parametrize(
    ("order", "first_at"),
    [(DayOrder.DMY, "2026-04-03T09:00:00Z"), (DayOrder.MDY, "2026-03-04T10:00:00Z")],
)
def test_answers_decide(order: DayOrder, first_at: str) -> None:
    probe = probe_at("Europe/Lisbon")
    answers = Answers(day_order=order, units=(Unit.F,))

    report = take(UNCLEAR, probe, answers=answers, at=datetime(2026, 5, 1, tzinfo=UTC))

    assert report.first_at == first_at
    assert stored(probe)[0][1] == 21_389  # (70.5 − 32) × 5/9 = 21.3888…


def test_a_column_that_is_not_recognised_can_be_named() -> None:
    probe = probe_at()
    data = b"Date;Bottom left\n2026-03-01 10:00;24,5\n2026-03-01 10:05;24,75\n"
    quantities = (("Bottom left", Quantity.TEMPERATURE_C),)

    with pytest.raises(FileUndecidedError) as first:
        take(data, probe)
    with pytest.raises(FileUndecidedError) as second:
        take(data, probe, answers=Answers(quantities=quantities))
    take(data, probe, answers=Answers(quantities=quantities, units=(Unit.C,)))

    assert [q.asked for q in first.value.questions] == [Asked.QUANTITY]
    assert second.value.fields == {
        "unit": "In which unit is 'Bottom left'? Its numbers run from 24.5 to 24.75 "
        "and nothing says C or F."
    }
    assert [row[1] for row in stored(probe)] == [24_500, 24_750]


def test_a_unit_is_asked_for_each_column_without_one() -> None:
    with pytest.raises(FileUndecidedError) as asked:
        take(UNCLEAR, probe_at(), answers=Answers(day_order=DayOrder.MDY))

    assert [(q.asked, q.column) for q in asked.value.questions] == [
        (Asked.UNIT, "Temperature")
    ]


def test_one_of_two_stamp_columns_is_chosen() -> None:
    probe = probe_at()
    data = b"""Recorded,Sent,Temperature (C)
2026-03-01 10:00,2026-03-01 12:00,24.5
2026-03-01 10:05,2026-03-01 12:00,24.6
2026-03-01 10:10,2026-03-01 12:01,24.7
"""
    with pytest.raises(FileUndecidedError) as asked:
        take(data, probe)
    take(data, probe, answers=Answers(stamp_column="Recorded"))

    assert [q.asked for q in asked.value.questions] == [Asked.STAMP_COLUMN]
    assert [at for at, *_ in stored(probe)] == ["01 10:00", "01 10:05", "01 10:10"]


@pytest.mark.parametrize(
    ("answers", "sentence"),
    [
        (
            Answers(units=(Unit.INDEX,)),
            "No column of tub.csv can be in the unit 'index'. Leave it out.",
        ),
        (
            Answers(stamp_column="When"),
            "tub.csv has no column 'When'. It has 'Date', 'Temperature (°C)', "
            "'Humidity (%)'.",
        ),
        (
            Answers(quantities=(("UV", Quantity.UV_INDEX),)),
            "tub.csv has no column 'UV'. It has 'Date', 'Temperature (°C)', "
            "'Humidity (%)'.",
        ),
    ],
)
def test_an_answer_that_fits_nothing_is_refused(
    answers: Answers, sentence: str
) -> None:
    with pytest.raises(AnswerUnusableError) as refused:
        take(PLAIN, probe_at(), answers=answers)

    assert refused.value.sentence == sentence
    assert not ReadingImport.objects.exists()


def test_a_zone_that_does_not_exist_is_no_fault_of_the_file() -> None:
    with pytest.raises(UntrustedFileError, match="Mars/Base"):
        take(PLAIN, probe_at(), answers=Answers(zone="Mars/Base"))

    assert not ReadingImport.objects.exists()


# Channels and probes


def test_each_channel_goes_to_its_probe() -> None:
    warm, cool = probe_at(), probe_at()
    looked = look_at_file(
        data=TWO_CHANNELS,
        file_name="two.csv",
        probe_for={},
        answers=NO_ANSWERS,
        mapping=None,
        source_name=None,
    )
    one, two = looked.channels

    take(TWO_CHANNELS, None, probe_for={one: warm, two: cool})

    assert [row[1] for row in stored(warm)] == [30_000, 31_000]
    assert [row[1] for row in stored(cool)] == [22_000, 22_500]


def test_a_channel_without_probe_is_asked_for_or_left_out() -> None:
    probe = probe_at()

    with pytest.raises(FileUndecidedError) as asked:
        take(BY_ROW, None, probe_for={"north": probe})
    report = take(BY_ROW, None, probe_for={"north": probe, "south": None})

    assert asked.value.fields == {
        "channels": "Which probe does channel 'south' belong to?"
    }
    assert [row[1] for row in stored(probe)] == [30_000, 31_000]
    assert report.readings == 2
    assert f"Channels: 'north' is probe {probe.code}." in report.read_as


@pytest.mark.parametrize(
    ("channel", "wrong"),
    [("west", "The file has no channel 'west'."), ("", "One is not enough.")],
)
def test_a_channel_that_the_file_has_not_is_refused(channel: str, wrong: str) -> None:
    with pytest.raises(UnknownChannelError) as refused:
        take(BY_ROW, None, probe_for={channel: probe_at()})

    assert refused.value.sentence == (
        f"{wrong} The file's channels: 'north', 'south'. Give each a probe, or leave "
        "it out."
    )


def test_a_single_channel_without_a_name_has_no_other() -> None:
    with pytest.raises(UnknownChannelError, match="one without a name"):
        take(PLAIN, None, probe_for={"west": probe_at()})


def test_leaving_every_channel_out_leaves_nothing() -> None:
    with pytest.raises(NothingForProbesError, match="Every channel"):
        take(PLAIN, None, probe_for={"": None})


def test_what_a_probe_does_not_measure_is_left_out_and_said() -> None:
    probe = probe_at(measures_humidity=False)

    report = take(PLAIN, probe)

    assert stored(probe) == [(at, temperature, None) for at, temperature, _ in TAKEN]
    assert (
        f"3 values of humidity were left out: probe {probe.code} is not set up to "
        "measure that." in report.notes
    )


def test_a_file_without_anything_its_probe_measures_is_refused_and_recorded() -> None:
    probe = probe_at(
        measures_temperature=False, measures_humidity=False, measures_uv_index=True
    )

    with pytest.raises(NothingForProbesError) as refused:
        take(PLAIN, probe)

    record = ReadingImport.objects.get()
    assert not record.accepted
    assert record.report["reason"] == refused.value.sentence
    assert refused.value.sentence.endswith(
        "Choose the probe that made the file, or set the probe up to measure this."
    )


def test_probes_in_two_zones_need_the_zone_of_the_clock() -> None:
    lisbon, rome = probe_at("Europe/Lisbon"), probe_at("Europe/Rome")
    probe_for = {"north": lisbon, "south": rome}

    with pytest.raises(ZonesDifferError, match=r"Europe/Lisbon and Europe/Rome"):
        take(BY_ROW, None, probe_for=probe_for)
    take(BY_ROW, None, probe_for=probe_for, answers=Answers(zone="Europe/Rome"))

    assert stored(lisbon)[0][0] == stored(rome)[0][0] == "01 09:00"


@pytest.mark.parametrize(
    ("code", "offer"),
    [
        ("tub-12-basking", "Did you mean TUB-12-BASKING?"),
        ("nothing like it", "Probes there are: TUB-12-BASKING."),
    ],
)
def test_an_unknown_probe_is_answered_with_near_ones(code: str, offer: str) -> None:
    probe_at(code="TUB-12-BASKING")

    with pytest.raises(UnknownProbeError) as refused:
        probes_by_code(codes=[code])

    assert refused.value.sentence == f"There is no probe {code!r}. {offer}"


# Sources


def test_a_saved_mapping_reads_the_next_file_without_questions() -> None:
    probe, keeper = probe_at("Europe/Lisbon"), UserFactory()
    answers = Answers(day_order=DayOrder.MDY, units=(Unit.F,))
    first = take(UNCLEAR, probe, answers=answers, save_as="attic", by=keeper)

    second = take(UNCLEAR.replace(b"70.5", b"69.5"), None, source_name="attic")

    assert "The mapping is saved for the source 'attic'." in first.lines()
    assert (second.known, second.conflicting) == (1, 1)
    saved = LoggerMapping.objects.get()
    assert (saved.name, saved.saved_by, saved.saved_at) == ("attic", keeper, NOW)
    assert saved_mapping(name="attic").probes == (("", probe.code),)


def test_a_mapping_that_is_saved_again_replaces_the_first() -> None:
    probe = probe_at()
    take(PLAIN, probe, save_as="attic")
    first = saved_mapping(name="attic")

    newer = first.with_zone("+01:00")
    save_logger_mapping(name="attic", mapping=newer, by=None, at=NOW)

    assert saved_mapping(name="attic") == newer
    entry = AuditEntry.objects.filter(verb="save_logger_mapping").latest("pk")
    assert entry.before["document"]["zone"] == "site"
    assert entry.after["document"]["zone"] == "+01:00"


def test_a_given_mapping_is_used_as_it_is() -> None:
    probe = probe_at()
    take(PLAIN, probe, save_as="attic")
    mapping = saved_mapping(name="attic").with_zone("+01:00")

    report = take(PLAIN, probe, mapping=mapping)

    assert report.first_at == "2026-03-01T09:00:00Z"


def test_a_source_without_mapping_is_answered_with_near_ones() -> None:
    with pytest.raises(UnknownSourceError, match="There are no sources yet"):
        take(PLAIN, None, source_name="attic")
    take(PLAIN, probe_at(), save_as="attic")
    with pytest.raises(UnknownSourceError, match="Did you mean attic"):
        take(PLAIN, None, source_name="attik")


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
