"""What an egg is expected to show against a light on a day, and what candling means."""

from dataclasses import dataclass
from datetime import date, timedelta
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal

from clutches.rules.vocabulary import Candled, EggStage
from husbandry.rules.profiles.resolving import incubation_for
from husbandry.rules.profiles.values import IncubationRule, Profile
from husbandry.rules.profiles.vocabulary import IncubationMatter


@dataclass(frozen=True, slots=True)
class Expected:
    """What is expected of an egg on a day after laying.

    Attributes:
        rule_id: the row of the profile that says so; "": none does.
    """

    stage: EggStage
    rule_id: str


def judged_from_days(profile: Profile | None) -> int | None:
    """Return from which day on an egg may be called infertile; None: not said.

    Where the profile gives a span, its end counts: an egg is not given up in doubt.

    Source:
        andrews-donoghue-2004: development starts 50 to 80 and more days after laying.
    """
    row = _row(profile, IncubationMatter.FERTILITY_JUDGED_FROM_DAYS)
    return None if row is None else last_day(row)


def candle_from(profile: Profile | None, *, laid_on: date) -> date | None:
    """Return the day from which candling tells fertile from infertile; None: not said.

    Source:
        andrews-donoghue-2004: before it, no vessels say nothing.
    """
    days = judged_from_days(profile)
    return None if days is None else laid_on + timedelta(days=days)


def expected_stage(profile: Profile | None, *, day: int) -> Expected:
    """Return what is expected of an egg of a species on a day after laying.

    Args:
        profile: in force; None: none is.
        day: days since laying, 0 on the day of laying.

    Returns:
        Diapause before the span in which development begins, then that it may have
        begun, then that it develops; not said where the profile has no such row.
        Warmer eggs may be ahead of it.

    Source:
        andrews-donoghue-2004: at 25 °C; diaz-staging: limb buds near day 90.
    """
    row = _row(profile, IncubationMatter.DIAPAUSE_DAYS)
    if row is None:
        return Expected(EggStage.NOT_SAID, "")
    first = _first(row)
    if first is None or day < first:
        return Expected(EggStage.DIAPAUSE, row.id)
    if day < last_day(row):
        return Expected(EggStage.MAY_HAVE_BEGUN, row.id)
    return Expected(EggStage.DEVELOPING, row.id)


def remarks_on_candling(
    seen: Candled | None, *, label: str, day: int, profile: Profile | None
) -> tuple[str, ...]:
    """Return what to know of a candling that is kept; nothing where it is as expected.

    Args:
        seen: what was seen; None: only weighed.
        label: which egg.
        day: days since laying.
        profile: of its species, in force on the day.

    Source:
        andrews-donoghue-2004: an egg without vessels may rest for 80 days and more.
    """
    if seen is not Candled.NO_VESSELS:
        return ()
    from_days = judged_from_days(profile)
    if from_days is not None and day < from_days:
        return (
            f"{label[:1].upper()}{label[1:]}: no vessels on day {day}: resting, not "
            f"infertile. From day {from_days} on it tells.",
        )
    return ()


def _row(profile: Profile | None, matter: IncubationMatter) -> IncubationRule | None:
    return None if profile is None else incubation_for(profile, matter)


def _first(row: IncubationRule) -> int | None:
    return None if row.low is None else int(row.low.to_integral_value(ROUND_FLOOR))


def last_day(row: IncubationRule) -> int:
    """Return the last of the days that a row of a profile gives."""
    # A row has one end at least.
    end = row.high if row.high is not None else row.low
    return int((end or Decimal(0)).to_integral_value(ROUND_CEILING))
