"""What an incubation plan may say."""

from collections.abc import Sequence
from decimal import Decimal

from clutches.rules.facts import Phase
from clutches.rules.incubation.phases import set_point_c
from clutches.rules.vocabulary import PhaseKind
from core.errors import DomainError

MOST_PHASES = 12
LONGEST_DAYS = 730
COLDEST_C, WARMEST_C = Decimal(0), Decimal(45)
STEP_C = Decimal("0.1")
BANDS = (
    ("day_low_c", "day_high_c", "by day"),
    ("night_low_c", "night_high_c", "by night"),
)


class IncubationPlanError(DomainError):
    """An incubation plan cannot be as given."""

    code = "incubation_plan_refused"


def check_plan(
    phases: Sequence[Phase], *, hard_low_c: Decimal | None, hard_high_c: Decimal | None
) -> None:
    """Refuse phases by which no egg can be kept.

    Args:
        phases: in their order; each but the last has days, and the last has none: it
            goes on until the eggs hatch.
        hard_low_c: the care profile's limit, past which somebody must act at once;
            bands do not go below it. None: it says none.
        hard_high_c: likewise above.

    Raises:
        IncubationPlanError: the sentence says which phase, why, and what would do.

    Source:
        incubation-convention.
    """
    if not 1 <= len(phases) <= MOST_PHASES:
        raise IncubationPlanError(
            f"A plan has 1 to {MOST_PHASES} phases; {len(phases)} were given.",
            fields={"phases": f"1 to {MOST_PHASES}"},
        )
    for number, phase in enumerate(phases, start=1):
        _check_days(phase, number, last=number == len(phases))
        for low, high, when in BANDS:
            ends = getattr(phase, low), getattr(phase, high)
            _check_band(ends, f"Phase {number} {when}", hard_low_c, hard_high_c)
    _check_kinds(phases)


def _check_days(phase: Phase, number: int, *, last: bool) -> None:
    if last and phase.days is not None:
        raise IncubationPlanError(
            f"Phase {number} is the last one and ends after {phase.days} days, but "
            "eggs may lie longer. Leave its days empty: until they hatch.",
            fields={"days": "empty in the last phase"},
        )
    if last:
        return
    if phase.days is None:
        raise IncubationPlanError(
            f"Phase {number} has no days, so the phases after it would never come. "
            f"Give 1 to {LONGEST_DAYS} days; only the last phase has none.",
            fields={"days": f"1 to {LONGEST_DAYS}"},
        )
    if not 1 <= phase.days <= LONGEST_DAYS:
        raise IncubationPlanError(
            f"Phase {number} cannot last {phase.days} days: 1 to {LONGEST_DAYS} would "
            "do.",
            fields={"days": f"1 to {LONGEST_DAYS}"},
        )


def _check_band(
    ends: tuple[Decimal, Decimal],
    who: str,
    hard_low_c: Decimal | None,
    hard_high_c: Decimal | None,
) -> None:
    for value in ends:
        _check_end(value, who)
    low, high = ends
    if low > high:
        raise IncubationPlanError(
            f"{who}: the lower end {low} °C lies above the upper end {high} °C. Give "
            "the lower one first.",
            fields={"phases": "the lower end first"},
        )
    if hard_high_c is not None and high > hard_high_c:
        raise IncubationPlanError(
            f"{who}: {high} °C lies above {hard_high_c} °C, past which the care "
            "profile wants somebody to act at once. At most that would do.",
            fields={"phases": f"at most {hard_high_c} °C"},
        )
    if hard_low_c is not None and low < hard_low_c:
        raise IncubationPlanError(
            f"{who}: {low} °C lies below {hard_low_c} °C, past which the care profile "
            "wants somebody to act at once. At least that would do.",
            fields={"phases": f"at least {hard_low_c} °C"},
        )


def _check_end(value: Decimal, who: str) -> None:
    accepted = f"{COLDEST_C} to {WARMEST_C} °C, at most one decimal"
    # Asked in this order: what is far off cannot be divided.
    believed = value.is_finite() and COLDEST_C <= value <= WARMEST_C
    if not believed or value % STEP_C:
        raise IncubationPlanError(
            f"{who}: {value} °C cannot be. Accepted is {accepted}.",
            fields={"phases": accepted},
        )


def _check_kinds(phases: Sequence[Phase]) -> None:
    """Hold what is called cool to be cooler than all that is called warm."""
    warm = [_middle_c(p) for p in phases if p.kind is PhaseKind.WARM]
    for number, phase in enumerate(phases, start=1):
        if phase.kind is PhaseKind.COOL and warm and _middle_c(phase) >= min(warm):
            raise IncubationPlanError(
                f"Phase {number} is called cool and aims at {_middle_c(phase):g} °C, "
                f"no cooler than a warm phase at {min(warm):g} °C. Call it warm, or "
                "make it cooler.",
                fields={"kind": "cool only where it is cooler"},
            )


def _middle_c(phase: Phase) -> float:
    return set_point_c(phase, light_share=0.5)
