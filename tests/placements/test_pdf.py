"""The printed packet, checked as a reader would and against PDF/UA-1.

The checks of the catalog follow ISO 14289-1 (PDF/UA-1): 5 (identification in XMP),
7.1 (marked content, document title, figures with alternate text), 7.2 (language),
7.21 (embedded fonts). The text is read back with pypdf.
"""

import io
import os
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from hashlib import sha256
from pathlib import Path
from typing import Any
from xml.etree import ElementTree as ET

import pytest
from pypdf import PdfReader
from pypdf.generic import DictionaryObject

from core import printing
from core.printing import PrintingUnavailableError, print_html
from husbandry.rules.vocabulary import DatePrecision
from placements import pdf
from placements.rules.packets.building import build_document
from placements.rules.packets.documents import PacketDocument, digest, plain
from tests.placements.known import ANIMAL, NEEDS, facts

ROOT = Path(__file__).resolve().parents[2]


def packet(**more: object) -> PacketDocument:
    document = build_document(facts(**more))
    return PacketDocument(
        "P-2026-0001", 1, digest(plain(document)), date(2026, 3, 18), document
    )


@pytest.fixture(scope="module")
def drawn() -> bytes:
    return pdf.draw(packet())


@pytest.fixture(scope="module")
def reader(drawn: bytes) -> PdfReader:
    return PdfReader(io.BytesIO(drawn))


def text_of(reader: PdfReader) -> str:
    return " ".join(" ".join(p.extract_text() for p in reader.pages).split())


def elements(reader: PdfReader) -> Iterator[DictionaryObject]:
    """Yield every structure element of the tag tree."""
    waiting = [reader.trailer["/Root"]["/StructTreeRoot"]]
    while waiting:
        found = waiting.pop().get_object()
        if isinstance(found, list):
            waiting += found
        elif isinstance(found, dict):
            if "/S" in found:
                yield found  # type: ignore[misc] - a dictionary of pypdf
            waiting.append(found.get("/K", DictionaryObject()))


def test_family_finds_number_animal_and_a_target_with_its_source(
    reader: PdfReader,
) -> None:
    text = text_of(reader)

    assert "P-2026-0001" in text
    assert "V-0417" in text
    assert "Juno" in text
    assert "26.7–29.4 °C" in text
    assert "80–85 °F" in text
    assert "willems-dvm: 29.4–32.2 °C (85–90 °F)" in text
    assert "Agreed for Juno: Kept warmer at night" in text
    assert digest(plain(packet().document))[:8] in text


def test_pages_are_a_booklet(reader: PdfReader) -> None:
    assert 8 <= len(reader.pages) <= 12
    for page in reader.pages:
        # A4 by ISO 216: 210 × 297 mm.
        assert float(page.mediabox.width) * 25.4 / 72 == pytest.approx(210, abs=0.1)
        assert float(page.mediabox.height) * 25.4 / 72 == pytest.approx(297, abs=0.1)


def test_document_is_tagged_and_says_its_language_and_title(reader: PdfReader) -> None:
    catalog: Any = reader.trailer["/Root"]

    assert catalog["/MarkInfo"]["/Marked"].value is True
    assert catalog["/Lang"] == "en"
    assert "/StructTreeRoot" in catalog
    assert catalog["/ViewerPreferences"]["/DisplayDocTitle"].value is True
    assert reader.metadata is not None
    assert reader.metadata.title == "Juno: care plan and history, packet P-2026-0001"


def test_metadata_identifies_pdf_ua_1(reader: PdfReader) -> None:
    catalog: Any = reader.trailer["/Root"]
    xmp = ET.fromstring(catalog["/Metadata"].get_object().get_data())

    # XMP may hold a simple property as an element or as an attribute.
    name = "{http://www.aiim.org/pdfua/ns/id/}part"
    found = [e.text for e in xmp.iter(name)]
    found += [e.attrib[name] for e in xmp.iter() if name in e.attrib]

    assert found == ["1"]


def test_every_figure_has_alternate_text(reader: PdfReader) -> None:
    figures = [e for e in elements(reader) if e["/S"] == "/Figure"]

    alternatives = [str(f.get("/Alt", "")) for f in figures]

    # The portrait, the section, the growth chart, three charts of conditions, the
    # code for checking.
    assert len(figures) == 7
    assert all(len(a) > 40 for a in alternatives)
    assert any(
        "16 weighings on record, last 50.0 g (1.76 oz)" in a for a in alternatives
    )


