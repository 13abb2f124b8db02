"""The printed sheet of a round, read back as a reader would.

The checks of the catalog follow ISO 14289-1 (PDF/UA-1): 5 (identification in XMP),
7.1 (marked content, document title), 7.2 (language), 7.21 (embedded fonts).
"""

import io
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pikepdf
import pytest
from pypdf import PdfReader
from pypdf.generic import DictionaryObject

from core.units import MassUnit
from husbandry.pdf import draw_round, write_round
from husbandry.rules.round_cautions import ELECTRICITY, MEDICINES, QUARANTINE
from husbandry.rules.round_printing import lay_out
from husbandry.rules.round_sheets import RoundSheet
from husbandry.rules.sentences.numbers import METRIC, Units
from husbandry.rules.vocabulary import Sex, TaskKind, Urgency
from husbandry.rules.weights import GravidSpell
from tests.rules import rounds_made as made

K = TaskKind
SICK_BAY = replace(made.ROOM, name="Sick bay", quarantine=True)
GRAVID = GravidSpell(date(2026, 2, 20), None)


def room_of(number: int) -> RoundSheet:
    """A room of so many animals, each with a feeding, a misting and a weighing."""
    tasks = [
        task
        for n in range(1, number + 1)
        for task in (
            made.task(animal=n),
            made.task(K.MIST, made.MIST, enclosure=n),
            made.task(K.WEIGH, made.WEIGH, animal=n),
        )
    ]
    animals = [made.animal(n) for n in range(1, number + 1)]
    return made.sheet(made.facts(animals), tasks)


@pytest.fixture(scope="module")
def drawn() -> bytes:
    return draw_round(room_of(24))


@pytest.fixture(scope="module")
def reader(drawn: bytes) -> PdfReader:
    return PdfReader(io.BytesIO(drawn))


def text_of(found: PdfReader) -> str:
    return " ".join(" ".join(p.extract_text() for p in found.pages).split())


def printed(sheet: RoundSheet) -> str:
    return text_of(PdfReader(io.BytesIO(draw_round(sheet))))


def elements(found: PdfReader) -> Iterator[DictionaryObject]:
    """Yield every structure element of the tag tree."""
    waiting: list[Any] = [found.trailer["/Root"]["/StructTreeRoot"]]
    while waiting:
        element = waiting.pop().get_object()
        if isinstance(element, list):
            waiting += element
        elif isinstance(element, DictionaryObject):
            yield element
            if "/K" in element:
                waiting.append(element["/K"])


def test_it_is_tagged_titled_and_in_a_language(reader: PdfReader) -> None:
    root = reader.trailer["/Root"]

    assert root["/Lang"] == "en"
    assert root["/MarkInfo"]["/Marked"].value is True
    assert root["/ViewerPreferences"]["/DisplayDocTitle"].value is True
    assert reader.metadata is not None
    assert reader.metadata.title == "Round of Nursery rack, Willow Bend, Mon 2 Mar 2026"
    assert b"pdfuaid:part" in root["/Metadata"].get_data()


def test_its_structure_is_sound(drawn: bytes) -> None:
    with pikepdf.open(io.BytesIO(drawn)) as found:
        assert found.check_pdf_syntax() == []


def test_the_table_has_headers_for_rows_and_columns(reader: PdfReader) -> None:
    headers = [e for e in elements(reader) if e.get("/S") == "/TH"]

    # Twenty-four rows, and seven columns on each page.
    assert len(headers) == 24 + 7 * len(reader.pages)


def test_every_animal_has_its_row_and_every_page_its_number(reader: PdfReader) -> None:
    text, pages = text_of(reader), len(reader.pages)

    assert pages <= 5
    for n in range(1, 25):
        assert text.count(f"V-{n:04d} Juno") == 1
    for n, page in enumerate(reader.pages, start=1):
        told = page.extract_text()
        assert f"page {n} of {pages}" in told
        assert "Nursery rack · Mon 2 Mar 2026" in told
        assert "the care profile Veiled chameleon version 1" in told
        assert "Offered" in told


