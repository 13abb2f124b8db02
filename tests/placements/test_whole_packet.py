"""A packet with all its parts, on both papers, and what is cut out of the cards.

Read by three programs that did not write it: pypdf, pikepdf (the library of qpdf) and,
where they are installed, qpdf and pdftotext of poppler themselves.
"""

import io
import json
import re
import shutil
import subprocess
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any
from urllib.parse import unquote

import pikepdf
import pytest
from pypdf import PdfReader

from placements import pdf
from placements.rules.packets.documents import (
    PacketAlteredError,
    PacketDocument,
    digest,
    plain,
    read_document,
)
from placements.rules.packets.leaving import PrintChoice
from placements.rules.vocabulary import Paper, PlacementKind
from tests.clutches.qr_reader import read
from tests.placements.full import IMPERIAL, METRIC, whole_document, whole_packet
from tests.placements.test_pdf import elements, text_of
from tests.placements.test_schemas import FIRST_SHA256, SECOND_SHA256, first, second

# ISO 216, and 8.5 × 11 inches of 72 points.
SIZES = {Paper.A4: (595.28, 841.89), Paper.LETTER: (612, 792)}
Draw = Callable[[PacketDocument], bytes]


def reader_of(drawn: bytes) -> PdfReader:
    return PdfReader(io.BytesIO(drawn))


@pytest.fixture(scope="module")
def booklet() -> bytes:
    return pdf.draw(whole_packet(whole_document()))


def test_every_part_is_printed(booklet: bytes) -> None:
    text = text_of(reader_of(booklet))

    for words in (
        "A usual day by the clock.",
        "Twelve months at a glance",
        "On every feeding of the year:",
        "The journey and the first two weeks",
        "When we ask how Juno is",
        "after two weeks",
        "Clutch-mates at that age (how many)",
        "46.0–53.0 g (12)",
        "Our reptile vet:",
        "At night and on Sundays:",
        "C-2025-03, laid on 10 Feb 2025: 42 eggs were kept, 31 hatched; it came from "
        "egg 7",
        "1 Sep 2025 – 1 Dec 2025, then in another home",
        "Came back from a home; in need of treatment, expected to recover; no microchip "
        "was found; told to be: panther chameleon; came with: a travel box, two lamps; "
        "held until 12 Jan 2026",
        "ended although not all was as wanted: Moved.",
        "still kept apart",
        "left heel: no spur, right heel: unclear",
        "food was offered on 24 days; it was last seen to eat on 17 Mar 2026",
        "190 of 216",
        "nobody watched",
        "unusual: eyes (left swollen); nothing unusual: skin; not looked at: vent",
        "seen 3 times, 6 Jan 2026 – 9 Jan 2026; gone by 14 Jan 2026",
        "something was found, 12 Jan 2026: a few coccidia",
        "15 of 18 given; 2 left out, with a reason; 1 not on record",
        "ask a licensed vet how it goes on",
        "The practice in town goes on with it",
        "PT/2026/0815",
        "C: bred in captivity",
        "What was not as wanted when it left",
        "The new home keeps no other reptile.",
        "A rhythm of its own: 8 crickets, every other day",
    ):
        assert words in text, words


@pytest.mark.parametrize("choice", [METRIC, IMPERIAL], ids=["a4", "letter"])
@pytest.mark.parametrize("draw", [pdf.draw, pdf.draw_cards])
def test_papers_are_sound_on_both_sizes(
    draw: Draw, choice: PrintChoice, tmp_path: Path
) -> None:
    drawn = draw(whole_packet(whole_document(choice)))

    reader = reader_of(drawn)
    for page in reader.pages:
        size = float(page.mediabox.width), float(page.mediabox.height)
        assert size == pytest.approx(SIZES[choice.paper], abs=0.3)
    catalog: Any = reader.trailer["/Root"]
    assert catalog["/Lang"] == "en"
    assert catalog["/MarkInfo"]["/Marked"].value is True
    assert reader.metadata is not None
    assert reader.metadata.title
    assert "P-2026-0001" in reader.metadata.title
    figures = [e for e in elements(reader) if e["/S"] == "/Figure"]
    assert figures
    assert all(len(str(f.get("/Alt", ""))) > 20 for f in figures)
    with pikepdf.open(io.BytesIO(drawn)) as opened:
        assert opened.check_pdf_syntax() == []
    path = tmp_path / "drawn.pdf"
    path.write_bytes(drawn)
    for command in (["qpdf", "--check", str(path)], ["pdftotext", str(path), "-"]):
        if shutil.which(command[0]):
            done = subprocess.run(
                command, capture_output=True, text=True, timeout=60, check=False
            )
            assert done.returncode == 0, done.stderr
            if command[0] == "pdftotext":
                assert "Juno" in done.stdout


