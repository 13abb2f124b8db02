"""What a profile says of care, stage by stage, worked out once for many animals."""

from dataclasses import dataclass
from datetime import date, timedelta

from husbandry.rules.profiles.care_rows import misting_for
from husbandry.rules.profiles.resolving import (
    feeding_for,
    supplements_for,
    weighing_for,
)
from husbandry.rules.profiles.values import (
    FeedingRule,
    MistingRule,
    Profile,
    Stage,
    SupplementRule,
    WeighingRule,
)


@dataclass(frozen=True, slots=True)
class StageRules:
    """What holds in one life stage; `stage` None: where it is not known."""

    stage: Stage | None
    feeding: FeedingRule | None
    supplements: tuple[SupplementRule, ...]
    weighing: WeighingRule | None
    misting: tuple[MistingRule, ...]


@dataclass(frozen=True, slots=True)
class ProfileRules:
    """What one profile says in all its stages.

    Attributes:
        ages: first day of age, the day after the last (None: no end) and rules of
            each stage, in order.
        unknown: what holds where the stage is not known.
        longest_feeding_days: the longest interval of any stage; 0: no rule.
        longest_weighing_days: the same of weighing.
    """

    profile: Profile
    ages: tuple[tuple[int, int | None, StageRules], ...]
    unknown: StageRules
    longest_feeding_days: int
    longest_weighing_days: int


class RulesByProfile:
    """The rules of profiles, each worked out when it is first asked for.

    Profiles are told apart by identity: they are too large to be compared for every
    animal, and the animals of a species share one.
    """

    def __init__(self) -> None:
        self._found: dict[int, tuple[Profile, ProfileRules]] = {}

    def of(self, profile: Profile | None) -> ProfileRules | None:
        """Return the rules of a profile; None: there is none."""
        if profile is None:
            return None
        # The profile is kept beside its rules, so that its identity stays its own.
        found = self._found.get(id(profile))
        if found is None:
            found = self._found[id(profile)] = (profile, rules_of(profile))
        return found[1]


@dataclass(frozen=True, slots=True)
class Span:
    """Days on which one stage's rules hold, both included.

    Attributes:
        began_on: the first day of the stage; None: not known.
    """

    rules: StageRules
    began_on: date | None
    from_on: date
    until_on: date


def rules_of(profile: Profile) -> ProfileRules:
    """Return what a profile says of care, stage by stage."""
    return ProfileRules(
        profile=profile,
        ages=tuple(
            (stage.from_days, stage.to_days, _of_stage(profile, stage))
            for stage in profile.stages
        ),
        unknown=_of_stage(profile, None),
        longest_feeding_days=max(
            (r.every_days_high for r in profile.feeding), default=0
        ),
        longest_weighing_days=max((r.every_days for r in profile.weighing), default=0),
    )


def spans(
    rules: ProfileRules, *, hatched_on: date | None, from_on: date, until_on: date
) -> tuple[Span, ...]:
    """Cut a range of days by the life stages of one animal.

    Args:
        rules: of its profile.
        hatched_on: the first day of its first stage; None: not known, and the rules
            that hold at any age are those of all days.
        from_on: first day of the range.
        until_on: its last day; before the first, there are no spans.

    Returns:
        In order, without days before it hatched.
    """
    if hatched_on is None:
        unknown = Span(rules.unknown, None, from_on, until_on)
        return (unknown,) if from_on <= until_on else ()
    if from_on > until_on:
        return ()
    # Counted in days of age: most stages are passed over for most animals.
    young, old = (from_on - hatched_on).days, (until_on - hatched_on).days
    found = []
    for from_days, to_days, stage_rules in rules.ages:
        if from_days > old or (to_days is not None and to_days <= young):
            continue
        last_days = old if to_days is None else min(old, to_days - 1)
        found.append(
            Span(
                rules=stage_rules,
                began_on=hatched_on + timedelta(from_days),
                from_on=hatched_on + timedelta(max(young, from_days)),
                until_on=hatched_on + timedelta(last_days),
            )
        )
    return tuple(found)


def stage_rules_on(
    rules: ProfileRules, hatched_on: date | None, on: date
) -> StageRules | None:
    """Return what holds for an animal on one day; None: it had not hatched."""
    if hatched_on is None:
        return rules.unknown
    age_days = (on - hatched_on).days
    for from_days, to_days, stage_rules in rules.ages:
        if from_days <= age_days and (to_days is None or age_days < to_days):
            return stage_rules
    return None


def _of_stage(profile: Profile, stage: Stage | None) -> StageRules:
    code = stage.code if stage else None
    return StageRules(
        stage=stage,
        feeding=feeding_for(profile, code),
        supplements=supplements_for(profile, code),
        weighing=weighing_for(profile, code),
        misting=misting_for(profile, code),
    )
