"""One small series in many dialects: each gives the same instants and values.

The series, on the clock of Berlin (UTC+1 in March; IANA time zone database):
2026-03-12 23:50, 2026-03-13 00:00, 2026-03-13 18:10 with 21.5, -0.5, 30.25 °C and
48.9, 54, 60.1 %. Instants by `date -u -d … +%s`.
"""

import io
from datetime import date, datetime

import pytest
from openpyxl import Workbook

from husbandry.rules.loggers.vocabulary import DayOrder, Unit
from tests.rules.loggers.reading import only, parse

SERIES = [
    (1773355800, 21_500, 48_900),
    (1773356400, -500, 54_000),
    (1773421800, 30_250, 60_100),
]

ISO = "2026-03-12 23:50", "2026-03-13 00:00", "2026-03-13 18:10"
DMY = "12/03/2026 23:50", "13/03/2026 00:00", "13/03/2026 18:10"
VALUES = ("21.5", "48.9"), ("-0.5", "54"), ("30.25", "60.1")


def table(
    header: str = "Date/Time,Temperature (°C),Humidity (%)",
    stamps: tuple[str, ...] = ISO,
    *,
    delimiter: str = ",",
    comma: bool = False,
    head: str = "",
    foot: str = "",
    end: str = "\n",
    tail: str = "",
) -> str:
    """Write the series: `head` above, `tail` behind each row, `foot` below."""
    rows = [
        delimiter.join((stamp, *values)) + tail
        for stamp, values in zip(stamps, VALUES, strict=True)
    ]
    if comma:
        rows = [row.replace(".", ",") for row in rows]
    lines = [*head.splitlines(), header.replace(",", delimiter), *rows]
    return end.join(lines) + end + foot


def stamped(*stamps: str, **kwargs: object) -> str:
    return table(stamps=stamps, **kwargs)  # type: ignore[arg-type]  # options of table


