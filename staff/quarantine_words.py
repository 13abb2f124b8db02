"""Quarantine as the page tells it: each animal, its clock, each criterion in words."""

from collections.abc import Iterable
from dataclasses import dataclass

from django import forms

from core.admin import DayField
from husbandry.rules.sentences.numbers import Units
from placements.rules.quarantine.assessing import Broken, why_broken
from placements.rules.quarantine.policies import QuarantineRule
from placements.rules.quarantine.telling import tell, tell_exposure
from placements.rules.quarantine.values import CriterionState, QuarantineState
from placements.rules.vocabulary import Criterion
from staff.units import count, day

NAMES = {
    Criterion.DAYS: "Days",
    Criterion.TESTS: "Tests",
    Criterion.WEIGHT: "Weight",
    Criterion.HEALTH: "Health",
}
MOST_LETTERS = 500


class ClearForm(forms.Form):
    """A person's word that an animal may leave quarantine."""

    on = DayField(
        label="Let out on",
    )
    despite = forms.CharField(
        required=False,
        max_length=MOST_LETTERS,
        label="Why, although not all is met",
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )


@dataclass(frozen=True, slots=True)
class Line:
    """One criterion: how it stands, and on what evidence.

    Attributes:
        findings: open findings about health, with their words.
    """

    name: str
    word: str
    told: str
    findings: tuple[tuple[int, str], ...]


@dataclass(frozen=True, slots=True)
class Row:
    """One animal in quarantine.

    Attributes:
        mark: how its card is drawn.
        word: how it stands, in a word or two.
        stands: since when, why, and where it lives.
        broken: in what way it is not kept apart; "": it is.
        clock: from when its days are counted, and the earliest day.
        restarted: what restarted the clock, oldest first.
        policy: what is asked for, and who says so.
        form: to let it out; None: this person may not.
    """

    id: int
    animal: int
    label: str
    mark: str
    word: str
    stands: str
    broken: str
    clock: str
    restarted: tuple[str, ...]
    lines: tuple[Line, ...]
    policy: str
    ready: bool
    form: ClearForm | None


def rows_of(
    states: Iterable[QuarantineState],
    *,
    units: Units,
    may_clear: bool,
    typed: dict[int, ClearForm],
) -> list[Row]:
    """Return animals in quarantine: not kept apart first, then ready, then the rest.

    Args:
        states: as they stand now.
        units: of the reader.
        may_clear: the reader may let animals out.
        typed: a form that was sent and refused, by the quarantine.
    """
    rows = [
        _row(state, units, _form(state, typed) if may_clear else None)
        for state in states
    ]
    return sorted(rows, key=lambda row: (not row.broken, not row.ready))


def _form(state: QuarantineState, typed: dict[int, ClearForm]) -> ClearForm:
    if state.id in typed:
        return typed[state.id]
    return ClearForm(initial={"on": state.on}, auto_id=f"id_{state.id}_%s")


def _row(state: QuarantineState, units: Units, form: ClearForm | None) -> Row:
    broken = _broken(state)
    return Row(
        id=state.id,
        animal=state.animal,
        label=state.label,
        mark="today" if broken else "",
        word=_word(state, broken),
        stands=_stands(state),
        broken=broken,
        clock=_clock(state),
        restarted=tuple(tell_exposure(e) for e in state.exposures),
        lines=tuple(_line(criterion, units) for criterion in state.criteria),
        policy=policy_words(state.rule),
        ready=state.is_ready,
        form=form,
    )


def _word(state: QuarantineState, broken: str) -> str:
    if broken:
        return "not kept apart"
    return "all is met" if state.is_ready else "waiting"


def _stands(state: QuarantineState) -> str:
    lodging = state.lodging
    where = (
        f"It lives in {lodging.enclosure}, {lodging.room}."
        if lodging
        else "It is in no enclosure."
    )
    return f"Since {day(state.began_on)}: {state.reason}. {where}"


def _broken(state: QuarantineState) -> str:
    why, lodging = why_broken(state), state.lodging
    if why is None or lodging is None:
        return ""
    if why is Broken.OUTSIDE:
        return (
            f"{lodging.room} is no room of quarantine. Move it into one, or mark the "
            "room in the back office."
        )
    others = ", ".join(lodging.others)
    return f"{others} in the same room: not in quarantine. Move them apart."


def _clock(state: QuarantineState) -> str:
    passed = (state.on - state.clock_from).days
    earliest = f"the earliest day is {day(state.earliest_on)}"
    if state.on >= state.earliest_on:
        earliest = f"enough since {day(state.earliest_on)}"
    return (
        f"The clock runs from {day(state.clock_from)}: {count(passed, 'day')} of "
        f"{state.rule.days}; {earliest}."
    )


def _line(state: CriterionState, units: Units) -> Line:
    findings = state.evidence.get("findings", [])
    return Line(
        name=NAMES[state.criterion],
        word=_met(state),
        told=tell(state, units=units),
        findings=tuple((f["id"], f["kind"].replace("_", " ")) for f in findings),
    )


def _met(state: CriterionState) -> str:
    if not state.asked:
        return "not asked for"
    if state.met is None:
        return "not known"
    return "met" if state.met else "not met"


def policy_words(rule: QuarantineRule) -> str:
    """Return what a policy rests on."""
    if rule.is_shipped:
        return f"{rule.reason} ({rule.source}; shipped with the program)"
    return f"{rule.reason} (decided by this house)"
