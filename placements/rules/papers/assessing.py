"""Papers that end soon, or have ended, of animals in care."""

from collections.abc import Iterator, Sequence
from datetime import date

from husbandry.rules.assessments import Assessment
from husbandry.rules.vocabulary import FindingKind, Urgency
from placements.rules.papers.facts import PaperFacts

WATCHED_DAYS = 60


def assess_papers(facts: Sequence[PaperFacts], *, on: date) -> Iterator[Assessment]:
    """Say which papers have to be renewed.

    From sixty days before its last day a paper is watched; on its last day, and after
    it, it is for today. One that another of its kind about the same animal or species
    outlasts is renewed, and nothing is said.

    Args:
        facts: of the animals in care at a site, and of keeping their species; none
            withdrawn.
        on: the local day.

    Source:
        paper-convention.
    """
    for paper in facts:
        if paper.valid_until is None or _is_renewed(paper, facts, on):
            continue
        days_left = (paper.valid_until - on).days
        if days_left > WATCHED_DAYS:
            continue
        yield Assessment(
            FindingKind.PAPER_EXPIRING,
            Urgency.WATCH if days_left > 0 else Urgency.TODAY,
            {
                "paper": paper.kind.value,
                "number": paper.number,
                "valid_until": paper.valid_until.isoformat(),
                "days_left": days_left,
            },
            detail=("paper", str(paper.id)),
            animal=paper.animal,
        )


def _is_renewed(paper: PaperFacts, facts: Sequence[PaperFacts], on: date) -> bool:
    """Say whether another paper goes on where this one ends.

    Of two that end on the same day, neither renews the other.
    """
    return any(
        _outlasts(other, paper)
        for other in facts
        if (other.kind, other.animal, other.species)
        == (paper.kind, paper.animal, paper.species)
        and (other.in_force or other.issued_on is None or other.issued_on > on)
    )


def _outlasts(other: PaperFacts, paper: PaperFacts) -> bool:
    if other.id == paper.id or paper.valid_until is None:
        return False
    return other.valid_until is None or other.valid_until > paper.valid_until
