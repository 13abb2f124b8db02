"""Whether a female can have laid on a day, and of which pair."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, timedelta

from clutches.rules.facts import Laying
from clutches.rules.layings.counts import ClutchError
from clutches.rules.layings.matters import span_of
from husbandry.rules.parents import Relative, earliest_on, latest_on
from husbandry.rules.profiles.values import Profile
from husbandry.rules.profiles.vocabulary import IncubationMatter
from husbandry.rules.vocabulary import DatePrecision, Sex

SECOND_WITHIN_DAYS = 10


@dataclass(frozen=True, slots=True)
class Dam:
    """A female as a clutch is recorded of her.

    Attributes:
        known: who she is, with sex, species and hatching.
        left_on: her last day here; None: she is here, or never was.
        layings: the others of hers, in any order.
    """

    known: Relative
    left_on: date | None
    layings: tuple[Laying, ...] = ()


@dataclass(frozen=True, slots=True)
class Paired:
    """The pairing that a clutch is said to come from.

    Attributes:
        label: dam × sire.
        dam: her key.
        met_on: local days of its introductions in force.
    """

    label: str
    dam: int
    met_on: Collection[date]


def check_day(on: date, *, today: date) -> None:
    """Refuse a day of laying or birth that has not come yet.

    Raises:
        ClutchError: it lies after today.
    """
    if on > today:
        raise ClutchError(
            f"{on:%d %b %Y} has not come yet; record a clutch on the day of laying or "
            "later.",
            fields={"laid_on": f"until {today}"},
        )


def check_dam(dam: Dam, *, species: int, on: date) -> None:
    """Refuse a dam that cannot have laid or borne on a day.

    Args:
        dam: who it was.
        species: key of the clutch's species.
        on: local day of laying or birth; the last day here counts.

    Raises:
        ClutchError: a male, another species, not hatched by then, or left before.
    """
    known = dam.known
    if known.sex is Sex.MALE:
        raise ClutchError(
            f"{known.label} is on record as male and cannot have laid. Name another "
            "dam, or correct the sex first.",
            fields={"dam": "a female, or one not sexed"},
        )
    if known.species != species:
        raise ClutchError(
            f"{known.label} is of another species than the clutch.",
            fields={"dam": "a female of the clutch's species"},
        )
    hatched_on = earliest_on(known)
    if hatched_on is not None and on <= hatched_on:
        raise ClutchError(
            f"{known.label} hatched on {hatched_on:%d %b %Y} at the earliest and cannot "
            f"have laid on {on:%d %b %Y}.",
            fields={"laid_on": f"later than {hatched_on}"},
        )
    if dam.left_on is not None and on > dam.left_on:
        raise ClutchError(
            f"{known.label} left on {dam.left_on:%d %b %Y} and cannot have laid here on "
            f"{on:%d %b %Y}.",
            fields={"laid_on": f"until {dam.left_on}"},
        )


def check_pairing(pairing: Paired, *, dam: int | None, on: date) -> None:
    """Refuse a pairing that cannot be behind a clutch.

    Args:
        pairing: as named.
        dam: key of the clutch's dam; None: not known.
        on: local day of laying.

    Raises:
        ClutchError: it is another female's, or they had not met by then.
    """
    if pairing.dam != dam:
        raise ClutchError(
            f"{pairing.label} is a pairing of another female. Name one of the dam's, or "
            "none.",
            fields={"pairing": "a pairing of the dam, or none"},
        )
    if not any(met_on <= on for met_on in pairing.met_on):
        raise ClutchError(
            f"{pairing.label}: no introduction until {on:%d %b %Y} is on record. Record "
            "it first, or name no pairing: females lay without a male too.",
            fields={"pairing": "one whose pair had met by then, or none"},
        )


def remarks_on_dam(dam: Dam, profile: Profile | None, *, on: date) -> tuple[str, ...]:
    """Return what is worth a second look at whom and when.

    Args:
        dam: with her other clutches.
        profile: care profile of her species.
        on: local day of laying or birth.

    Returns:
        A sentence for each clutch of hers within ten days, before or after, and
        where she was younger than females are paired by the profile.

    Source:
        laying-window-convention for the ten days; the age is the profile's.
    """
    label = dam.known.label
    near = timedelta(days=SECOND_WITHIN_DAYS)
    found = [
        f"{label} laid {other.clutch_code} on {other.on:%d %b %Y} already; is this a "
        "second clutch, or the rest of that one?"
        for other in sorted(dam.layings, key=lambda laying: laying.on)
        if abs(on - other.on) <= near
    ]
    young = _remark_on_age(dam.known, profile, on)
    return (*found, young) if young else tuple(found)


def _remark_on_age(dam: Relative, profile: Profile | None, on: date) -> str:
    rule = span_of(profile, IncubationMatter.BREEDING_AGE_FEMALE_DAYS)
    hatched_on = latest_on(dam)
    exact = dam.hatched_precision is DatePrecision.DAY
    if rule is None or rule.low is None or hatched_on is None or not exact:
        return ""
    age_days = (on - hatched_on).days
    if age_days >= rule.low:
        return ""
    return (
        f"{dam.label} was {age_days} days old; by the care profile no female is paired "
        f"before {rule.low} days. Is the day of hatching right?"
    )
