"""The gates that look at what goes with the animal, and at where it goes."""

from collections.abc import Sequence
from datetime import date, timedelta

from husbandry.rules.sentences.names import listed
from husbandry.rules.vocabulary import Origin
from placements.rules.gates.facts import (
    GateFacts,
    GateResult,
    Opening,
    PacketMade,
)
from placements.rules.gates.telling import (
    ALWAYS,
    OF_A_RELEASE,
    asker,
    day,
    not_asked,
    passed,
    refused,
    words,
)
from placements.rules.papers.facts import PaperFacts, is_in_force
from placements.rules.vocabulary import (
    ApplicationState,
    CheckKind,
    Gate,
    PaperKind,
    Readiness,
)

PASSING = frozenset(
    {ApplicationState.ACCEPTED, ApplicationState.WAITING, ApplicationState.PLACED}
)
BRED = frozenset({Origin.BORN_HERE, Origin.BORN_ELSEWHERE})
ENDED = frozenset({ApplicationState.DECLINED, ApplicationState.WITHDRAWN})


def hold_over(facts: GateFacts) -> GateResult:
    """Judge whether no hold keeps the animal here.

    Args:
        facts: of the placement; the hold's last day still holds.

    Source:
        ADR 0014: how long strays and seized animals are held is local law's to say.
    """
    gate, hold = Gate.HOLD_OVER, facts.hold
    if hold is None or hold.until_on < facts.on:
        return passed(gate, "No hold is in force.", ALWAYS)
    free_on = hold.until_on + timedelta(days=1)
    return refused(
        gate,
        f"It is held until {day(hold.until_on)} ({hold.reason}); it may leave from "
        f"{day(free_on)} on.",
        ALWAYS,
        evidence=(("hold_until", str(hold.until_on)),),
    )


def papers_there(facts: GateFacts) -> GateResult:
    """Judge whether the papers that the policy asks for are there and hold that day.

    Args:
        facts: of the placement.

    Source:
        ADR 0014; which papers an animal needs is local law's to say (`cites`).
    """
    gate, source = Gate.PAPERS_THERE, asker(facts.policy)
    if not facts.policy.papers:
        return not_asked(gate, "No papers are asked.", source)
    missing = [
        _missing(kind, facts)
        for kind in facts.policy.papers
        if valid_paper(facts, kind) is None
    ]
    if missing:
        return refused(
            gate,
            f"Papers are missing: {listed(missing)}.",
            source,
            evidence=tuple(("paper", kind.value) for kind in facts.policy.papers),
        )
    told = listed([words(kind) for kind in facts.policy.papers])
    return passed(gate, f"The papers asked for are there: {told}.", source)


def valid_paper(facts: GateFacts, kind: PaperKind) -> PaperFacts | None:
    """Return a paper of a kind that holds on the day; None: there is none."""
    held = (paper for paper in facts.papers if paper.kind is kind)
    return next((paper for paper in held if _holds(paper, facts.on)), None)


def _holds(paper: PaperFacts, on: date) -> bool:
    # Not its own word: that is of the day on which it was read.
    return is_in_force(on, issued_on=paper.issued_on, valid_until=paper.valid_until)


def _missing(kind: PaperKind, facts: GateFacts) -> str:
    past = [
        paper.valid_until
        for paper in facts.papers
        if paper.kind is kind and paper.valid_until and paper.valid_until < facts.on
    ]
    if past:
        return f"{words(kind)} (ran out on {day(max(past))})"
    return words(kind)


def application_accepted(facts: GateFacts) -> GateResult:
    """Judge whether the home's application was accepted.

    Args:
        facts: of the placement. An application that was declined or withdrawn shuts
            the gate even where none is asked for.

    Source:
        ADR 0014.
    """
    gate, source = Gate.APPLICATION_ACCEPTED, asker(facts.policy)
    applied = facts.applied
    ended = applied.state in ENDED
    if not facts.policy.application and not ended:
        return not_asked(gate, "No application is asked.", source)
    if applied.state is None:
        return refused(gate, "No application of the home belongs to it.", source)
    evidence = (("application", applied.state.value),)
    if applied.state not in PASSING:
        # Which checks they are tells of the people of the home, and the sentence is
        # read by many and printed; the application's own page says it.
        rest = f"; {_checks(applied.open)} still to be done" if applied.open else ""
        return refused(
            gate,
            f"The home's application is {words(applied.state)}, not accepted{rest}.",
            source,
            evidence=evidence,
        )
    if applied.failed:
        return refused(
            gate,
            f"The home's application was accepted, but {_checks(applied.failed)} failed.",
            source,
            evidence=evidence,
        )
    return passed(
        gate, "The home's application was accepted.", source, evidence=evidence
    )


