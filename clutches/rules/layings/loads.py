"""What layings cost a female: how many, how many eggs, how long she rested."""

from dataclasses import dataclass
from datetime import date, timedelta

from clutches.rules.facts import Laying
from clutches.rules.layings.matters import span_of
from husbandry.rules.profiles.values import Profile
from husbandry.rules.profiles.vocabulary import IncubationMatter

YEAR_DAYS = 365


@dataclass(frozen=True, slots=True)
class BreedingLoad:
    """A female's layings of the last 365 days, and her rest since the last one.

    Attributes:
        clutches, eggs: of these days.
        most_clutches: how many the profile puts up with; None: it does not say.
        last_on: day of her last laying, however long ago; None: none is on record.
        rest_days: since then; None where she has not laid.
        rest_wanted_days: how many the profile wants; None: it does not say.
    """

    clutches: int
    eggs: int
    most_clutches: int | None
    last_on: date | None
    rest_days: int | None
    rest_wanted_days: int | None

    @property
    def rested(self) -> bool:
        """Say whether she has rested as long as is wanted; exactly as long is enough."""
        if self.rest_days is None or self.rest_wanted_days is None:
            return True
        return self.rest_days >= self.rest_wanted_days

    @property
    def rested_on(self) -> date | None:
        """Return the day from which on she has rested enough, or None: not known."""
        if self.last_on is None or self.rest_wanted_days is None:
            return None
        return self.last_on + timedelta(days=self.rest_wanted_days)

    @property
    def full(self) -> bool:
        """Say whether another clutch now would be more than the profile puts up with."""
        return self.most_clutches is not None and self.clutches >= self.most_clutches


def breeding_load(
    layings: tuple[Laying, ...], profile: Profile | None, *, on: date
) -> BreedingLoad:
    """Sum up what a female laid until a day.

    Args:
        layings: in any order; those after the day are passed over. One of exactly 365
            days ago has left the year.
        profile: care profile of her species; None: nothing is wanted.
        on: the local day.

    Source:
        zoo-profile-2014 (clutches a year) and convention (rest), as the profile's rows
        name them for the veiled chameleon.
    """
    known = [laying for laying in layings if laying.on <= on]
    year = [laying for laying in known if (on - laying.on).days < YEAR_DAYS]
    last_on = max((laying.on for laying in known), default=None)
    rest = span_of(profile, IncubationMatter.REST_BETWEEN_CLUTCHES_DAYS)
    most = span_of(profile, IncubationMatter.CLUTCHES_A_YEAR)
    return BreedingLoad(
        clutches=len(year),
        eggs=sum(laying.eggs for laying in year),
        most_clutches=most.high if most else None,
        last_on=last_on,
        rest_days=(on - last_on).days if last_on else None,
        rest_wanted_days=rest.low if rest else None,
    )