@pytest.mark.parametrize("choice", [METRIC, IMPERIAL], ids=["a4", "letter"])
def test_cards_fit_one_sheet(choice: PrintChoice) -> None:
    reader = reader_of(pdf.draw_cards(whole_packet(whole_document(choice))))

    assert len(reader.pages) == 1
    text = text_of(reader)
    assert text.count("V-0417") >= 3
    assert "This side up." in text
    assert "Now: call a reptile vet at once" in text


def test_from_the_json_on_record_comes_the_same_file(booklet: bytes) -> None:
    stored = json.loads(json.dumps(plain(whole_document())))

    again = read_document(stored, expected=digest(stored))

    assert pdf.draw(whole_packet(again)) == booklet


def test_a_packet_changed_by_hand_is_refused() -> None:
    stored = json.loads(json.dumps(plain(whole_document())))
    expected = digest(stored)
    stored["gates_opened"] = []

    with pytest.raises(PacketAlteredError, match="changed after it was made"):
        read_document(stored, expected=expected)


@pytest.mark.parametrize(
    ("stored", "sha256"), [(first(), FIRST_SHA256), (second(), SECOND_SHA256)]
)
def test_packets_of_every_form_still_print(stored: dict[str, Any], sha256: str) -> None:
    document = read_document(stored, expected=sha256)

    text = text_of(reader_of(pdf.draw(whole_packet(document))))

    assert "Juno" in text
    assert sha256[:8] in text


def test_the_code_leads_to_the_page_that_checks(settings: Any) -> None:
    settings.ADDRESS = "http://k.ex"
    document = whole_document()
    packet = replace(whole_packet(document), number="P-1")

    html = pdf.write_html(packet)

    (code,) = re.findall(r'<img src="(data:image/svg[^"]+)"', html)
    address = f"http://k.ex/check/P-1/{packet.sha256[:16]}/"
    # ISO/IEC 18004, read back by another program than the one that draws.
    assert read(unquote(code.replace("&#x27;", "'"))) == address
    assert f'<span class="code">{address}</span>' in html


def test_a_house_without_an_address_prints_none(settings: Any) -> None:
    settings.ADDRESS = ""

    html = pdf.write_html(whole_packet(whole_document()))

    assert "The code holds the number and the SHA-256." in html
    assert "/check/" not in html


def test_a_release_has_its_history_and_no_home_to_plan_for() -> None:
    released = whole_document(kind=PlacementKind.RELEASE)

    text = text_of(reader_of(pdf.draw(whole_packet(released))))

    assert "who goes back to the wild" in text
    assert "Release to the wild, by permit" in text
    assert "What is on record of its life here" in text
    for words in (
        "Three things",
        "Twelve months",
        "for the fridge",
        "Before it arrives",
    ):
        assert words not in text


def test_cards_of_an_animal_without_a_plan_say_so() -> None:
    text = text_of(
        reader_of(pdf.draw_cards(whole_packet(whole_document(profile=None))))
    )

    assert "This packet holds no conditions for it." in text


def test_words_of_people_cannot_break_a_card() -> None:
    evil = '<script>x</script>"&<style>*{display:none}</style>'
    document = whole_document(keeper=evil)

    html = pdf.write_cards(whole_packet(document))

    assert "<script>" not in html
    assert html.count("<style>") == 1