def _checks(kinds: Sequence[CheckKind]) -> str:
    return "1 check" if len(kinds) == 1 else f"{len(kinds)} checks"


def home_ready(facts: GateFacts) -> GateResult:
    """Judge whether the home's enclosure is complete before the animal moves.

    Args:
        facts: of the placement. Nobody compared it, or too little was measured: shut;
            silence is not readiness.

    Source:
        ADR 0014, after `common-practice`: the enclosure is complete before the animal
        arrives.
    """
    gate, source, judged = Gate.HOME_READY, asker(facts.policy), facts.home_judged
    if not facts.policy.home_ready:
        return not_asked(gate, "Nobody asks to compare the home's enclosure.", source)
    if judged is None:
        return refused(
            gate,
            "Nobody has compared the home's enclosure with what the animal needs, as "
            "it stands now.",
            source,
        )
    evidence = (("outcome", judged.outcome.value), ("judged_on", str(judged.on)))
    if judged.outcome is Readiness.AS_WANTED:
        return passed(
            gate,
            f"The home's enclosure was as wanted on {day(judged.on)}.",
            source,
            evidence=evidence,
        )
    # Which they are tells of people, and this sentence is read by many and printed.
    amiss = f" in {judged.amiss} of its matters" if judged.amiss else ""
    told = {
        Readiness.NOT_AS_WANTED: "is not as wanted",
        Readiness.NOT_KNOWN: "is not known well enough",
    }[judged.outcome]
    sentence = f"The home's enclosure {told}{amiss}. Its review says more."
    return refused(gate, sentence, source, evidence=evidence)


def packet_made(facts: GateFacts) -> GateResult:
    """Judge whether a packet is there that tells of every gate that was opened.

    Args:
        facts: of the placement.

    Returns:
        Nobody may open it: an animal leaves with its story, or not at all.

    Source:
        ADR 0004 and ADR 0014.
    """
    gate, packet = Gate.PACKET_MADE, facts.packet
    if packet is None:
        return refused(
            gate,
            "It has no packet yet. Make one; it goes with the animal.",
            ALWAYS,
            can_be_opened=False,
        )
    evidence = (("packet", packet.number),)
    if any(_untold(opening, packet) for opening in facts.openings):
        return refused(
            gate,
            f"A gate was opened or shut again after packet {packet.number} was made. "
            "Make a new version: it has to say so.",
            ALWAYS,
            evidence=evidence,
            can_be_opened=False,
        )
    return passed(gate, f"Packet {packet.number} is made.", ALWAYS, evidence=evidence)


def _untold(opening: Opening, packet: PacketMade) -> bool:
    """Say whether a packet says otherwise of a gate than it stands now."""
    in_the_packet = opening.opened_at <= packet.made_at
    if opening.shut_again_at is None:
        return not in_the_packet
    return in_the_packet and opening.shut_again_at > packet.made_at


def native_species(facts: GateFacts) -> GateResult:
    """Judge whether an animal can be let go into the wild here at all.

    Args:
        facts: of a release: the species has to live wild here, and the animal has to
            come from the wild, as a stray or as wild caught.

    Returns:
        Nobody may open it.

    Source:
        ADR 0014; `hawaii-13-124` for what laws say of species that are not native.
    """
    gate = Gate.NATIVE_SPECIES
    if not facts.native:
        return refused(
            gate,
            "Its species is not on record as living wild here. It is never released.",
            OF_A_RELEASE,
            can_be_opened=False,
        )
    stray = facts.found_stray and facts.origin not in BRED
    if facts.origin is not Origin.WILD_CAUGHT and not stray:
        return refused(
            gate,
            "It is not on record as coming from the wild: neither wild caught nor a "
            "stray of unknown birth. It is never released.",
            OF_A_RELEASE,
            evidence=(("origin", facts.origin.value),),
            can_be_opened=False,
        )
    return passed(
        gate, "Its species is native here and it came from the wild.", OF_A_RELEASE
    )


def release_permitted(facts: GateFacts) -> GateResult:
    """Judge whether a permit for the release holds on the day.

    Args:
        facts: of a release.

    Returns:
        Nobody may open it: who may release what, where, is the law's to say.

    Source:
        ADR 0014; `hawaii-13-124`.
    """
    gate, kind = Gate.RELEASE_PERMITTED, PaperKind.RELEASE_PERMIT
    paper = valid_paper(facts, kind)
    if paper is None:
        return refused(
            gate,
            f"No {_missing(kind, facts)} is on record that holds on {day(facts.on)}.",
            OF_A_RELEASE,
            can_be_opened=False,
        )
    return passed(
        gate,
        f"Release permit {paper.number} holds on {day(facts.on)}.",
        OF_A_RELEASE,
        evidence=(("paper", paper.number),),
    )
