"""What a pedigree file says, however it was written."""

from datetime import date

import pytest

from clutches.rules.pedigrees.cells import NOT_SAID, SexSaid, is_unknown, read_sex
from clutches.rules.pedigrees.errors import PedigreeFileError, PedigreeUndecidedError
from clutches.rules.pedigrees.files import read_cells
from clutches.rules.pedigrees.hatch_dates import (
    NOT_KNOWN,
    Hatched,
    read_hatched,
    settle_order,
    settled,
)
from clutches.rules.pedigrees.headings import Column, columns_of
from husbandry.rules.loggers.vocabulary import DayOrder
from husbandry.rules.vocabulary import Confidence, DatePrecision, Sex
from tests.rules.clutches.pedigrees.files_made import TODAY

DAY, MONTH, YEAR = DatePrecision.DAY, DatePrecision.MONTH, DatePrecision.YEAR
MALE = SexSaid(Sex.MALE, Confidence.LIKELY)
FEMALE = SexSaid(Sex.FEMALE, Confidence.LIKELY)


@pytest.mark.parametrize(
    "text",
    [
        *("", "  ", "?", "??", "-", "--", "–", "0", "00", "unk", "Unknown", "UNKNOWN"),
        *("n/a", "N/A", "none", "WC", "w/c", "wild", "Wild-caught", "(unknown)", "."),
        *("null", "#N/A", "unbekannt", "not known", "*"),
    ],
)
def test_many_spellings_mean_unknown(text: str) -> None:
    assert is_unknown(text)


@pytest.mark.parametrize("text", ["V-1", "01", "Wilda", "No. 7", "0-1", "X", "Nana"])
def test_a_code_is_not_taken_for_unknown(text: str) -> None:
    assert not is_unknown(text)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        *[
            (t, MALE)
            for t in ("m", "M", "male", "Male.", "1.0", "1,0", "1.0.0", "1", "♂")
        ],
        *[(t, FEMALE) for t in ("f", "FEMALE", "0.1", "0,1", "0.1.0", "2", "♀")],
        *[(t, NOT_SAID) for t in ("", "?", "u", "unknown", "0.0.1", "unsexed", "0")],
        ("m?", SexSaid(Sex.MALE, Confidence.UNCERTAIN)),
        ("probable female", SexSaid(Sex.FEMALE, Confidence.UNCERTAIN)),
        ("female (?)", SexSaid(Sex.FEMALE, Confidence.UNCERTAIN)),
        ("2.3", None),
        ("hermaphrodite", None),
        ("3", None),
    ],
)
def test_sexes_are_read(text: str, expected: SexSaid | None) -> None:
    assert read_sex(text) == expected


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("2024-05-31", Hatched(date(2024, 5, 31), DAY)),
        ("2024-05-31 00:00:00", Hatched(date(2024, 5, 31), DAY)),
        ("31 May 2024", Hatched(date(2024, 5, 31), DAY)),
        ("May 31, 2024", Hatched(date(2024, 5, 31), DAY)),
        ("2024", Hatched(date(2024, 1, 1), YEAR)),
        ("ca. 2024", Hatched(date(2024, 1, 1), YEAR)),
        ("2024-00-00", Hatched(date(2024, 1, 1), YEAR)),
        ("2024-05", Hatched(date(2024, 5, 1), MONTH)),
        ("05/2024", Hatched(date(2024, 5, 1), MONTH)),
        ("2024-05-00", Hatched(date(2024, 5, 1), MONTH)),
        ("May 2024", Hatched(date(2024, 5, 1), MONTH)),
        ("~ May 2024", Hatched(date(2024, 5, 1), MONTH)),
        ("2024 May", Hatched(date(2024, 5, 1), MONTH)),
        ("?", NOT_KNOWN),
        ("0000-00-00", NOT_KNOWN),
        ("2026-03-02", Hatched(date(2026, 3, 2), DAY)),
        ("2026-03-03", None),
        ("2024-02-30", None),
        ("2024-13", None),
        ("1899", None),
        ("45443", None),
        ("ca. 31/05/2024", None),
        ("spring", None),
    ],
)
def test_hatch_dates_are_read(text: str, expected: Hatched | None) -> None:
    assert settled(read_hatched(text), DayOrder.PLAIN, today=TODAY) == expected