def test_paper_of_the_right_size(reader: PdfReader) -> None:
    box = reader.pages[0].mediabox

    # A4 on its side: 297 × 210 mm.
    assert (round(box.width / 72 * 25.4), round(box.height / 72 * 25.4)) == (297, 210)


def test_same_sheet_gives_the_same_bytes(drawn: bytes) -> None:
    assert draw_round(room_of(24)) == drawn


def test_one_animal_fits_one_page_with_its_last_weight() -> None:
    found = PdfReader(io.BytesIO(draw_round(room_of(1))))

    assert len(found.pages) == 1
    text = text_of(found)
    for words in (
        "1 animal at 1 stop · 1 feeding (10–15 crickets), 1 misting, 1 weighing",
        "♀ female, adult, 18 months old",
        "101.5 g 23 Feb 2026 likely 50.8–203.0 g",
        "Healthy reptiles can carry Salmonella. Wash your hands",
        "made Mon 2 Mar 2026 at 06:10 (Europe/Lisbon)",
        "call a licensed reptile vet",
        "Walked by",
    ):
        assert words in text
    assert "Quarantine" not in text
    assert MEDICINES not in text
    assert ELECTRICITY not in text


def test_a_room_of_quarantine_says_so_before_anything_else() -> None:
    text = printed(made.sheet(made.facts([made.animal()]), room=SICK_BAY))

    assert QUARANTINE in text
    assert text.index("Walk this room last") < text.index("Salmonella")


def test_an_animal_in_quarantine_in_another_room_says_so_itself() -> None:
    kept_apart = made.animal(kept_apart_since=date(2026, 2, 20))

    text = printed(made.sheet(made.facts([kept_apart])))

    assert "QUARANTINE since 20 Feb 2026: with tools of its own." in text
    assert "Animals in quarantine come last" in text


def test_medicines_and_lamps_bring_their_cautions() -> None:
    dose = made.task(K.DOSE, made.DOSE, due_on=made.ON - timedelta(days=1))
    lamp = made.task(K.UV_CHECK, made.LAMP, enclosure=1)

    text = printed(made.sheet(made.facts([made.animal()]), [dose, lamp]))

    assert MEDICINES in text
    assert ELECTRICITY in text
    assert "is not on record. Never give two at once; ask the vet." in text


def test_what_to_mind_is_said_in_words() -> None:
    minded = made.animal(
        arrived_on=date(2026, 2, 25),
        gravid=(GRAVID,),
        orders=(made.fast(made.ON, made.ON),),
    )
    weigh = made.task(K.WEIGH, made.WEIGH)

    text = printed(made.sheet(made.facts([minded]), [weigh]))

    for words in (
        "DO NOT HANDLE: settling in until 10 Mar 2026 (came on 25 Feb 2026).",
        "DO NOT HANDLE: gravid since 20 Feb 2026.",
        "OFFER NOTHING until 2 Mar 2026: fasting, by A. Vet: Surgery.",
        "Weigh (every 7 days): on its perch, without lifting it, or on another day",
    ):
        assert words in text


def test_findings_carry_a_word_and_a_shape() -> None:
    urgencies = (Urgency.WATCH, Urgency.NOW, Urgency.TODAY)
    findings = [made.finding(n, urgency=u) for n, u in enumerate(urgencies)]

    text = printed(made.sheet(made.facts([made.animal()]), findings=findings))

    assert text.index("■ NOW") < text.index("◧ TODAY") < text.index("□ WATCH")
    assert "First: Weigh it today, at the usual hour. (since 1 Mar 2026)" in text


@pytest.mark.parametrize(
    ("night", "told"),
    [
        (None, "No night before this day was reviewed, so findings are not known."),
        (
            date(2026, 2, 27),
            "Findings are those of Fri 27 Feb 2026; no night since then was reviewed.",
        ),
        (date(2026, 3, 1), ""),
    ],
)
def test_a_night_without_review_is_never_silence(night: date | None, told: str) -> None:
    page = lay_out(
        made.sheet(made.facts([made.animal()]), night=night), units=METRIC
    ).night

    assert page.startswith(told)
    assert bool(page) is bool(told)


