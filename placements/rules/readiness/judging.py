"""A home's enclosure compared with what an animal needs, matter by matter."""

from collections.abc import Iterable, Iterator

from husbandry.rules.profiles.values import Profile
from husbandry.rules.vocabulary import Period, Quantity
from placements.rules.readiness.climate import climate_state
from placements.rules.readiness.days import measured_days
from placements.rules.readiness.housing import judge_housing
from placements.rules.readiness.uvb import judge_uvb
from placements.rules.readiness.values import (
    AnimalNeeds,
    HomeDay,
    HomeReadings,
    HomeSetup,
    Json,
    MatterState,
)
from placements.rules.readiness.words import Why
from placements.rules.vocabulary import Readiness, ReadinessMatter


def judge(
    setup: HomeSetup,
    needs: AnimalNeeds,
    readings: HomeReadings,
    *,
    days: tuple[HomeDay, ...],
) -> tuple[MatterState, ...]:
    """Compare a home's enclosure with what an animal needs.

    Args:
        setup: the enclosure as its home describes it.
        needs: of the animal, on the day on which it is to come.
        readings: what was measured there; none is not ready.
        days: the enclosure's local days whose readings may count.

    Returns:
        One for each matter of which the animal's profile says something, and one for
        each target of its climate. Without a profile, one that says so.

    Source:
        review-conventions (ADR 0007), home-readings-convention, common-practice.
    """
    if needs.profile is None:
        size = ReadinessMatter.SIZE
        return (MatterState(size, Readiness.NOT_KNOWN, Why.NO_PROFILE, {}, {}),)
    return tuple(_judged(setup, needs, needs.profile, readings, days))


def _judged(
    setup: HomeSetup,
    needs: AnimalNeeds,
    profile: Profile,
    readings: HomeReadings,
    days: tuple[HomeDay, ...],
) -> Iterator[MatterState]:
    yield from judge_housing(setup, needs, profile)
    measured = measured_days(setup, needs, readings, days=days)
    uvb = judge_uvb(setup, needs, profile, readings, measured=measured, days=days)
    if uvb is not None:
        yield uvb
    for target in needs.targets:
        state = climate_state(ReadinessMatter.CLIMATE, target, needs, measured)
        if target.quantity is not Quantity.UV_INDEX:
            yield state
        elif target.period is Period.NIGHT and state.state is Readiness.NOT_AS_WANTED:
            # A light that burns by night; that none does needs no meter.
            yield state


def outcome_of(states: Iterable[MatterState]) -> Readiness:
    """Return how an enclosure compares in all: the worst of its matters.

    What is not as wanted goes before what is not known; nothing judged is not known.
    """
    found = {state.state for state in states}
    for worst in (Readiness.NOT_AS_WANTED, Readiness.NOT_KNOWN):
        if worst in found:
            return worst
    return Readiness.AS_WANTED if found else Readiness.NOT_KNOWN


def to_document(states: Iterable[MatterState], *, stage: str | None) -> list[Json]:
    """Return judged matters as they are kept, plain JSON values.

    Args:
        states: as judged.
        stage: the life stage's code whose targets held; None: not known.
    """
    return [
        {
            "matter": state.matter.value,
            "state": state.state.value,
            "why": state.why.value,
            "wanted": state.wanted,
            "found": state.found,
            "basis": state.basis,
            "quantity": state.quantity.value if state.quantity else None,
            "zone": state.zone.value if state.zone else None,
            "period": state.period.value if state.period else None,
            "stage": stage,
        }
        for state in states
    ]
