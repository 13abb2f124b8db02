"""Labels: what stands on them, and that a camera reads their code."""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from io import BytesIO
from urllib.parse import unquote

import pikepdf
import pytest
import segno
from django.db import connection
from django.test.utils import CaptureQueriesContext
from pypdf import PdfReader

from clutches.pdf import draw_labels, qr_code, write_labels
from clutches.queries.labels import labels
from clutches.rules.labels import Label, SireShareLine
from husbandry.rules.vocabulary import Confidence, Sex, SexBasis
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


@pytest.mark.parametrize("text", ["V-0101", "C-07-12", "A code of 20 signs."])
def test_the_code_is_that_of_the_animal(text: str) -> None:
    # Each dark module of the matrix by ISO/IEC 18004 is a run of the drawing.
    expected = segno.make(text, error="m", micro=False)

    drawn = unquote(qr_code(text))

    assert drawn == unquote(
        expected.svg_data_uri(scale=1, border=2, dark="#000", light="#fff")
    )
    assert not expected.is_micro


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