TEXTS = {
    # delimiters and decimal marks
    "comma": table(),
    "semicolon": table(delimiter=";"),
    "tab": table(delimiter="\t"),
    "bar": table(delimiter="|"),
    "comma_and_blank": table(delimiter=", "),
    "aligned": table("Stamp_time,Temp_C,RH_%", delimiter="    "),
    "single_blanks": table("Date,Time,Temp_C,RH_%", delimiter=" "),
    "semicolon_decimal_comma": table(delimiter=";", comma=True),
    "tab_decimal_comma": table(delimiter="\t", comma=True),
    "quoted_decimal_comma": (
        '"Date","Temp °C","RH %"\n"2026-03-12 23:50","21,5","48,9"\n'
        '"2026-03-13 00:00","-0,5","54"\n"2026-03-13 18:10","30,25","60,1"\n'
    ),
    "quoted_semicolons": (
        '"Zeit";"Temp °C";"rF %"\n"12.03.2026 23:50:00";"21,5";"48,9"\n'
        '"13.03.2026 00:00:00";"-0,5";"54"\n"13.03.2026 18:10:00";"30,25";"60,1"\n'
    ),
    "typographic_minus": table().replace("-0.5", "−0.5"),
    "no_leading_zero": table().replace("-0.5", "-.5"),
    "exponents": table().replace("30.25", "3.025E+01"),
    "units_behind_values": table("Time,Temp,RH").replace("21.5", "21.5 °C")
    .replace("-0.5", "-0.5 °C").replace("30.25", "30.25 °C"),
    # line ends, padding, titles
    "line_ends_cr_lf": table(end="\r\n"),
    "line_ends_cr": table(end="\r"),
    "blank_lines": table(end="\n\n"),
    "nul_padding": table(foot="\x00" * 64),
    "nul_padded_front": "\x00" * 32 + table(),
    "end_of_file_mark": table(foot="\x1a"),
    "trailing_delimiter": table(tail=","),
    "trailing_empty_columns": table("Date,Temperature (°C),Humidity (%),,", tail=",,"),
    "separator_hint": table(head="sep=,"),
    "titles": table(head="Logger report\nSerial;A-77\nStart;12.03.2026 23:50\n\n"),
    "titles_padded": table(head="Report,,\nSerial,1234,\nStart,2026-03-12 23:50,\n"),
    "units_row": table("Time,Temperature,Humidity\n-,°C,%RH"),
    "index_column": "No,Time,Temp (C),RH (%)\n" + "\n".join(
        f"{n},{s},{v[0]},{v[1]}" for n, (s, v) in enumerate(zip(ISO, VALUES, strict=True), 7)
    ),
    "index_without_heading": '"date","Temp °C","Humidity"\n' + "\n".join(
        f'"{n}","{s}",{v[0]},{v[1]}' for n, (s, v) in enumerate(zip(ISO, VALUES, strict=True), 7)
    ),
    "wrapped_records": "\n".join(f'"{line}"' for line in table().splitlines()),
    "other_columns": (
        "Date,Light,Dew point (°C),Temperature (°C),Max Temp (°C),HumidityRatio,RH,CO2\n"
        "2026-03-12 23:50,5,9.1,21.5,22,0.01,48.9,400\n"
        "2026-03-13 00:00,6,9.2,-0.5,22,0.01,54,400\n"
        "2026-03-13 18:10,7,9.3,30.25,31,0.01,60.1,400\n"
    ),
    "both_temperature_scales": (
        "Time,Temp (°F),Temp (°C),RH %\n2026-03-12 23:50,70.7,21.5,48.9\n"
        "2026-03-13 00:00,31.1,-0.5,54\n2026-03-13 18:10,86.45,30.25,60.1\n"
    ),
    # dates and times
    "iso_t": table(stamps=tuple(s.replace(" ", "T") + ":00" for s in ISO)),
    "iso_basic": stamped("20260312T2350", "20260313T0000", "20260313T1810"),
    "iso_offset": stamped("2026-03-12T22:50Z", "2026-03-13T00:00+01:00", "2026-03-13T12:10-0500"),
    "dmy": table(stamps=DMY),
    "dmy_dots": table(stamps=tuple(s.replace("/", ".") for s in DMY), delimiter=";"),
    "dmy_dashes": table(stamps=tuple(s.replace("/", "-") for s in DMY)),
    "dmy_time_dots": table(stamps=tuple(s.replace(":", ".") + ".00" for s in DMY)),
    "mdy": stamped("03/12/2026 23:50", "03/13/2026 00:00", "03/13/2026 18:10"),
    "mdy_half_days": stamped("3/12/2026 11:50 PM", "3/13/2026 12:00 AM", "3/13/2026 6:10 PM"),
    "dmy_spanish_half_days": stamped("12/03/2026 11:50 p. m.", "13/03/2026 12:00 a. m.", "13/03/2026 6:10 p. m."),
    "dmy_greek_half_days": stamped("12/3/2026 11:50 μμ", "13/3/2026 12:00 πμ", "13/3/2026 6:10 μμ"),
    "dmy_german_half_days": stamped("12.03.2026 11:50 nachm.", "13.03.2026 12:00 vorm.", "13.03.2026 6:10 nachm."),
    "korean": stamped("2026. 3. 12. 오후 11:50", "2026. 3. 13. 오전 12:00", "2026. 3. 13. 오후 6:10"),
    "chinese": stamped("2026/3/12 下午11:50", "2026/3/13 上午12:00", "2026/3/13 下午6:10"),
    "japanese": stamped("2026年3月12日 23時50分", "2026年3月13日 0時00分", "2026年3月13日 18時10分"),
    "narrow_blank_before_pm": stamped("3/12/2026 11:50\u202fPM", "3/13/2026 12:00\u202fAM", "3/13/2026 6:10\u202fPM"),
    "two_digit_year": stamped("12.03.26 23:50", "13.03.26 00:00", "13.03.26 18:10", head="Format: TT.MM.JJ"),
    "month_names_english": stamped("12-Mar-2026 23:50", "13-Mar-2026 00:00", "13-Mar-2026 18:10"),
    "month_names_american": table("Time\tTemp (°C)\tRH (%)", delimiter="\t", stamps=("March 12, 2026 11:50 PM", "March 13, 2026 12:00 AM", "March 13, 2026 6:10 PM")),
    "month_names_german": stamped("12. März 2026 23:50 Uhr", "13. März 2026 00:00 Uhr", "13. März 2026 18:10 Uhr"),
    "month_names_french": stamped("jeudi 12 mars 2026 23h50", "vendredi 13 mars 2026 0h00", "vendredi 13 mars 2026 18h10"),
    "time_before_date": stamped("23:50 12/03/2026", "00:00 13/03/2026", "18:10 13/03/2026"),
    "midnight_as_24": stamped("2026-03-12 23:50", "2026-03-12 24:00", "2026-03-13 18:10"),
    "midnight_without_time": stamped("12/03/2026 23:50", "13/03/2026", "13/03/2026 18:10"),
    "fractions_of_seconds": stamped("2026-03-12 23:49:59.999", "2026-03-13 00:00:00.4", "2026-03-13 18:10:00,25", delimiter=";"),
    "date_and_time_columns": (
        "Datum;Uhrzeit;Temperatur [°C];rel. Feuchte [%]\n12.03.2026;23:50;21,5;48,9\n"
        "13.03.2026;00:00;-0,5;54\n13.03.2026;18:10;30,25;60,1\n"
    ),
    "half_of_day_in_a_column": (
        "Date Time AMPM Temp_C RH_%\n3/12/2026 11:50 PM 21.5 48.9\n"
        "3/13/2026 12:00 AM -0.5 54\n3/13/2026 6:10 PM 30.25 60.1\n"
    ),
    "epoch_seconds": stamped("1773355800", "1773356400", "1773421800"),
    "epoch_milliseconds": stamped("1773355800000", "1773356400000", "1773421800000"),
    "spreadsheet_serials": stamped("46093.99305555556", "46094", "46094.75694444445"),
    "spreadsheet_day_and_fraction": (
        "Date;Time;Temp °C;RH %\n46093;0,99305555556;21,5;48,9\n46094;0;-0,5;54\n"
        "46094;0,75694444445;30,25;60,1\n"
    ),
    # zones in headings
    "zone_utc": table("Time (UTC),Temp (°C),RH (%)", ("2026-03-12 22:50", "2026-03-12 23:00", "2026-03-13 17:10")),
    "zone_offset": table("Date Time GMT-05:00;Temp (°C);RH (%)", ("2026-03-12 17:50", "2026-03-12 18:00", "2026-03-13 12:10"), delimiter=";"),
    "zone_short_offset": table("Time (UTC+2),Temp (°C),RH (%)", ("2026-03-13 00:50", "2026-03-13 01:00", "2026-03-13 19:10")),
    "zone_abbreviation": table("Time (CEST),Temp (°C),RH (%)", ("2026-03-13 00:50", "2026-03-13 01:00", "2026-03-13 19:10")),
    "zone_in_title": table(stamps=("2026-03-12 17:50", "2026-03-12 18:00", "2026-03-13 12:10"), head="Time zone: America/Bogota"),
    # headings in other languages
    "german": table("Zeitstempel,Temperatur (°C),Luftfeuchtigkeit (%)"),
    "french": table("Horodatage,Température (°C),Humidité (%)"),
    "spanish": table("Fecha y hora,Temperatura (°C),Humedad (%)"),
    "italian": table("Data e ora,Temperatura (°C),Umidità (%)"),
    "dutch": table("Datum/tijd,Temperatuur (°C),Luchtvochtigheid (%)"),
    "portuguese": table("Data/Hora,Temperatura (°C),Umidade (%)"),
    "polish": table("Data i czas,Temperatura (°C),Wilgotność (%)"),
    "czech": table("Datum a čas,Teplota (°C),Vlhkost (%)"),
    "swedish": table("Datum och tid,Temperatur (°C),Luftfuktighet (%)"),
}  # fmt: skip