def test_what_was_done_is_ticked_in_word_and_sign() -> None:
    fed = made.task(done_on=made.ON)
    page = lay_out(made.sheet(made.facts([made.animal()]), [fed]), units=METRIC)

    row = page.rows[0]
    assert (row.ticks[0].done, row.feed) == (True, False)
    text = printed(made.sheet(made.facts([made.animal()]), [fed]))
    assert "✓" in text
    assert "vitamin D3 (done)" in text


def test_what_was_left_open_is_a_tick_where_it_still_does_good() -> None:
    late = [made.task(due_on=made.ON - timedelta(days=n)) for n in (1, 3)]
    mist = made.task(K.MIST, made.MIST, enclosure=1, due_on=made.ON - timedelta(days=1))
    sheet = made.sheet(made.facts([made.animal()]), [*late, mist])

    row = lay_out(sheet, units=METRIC).rows[0]

    assert [tick.text for tick in row.ticks] == [
        "Feed 10–15 small insects: crickets, dusted with plain calcium without "
        "vitamin D3; open since 1 Mar 2026"
    ]
    assert row.left_open == (
        "Misting open since 1 Mar 2026",
        "Feeding open since 27 Feb 2026",
    )
    assert row.feed


def test_an_enclosure_without_animals_has_a_row_for_its_lamp() -> None:
    lamp = made.task(K.LAMP_CHANGE, made.LAMP, enclosure=2)
    facts = made.facts([], [made.enclosure(2)])

    row = lay_out(made.sheet(facts, [lamp]), units=METRIC).rows[0]

    assert (row.where, row.label, row.last) == ("N-02", "Nobody lives here", "")
    assert row.ticks[0].text.startswith("Change the UVB tube")


def test_of_a_group_the_first_row_carries_what_the_enclosure_needs() -> None:
    pair = [made.animal(1), made.animal(2, enclosure=1)]
    mist = made.task(K.MIST, made.MIST, enclosure=1)

    rows = lay_out(made.sheet(made.facts(pair), [mist]), units=METRIC).rows

    assert [len(row.ticks) for row in rows] == [1, 0]
    assert [row.where for row in rows] == ["N-01", "N-01"]


def test_nothing_known_is_said_so() -> None:
    unknown = made.animal(
        profile=None, hatched_on=None, last_weighing=None, sex=Sex.UNKNOWN
    )
    found = replace(made.sheet(made.facts([unknown])), profiles=())

    text = printed(found)

    assert "sex not known, age not known" in text
    assert "never weighed" in text
    assert "No care profile · made" in text
    assert "nothing is due" in text


def test_young_animals_are_told_in_days() -> None:
    young = made.animal(hatched_on=date(2026, 2, 1), arrived_on=date(2026, 2, 1))

    row = lay_out(made.sheet(made.facts([young])), units=METRIC).rows[0]

    assert row.about == "♀ female, hatchling, 29 days old"


def test_an_empty_room_is_a_page_too() -> None:
    text = printed(made.sheet(made.facts([])))

    assert "No animal was in this room on that day, and nothing is due." in text


def test_masses_are_told_in_the_readers_unit() -> None:
    ounces = Units(mass=MassUnit.OZ)
    row = lay_out(made.sheet(made.facts([made.animal()])), units=ounces).rows[0]

    # 101.5 g / 28.349523125 g (the avoirdupois ounce, exact) = 3.58 oz.
    assert row.last == "3.58 oz"
    assert Decimal("101.5") / Decimal("28.349523125") - Decimal("3.58") < Decimal(
        "0.01"
    )


def test_words_of_people_cannot_break_the_page() -> None:
    evil = '<script>x</script>"&<style>*{display:none}</style>'
    told = made.animal(label=evil)

    html = write_round(made.sheet(made.facts([told])))

    assert "<script>" not in html
    assert html.count("<style>") == 1
