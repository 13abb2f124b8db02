"""What is mended of an egg that was recorded wrongly."""

from dataclasses import dataclass
from datetime import date

from clutches.rules.eggs.states import (
    ENDED,
    Change,
    EggError,
    EggStanding,
    check_cause,
    check_days,
    check_fertility,
)
from clutches.rules.vocabulary import EggState, FailureCause


@dataclass(frozen=True, slots=True)
class Mended:
    """How an egg ought to stand on record.

    Attributes:
        pipped_on: None: not seen.
        ended_on: local day on which it hatched or failed; None: it has not.
        cause: None, unless it failed.
    """

    state: EggState
    pipped_on: date | None = None
    ended_on: date | None = None
    cause: FailureCause | None = None


def check_mend(
    egg: EggStanding,
    mended: Mended,
    *,
    cause: FailureCause | None,
    animal: str,
    today: date,
) -> None:
    """Refuse to put on record of an egg what cannot be either.

    Unlike a change, a mend may lead back: it says that the record was wrong.

    Args:
        egg: as it stands on record.
        mended: as it ought to stand.
        cause: why it failed by the record; None.
        animal: who is on record as hatched from it; "": nobody.
        today: the local day of now where the egg is.

    Raises:
        EggError: nothing would change, the parts do not fit together, a day cannot
            be, it is called infertile too early, or an animal hatched from it.

    Source:
        andrews-donoghue-2004: no egg is called infertile while it may be resting.
    """
    label = egg.label[:1].upper() + egg.label[1:]
    as_is = Mended(egg.state, egg.pipped_on, egg.ended_on, cause)
    if mended == as_is:
        raise EggError(
            f"{label} stands so on record already; nothing would change.",
            fields={"state": "another, or other days"},
        )
    if animal:
        raise EggError(
            f"{animal} is on record as hatched from {egg.label}; while that is so the "
            "egg stays hatched.",
            fields={"egg": "one from which no animal hatched"},
        )
    check_cause(egg, Change(mended.state, mended.cause))
    _check_parts(label, mended)
    _check_all_days(egg, mended, label, today)


def _check_parts(label: str, mended: Mended) -> None:
    state = mended.state.value
    if (mended.ended_on is not None) is not (mended.state in ENDED):
        given = "no day of an end" if mended.state not in ENDED else "the day of that"
        raise EggError(f"{label}: {state} takes {given}.", fields={"ended_on": given})
    if mended.state is EggState.PIPPED and mended.pipped_on is None:
        raise EggError(
            f"{label}: give the day on which it pipped.",
            fields={"pipped_on": "a day"},
        )
    if mended.state is EggState.INCUBATING and mended.pipped_on is not None:
        raise EggError(
            f"{label}: an egg that pipped is not incubating any more; leave the day "
            "out, or say pipped.",
            fields={"pipped_on": "none"},
        )


def _check_all_days(egg: EggStanding, mended: Mended, label: str, today: date) -> None:
    pipped_on, ended_on = mended.pipped_on, mended.ended_on
    if pipped_on is not None:
        check_days(egg, EggState.PIPPED, on=pipped_on, today=today)
    if ended_on is None:
        return
    check_days(egg, mended.state, on=ended_on, today=today)
    check_fertility(egg, Change(mended.state, mended.cause), on=ended_on)
    if pipped_on is not None and ended_on < pipped_on:
        raise EggError(
            f"{label} pipped on {pipped_on:%d %b %Y}; it cannot have "
            f"{mended.state.value} on {ended_on:%d %b %Y}, before that.",
            fields={"ended_on": f"{pipped_on} or later"},
        )
