"""The pages on leaving: the journey, the first weeks, papers, gates opened."""

from dataclasses import dataclass

from placements.rules.packets.documents import Document
from placements.rules.packets.leaving import GateLine, PaperLine
from placements.rules.packets.printing.care import text_rows
from placements.rules.packets.printing.halves import Halves, divide_rows
from placements.rules.packets.printing.rows import Row
from placements.rules.packets.printing.speech import Speech, word
from placements.rules.vocabulary import CitesSource, FollowUpKind, Gate, PaperKind

GATES = {
    Gate.QUARANTINE_OVER: word("Quarantine over"),
    Gate.NOTHING_URGENT: word("Nothing urgent found"),
    Gate.SEX_CHECKED: word("Sex checked"),
    Gate.TREATMENT_HANDED_OVER: word("Treatment handed over"),
    Gate.OLD_ENOUGH: word("Old enough"),
    Gate.HEAVY_ENOUGH: word("Heavy enough"),
    Gate.HOLD_OVER: word("Hold over"),
    Gate.PAPERS_THERE: word("Papers there"),
    Gate.APPLICATION_ACCEPTED: word("Application accepted"),
    Gate.HOME_READY: word("Home ready"),
    Gate.PACKET_MADE: word("Packet made"),
    Gate.NATIVE_SPECIES: word("Native species"),
    Gate.RELEASE_PERMITTED: word("Release permitted"),
}
PAPERS = {
    PaperKind.CITES_PERMIT: word("CITES permit"),
    PaperKind.CITES_CERTIFICATE: word("CITES certificate"),
    PaperKind.ORIGIN_STATEMENT: word("Statement of origin"),
    PaperKind.KEEPING_PERMIT: word("Permit to keep"),
    PaperKind.TRADE_LICENCE: word("Licence to trade"),
    PaperKind.RELEASE_PERMIT: word("Permit to release"),
    PaperKind.VET_CERTIFICATE: word("Vet’s certificate"),
    PaperKind.OWNERSHIP: word("Proof of ownership"),
    PaperKind.OTHER: word("Another paper"),
}
CITES = {
    CitesSource.WILD: word("W: taken from the wild"),
    CitesSource.RANCHED: word("R: ranched"),
    CitesSource.APPENDIX_I_BRED_FOR_TRADE: word("D: Appendix I, bred for trade"),
    CitesSource.ARTIFICIALLY_PROPAGATED: word("A: propagated plant"),
    CitesSource.BRED_IN_CAPTIVITY: word("C: bred in captivity"),
    CitesSource.BORN_IN_CAPTIVITY: word("F: born in captivity"),
    CitesSource.UNKNOWN: word("U: source unknown"),
    CitesSource.CONFISCATED: word("I: confiscated or seized"),
    CitesSource.PRE_CONVENTION: word("O: from before the convention"),
    CitesSource.MARINE: word("X: from the high seas"),
    CitesSource.ASSISTED_PRODUCTION: word("Y: assisted production of plants"),
}
ASKED = {
    FollowUpKind.TWO_WEEKS: word("after two weeks"),
    FollowUpKind.THREE_MONTHS: word("after three months"),
    FollowUpKind.TWELVE_MONTHS: word("after twelve months"),
}


@dataclass(frozen=True, slots=True)
class PaperRow:
    """A paper as it is printed."""

    kind: str
    number: str
    source: str
    issued: str
    valid: str


@dataclass(frozen=True, slots=True)
class GateRow:
    """A gate that was opened, as it is printed."""

    gate: str
    why_shut: str
    reason: str
    on: str


@dataclass(frozen=True, slots=True)
class LeavingPages:
    """What the pages on leaving show."""

    buy: Halves[Row]
    before_journey: tuple[Row, ...]
    journey: tuple[Row, ...]
    first_weeks: tuple[Row, ...]
    follow_ups: tuple[Row, ...]
    papers: tuple[PaperRow, ...]
    gates: tuple[GateRow, ...]

    @property
    def has_journey(self) -> bool:
        """Say whether there is anything to tell of the way and the first weeks."""
        return bool(
            self.before_journey or self.journey or self.first_weeks or self.follow_ups
        )


def leaving(speech: Speech, document: Document) -> LeavingPages:
    """Lay out what is to be done on the way, and what the animal leaves with."""
    return LeavingPages(
        buy=divide_rows(text_rows(document.buy)),
        before_journey=text_rows(document.before_journey),
        journey=text_rows(document.journey),
        first_weeks=text_rows(document.first_weeks),
        follow_ups=tuple(
            Row(speech.day(line.on), speech.say(ASKED[line.kind]))
            for line in document.follow_ups
        ),
        papers=tuple(_paper(speech, line) for line in document.papers),
        gates=tuple(_gate(speech, line) for line in document.gates_opened),
    )


def _paper(speech: Speech, line: PaperLine) -> PaperRow:
    source = speech.say(CITES[line.cites_source]) if line.cites_source else "–"
    issued = ", ".join(
        part
        for part in (
            line.issued_by,
            speech.day(line.issued_on) if line.issued_on else "",
        )
        if part
    )
    valid = speech.say("without an end")
    if line.valid_until is not None:
        valid = speech.say("until {day}", day=speech.day(line.valid_until))
    return PaperRow(
        speech.say(PAPERS[line.kind]), line.number, source, issued or "–", valid
    )


def _gate(speech: Speech, line: GateLine) -> GateRow:
    return GateRow(
        speech.say(GATES[line.gate]),
        line.why_shut,
        line.reason,
        speech.day(line.opened_on),
    )
