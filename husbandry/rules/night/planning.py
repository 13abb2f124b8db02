"""What is wanted where: each animal's targets laid as bands over the probes."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

import numpy as np
import numpy.typing as npt

from husbandry.rules.clock import bounds
from husbandry.rules.conditions import MISSING, Band, NightPlan
from husbandry.rules.night.facts import (
    AnimalFacts,
    NightFacts,
    ProbeFacts,
    ProfileFacts,
    StayFacts,
)
from husbandry.rules.profiles.resolving import (
    ResolvedTarget,
    resolve_targets,
    stage_on,
)
from husbandry.rules.profiles.values import Stage
from husbandry.rules.vocabulary import Period, Quantity, Zone

HOLD_INTERVALS = 3
# An animal is judged by an enclosure's conditions if it stayed at least this long.
JUDGED_FROM_S = 6 * 3600

Spot = tuple[Quantity, Zone]


@dataclass(frozen=True, slots=True)
class Wanted:
    """One animal's targets at one spot, by day and by night."""

    day: ResolvedTarget | None
    night: ResolvedTarget | None

    def of(self, period: Period) -> ResolvedTarget | None:
        """Return the target of a period."""
        return self.day if period is Period.DAY else self.night


@dataclass(frozen=True, slots=True)
class AnimalPlan:
    """One animal with its stage and what it wants, spot by spot."""

    animal: AnimalFacts
    profile: ProfileFacts | None
    stage: Stage | None
    wanted: dict[Spot, Wanted]


@dataclass(frozen=True, slots=True)
class Judgement:
    """One animal judged by one band of one probe."""

    plan: AnimalPlan
    stay: StayFacts
    wanted: Wanted


@dataclass(frozen=True, slots=True)
class Plan:
    """What the kernel is asked, and who is judged by each answer.

    Attributes:
        probe_ids: int64, the probes in the kernel's order.
        kernel: bounds, holding times and bands for the kernel.
        judged: by (probe's place, quantity, band): who is judged by it.
    """

    animals: tuple[AnimalPlan, ...]
    probe_ids: npt.NDArray[np.int64]
    kernel: NightPlan
    judged: dict[tuple[int, Quantity, int], list[Judgement]]

    @property
    def read_from_s(self) -> npt.NDArray[np.int64]:
        """Return, for each probe, from when on its readings may hold in this day."""
        return self.kernel.bounds[:, 0] - self.kernel.hold_s


def plan_night(facts: NightFacts) -> Plan:
    """Resolve every animal's targets and lay them over the site's probes.

    Args:
        facts: what is known of the night.

    Returns:
        The plan. A probe that nobody is judged by keeps one open band: its
        conditions are summed all the same.
    """
    resolver = _Resolver(facts)
    return lay_over_probes(facts, tuple(map(resolver.plan, facts.animals)))


def lay_over_probes(facts: NightFacts, animals: tuple[AnimalPlan, ...]) -> Plan:
    """Lay what animals want over the probes of the enclosures that they lived in.

    Args:
        facts: what is known of the night; whom it names does not count here.
        animals: with their targets.

    Returns:
        The plan; see `plan_night`.
    """
    occupants = _occupants(animals)
    bands: list[Band] = []
    judged: dict[tuple[int, Quantity, int], list[Judgement]] = {}
    for place, probe in enumerate(facts.probes):
        for quantity in probe.quantities:
            _lay(place, probe, quantity, occupants[probe.enclosure], bands, judged)
    return Plan(
        animals=animals,
        probe_ids=np.array([p.id for p in facts.probes], dtype=np.int64),
        kernel=NightPlan.of(
            bounds=[_bounds(facts, probe) for probe in facts.probes],
            hold_s=[HOLD_INTERVALS * probe.interval_s for probe in facts.probes],
            bands=bands,
        ),
        judged=judged,
    )


