"""No fixed word of a packet escapes translation: a language that brackets each.

The catalogue is written as GNU gettext's binary files are (its manual, section "The
Format of GNU MO Files"), and read by Django as any language would be.
"""

import re
import struct
from collections.abc import Iterator
from html.parser import HTMLParser
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.utils.translation import trans_real
from pypdf import PdfReader

from placements import pdf
from placements.management.commands import packet_words
from placements.management.commands.packet_words import messages
from placements.rules.packets.documents import canonical, plain
from placements.rules.packets.leaving import PrintChoice
from placements.rules.vocabulary import Paper, UnitSystem
from tests.placements.full import IMPERIAL, METRIC, whole_document, whole_packet

LANGUAGE = "eo"
HEADER = (
    "Content-Type: text/plain; charset=UTF-8\nPlural-Forms: nplurals=2; plural=n!=1;\n"
)
# Signs of units and of the hash, which are the same in every language.
UNITS = {"cm", "in", "min", "oz"}
WORD = re.compile(r"[A-Za-z]{2,}")


def bracketed(text: str) -> str:
    return f"⟦{text}⟧"


def binary_catalogue() -> bytes:
    """Return a catalogue in which every text stands in brackets."""
    entries = {"": HEADER}
    for one, many in messages():
        key = f"{one}\0{many}" if many else one
        entries[key] = "\0".join(bracketed(text) for text in (one, many) if text)
    keys = sorted(entries, key=str.encode)
    blocks = [key.encode() for key in keys], [entries[key].encode() for key in keys]
    count = len(keys)
    place = 28 + 16 * count
    tables, data = b"", b""
    for block in blocks:
        for text in block:
            tables += struct.pack("<II", len(text), place + len(data))
            data += text + b"\0"
    head = struct.pack("<7I", 0x950412DE, 0, count, 28, 28 + 8 * count, 0, 0)
    return head + tables + data


@pytest.fixture
def pseudo(
    tmp_path: Path, settings: Any, monkeypatch: pytest.MonkeyPatch
) -> Iterator[None]:
    folder = tmp_path / LANGUAGE / "LC_MESSAGES"
    folder.mkdir(parents=True)
    (folder / "django.mo").write_bytes(binary_catalogue())
    settings.LOCALE_PATHS = [tmp_path]
    monkeypatch.setattr(pdf, "LOCALES", tmp_path)
    pdf._is_translated.cache_clear()
    trans_real._translations.pop(LANGUAGE, None)
    yield
    pdf._is_translated.cache_clear()
    trans_real._translations.pop(LANGUAGE, None)


class Said(HTMLParser):
    """All that a reader reads or hears, alternate texts too."""

    def __init__(self) -> None:
        super().__init__()
        self.parts: list[str] = []
        self.styles: list[str] = []
        self._in_style = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self._in_style = tag == "style"
        named = dict(attrs)
        self.parts += [named[n] or "" for n in ("alt", "aria-label") if n in named]
        if tag == "meta" and "content" in named:
            self.parts.append(named["content"] or "")

    def handle_endtag(self, tag: str) -> None:
        self._in_style = False

    def handle_data(self, data: str) -> None:
        (self.styles if self._in_style else self.parts).append(data)


def said(html: str) -> Said:
    found = Said()
    found.feed(html)
    return found


def outside_brackets(text: str) -> str:
    depth, kept = 0, []
    for sign in text:
        depth += (sign == "⟦") - (sign == "⟧")
        if depth == 0 and sign != "⟧":
            kept.append(sign)
    assert depth == 0
    return "".join(kept)


@pytest.mark.parametrize("units", UnitSystem)
@pytest.mark.parametrize("write", [pdf.write_html, pdf.write_cards])
def test_no_fixed_word_escapes(write: Any, units: UnitSystem, pseudo: None) -> None:
    choice = PrintChoice(units, Paper.A4, LANGUAGE)
    document = whole_document(choice)
    packet = whole_packet(document)

    found = said(write(packet))

    digits = " ".join(packet.sha256[n : n + 8] for n in range(0, 64, 8))
    frozen = f"{canonical(plain(document)).decode()} {digits} {packet.number}"
    known = {w.lower() for w in WORD.findall(frozen)} | UNITS
    left = outside_brackets("\n".join(found.parts)).lower()
    assert set(WORD.findall(left)) - known == set()
    assert "⟦" in "".join(found.parts)


def test_the_foot_of_the_page_is_translated_too(pseudo: None) -> None:
    packet = whole_packet(whole_document(PrintChoice(language=LANGUAGE)))

    style = "".join(said(pdf.write_html(packet)).styles)

    assert '"⟦[key] published' in style
    assert '"⟦page " counter(page) " of " counter(pages) "⟧"' in style


def test_a_translated_packet_says_its_language(pseudo: None) -> None:
    packet = whole_packet(whole_document(PrintChoice(language=LANGUAGE)))

    catalog: Any = PdfReader(BytesIO(pdf.draw(packet))).trailer["/Root"]

    assert catalog["/Lang"] == LANGUAGE


@pytest.mark.parametrize("language", ["eo", "xx-nowhere", "../../etc", ""])
def test_a_language_that_is_not_there_is_printed_in_english(language: str) -> None:
    html = pdf.write_html(whole_packet(whole_document(PrintChoice(language=language))))

    assert '<html lang="en">' in html
    assert "Three things to get right this week" in html


def test_english_is_complete() -> None:
    call_command("packet_words", check=True)

    assert len(messages()) > 250


def test_a_catalogue_that_fell_behind_is_named(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for part in (
        packet_words.LAYOUT,
        packet_words.PAGES,
        packet_words.CATALOGUE.parent,
    ):
        (tmp_path / part).mkdir(parents=True)
    monkeypatch.setattr(packet_words, "ROOM", tmp_path)

    with pytest.raises(CommandError, match=r"out of date.*packet_words"):
        call_command("packet_words", check=True)
    call_command("packet_words")

    call_command("packet_words", check=True)


def test_metric_and_imperial_say_the_same_in_another_order() -> None:
    metric = "".join(said(pdf.write_html(whole_packet(whole_document(METRIC)))).parts)
    imperial = "".join(
        said(pdf.write_html(whole_packet(whole_document(IMPERIAL)))).parts
    )

    assert "24.4–27.2 °C" in metric
    assert "76–81 °F" in imperial
    assert "50.0 g (1.76 oz)" in metric
    assert "1.76 oz (50.0 g)" in imperial
    assert "41 × 41 × 76 cm (16 × 16 × 30 in)" in metric
    assert "16 × 16 × 30 in (41 × 41 × 76 cm)" in imperial
