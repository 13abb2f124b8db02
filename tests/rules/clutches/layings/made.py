"""Females and nights made by hand, and two profiles: one lays, one bears."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from functools import cache
from typing import Any
from zoneinfo import ZoneInfo

from clutches.rules.facts import BreedingFemale, ClutchNight, Laying, Mating
from husbandry.rules.clock import LocalDay
from husbandry.rules.profiles.reading import read_profile
from husbandry.rules.profiles.values import Profile
from tests.factories import SHIPPED_PROFILE
from tests.rules.profiles.samples import SMALL

MATED_ON = date(2026, 3, 1)
DAY = timedelta(days=1)
SIRE, LABEL = 7, "V-0007 Bas"

# A live-bearer like Jackson's chameleon: gestation of 5 to 6 months, of others 5 to 10
# or 3.5 to 6; litters of 8 to 30 (care advice and encyclopaedias, weak sources).
BEARS = """\
incubation:
  - {id: gestation, matter: gestation_days, low: 150, high: 183, source: invented-2020, standing: published}
  - {id: litter, matter: clutch_eggs, low: 8, high: 30, source: invented-2020, standing: published}
"""


@cache
def veiled() -> Profile:
    return read_profile(SHIPPED_PROFILE.read_text(encoding="utf-8"), name="shipped")


@cache
def bearing() -> Profile:
    before, _, rest = SMALL.partition("incubation:\n")
    _, _, after = rest.partition("\ncautions:")
    return read_profile(f"{before}{BEARS}cautions:{after}", name="bearing")


def mating(days: int = 0, *, mated: bool = True, sire: int = SIRE) -> Mating:
    """A mating so many days after the first."""
    return Mating(MATED_ON + days * DAY, sire, LABEL, mated=mated)


def laying(days: int, eggs: int = 40) -> Laying:
    return Laying(1, "C-01", MATED_ON + days * DAY, eggs)


def female(*matings: Mating, **changes: Any) -> BreedingFemale:
    made = BreedingFemale(
        id=1,
        label="V-0001 Juno",
        species=1,
        matings=matings,
        layings=(),
        gravid_since=None,
        enclosure=4,
        laying_bin=True,
        bin_asked=False,
    )
    return replace(made, **changes)


def night(*females: BreedingFemale, on: date, profile: Profile | None) -> ClutchNight:
    start_s = int(datetime(on.year, on.month, on.day, tzinfo=UTC).timestamp())
    return ClutchNight(
        day=LocalDay(on, start_s, start_s + 86_400),
        zone=ZoneInfo("UTC"),
        groups=(),
        unplaced=(),
        spells={},
        tracks={},
        past=(),
        females=females,
        unsettled=(),
        second_look=False,
        profiles={} if profile is None else {1: (3, profile)},
    )
