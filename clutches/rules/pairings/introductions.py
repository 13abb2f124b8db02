"""Putting a pair together: what cannot have been, and what to mind."""

from dataclasses import dataclass
from datetime import date

from clutches.rules.layings.windows import ExpectedLaying
from clutches.rules.vocabulary import ClutchKind, IntroductionOutcome
from core.errors import DomainError

LONGEST_MINUTES = 30 * 24 * 60
CAUTION = (
    "Watch every introduction from beginning to end and separate them at once if they "
    "bite or fight, or if she turns dark, gapes or flees. Use a hook or a board "
    "between them, not your fingers; a bite needs a licensed reptile vet, yours a "
    "doctor."
)


class IntroductionError(DomainError):
    """A pair cannot have been put together as recorded."""

    code = "introduction_refused"


@dataclass(frozen=True, slots=True)
class PairDays:
    """From when until when a pair is put together.

    Attributes:
        label: dam × sire.
        ended_on: day from which on they are not; None: still.
    """

    label: str
    planned_on: date
    ended_on: date | None


def check_introduction(pair: PairDays, *, on: date, minutes: int | None) -> None:
    """Refuse an introduction that cannot have been.

    Args:
        pair: who, and from when until when.
        on: local day.
        minutes: how long; None: not noted.

    Raises:
        IntroductionError: before the pairing was planned, from its end on, or for no
            time or more than 30 days.

    Source:
        House rule: more than 30 days together is living together, no introduction.
    """
    if on < pair.planned_on:
        raise IntroductionError(
            f"{pair.label} was planned on {pair.planned_on:%d %b %Y}; they cannot have "
            f"been put together for it on {on:%d %b %Y}. Plan a pairing of that day.",
            fields={"at": f"from {pair.planned_on} on"},
        )
    if pair.ended_on is not None and on >= pair.ended_on:
        raise IntroductionError(
            f"{pair.label} was ended on {pair.ended_on:%d %b %Y}; plan a new pairing if "
            "they were put together again.",
            fields={"at": f"before {pair.ended_on}"},
        )
    if minutes is not None and not 1 <= minutes <= LONGEST_MINUTES:
        raise IntroductionError(
            f"{minutes} minutes together cannot be: give 1 to {LONGEST_MINUTES}, or "
            "leave it empty.",
            fields={"minutes": f"1 to {LONGEST_MINUTES}, or empty"},
        )


def remarks_on_introduction(
    outcome: IntroductionOutcome,
    *,
    dam: str,
    gravid_on: date | None,
    expected: ExpectedLaying | None,
) -> tuple[str, ...]:
    """Return what to mind after an introduction.

    Args:
        outcome: what came of it.
        dam: her label.
        gravid_on: since when she was on record as gravid when they met, or None.
        expected: her laying window with this introduction; told where it may have
            made eggs.

    Source:
        common-practice: a gravid female refuses and fights; wounds are for a vet.
    """
    found = []
    if gravid_on is not None:
        found.append(
            f"{dam} is on record as gravid since {gravid_on:%d %b %Y}: a gravid female "
            "refuses and fights. Leave her in peace."
        )
    if outcome is IntroductionOutcome.FOUGHT:
        found.append(
            "Keep them apart and out of each other's sight. Look both over for bites, "
            "and let a licensed reptile vet see any wound."
        )
    if expected is not None and outcome in MAY_MAKE_EGGS:
        found.append(tell_window(dam, expected))
    return tuple(found)


MAY_MAKE_EGGS = frozenset({IntroductionOutcome.MATED, IntroductionOutcome.NOT_WATCHED})


def tell_window(dam: str, expected: ExpectedLaying) -> str:
    """Return a laying window in a sentence, with the place to dig where she lays."""
    between = f"{expected.window_from:%d %b %Y} and {expected.window_until:%d %b %Y}"
    if expected.kind is ClutchKind.LIVE_YOUNG:
        return f"{dam} may bear between {between}."
    return (
        f"{dam} may lay between {between}. Give her a bin to dig and lay in from now "
        "on, and look at her every day once she shows."
    )