@pytest.mark.parametrize(
    ("texts", "expected"),
    [
        ((), DayOrder.PLAIN),
        (("2024-05-04", "May 2024", "?"), DayOrder.PLAIN),
        (("04/05/2024", "31/05/2024"), DayOrder.DMY),
        (("04/05/2024", "05/31/2024"), DayOrder.MDY),
        (("05/05/2024",), DayOrder.DMY),
        (("31.05.24", "4.5.2023"), DayOrder.DMY),
        (("99/99/2024", "31/05/2024"), DayOrder.DMY),
    ],
)
def test_a_column_settles_the_order_of_its_days(
    texts: tuple[str, ...], expected: DayOrder
) -> None:
    assert settle_order([read_hatched(t) for t in texts], None) is expected


@pytest.mark.parametrize(
    ("texts", "asked", "choices"),
    [
        (("04/05/2024",), "possible both ways", "dmy, mdy"),
        (("04/05/24",), "possible both ways", "dmy, mdy, ymd"),
        (("31/05/2024", "05/31/2024"), "only possible with the day first", "dmy, mdy"),
    ],
)
def test_what_a_column_leaves_open_is_asked(
    texts: tuple[str, ...], asked: str, choices: str
) -> None:
    with pytest.raises(PedigreeUndecidedError, match=asked) as refusal:
        settle_order([read_hatched(t) for t in texts], None)

    assert refusal.value.fields == {"day_order": choices}


def test_an_order_that_was_said_wins() -> None:
    column = [read_hatched(t) for t in ("31/05/2024", "05/31/2024")]

    order = settle_order(column, DayOrder.DMY)

    assert [settled(c, order, today=TODAY) for c in column] == [
        Hatched(date(2024, 5, 31), DAY),
        None,
    ]


@pytest.mark.parametrize(
    ("header", "expected"),
    [
        ("id,dam,sire", "code dam sire"),
        ("Animal;Mother;Father", "code dam sire"),
        ("ANIMAL ID\tDAM ID\tSIRE ID", "code dam sire"),
        ("Name|Mother|Father", "code dam sire"),
        ("ID,Name,Dam,Dam name,Sire,Sex", "code name dam - sire sex"),
        ("DamID,SireID,Id,DOB", "dam sire code hatched"),
        ("Code,House name,Mutter,Vater,Geschlecht", "code - dam sire sex"),
        ("code,hatch date,species,dam,weight", "code hatched species dam -"),
    ],
)
def test_headings_are_known_in_many_spellings(header: str, expected: str) -> None:
    sign = next(s for s in ",;\t|" if s in header)
    found = columns_of(header.split(sign))

    named = [word for word in enumerate(expected.split()) if word[1] != "-"]
    assert found == {Column(word): at for at, word in named}


def test_two_columns_of_one_meaning_are_refused() -> None:
    with pytest.raises(PedigreeFileError, match="'Mother' and 'Dam' both seem"):
        columns_of(["id", "Mother", "Dam"])


@pytest.mark.parametrize(
    "data",
    [
        "id,dam,sire\r\nV-1,V-2,V-3\r\n".encode("utf-8-sig"),
        "id;dam;sire\nV-1;V-2;V-3".encode("utf-16"),
        b"id\tdam\tsire\nV-1\tV-2\tV-3\n",
        '"id"|"dam"|"sire"\n"V-1"|"V-2"|"V-3"'.encode("cp1252"),
        b"Our herd, 2026\n\nid,dam,sire\nV-1,V-2,V-3",
        b"dam;sire;id\nV-2;V-3;V-1",
    ],
)
def test_a_file_is_read_whatever_parts_its_cells(data: bytes) -> None:
    cells = read_cells(data)

    row = cells.rows[0]
    wanted = (Column.CODE, Column.DAM, Column.SIRE)
    assert [cells.cell(row, c) for c in wanted] == ["V-1", "V-2", "V-3"]
    assert cells.cell(row, Column.SEX) == ""


@pytest.mark.parametrize(
    ("data", "sentence"),
    [
        (b"", "The file is empty."),
        (b"\xef\xbb\xbf\r\n", "The file is empty."),
        (bytes(range(32)) * 20, "neither text nor a spreadsheet"),
        (b"id,weight\nV-1,3", "no row has headings for an animal and for a parent"),
        (b"id,dam,mother\nV-1,a,b", "both seem to be the dam"),
        (b'id,dam,sire\n"V-1,a,b\nc\nd\ne\nf\n', "is not closed"),
        (b"id,dam\n" + b"a,b\n" * 50_001, "at most 50,000 are taken"),
        (b"x" * 10_000_001, "at most 10,000,000 are read"),
    ],
)
def test_what_is_no_pedigree_is_refused(data: bytes, sentence: str) -> None:
    with pytest.raises(PedigreeFileError, match=sentence):
        read_cells(data)