class _Resolver:
    """Resolve targets once for all animals that want the same."""

    def __init__(self, facts: NightFacts) -> None:
        self._facts = facts
        self._known: dict[object, dict[Spot, Wanted]] = {}

    def plan(self, animal: AnimalFacts) -> AnimalPlan:
        profile = self._facts.profiles.get(animal.species)
        if profile is None:
            return AnimalPlan(animal, None, None, {})
        stage = stage_on(
            profile.profile, hatched_on=animal.hatched_on, on=self._facts.day.on
        )
        key = (
            animal.species,
            stage and stage.code,
            animal.sex,
            animal.reproduction,
            animal.overrides,
        )
        if key not in self._known:
            self._known[key] = self._wanted(profile, stage, animal)
        return AnimalPlan(animal, profile, stage, self._known[key])

    def _wanted(
        self, profile: ProfileFacts, stage: Stage | None, animal: AnimalFacts
    ) -> dict[Spot, Wanted]:
        targets = resolve_targets(
            profile.profile,
            stage=stage.code if stage else None,
            sex=animal.sex,
            reproduction=animal.reproduction,
            overrides=animal.overrides,
            on=self._facts.day.on,
        )
        return wanted_by_spot(targets)


def wanted_by_spot(targets: Iterable[ResolvedTarget]) -> dict[Spot, Wanted]:
    """Return one animal's targets by spot, in whatever order they come."""
    by_spot: dict[Spot, dict[Period, ResolvedTarget]] = defaultdict(dict)
    for target in targets:
        by_spot[target.quantity, target.zone][target.period] = target
    return {
        spot: Wanted(by_period.get(Period.DAY), by_period.get(Period.NIGHT))
        for spot, by_period in by_spot.items()
    }


def _occupants(
    animals: Iterable[AnimalPlan],
) -> dict[int, list[tuple[AnimalPlan, StayFacts]]]:
    """Return who is judged in each enclosure: the longest stay there counts."""
    found: dict[int, list[tuple[AnimalPlan, StayFacts]]] = defaultdict(list)
    for plan in animals:
        longest: dict[int, StayFacts] = {}
        for stay in plan.animal.stays:
            known = longest.get(stay.enclosure)
            if known is None or known.seconds < stay.seconds:
                longest[stay.enclosure] = stay
        for stay in longest.values():
            if stay.seconds >= JUDGED_FROM_S:
                found[stay.enclosure].append((plan, stay))
    return found


def _lay(
    place: int,
    probe: ProbeFacts,
    quantity: Quantity,
    occupants: list[tuple[AnimalPlan, StayFacts]],
    bands: list[Band],
    judged: dict[tuple[int, Quantity, int], list[Judgement]],
) -> None:
    """Give a probe's quantity one band for each different wish of its occupants."""
    numbers: dict[tuple[int, int, int, int], int] = {}
    for plan, stay in occupants:
        wanted = plan.wanted.get((quantity, probe.zone))
        if wanted is None:
            continue
        limits = _limits(wanted)
        if limits not in numbers:
            numbers[limits] = len(numbers)
            bands.append(Band(place, quantity, numbers[limits], *limits))
        lane = (place, quantity, numbers[limits])
        judged.setdefault(lane, []).append(Judgement(plan, stay, wanted))
    if not numbers:
        bands.append(Band(place, quantity, 0, MISSING, MISSING, MISSING, MISSING))


def _limits(wanted: Wanted) -> tuple[int, int, int, int]:
    day, night = wanted.day, wanted.night
    return (
        milli(day.low if day else None),
        milli(day.high if day else None),
        milli(night.low if night else None),
        milli(night.high if night else None),
    )


def milli(value: Decimal | None) -> int:
    """Return a limit in thousandths as the kernel counts; MISSING where open."""
    return MISSING if value is None else int(value * 1000)


def _bounds(facts: NightFacts, probe: ProbeFacts) -> tuple[int, int, int, int]:
    return bounds(facts.day, facts.enclosures[probe.enclosure].lights)
