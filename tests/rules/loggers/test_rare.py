"""What happens seldom, and must not happen silently."""

import io
import zipfile
from dataclasses import replace
from datetime import date

import pytest
from openpyxl import Workbook

from husbandry.rules.loggers.dates import possible_orders
from husbandry.rules.loggers.readings import parse_readings
from husbandry.rules.loggers.sentences import note_sentence
from husbandry.rules.loggers.spreadsheets import UNPACKED_LIMIT_BYTES, read_spreadsheet
from husbandry.rules.loggers.stamps import orders_of, read_stamps
from husbandry.rules.loggers.tables import split
from husbandry.rules.loggers.trust import UntrustedFileError
from husbandry.rules.loggers.values import read_values
from husbandry.rules.loggers.vocabulary import DayOrder, Noted, Refused, Untrusted
from tests.rules.loggers.reading import BERLIN, NOW, only, parse, propose, sheet_of

OPEN = "Time,Temp °C\n04/03/2026 10:00,20.5\n05/03/2026 10:00,20.5\n"


def reason_of(data: bytes | str) -> Untrusted:
    with pytest.raises(UntrustedFileError) as caught:
        parse(data)
    return caught.value.reason


def test_row_without_its_channel_is_refused() -> None:
    text = (
        "Time,Sensor,Temp °C\n2026-03-13 10:00,A,20\n2026-03-13 10:00,B,21\n"
        "2026-03-13 10:10,,22\n"
    )

    parsed = parse(text)

    assert [(r.line, r.reason) for r in parsed.refused] == [
        (4, Refused.CHANNEL_MISSING)
    ]
    assert [c.temperature_milli_c.tolist() for c in parsed.channels] == [
        [20_000],
        [21_000],
    ]


def test_wide_channels_are_refused_each_for_itself() -> None:
    text = (
        "Time,Temp 1 (°C),Temp 2 (°C)\n2026-03-13 10:00,20,30\n"
        "2026-03-13 10:00,20.5,30\n2026-03-13 10:10,20,30\n"
    )

    parsed = parse(text)

    assert [(c.channel, c.temperature_milli_c.tolist()) for c in parsed.channels] == [
        ("1", [20_000]),
        ("2", [30_000, 30_000]),
    ]
    assert [(r.line, dict(r.facts)["channel"]) for r in parsed.refused] == [
        (2, "1"),
        (3, "1"),
    ]
    assert (parsed.rows_used, parsed.rows_refused) == (3, 0)


@pytest.mark.parametrize("stamp", ["soon", "9" * 20])
def test_count_that_cannot_be_read_is_refused(stamp: str) -> None:
    rows = "1773355800,20\n1773356400,21\n"

    mapping = propose("Timestamp,Temp °C\n" + rows).mapping
    sheet = sheet_of(f"Timestamp,Temp °C\n{rows}{stamp},22\n")
    parsed = parse_readings(sheet, mapping, site_zone=BERLIN, until=NOW)

    assert [(r.line, r.reason) for r in parsed.refused] == [
        (4, Refused.STAMP_UNREADABLE)
    ]


def test_time_that_cannot_be_read_is_refused_in_a_file_of_times() -> None:
    parsed = parse(
        "Time,Temp °C\n10:00,20\nnoon,21\n10:20,22\n", starts_on=date(2026, 3, 13)
    )

    assert [(r.value, r.reason) for r in parsed.refused] == [
        ("noon", Refused.STAMP_UNREADABLE)
    ]


def test_headings_in_an_unknown_language_are_kept() -> None:
    sheet = sheet_of("Idő;Hőm;Pára\n2026-03-13 10:00;20,5;50\n")

    assert sheet.header == ("Idő", "Hőm", "Pára")


def test_titles_alone_are_no_headings() -> None:
    sheet = sheet_of(
        "2026-03-01\nReport\n2026-03-13 10:00;20,5;50\n2026-03-13 10:10;20,6;50\n"
    )

    assert (sheet.header_line, sheet.preamble) == (0, ("2026-03-01", "Report"))


def test_column_that_is_empty_throughout_is_left_aside() -> None:
    text = "Time,Humidity,Temp °C\n2026-03-13 10:00,,20\n2026-03-13 10:10,,21\n"

    assert [c.name for c in propose(text).mapping.values] == ["Temp °C"]


