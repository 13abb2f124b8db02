"""Files that are refused whole, with the reason."""

import io
import zipfile

import pytest

from husbandry.rules.loggers import sheet as sheets
from husbandry.rules.loggers.lexicon import SENTINELS
from husbandry.rules.loggers.numbers import RANGE_MILLI
from husbandry.rules.loggers.readings import parse_readings
from husbandry.rules.loggers.trust import UntrustedFileError
from husbandry.rules.loggers.vocabulary import DayOrder, Untrusted
from tests.rules.loggers.reading import BERLIN, NOW, parse, propose, sheet_of

HEAD = "Time,Temp (°C),RH (%)\n"


def hours(count: int, cells: str, *, delimiter: str = ",") -> str:
    return "".join(
        f"2026-03-{1 + n // 24:02d} {n % 24:02d}:00{delimiter}{cells.format(n=n % 10)}\n"
        for n in range(count)
    )


def bad_zip() -> bytes:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as archive:
        archive.writestr("readings.csv", "Time,Temp\n")
    return stream.getvalue()


FILES: dict[Untrusted, list[bytes | str]] = {
    Untrusted.EMPTY: ["", "\n\n", b"\xef\xbb\xbf\n", b"\x00" * 512],
    Untrusted.NOT_TEXT: [b"\x89PNG\r\n" + bytes(range(1, 32)) * 40],
    Untrusted.SPREADSHEET_OLD: [b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\x00" * 512],
    Untrusted.SPREADSHEET_UNREADABLE: [b"PK\x03\x04 not a zip", bad_zip()],
    Untrusted.NO_TABLE: ["hello", "one,two\nthree,four\n", HEAD],
    Untrusted.DELIMITER_BROKEN: [
        HEAD + hours(12, "2{n},5,5{n},1"),
        "Time,Temp (°C)\n" + hours(12, "2{n},5"),
        "Time,Temp (°C),RH (%)\n" + hours(10, "2{n},5{n}") + hours(2, "2{n},5,5{n}"),
        "No,Time,Temp (°C),RH (%)\n" + hours(12, "2{n}.5,5{n}.1"),
    ],
    Untrusted.HEADER_SHIFTED: [
        "No,Time,Temp (°C)\n" + "".join(f"{n},2026-03-01 {n:02d}:00,21,5\n" for n in range(9)),
        "Time,Device,Temp (°C)\n" + "".join(f"7{n},2026-03-01 {n:02d}:00,21\n" for n in range(9)),
    ],
    Untrusted.QUOTE_NOT_CLOSED: [HEAD + '2026-03-01 00:00,"21.5,50\n' + hours(9, "20,50") + '2026-03-02 00:00,20",50\n'],
    Untrusted.HEADER_CHANGES: [HEAD + hours(9, "20,50") + "Time,RH (%),Temp (°C)\n" + hours(9, "50,20")],
    Untrusted.NO_STAMPS: ["Temp (°C),RH (%)\n20.5,50.5\n21.5,51.5\n"],
    Untrusted.NO_TIMES: ["Date,Temp (°C)\n2026-03-01,20\n2026-03-02,21\n2026-03-03,22\n"],
    Untrusted.NO_QUANTITY: ["Time,CO2\n2026-03-01 10:00,400\n"],
    Untrusted.NO_READINGS: [HEAD + "2026-03-01 10:00,-200,-200\n2026-03-01 11:00,,-200\n"],
    Untrusted.START_DATE_MISSING: ["Time,Temp (°C)\n10:00,20\n10:10,21\n"],
    Untrusted.MIXED_DAY_ORDER: ["Time,Temp (°C)\n13/03/2026 10:00,20\n03/14/2026 10:00,21\n"],
    Untrusted.MIXED_DATE_FORMS: ["Time,Temp (°C)\n2026-03-01 10:00,20\n13/03/2026 10:00,21\n"],
    Untrusted.DECIMAL_MARKS_MIXED: ["Time;Temp (°C)\n2026-03-01 10:00;20,5\n2026-03-01 11:00;20.5\n"],
    Untrusted.DECIMALS_LOST: [
        HEAD + hours(9, "13{n},48{n}"),
        "Time,Temp (°C)\n" + hours(9, "21{n}"),
        "Time,Temp (°F)\n" + hours(9, "72{n}"),
        "Time,RH (%)\n" + hours(9, "48{n}") + "2026-03-05 10:00,-200\n",
    ],
    Untrusted.MOSTLY_REFUSED: [
        HEAD + "2026-03-01 10:00,20,50\nx,20,50\ny,20,50\n",
        HEAD + "2026-03-01 10:00,20,50\n2026-03-01 11:00,20,250\n2026-03-01 12:00,20,350.5\n",
    ],
    Untrusted.NOT_ADVANCING: [
        HEAD + "".join(f"2026-03-01 10:00,2{n},50\n" for n in range(10)),
        HEAD + "2026-03-01 10:00,20,50\n" * 10,
        HEAD + "".join(f"2026-03-01 10:0{n // 6},{20 + n / 10},50\n" for n in range(30)),
    ],
}  # fmt: skip


@pytest.mark.parametrize(
    ("reason", "data"), [(reason, data) for reason in FILES for data in FILES[reason]]
)
def test_file_is_refused_whole(reason: Untrusted, data: bytes | str) -> None:
    with pytest.raises(UntrustedFileError) as caught:
        parse(data)

    assert caught.value.reason is reason
    assert caught.value.code == "untrusted_file"
    assert "{" not in caught.value.sentence


def test_too_large_file_is_refused_unread() -> None:
    with pytest.raises(UntrustedFileError) as caught:
        sheet_of(b"x" * (sheets.SIZE_LIMIT_BYTES + 1))

    assert caught.value.reason is Untrusted.TOO_LARGE


@pytest.mark.parametrize("encoding", ["klingon", "ascii"])
def test_encoding_that_does_not_fit_is_refused(encoding: str) -> None:
    with pytest.raises(UntrustedFileError) as caught:
        sheet_of(HEAD, encoding=encoding)

    assert caught.value.reason is Untrusted.ENCODING_WRONG


def test_lost_decimals_are_refused_before_anybody_is_asked() -> None:
    with pytest.raises(UntrustedFileError) as caught:
        propose("Time,T,RH\n" + hours(9, "13{n},48{n}"))

    assert caught.value.reason is Untrusted.DECIMALS_LOST
    assert caught.value.sentence == (
        "The decimals are lost: 9 of 9 numbers in 'RH' are too large and have none "
        "(up to 488), but would make sense divided by ten. Nothing was taken. Use the "
        "file as the logger wrote it."
    )


@pytest.mark.parametrize(
    ("cells", "lost"),
    [
        (("100", "100", "101", "101"), False),  # exactly half above the limit
        (("100", "101", "101", "101"), True),
        (("101.0", "101", "101", "101"), False),  # a decimal mark: none were lost
        (("1001", "2001", "3001", "4001"), False),  # no sense divided by ten either
    ],
)
def test_decimals_count_as_lost_from_more_than_half(
    cells: tuple[str, ...], lost: bool
) -> None:
    rows = "".join(f"2026-03-01 1{n}:00,{cell}\n" for n, cell in enumerate(cells))

    try:
        parse("Time,Temp (°C)\n" + rows)
        reason = None
    except UntrustedFileError as error:
        reason = error.reason

    assert (reason is Untrusted.DECIMALS_LOST) == lost


def test_half_of_the_rows_refused_is_not_more_than_half() -> None:
    parsed = parse(HEAD + "2026-03-01 10:00,20,50\nx,20,50\n")

    assert (parsed.rows_used, parsed.rows_refused) == (1, 1)


def test_nine_rows_may_stand_still() -> None:
    parsed = parse(HEAD + "2026-03-01 10:00,20,50\n" * 9)

    assert parsed.readings == 1


def test_undecided_mapping_is_refused() -> None:
    with pytest.raises(UntrustedFileError) as caught:
        parse("Time,Temp\n04/03/2026 10:00,20\n05/03/2026 10:00,20\n")

    assert caught.value.reason is Untrusted.MAPPING_UNDECIDED
    assert dict(caught.value.facts) == {"parts": "day_order, unit"}


def test_day_order_that_the_column_excludes_is_refused() -> None:
    with pytest.raises(UntrustedFileError) as caught:
        parse("Time,Temp °C\n13/03/2026 10:00,20\n", order=DayOrder.MDY)

    assert caught.value.reason is Untrusted.DAY_ORDER_IMPOSSIBLE


def test_mapping_of_other_columns_does_not_fit() -> None:
    mapping = propose(HEAD + hours(3, "20,50")).mapping
    narrow = sheet_of("Time,Temp (°C)\n" + hours(3, "20"))
    swapped = sheet_of("Time,RH (%),Temp (°C)\n" + hours(3, "50,20"))

    for sheet in (narrow, swapped):
        with pytest.raises(UntrustedFileError) as caught:
            parse_readings(sheet, mapping, site_zone=BERLIN, until=NOW)
        assert caught.value.reason is Untrusted.MAPPING_NOT_FITTING


def test_no_default_sentinel_can_be_a_measurement() -> None:
    for number in SENTINELS:
        for unit_milli in (float(number) * 1000, (float(number) - 32) / 1.8 * 1000):
            assert all(
                not low <= unit_milli <= high for low, high in RANGE_MILLI.values()
            )


def test_every_reason_has_a_file_here() -> None:
    elsewhere = {
        Untrusted.TOO_LARGE, Untrusted.ENCODING_WRONG, Untrusted.MAPPING_UNDECIDED,
        Untrusted.MAPPING_UNUSABLE, Untrusted.MAPPING_NOT_FITTING,
        Untrusted.DAY_ORDER_IMPOSSIBLE,
    }  # fmt: skip

    assert set(FILES) | elsewhere == set(Untrusted)