@pytest.mark.parametrize("name", TEXTS)
def test_dialect_gives_the_series(name: str) -> None:
    parsed = parse(TEXTS[name])

    assert only(parsed) == SERIES
    assert parsed.refused == ()


ENCODINGS = [
    "utf-8",
    "utf-8-sig",
    "utf-16",
    "utf-16-le",
    "utf-16-be",
    "cp1252",
    "utf-32",
]


@pytest.mark.parametrize("encoding", ENCODINGS)
def test_encoding_is_told_by_rule(encoding: str) -> None:
    data = table("Horodatage,Température (°C),Humidité (%)").encode(encoding)

    assert only(parse(data)) == SERIES


@pytest.mark.parametrize(
    ("encoding", "half_days"),
    [
        ("cp949", ("오전", "오후")),
        ("cp1253", ("πμ", "μμ")),
        ("gb18030", ("上午", "下午")),
    ],
)
def test_encoding_that_a_person_names(
    encoding: str, half_days: tuple[str, str]
) -> None:
    am, pm = half_days
    text = table(
        "Time;Temp (C);RH (%)",
        (f"12/3/2026 11:50 {pm}", f"13/3/2026 12:00 {am}", f"13/3/2026 6:10 {pm}"),
        delimiter=";",
    )

    assert only(parse(text.encode(encoding), encoding=encoding)) == SERIES