def test_mostly_dates_without_times_are_refused_whole() -> None:
    rows = "13/03/2026 10:00,20\n14/03/2026,21\n15/03/2026,22\n"

    assert reason_of("Time,Temp °C\n" + rows) is Untrusted.NO_TIMES


def test_saved_plain_order_is_not_enough_for_open_dates() -> None:
    mapping = propose(OPEN).mapping.with_day_order(DayOrder.PLAIN)

    with pytest.raises(UntrustedFileError) as caught:
        parse_readings(sheet_of(OPEN), mapping, site_zone=BERLIN, until=NOW)

    assert caught.value.reason is Untrusted.MAPPING_UNDECIDED


def test_same_day_in_either_order_does_not_contradict_the_saved_one() -> None:
    text = "Time,Temp °C\n03/03/2026 10:00,20.5\n"

    assert only(parse(text, order=DayOrder.MDY)) == only(parse(text))


def test_unknown_zone_and_unit_are_undecided() -> None:
    sheet = sheet_of(OPEN)
    mapping = propose(OPEN).mapping.with_day_order(DayOrder.DMY)
    nowhere = replace(mapping, zone="Mars/Olympus")
    unitless = replace(mapping, values=(replace(mapping.values[0], unit=None),))

    with pytest.raises(UntrustedFileError, match="zone"):
        parse_readings(sheet, nowhere, site_zone=BERLIN, until=NOW)
    with pytest.raises(UntrustedFileError, match="unit"):
        read_values(sheet, unitless)


def test_no_dates_have_no_order() -> None:
    assert orders_of(read_stamps(["", "soon", "10:00"])) == (DayOrder.PLAIN,)
    assert possible_orders(()) == ()


def test_note_without_lines_is_its_sentence() -> None:
    notes = parse("Time,Temp °C\n2026-03-13 10:00,20\n").notes

    assert [(n.noted, n.count, n.lines) for n in notes] == [
        (Noted.SITE_ZONE_ASSUMED, 1, ())
    ]
    assert note_sentence(notes[0]) == (
        "1 stamps name no time zone and were read as the site's local time."
    )


def test_cell_without_end_is_refused() -> None:
    with pytest.raises(UntrustedFileError) as caught:
        split('a,"' + "x" * 140_000, ",")

    assert caught.value.reason is Untrusted.QUOTE_NOT_CLOSED


def test_spreadsheet_without_rows_is_empty() -> None:
    stream = io.BytesIO()
    Workbook().save(stream)

    assert reason_of(stream.getvalue()) is Untrusted.EMPTY


def test_spreadsheet_that_unpacks_to_too_much_is_refused_unread() -> None:
    stream = io.BytesIO()
    zeros = b"\x00" * 1_000_000
    with (
        zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as archive,
        archive.open("xl/workbook.xml", "w") as member,
    ):
        for _ in range(UNPACKED_LIMIT_BYTES // len(zeros) + 1):
            member.write(zeros)

    assert reason_of(stream.getvalue()) is Untrusted.TOO_LARGE


def test_whole_floats_of_a_spreadsheet_are_whole_numbers() -> None:
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    for row in (["Time", "Temp °C"], [46094.0, 20.0], [46094.5, 21]):
        sheet.append(row)
    stream = io.BytesIO()
    book.save(stream)

    assert read_spreadsheet(stream.getvalue()).rows[1] == ("46094", "20")


def test_numbers_under_a_heading_of_time_that_are_no_instants_are_no_stamps() -> None:
    assert reason_of("Time,Temp °C\n1,20.5\n2,20.6\n3,20.7\n") is Untrusted.NO_STAMPS


@pytest.mark.parametrize("cells", [("A1", "A1"), ("20.5", "21.5")])
def test_column_of_one_sensor_or_of_measurements_is_no_channel(
    cells: tuple[str, str],
) -> None:
    rows = "".join(f"2026-03-13 1{n}:00,{cell},20\n" for n, cell in enumerate(cells))

    assert propose("Time,Sensor,Temp °C\n" + rows).mapping.channel_column is None
