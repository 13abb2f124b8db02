"""Which applications an animal may suit, and what speaks for and against each.

Only what an applicant stated is weighed, and nothing is added up: the order is that of
the waiting list, and a person decides.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from husbandry.rules.vocabulary import Sex
from placements.rules.applications.questions import NO, YES
from placements.rules.vocabulary import ApplicationState


class Side(StrEnum):
    """On which side of a match something stands."""

    FOR = "for"
    AGAINST = "against"
    NOT_KNOWN = "not_known"


class Matter(StrEnum):
    """What of an application is held against an animal."""

    ASKED_FOR = "asked_for"
    EXPERIENCE = "experience"
    ENCLOSURE = "enclosure"
    UVB = "uvb"
    MEASURING = "measuring"
    SEX = "sex"
    TREATMENT = "treatment"


@dataclass(frozen=True, slots=True)
class Wanted:
    """What an animal asks of a home."""

    animal: int
    sex: Sex
    needs_uvb_tube: bool
    under_treatment: bool


@dataclass(frozen=True, slots=True)
class Applied:
    """An application as far as it is held against an animal.

    Attributes:
        animal: a certain one that was asked for; None: any of the species.
        since: on the waiting list since this day, or accepted on it.
        answers: as kept.
    """

    id: int
    home: int
    home_name: str
    state: ApplicationState
    animal: int | None
    since: date
    answers: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Reason:
    """One thing that speaks for or against; `stated` is the answer's word, or ""."""

    matter: Matter
    side: Side
    stated: str


@dataclass(frozen=True, slots=True)
class Match:
    """An application with what speaks for it, against it, and what is not known."""

    applied: Applied
    reasons: tuple[Reason, ...]

    def on(self, side: Side) -> tuple[Reason, ...]:
        """Return the reasons on one side."""
        return tuple(reason for reason in self.reasons if reason.side is side)


_EXPERIENCE = {
    "species": Side.FOR,
    "relatives": Side.FOR,
    "other": Side.FOR,
    "none": Side.AGAINST,
}
_ENCLOSURE = {
    "ready": Side.FOR,
    "building": Side.AGAINST,
    "planned": Side.AGAINST,
}
# A tube of the T5 kind is what the profiles ask for; others may reach the same, which
# only measuring tells (`placements.rules.readiness`).
_UVB = {
    "linear_t5": Side.FOR,
    "linear_t8": Side.AGAINST,
    "compact": Side.AGAINST,
    "none": Side.AGAINST,
}
_YES_NO = {YES: Side.FOR, NO: Side.AGAINST}


def match(wanted: Wanted, applied: Applied) -> Match:
    """Return what speaks for and against an application for an animal.

    Args:
        wanted: what the animal asks of a home.
        applied: the application; a question that was not answered is not known,
            never taken for a no.

    Source:
        common-practice
    """
    answers = dict(applied.answers)
    reasons = [
        *_asked_for(wanted, applied),
        _stated(Matter.EXPERIENCE, answers, "kept_before", _EXPERIENCE),
        _stated(Matter.ENCLOSURE, answers, "enclosure", _ENCLOSURE),
        *([_stated(Matter.UVB, answers, "uvb", _UVB)] if wanted.needs_uvb_tube else []),
        _stated(Matter.MEASURING, answers, "measures", _YES_NO),
        *_sex(wanted, answers),
        *(
            [_stated(Matter.TREATMENT, answers, "needs_more", _YES_NO)]
            if wanted.under_treatment
            else []
        ),
    ]
    return Match(applied, tuple(reasons))


def _asked_for(wanted: Wanted, applied: Applied) -> list[Reason]:
    if applied.animal is None:
        return []
    this = applied.animal == wanted.animal
    return [Reason(Matter.ASKED_FOR, Side.FOR if this else Side.AGAINST, "")]


def _stated(
    matter: Matter, answers: Mapping[str, str], question: str, sides: Mapping[str, Side]
) -> Reason:
    stated = answers.get(question, "")
    return Reason(matter, sides.get(stated, Side.NOT_KNOWN), stated)


def _sex(wanted: Wanted, answers: Mapping[str, str]) -> list[Reason]:
    asked = answers.get("sex_wanted", "any")
    if asked == "any":
        return []
    if wanted.sex is Sex.UNKNOWN:
        return [Reason(Matter.SEX, Side.NOT_KNOWN, asked)]
    fits = wanted.sex.value == asked
    return [Reason(Matter.SEX, Side.FOR if fits else Side.AGAINST, asked)]
