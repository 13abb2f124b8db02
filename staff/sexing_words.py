"""Looks at heels in words: whose look is wanted and why, and what they leave open."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from clutches.actions.sexing import REMARKS
from clutches.models import SpurCheck
from clutches.queries.open_looks import OpenLooks
from clutches.rules.sexing.looks import Look
from husbandry.models import Animal, Species
from husbandry.queries.profiles import ProfileVersion
from husbandry.queries.stays import current_stays
from husbandry.rules.profiles.vocabulary import SexMark
from staff.units import clock, count

NEVER = "Its heels were never looked at."
SECOND = (
    "Somebody else has looked: yours is the second look. What was seen is shown once "
    "you have looked, so that both looks stand alone."
)
ANOTHER = (
    "Others have looked, and the sex is open still. What was seen is shown once you "
    "have looked, so that yours stands alone."
)
AGAIN = "You have looked already; of each person the newest look counts."


@dataclass(frozen=True, slots=True)
class OpenRow:
    """An animal whose looks leave something open, as one reader may read them."""

    code: str
    label: str
    remark: str
    looks: tuple[str, ...]
    again: bool


@dataclass(frozen=True, slots=True)
class LookRow:
    """One look at an animal's heels."""

    id: int
    at: str
    by: str
    left: str
    right: str
    note: str
    struck: str
    photo: bool


def why_wanted(looks: Collection[Look], *, reader: int) -> str:
    """Return why a look of a person at an animal is wanted."""
    if not looks:
        return NEVER
    if any(look.looked_by == reader for look in looks):
        return AGAIN
    return SECOND if len({look.looked_by for look in looks}) == 1 else ANOTHER


def open_rows(found: Iterable[OpenLooks], *, blind_to: int | None) -> list[OpenRow]:
    """Return what looks leave open.

    Args:
        found: the animals.
        blind_to: key of the reader who has not been shown what others saw before
            having looked; None: this reader never looks, and may see it.
    """
    found = list(found)
    zones = _zones([one.animal for one in found])
    return [_open_row(one, zones[one.animal.pk], blind_to) for one in found]


def _open_row(one: OpenLooks, zone: ZoneInfo, blind_to: int | None) -> OpenRow:
    looked = any(look.looked_by_id == blind_to for look in one.looks)
    shown = blind_to is None or looked
    return OpenRow(
        code=one.animal.code,
        label=str(one.animal),
        remark=REMARKS[one.why]
        if shown
        else "What was seen is shown once you have looked.",
        looks=tuple(_told(look, zone, shown=shown) for look in one.looks),
        again=looked,
    )


def _told(look: SpurCheck, zone: ZoneInfo, *, shown: bool) -> str:
    who = str(look.looked_by) if look.looked_by else "nobody knows who"
    seen = f": left {look.left}, right {look.right}" if shown else ""
    return f"{who}, {clock(look.at, zone)}{seen}"


def _zones(animals: Collection[Animal]) -> dict[int, ZoneInfo]:
    stays = current_stays(animal_ids=[animal.pk for animal in animals])
    return {
        animal.pk: ZoneInfo(stays[animal.pk].enclosure.room.site.time_zone)
        if animal.pk in stays
        else ZoneInfo("UTC")
        for animal in animals
    }


def look_rows(looks: Iterable[SpurCheck], zone: ZoneInfo) -> list[LookRow]:
    """Return looks at one animal's heels in words, in their order."""
    return [
        LookRow(
            id=look.pk,
            at=clock(look.at, zone),
            by=str(look.looked_by) if look.looked_by else "not known",
            left=look.left,
            right=look.right,
            note=look.note,
            struck=look.struck_reason,
            photo=bool(look.photo),
        )
        for look in looks
    ]


def has_mark(profile: ProfileVersion | None) -> bool:
    """Return whether the care profile says that hatchlings show a heel spur."""
    rule = profile.profile.sexing if profile else None
    return rule is not None and rule.mark is SexMark.HEEL_SPUR


def markless(
    animals: Iterable[Animal], profiles: Mapping[int, ProfileVersion]
) -> list[str]:
    """Return, a sentence for each species, why its animals wait for no look."""
    found: dict[Species, int] = defaultdict(int)
    for animal in animals:
        if not has_mark(profiles.get(animal.species_id)):
            found[animal.species] += 1
    return [
        f"{species}: {count(many, 'animal')} not sexed. {_no_mark(species, profiles)}"
        for species, many in sorted(found.items(), key=lambda one: str(one[0]))
    ]


def _no_mark(species: Species, profiles: Mapping[int, ProfileVersion]) -> str:
    known = profiles.get(species.pk)
    if known is None:
        because = "It has no care profile, so nobody says by what it is told"
    elif known.profile.sexing is None:
        because = "Its care profile says nothing of heels"
    else:
        because = "It has no such mark"
    return f"{because}; record the sex by what it is known by, once it is."


def kept(code: str, left: str, right: str, at: datetime, zone: ZoneInfo) -> str:
    """Return what was recorded."""
    return f"Kept: {code}, left {left}, right {right}, {clock(at, zone)}."
