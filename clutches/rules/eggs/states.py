"""How an egg stands, which changes there are, and which cannot have been."""

from dataclasses import dataclass
from datetime import date

from clutches.rules.vocabulary import EggState, FailureCause
from core.errors import DomainError

MOVES: dict[EggState, tuple[EggState, ...]] = {
    EggState.INCUBATING: (EggState.PIPPED, EggState.HATCHED, EggState.FAILED),
    EggState.PIPPED: (EggState.HATCHED, EggState.FAILED),
    EggState.HATCHED: (),
    EggState.FAILED: (),
}
"""An egg of which nobody saw the pipping may have hatched all the same."""

LIVING = tuple(state for state, following in MOVES.items() if following)
ENDED = tuple(state for state, following in MOVES.items() if not following)
LONGEST_NOTE = 200


class EggError(DomainError):
    """An egg cannot be as asked."""

    code = "egg_refused"


@dataclass(frozen=True, slots=True)
class EggStanding:
    """An egg as it stands.

    Attributes:
        label: with its clutch and where it lies: `egg 7 of C-001 (B3 of box BX-1)`.
        laid_on: local day of laying.
        pipped_on, ended_on: local days; None: not.
        judged_from_days: before this day after laying it is not called infertile;
            None: the care profile does not say, or there is none.
    """

    label: str
    state: EggState
    laid_on: date
    pipped_on: date | None
    ended_on: date | None
    judged_from_days: int | None


@dataclass(frozen=True, slots=True)
class Change:
    """What is said of an egg: how it stands from a local day on, and why it failed."""

    state: EggState
    cause: FailureCause | None = None
    note: str = ""


def state_on(
    *, state: EggState, pipped_on: date | None, ended_on: date | None, on: date
) -> EggState:
    """Return how an egg stood at the end of a local day.

    Args:
        state: how it stands by what is on record.
        pipped_on: local day; None: not seen.
        ended_on: local day on which it hatched or failed; None: it has not.
        on: the day asked about.
    """
    if ended_on is not None and ended_on <= on:
        return state
    if pipped_on is not None and pipped_on <= on:
        return EggState.PIPPED
    return EggState.INCUBATING


def check_change(egg: EggStanding, change: Change, *, on: date, today: date) -> None:
    """Refuse what cannot have become of an egg.

    Args:
        egg: as it stands.
        change: what is said of it.
        on: local day on which it was so.
        today: the local day of now where the egg is; it has come.

    Raises:
        EggError: there is no such change, the day is to come or does not fit the
            laying and pipping, it failed without a cause, or it is called
            infertile before that can be told. The sentence names the egg.

    Source:
        andrews-donoghue-2004: an egg without vessels may rest for 80 days and more.
    """
    if change.state not in MOVES[egg.state]:
        raise _wrong_move(egg, change)
    check_cause(egg, change)
    check_days(egg, change.state, on=on, today=today)
    if egg.pipped_on is not None and on < egg.pipped_on:
        raise EggError(
            f"{_upper(egg.label)} pipped on {egg.pipped_on:%d %b %Y}; it cannot have "
            f"{change.state.value} on {on:%d %b %Y}, before that.",
            fields={"on": f"{egg.pipped_on} or later"},
        )
    check_fertility(egg, change, on=on)


def check_cause(egg: EggStanding, change: Change) -> None:
    """Refuse a failure without a cause, a cause without failure, and a long note.

    Raises:
        EggError: it is so.
    """
    causes = ", ".join(cause.value for cause in FailureCause)
    if change.state is EggState.FAILED and change.cause is None:
        raise EggError(
            f"Say why {egg.label} failed: {causes}. Unknown is an answer too.",
            fields={"cause": causes},
        )
    if change.state is not EggState.FAILED and change.cause is not None:
        raise EggError(
            f"{_upper(egg.label)} is said to be {change.state.value}; a cause "
            "belongs to an egg that failed.",
            fields={"cause": "none, unless it failed"},
        )
    if len(change.note) > LONGEST_NOTE:
        raise EggError(
            f"The note on {egg.label} has {len(change.note)} characters; at most "
            f"{LONGEST_NOTE} are kept.",
            fields={"note": f"at most {LONGEST_NOTE} characters"},
        )


def check_days(egg: EggStanding, state: EggState, *, on: date, today: date) -> None:
    """Refuse a day on which an egg cannot have come to a state.

    Raises:
        EggError: the day is to come, or not after the laying; an egg may fail on the
            day of laying itself.
    """
    if on > today:
        raise EggError(
            f"{on:%d %b %Y} has not come yet; say what became of {egg.label} once it "
            "is so.",
            fields={"on": f"until {today}"},
        )
    early = on < egg.laid_on or (on == egg.laid_on and state is not EggState.FAILED)
    if early:
        raise EggError(
            f"{_upper(egg.label)} was laid on {egg.laid_on:%d %b %Y}; it cannot have "
            f"{state.value} on {on:%d %b %Y}.",
            fields={"on": f"after {egg.laid_on}"},
        )


def check_fertility(egg: EggStanding, change: Change, *, on: date) -> None:
    """Refuse to call an egg infertile while it may just be resting.

    Raises:
        EggError: it is called so before the day from which that can be told.

    Source:
        andrews-donoghue-2004: an egg without vessels may rest for 80 days and more.
    """
    from_days = egg.judged_from_days
    if change.cause is not FailureCause.INFERTILE or from_days is None:
        return
    day = (on - egg.laid_on).days
    if day < from_days:
        raise EggError(
            f"{_upper(egg.label)} is on day {day}, and before day {from_days} an egg "
            "without vessels is resting, not infertile. Keep it; if it collapsed or "
            "moulds, give that as the cause.",
            fields={"cause": f"infertile from day {from_days} on; another cause"},
        )


def _wrong_move(egg: EggStanding, change: Change) -> EggError:
    label, is_now = _upper(egg.label), egg.state.value
    if not MOVES[egg.state]:
        ended = f" on {egg.ended_on:%d %b %Y}" if egg.ended_on else ""
        return EggError(
            f"{label} {is_now}{ended} already. If that is wrong, mend the egg first.",
            fields={"state": "none: it has ended"},
        )
    following = " or ".join(state.value for state in MOVES[egg.state])
    return EggError(
        f"{label} is {is_now} and cannot become {change.state.value}; it can become "
        f"{following}. If what is on record is wrong, mend the egg.",
        fields={"state": following},
    )


def _upper(text: str) -> str:
    return text[:1].upper() + text[1:]