def test_tables_have_headers_and_headings_descend(reader: PdfReader) -> None:
    kinds = [str(e["/S"]) for e in elements(reader)]

    assert kinds.count("/TH") > 20
    assert kinds.count("/H1") == 1
    assert kinds.count("/H2") >= 8
    assert "/H4" not in kinds
    scoped = [e for e in elements(reader) if e["/S"] == "/TD" and "/Headers" in e["/A"]]
    assert len(scoped) > 50


def test_all_fonts_are_embedded(reader: PdfReader) -> None:
    names = set()
    for page in reader.pages:
        fonts: Any = page["/Resources"]["/Font"]
        for font in fonts.values():
            for inner in font.get_object()["/DescendantFonts"]:
                descriptor = inner.get_object()["/FontDescriptor"]
                names.add(str(descriptor["/FontName"]))
                assert {"/FontFile", "/FontFile2", "/FontFile3"} & set(descriptor)
    assert any("DejaVu" in n for n in names)


def test_same_packet_gives_the_same_bytes(drawn: bytes) -> None:
    assert pdf.draw(packet()) == drawn


def test_same_packet_gives_the_same_bytes_in_another_process(drawn: bytes) -> None:
    program = (
        "import django; django.setup()\n"
        "from hashlib import sha256\n"
        "from placements import pdf\n"
        "from tests.placements.test_pdf import packet\n"
        "print(sha256(pdf.draw(packet())).hexdigest())\n"
    )
    import_path = {"PYTHONPATH": str(ROOT), "DJANGO_SETTINGS_MODULE": "config.settings"}

    done = subprocess.run(
        [sys.executable, "-c", program],
        cwd=ROOT,
        env={**os.environ, **import_path, "PYTHONHASHSEED": "7"},
        capture_output=True,
        text=True,
        timeout=120,
        check=True,
    )

    assert done.stdout.strip() == sha256(drawn).hexdigest()


def test_animal_nothing_is_known_of_prints_honest_words() -> None:
    unknown = replace(
        ANIMAL, name="", hatched_on=None, hatched_precision=DatePrecision.UNKNOWN
    )
    found = packet(
        profile=None,
        animal=unknown,
        needs=replace(NEEDS, hatched_on=None),
        stays=(),
        weighings=(),
        conditions=(),
        findings=(),
    )

    text = text_of(PdfReader(io.BytesIO(pdf.draw(found))))

    for words in (
        "not known – so nobody can say how old it is",
        "it holds no care plan",
        "No weighing is on record",
        "No enclosure is on record",
        "That does not mean that all was well",
        "Wash your hands with soap",
    ):
        assert words in text


def test_unknown_age_with_a_profile_says_what_is_missing() -> None:
    unknown = replace(ANIMAL, hatched_on=None, hatched_precision=DatePrecision.UNKNOWN)

    html = pdf.write_html(packet(animal=unknown, needs=replace(NEEDS, hatched_on=None)))

    assert "because its age is not known" in html
    assert "names no size for an animal of this age and sex" in html
    assert "says nothing about food at this age" in html


def test_words_of_the_animal_cannot_break_the_page() -> None:
    evil = '<script>x</script>"&<style>*{display:none}</style>'

    html = pdf.write_html(packet(animal=replace(ANIMAL, name=evil, code='"><b>')))

    assert "<script>" not in html
    assert html.count("<style>") == 1
    assert '"><b>' not in html


def test_nothing_outside_the_page_is_fetched(
    tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    secret = tmp_path / "secret.txt"
    secret.write_text("do not tell")
    html = (
        '<html lang="en"><title>x</title><link rel="attachment" '
        f'href="{secret.as_uri()}"><p>Text</p></html>'
    )

    found = PdfReader(io.BytesIO(print_html(html)))

    assert found.attachments == {}
    assert "do not tell" not in text_of(found)


def test_missing_library_is_a_sentence_with_the_line_to_run(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(printing, "LIBRARIES", ("libnowhere-1.0.so.0",))

    with pytest.raises(PrintingUnavailableError) as raised:
        pdf.draw(packet())

    assert "libnowhere-1.0.so.0" in raised.value.sentence
    assert (
        "apt-get install --no-install-recommends libpango-1.0-0"
        in raised.value.sentence
    )
