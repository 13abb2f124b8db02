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
        from_s: epoch second from which on the first of them stood there that day.
        boxes: codes, in order.
        eggs: how many eggs lie in them by this wish.
        zero_c: where development of their species stands still; None: not known.
    """

    incubator: int
    species: int
    plan: PhasePlan
    number: int
    from_s: int
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
    """Yield what is wanted where eggs lie, clutches of one mind together.

    Args:
        night: its groups; those without a plan, or in a box that stands in no
            incubator, want nothing that could be compared.

    Source:
        House rule, no source.
    """
    plans: dict[tuple[int, int, str, int], PhasePlan] = {}
    together: dict[tuple[int, int, str, int], list[EggGroup]] = defaultdict(list)
    for group in night.groups:
        plan, incubator = group.plan, group.incubator
        if plan is None or incubator is None or not group.eggs:
            continue
        number = phase_number_on(plan, day=(night.day.on - group.laid_on).days)
        if number is not None:
            key = (incubator, group.species, plan.code, number)
            plans[key] = plan
            together[key].append(group)
    for key, groups in sorted(together.items()):
        incubator, species, _, number = key
        yield Wish(
            incubator=incubator,
            species=species,
            plan=plans[key],
            number=number,
            from_s=min(there_from_s(night, group) for group in groups),
            boxes=boxes_of(groups),
            eggs=sum(group.eggs for group in groups),
            zero_c=zero_c(night, species),
        )


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
