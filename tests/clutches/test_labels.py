"""Labels: what stands on them, and that a camera reads their code."""

import re
from dataclasses import replace
from datetime import date
from decimal import Decimal
from io import BytesIO
from urllib.parse import unquote

import pikepdf
import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from pypdf import PdfReader

from clutches.pdf import draw_labels, write_labels
from clutches.queries.labels import labels
from clutches.rules.labels import Label, SireShareLine
from core.qr_codes import qr_code
from husbandry.rules.vocabulary import Confidence, Sex, SexBasis
from tests.clutches.qr_reader import read
from tests.factories import (
    AnimalFactory,
    CandidateSireFactory,
    ClutchFactory,
    HatchlingFactory,
    StayFactory,
)

JUNO = Label(
    code="C-1-01",
    name="Juno",
    species="Veiled chameleon",
    hatched_on=date(2026, 8, 1),
    clutch="C-1",
    dam="V-0201",
    sire="",
    may_be=(
        SireShareLine("V-0101", Decimal("0.5")),
        SireShareLine("V-0102", Decimal("0.5")),
    ),
    sex=Sex.MALE,
    basis=SexBasis.HEEL_SPUR,
    confidence=Confidence.LIKELY,
    place="N-01",
)


def pages(drawn: bytes) -> list[str]:
    return [page.extract_text() for page in PdfReader(BytesIO(drawn)).pages]


def test_a_label_says_no_more_than_is_known() -> None:
    assert JUNO.hatched == "hatched 1 Aug 2026"
    assert JUNO.parents == "V-0201 × V-0101 or V-0102"
    assert JUNO.sexed == "male, heel spur, likely"
    third = SireShareLine("V-0103", Decimal("0.2"))
    three = replace(JUNO, may_be=(*JUNO.may_be, third))
    assert three.parents == "V-0201 × V-0101 or V-0102 or another"
    four = replace(three, may_be=(*three.may_be, third))
    assert four.parents == "V-0201 × V-0101 or V-0102 or 2 others"
    nothing = Label(
        *("V-1", "", "Veiled chameleon", None, "", "", "", ()),
        *(Sex.UNKNOWN, SexBasis.NOT_SEXED, Confidence.UNCERTAIN, ""),
    )
    assert (nothing.hatched, nothing.parents, nothing.sexed) == (
        *("hatch date not known", "parents not known", "sex not known"),
    )


def test_a_sheet_holds_three_by_eight() -> None:
    many = [replace(JUNO, code=f"C-1-{n:02d}") for n in range(1, 26)]

    drawn = draw_labels(many)

    first, second = pages(drawn)
    assert first.count("Juno") == 24
    assert "C-1-25" in second
    with pikepdf.open(BytesIO(drawn)) as pdf:
        assert pdf.Root.MarkInfo.Marked
        assert str(pdf.Root.Lang) == "en-GB"
        assert pdf.check_pdf_syntax() == []


def test_no_label_says_so() -> None:
    assert "No animal in care fits" in pages(draw_labels([]))[0]


@pytest.mark.parametrize(
    "text",
    [
        "V-0101",
        "C-07-12",
        "A code of 20 signs.",
        "C-2026-LONGEST-CO-01",
        "12345678",
        "ÄÖÜ-12",
        "ÄÖÜ" * 6,
    ],
)
def test_a_camera_reads_the_code_of_the_animal(text: str) -> None:
    # ISO/IEC 18004, read back by another program than the one that draws.
    assert read(unquote(qr_code(text))) == text


def test_the_reader_notices_a_wrong_module() -> None:
    drawn = unquote(qr_code("V-0101"))
    # The last stroke is one module shorter than it should be.
    damaged = re.sub(r"h(\d+)('/>)", lambda m: f"h{int(m[1]) - 1}{m[2]}", drawn)
    assert damaged != drawn

    with pytest.raises(AssertionError, match="damaged"):
        read(damaged)


def test_what_is_typed_is_written_as_text() -> None:
    page = write_labels([replace(JUNO, name="<b>x</b>")])

    assert "&lt;b&gt;x" in page


@pytest.mark.django_db
def test_labels_of_a_clutch_and_of_single_animals() -> None:
    clutch = ClutchFactory(code="C-1")
    young = HatchlingFactory(clutch=clutch, animal__code="C-1-01").animal
    StayFactory(animal=young, enclosure__code="N-01")
    CandidateSireFactory(clutch=clutch, sire__code="V-9")
    HatchlingFactory(
        clutch=clutch, animal__status="dead", animal__left_on=date(2026, 9, 1)
    )
    AnimalFactory(code="V-2")
    AnimalFactory(code="V-3")

    found = labels(clutch="C-1", animals=["V-2", "nobody"])

    assert [label.code for label in found] == ["C-1-01", "V-2"]
    assert (found[0].clutch, found[0].place) == ("C-1", "N-01")
    assert found[0].may_be == (SireShareLine("V-9", Decimal("0.50000")),)
    assert labels() == ()


@pytest.mark.django_db
def test_as_many_queries_for_many() -> None:
    counts = []
    clutch = ClutchFactory(code="C-1")
    for many in (1, 5):
        for _ in range(many):
            HatchlingFactory(clutch=clutch)
        with CaptureQueriesContext(connection) as asked:
            labels(clutch="C-1")
        counts.append(len(asked))

    assert counts[0] == counts[1] == 4


LONGEST = replace(
    JUNO,
    code="C-2026-LONGEST-CO-01",
    name="Name " * 16,
    species="A long common name of a species from far away",
    clutch="C-2026-LONGEST-CODE",
    dam="V-2026-LONGEST-DAM-1",
    may_be=tuple(
        SireShareLine(f"V-2026-LONGEST-SIR-{n}", Decimal("0.2")) for n in range(5)
    ),
    place="N-LONGEST-ENCLOSURE1",
)


def test_nothing_is_cut_off_however_long_the_words_are() -> None:
    heights: list[float] = []

    def visit(said: str, page: list[float], at: list[float], *_: object) -> None:
        if said.strip() and "Labels for" not in said:
            heights.append(at[5] * page[3] + page[5])

    page = PdfReader(BytesIO(draw_labels([LONGEST]))).pages[0]
    told = page.extract_text(visitor_text=visit)

    # The label is 34.8 mm high and begins 8 mm under the edge of the sheet; half a
    # millimetre is kept clear of the line along which it is cut.
    ends = float(page.mediabox.height) - (8 + 34.8 - 0.5) * 72 / 25.4
    assert min(heights) > ends
    said = told.replace("\n", "").replace(" ", "")
    for word in (LONGEST.code, LONGEST.place, LONGEST.clutch, LONGEST.sexed):
        assert word.replace(" ", "") in said
    assert "V-2026-LONGEST-SIR-0orV-2026-LONGEST-SIR-1or3others" in said