def test_fahrenheit_gives_the_series() -> None:
    text = "Time,Temp (°F),RH (%)\n" + "\n".join(
        f"{stamp},{fahrenheit},{humidity}"
        for stamp, fahrenheit, humidity in zip(
            ISO, ("70.7", "31.1", "86.45"), ("48.9", "54", "60.1"), strict=True
        )
    )

    assert only(parse(text)) == SERIES


def test_unit_and_order_that_a_person_gives() -> None:
    text = "Time,Temp,RH\n04/03/2026 10:00,70.7,48.9\n"

    parsed = parse(text, order=DayOrder.DMY, unit=Unit.F)

    assert only(parsed) == [(1772614800, 21_500, 48_900)]  # 2026-03-04 09:00 UTC


def test_times_without_dates_roll_over_midnight() -> None:
    text = "Time,Temp °C,RH %\n23:50,21.5,48.9\n00:00,-0.5,54\n18:10,30.25,60.1\n"

    assert only(parse(text, starts_on=date(2026, 3, 12))) == SERIES


def spreadsheet(rows: list[list[object]]) -> bytes:
    book = Workbook()
    empty, sheet = book.active, book.create_sheet("Data")
    assert empty is not None
    for row in rows:
        sheet.append(row)
    stream = io.BytesIO()
    book.save(stream)
    return stream.getvalue()


STAMPS = [datetime.fromisoformat(stamp) for stamp in ISO]
NUMBERS: list[tuple[float, float]] = [(21.5, 48.9), (-0.5, 54), (30.25, 60.1)]


@pytest.mark.parametrize(
    "rows",
    [
        [["Time", "Temp (°C)", "RH (%)"], *([s, *v] for s, v in zip(STAMPS, NUMBERS, strict=True))],
        [["Report"], [], ["Date", "Time", "Temp (°C)", "RH (%)"],
         *([s.date(), s.time(), *v] for s, v in zip(STAMPS, NUMBERS, strict=True))],
        [["Time", "Temp (°C)", "RH (%)"], *([f"{s:%d/%m/%Y %H:%M}", *v] for s, v in zip(STAMPS, NUMBERS, strict=True))],
        [["Time", "Temp (°C)", "RH (%)"], *([s, f"{v[0]}".replace(".", ","), f"{v[1]}".replace(".", ",")] for s, v in zip(STAMPS, NUMBERS, strict=True))],
    ],
    ids=["stamps", "date_and_time", "texts", "decimal_commas"],
)  # fmt: skip
def test_spreadsheet_is_told_by_its_content(rows: list[list[object]]) -> None:
    assert only(parse(spreadsheet(rows))) == SERIES


def test_same_rows_in_two_dialects_are_the_same_readings() -> None:
    day_first, month_first = parse(TEXTS["dmy_time_dots"]), parse(TEXTS["mdy"])

    assert only(day_first) == only(month_first)
