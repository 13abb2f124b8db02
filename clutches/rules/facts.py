"""What the rules of this room are told: frozen values, gathered once."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import TypeAlias
from zoneinfo import ZoneInfo

import numpy as np
import numpy.typing as npt

from clutches.rules.vocabulary import PhaseKind
from husbandry.rules.clock import LocalDay
from husbandry.rules.profiles.values import Profile, Provenance
from husbandry.rules.vocabulary import Sex

Floats: TypeAlias = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Phase:
    """One part of an incubation; bands in °C.

    Attributes:
        days: how long; None: until they hatch.
    """

    kind: PhaseKind
    days: int | None
    day_low_c: Decimal
    day_high_c: Decimal
    night_low_c: Decimal
    night_high_c: Decimal


@dataclass(frozen=True, slots=True)
class PhasePlan:
    """How eggs are kept, phase after phase.

    Attributes:
        code: of the plan; "" where the care profile's row stands in for one.
        hard_low_c, hard_high_c: past which somebody must act at once; None: not said.
        provenance: of the profile's row; None: somebody's own plan.
        limit_provenance: of the hard limits; None: none are said.
    """

    code: str
    name: str
    phases: tuple[Phase, ...]
    hard_low_c: Decimal | None
    hard_high_c: Decimal | None
    provenance: Provenance | None
    limit_provenance: Provenance | None = None
    rule_id: str = ""


@dataclass(frozen=True, slots=True)
class EggGroup:
    """Those eggs of one clutch that lie in one box and have not ended.

    Attributes:
        clutch, box: keys.
        species: key of the species.
        plan: how they are kept; None: neither a plan nor a profile says.
        eggs: how many still incubate or have pipped.
        pipped: how many of them have pipped.
        hatched: how many of the clutch hatched already, in whatever box.
        incubator: key of the enclosure where the box stands at the end of the day;
            None: it stands in none.
        checked_on: local day of the last look at the box or one of its eggs.
    """

    clutch: int
    clutch_code: str
    species: int
    laid_on: date
    box: int
    box_code: str
    plan: PhasePlan | None
    eggs: int
    pipped: int
    hatched: int
    incubator: int | None
    checked_on: date | None


@dataclass(frozen=True, slots=True)
class BoxSpell:
    """From when until when, in epoch seconds, a group of eggs was in an incubator.

    Attributes:
        incubator: key of the enclosure; None: in none, so nobody knows how warm.
        until_s: None: still.
    """

    incubator: int | None
    from_s: int
    until_s: int | None


@dataclass(frozen=True, slots=True)
class Track:
    """How warm eggs were, hour after hour without a break, from laying on.

    Attributes:
        start_s: epoch second at which the first hour begins.
        hours_c: float64, °C of each hour; NaN: nobody measured.
    """

    start_s: int
    hours_c: Floats


@dataclass(frozen=True, slots=True)
class PastClutch:
    """A clutch of which something hatched, with how warm it was kept.

    Attributes:
        hatch_days: days from laying to hatching of each egg that hatched, in order.
        track: from laying until its last egg hatched.
    """

    clutch: int
    clutch_code: str
    species: int
    laid_on: date
    hatch_days: tuple[int, ...]
    track: Track


@dataclass(frozen=True, slots=True)
class Mating:
    """A female was with a male; `mated` False: nobody watched."""

    on: date
    sire: int
    sire_label: str
    mated: bool


@dataclass(frozen=True, slots=True)
class Laying:
    """A female laid, or bore, on a local day.

    Attributes:
        eggs: all that was laid, kept or not; of live young, all that was born.
    """

    clutch: int
    clutch_code: str
    on: date
    eggs: int = 0


@dataclass(frozen=True, slots=True)
class BreedingFemale:
    """A female that was with a male, carries eggs, or laid: what is on record of her.

    Attributes:
        matings: introductions in force that may have made eggs, oldest first.
        layings: oldest first.
        gravid_since: first day of the gravid spell that is open on the day; None.
        laying_bin: whether a bin stands in her enclosure; None: she is in none.
        enclosure: its key, or None.
        bin_asked: whether husbandry's own review asks for a bin for her already.
    """

    id: int
    label: str
    species: int
    matings: tuple[Mating, ...]
    layings: tuple[Laying, ...]
    gravid_since: date | None
    enclosure: int | None
    laying_bin: bool | None
    bin_asked: bool


@dataclass(frozen=True, slots=True)
class HeelsSeen:
    """One look at an animal's heels, as it is on record; `looked_by` is a key."""

    left: str
    right: str
    looked_by: int | None
    at: datetime
    looked_by_name: str = ""


@dataclass(frozen=True, slots=True)
class Unsettled:
    """A hatchling whose heels were looked at, but not as the policy asks.

    Attributes:
        looks: in force, oldest first.
    """

    id: int
    label: str
    sex: Sex
    enclosure: int | None
    looks: tuple[HeelsSeen, ...]


@dataclass(frozen=True, slots=True)
class ClutchNight:
    """All that is known of one site's eggs and breeding females for one local day.

    Attributes:
        groups: eggs that lie in boxes at this site, or whose box stands nowhere and
            whose clutch is of this site.
        unplaced: (clutch key, code, eggs) of eggs that lie in no box.
        spells: by (clutch, box): where the group was since laying, in order, without
            gaps; `incubator` None where it was in none.
        tracks: by (clutch, box): how warm it was until this day began.
        past: clutches that hatched, of the species concerned, from all sites.
        profiles: care profiles in force, by species, with their version.
        second_look: whether a second person's look at heels is asked for.
    """

    day: LocalDay
    zone: ZoneInfo
    groups: tuple[EggGroup, ...]
    unplaced: tuple[tuple[int, str, int], ...]
    spells: Mapping[tuple[int, int], tuple[BoxSpell, ...]]
    tracks: Mapping[tuple[int, int], Track]
    past: tuple[PastClutch, ...]
    females: tuple[BreedingFemale, ...]
    unsettled: tuple[Unsettled, ...]
    second_look: bool
    profiles: Mapping[int, tuple[int, Profile]]
