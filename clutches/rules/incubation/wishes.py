"""What the boxes in each incubator want tonight, each by its clutches' own phase."""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

from clutches.rules.facts import ClutchNight, EggGroup, Phase, PhasePlan
from clutches.rules.incubation.phases import phase_number_on
from husbandry.rules.profiles.resolving import incubation_for
from husbandry.rules.profiles.vocabulary import IncubationMatter
from husbandry.rules.vocabulary import Period


@dataclass(frozen=True, slots=True)
class Wish:
    """What some boxes of one incubator want of one day.

    Attributes:
        number: the phase's place in its plan.
        from_s, until_s: epoch seconds: when the first of them came that day, or its
            beginning, and when the last of them was moved elsewhere, or its end.
        boxes: codes, in order.
        eggs: how many eggs lie in them by this wish.
        zero_c: where development of their species stands still; None: not known.
    """

    incubator: int
    species: int
    plan: PhasePlan
    number: int
    from_s: int
    until_s: int
    boxes: tuple[str, ...]
    eggs: int
    zero_c: float | None

    @property
    def phase(self) -> Phase:
        """Return the phase that is wanted."""
        return self.plan.phases[self.number]

    @property
    def whole_day(self) -> bool:
        """Say whether the same is wanted by day and by night."""
        phase = self.phase
        return (phase.day_low_c, phase.day_high_c) == (
            phase.night_low_c,
            phase.night_high_c,
        )

    @property
    def periods(self) -> tuple[Period | None, ...]:
        """Return the parts of the day that are judged; None: the day as a whole."""
        return (None,) if self.whole_day else (Period.DAY, Period.NIGHT)

    def detail(self, period: Period | None) -> tuple[str, ...]:
        """Return what tells a finding from others about the same incubator."""
        plan = self.plan.code or f"profile-{self.species}"
        return (plan, str(self.number + 1), *([period.value] if period else []))


def wishes_of(night: ClutchNight) -> Iterator[Wish]:
    """Yield what is wanted where eggs lay that day, clutches of one mind together.

    Args:
        night: its groups; those without a plan, or in a box that stood in no
            incubator, want nothing that could be compared.

    Source:
        House rule, no source: eggs are judged wherever they were that day, so that
        what happened before a box was moved out of the heat is told.
    """
    plans: dict[tuple[int, int, str, int], PhasePlan] = {}
    together: dict[tuple[int, int, str, int], list[Stay]] = defaultdict(list)
    for group in night.groups:
        plan = group.plan
        if plan is None or not group.eggs:
            continue
        number = phase_number_on(plan, day=(night.day.on - group.laid_on).days)
        if number is None:
            continue
        for stay in stays_of(night, group):
            key = (stay.incubator, group.species, plan.code, number)
            plans[key] = plan
            together[key].append(stay)
    for key, stays in sorted(together.items()):
        incubator, species, _, number = key
        groups = list({(s.group.clutch, s.group.box): s.group for s in stays}.values())
        yield Wish(
            incubator=incubator,
            species=species,
            plan=plans[key],
            number=number,
            from_s=min(stay.from_s for stay in stays),
            until_s=max(stay.until_s for stay in stays),
            boxes=boxes_of(groups),
            eggs=sum(group.eggs for group in groups),
            zero_c=zero_c(night, species),
        )


@dataclass(frozen=True, slots=True)
class Stay:
    """From when until when within the day a group of eggs was in one incubator."""

    group: EggGroup
    incubator: int
    from_s: int
    until_s: int


def stays_of(night: ClutchNight, group: EggGroup) -> Iterator[Stay]:
    """Yield in which incubators a group of eggs was within the day, in order.

    Args:
        night: whose spells say where each group was.
        group: where nobody says from when on it was where it is, it was all day.
    """
    day = night.day
    spells = night.spells.get((group.clutch, group.box), ())
    if not spells and group.incubator is not None:
        yield Stay(group, group.incubator, day.start_s, day.end_s)
    for spell in spells:
        ends_s = day.end_s if spell.until_s is None else spell.until_s
        from_s, until_s = max(spell.from_s, day.start_s), min(ends_s, day.end_s)
        if spell.incubator is not None and from_s < until_s:
            yield Stay(group, spell.incubator, from_s, until_s)


def there_from_s(night: ClutchNight, group: EggGroup) -> int:
    """Return from when on within the day a group of eggs was where it is now.

    Args:
        night: whose spells say where each group was.
        group: in an incubator.

    Returns:
        Epoch seconds; the day's beginning where it was there before, or where nobody
        says from when on it was.
    """
    from_s = night.day.start_s
    spells = night.spells.get((group.clutch, group.box), ())
    for spell in reversed([s for s in spells if s.from_s < night.day.end_s]):
        if spell.incubator != group.incubator:
            break
        from_s = spell.from_s
    return max(from_s, night.day.start_s)


def boxes_of(groups: list[EggGroup]) -> tuple[str, ...]:
    """Return the codes of the boxes in which groups lie, each once, in order."""
    return tuple(sorted({group.box_code for group in groups}))


def zero_c(night: ClutchNight, species: int) -> float | None:
    """Return where development of a species stands still, in °C; None: not known.

    Of a range its middle.

    Source:
        House rule, no source; the profile's row names its own.
    """
    if species not in night.profiles:
        return None
    rule = incubation_for(
        night.profiles[species][1], IncubationMatter.DEVELOPMENT_ZERO_C
    )
    ends = [end for end in (rule.low, rule.high) if end is not None] if rule else []
    return float(sum(ends)) / len(ends) if ends else None
