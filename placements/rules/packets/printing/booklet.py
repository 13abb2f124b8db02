"""A packet laid out for printing: every page's rows and drawings."""

from dataclasses import dataclass, replace

from husbandry.rules.profiles.vocabulary import SourceKind
from placements.rules.packets.checking import check_text
from placements.rules.packets.documents import PacketDocument, SourceLine
from placements.rules.packets.printing import care, drawings, front, routines
from placements.rules.packets.printing.halves import (
    Halves,
    divide_rows,
    divide_sources,
)
from placements.rules.packets.printing.health import HealthPages, health
from placements.rules.packets.printing.leaving import LeavingPages, leaving
from placements.rules.packets.printing.pages import (
    CarePages,
    HistoryPages,
    care_pages,
    history_pages,
)
from placements.rules.packets.printing.rows import Figure, Row
from placements.rules.packets.printing.speech import Speech, word
from placements.rules.vocabulary import Paper, PlacementKind

# As CSS names them: ISO 216, and 8.5 × 11 inches.
PAPERS = {Paper.A4: "A4", Paper.LETTER: "letter"}
SOURCE_KINDS = {
    SourceKind.PAPER.value: word("paper"),
    SourceKind.BOOK.value: word("book"),
    SourceKind.VETERINARY_SHEET.value: word("veterinary sheet"),
    SourceKind.REFERENCE_SITE.value: word("reference site"),
    SourceKind.WEAK_WEB_PAGE.value: word("weak web page"),
    SourceKind.STANDARD.value: word("standard"),
    SourceKind.LAW.value: word("law"),
    SourceKind.PRACTICE.value: word("practice"),
    SourceKind.CONVENTION.value: word("convention"),
    SourceKind.MEMORY.value: word("memory"),
}


@dataclass(frozen=True, slots=True)
class Checking:
    """How a reader checks that the packet is what is on record.

    Attributes:
        code: what the QR code says.
        address: the same to be typed; "" where this house has no address.
    """

    code: str
    address: str
    sha256: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Booklet:
    """A whole packet, ready for the page.

    Attributes:
        language: of the fixed words, as it is marked in the file.
        paper: as CSS names it.
        foot: what the marks mean, at the foot of each page.
        page_of: the page's number as CSS content.
        released: it goes to the wild, so there is no home to care for it.
    """

    language: str
    paper: str
    foot: str
    page_of: str
    title: str
    called: str
    animal: str
    number: str
    version: int
    made_on: str
    leaves_on: str
    known_until: str
    time_zone: str
    keeper: str
    keeper_contact: tuple[str, ...]
    released: bool
    identity: tuple[Row, ...]
    first_things: tuple[Row, ...]
    clock: tuple[routines.ClockRow, ...]
    whose_hours: str
    months: tuple[routines.MonthRow, ...]
    every_feeding: str
    growth: Figure
    care: CarePages | None
    history: HistoryPages
    health: HealthPages
    leaving: LeavingPages
    cautions: Halves[Row]
    sources: Halves[SourceLine]
    check: Checking


def lay_out(
    packet: PacketDocument, speech: Speech, *, language: str = "en", address: str = ""
) -> Booklet:
    """Lay a packet out for printing; the same packet gives the same pages.

    Args:
        packet: as it was issued.
        speech: language of the fixed words, and which units come first.
        language: the same language as it is marked in the file.
        address: where this house is reached; "" for nowhere.
    """
    document = packet.document
    called = front.call_name(document.animal)
    return Booklet(
        language=language,
        paper=PAPERS[document.print.paper],
        foot=foot(speech),
        page_of=page_of(speech),
        title=speech.say(
            "{called}: care plan and history, packet {number}",
            called=called,
            number=packet.number,
        ),
        called=called,
        animal=f"{document.animal.code} {document.animal.name}".strip(),
        number=packet.number,
        version=packet.version,
        made_on=speech.day(packet.made_on),
        leaves_on=speech.day(document.on),
        known_until=speech.day(document.known_until),
        time_zone=document.time_zone,
        keeper=document.keeper,
        keeper_contact=tuple(document.keeper_contact.splitlines()),
        released=document.kind is PlacementKind.RELEASE,
        identity=front.identity(speech, document),
        first_things=front.first_things(document),
        clock=routines.clock_rows(speech, document),
        whose_hours=routines.whose_hours(speech, document),
        months=routines.month_rows(speech, document),
        every_feeding=routines.every_feeding(document),
        growth=drawings.growth(speech, document),
        care=care_pages(speech, document, document.plan) if document.plan else None,
        history=history_pages(speech, document),
        health=health(speech, document),
        leaving=leaving(speech, document),
        cautions=divide_rows(care.text_rows(document.cautions)),
        sources=divide_sources([_source(speech, s) for s in document.sources]),
        check=checking(packet, address=address),
    )


def foot(speech: Speech) -> str:
    """Return what the marks mean, as a string of CSS."""
    said = speech.say(
        "[key] published · (C) common practice, no source · (M) from memory, not "
        "verified"
    )
    return _css(said)


def page_of(speech: Speech) -> str:
    """Return the page's number as CSS content."""
    said = _css(speech.say("page {page} of {pages}", page="\0", pages="\1"))
    return said.replace("\0", '" counter(page) "').replace("\1", '" counter(pages) "')


def _css(text: str) -> str:
    """Return a text as a string of CSS within a style element."""
    return '"' + text.translate({ord(c): None for c in '"\\<\n'}) + '"'


def checking(packet: PacketDocument, *, address: str) -> Checking:
    """Return how a reader checks a packet."""
    code = check_text(number=packet.number, sha256=packet.sha256, address=address)
    digits = packet.sha256
    groups = tuple(digits[i : i + 8] for i in range(0, len(digits), 8))
    return Checking(code, code if address else "", groups)


def _source(speech: Speech, source: SourceLine) -> SourceLine:
    # A kind that is no longer known is printed as it was frozen.
    kind = SOURCE_KINDS.get(source.kind)
    return replace(source, kind=speech.say(kind)) if kind else source
