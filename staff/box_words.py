"""A box of eggs in words and signs: its grid, its water, where it stands."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from decimal import Decimal
from string import ascii_lowercase
from zoneinfo import ZoneInfo

from clutches.models import BoxCheck, BoxStay, EggBox
from clutches.queries.grids import Cell, Grid, Nested
from clutches.rules.boxes.water import WaterBalance, mass_ratio
from clutches.rules.vocabulary import EggState
from husbandry.rules.sentences import numbers
from husbandry.rules.sentences.numbers import Units
from staff.egg_words import PIPPED_SIGN, SEEN, SIGNS
from staff.units import clock, count, day

NOT_CANDLED = "·"


@dataclass(frozen=True, slots=True)
class Tap:
    """One place as it is drawn; without an egg there is nothing to tap.

    Attributes:
        sign: what was last seen, or that it pipped.
        mark: the letter of its clutch where several lie in the box.
        words: the same for who cannot see it.
    """

    place: str
    egg: int | None
    number: int
    sign: str
    mark: str
    words: str
    ticked: bool


@dataclass(frozen=True, slots=True)
class TapRow:
    """One row of the grid, from the back."""

    number: int
    taps: tuple[Tap, ...]


@dataclass(frozen=True, slots=True)
class Fact:
    """One thing to know of a box."""

    what: str
    value: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class LookRow:
    """One look into a box in the list."""

    at: str
    mass: str
    water: str
    by: str
    note: str
    struck: str


def grid_rows(grid: Grid, ticked: Collection[int]) -> list[TapRow]:
    """Return the grid to tap.

    Args:
        grid: the box.
        ticked: keys of the eggs that were tapped already.
    """
    marks = _marks(grid)
    return [
        TapRow(row[0].place.row, tuple(_tap(cell, marks, ticked) for cell in row))
        for row in grid.rows
    ]


def _marks(grid: Grid) -> dict[str, str]:
    if len(grid.clutches) < 2:
        return dict.fromkeys(grid.clutches, "")
    return dict(zip(grid.clutches, ascii_lowercase, strict=False))


def _tap(cell: Cell, marks: dict[str, str], ticked: Collection[int]) -> Tap:
    egg, label = cell.egg, cell.place.label
    if egg is None:
        return Tap(label, None, 0, "", "", f"{label}: free", ticked=False)
    return Tap(
        place=label,
        egg=egg.id,
        number=egg.number,
        sign=_sign(egg),
        mark=marks.get(egg.clutch, ""),
        words=f"{label}: egg {egg.number} of {egg.clutch}, {_state(egg)}",
        ticked=egg.id in ticked,
    )


def _sign(egg: Nested) -> str:
    if egg.state is EggState.PIPPED:
        return PIPPED_SIGN
    return SIGNS[egg.look.seen] if egg.look.seen else NOT_CANDLED


def _state(egg: Nested) -> str:
    told = [egg.state.value, f"day {egg.day}"]
    if egg.look.seen and egg.look.seen_on:
        told.append(f"{SEEN[egg.look.seen]} on {day(egg.look.seen_on)}")
    else:
        told.append("not candled")
    if egg.look.mass_g is not None:
        told.append(f"{egg.look.mass_g} g")
    return ", ".join(told)


def legend(grid: Grid) -> list[str]:
    """Return what the signs of this box mean; those that it shows, and no other."""
    eggs = [cell.egg for row in grid.rows for cell in row if cell.egg]
    shown = {_sign(egg) for egg in eggs}
    words = {sign: SEEN[word] for word, sign in SIGNS.items()}
    words |= {PIPPED_SIGN: "pipped", NOT_CANDLED: "not candled yet"}
    told = [f"{sign} {word}" for sign, word in words.items() if sign in shown]
    marks = _marks(grid)
    return [*told, *(f"{mark} {code}" for code, mark in marks.items() if mark)]


def stands(stays: Sequence[BoxStay]) -> str:
    """Return where a box stands, by its stays, the newest first."""
    if not stays:
        return "It has stood in no incubator yet: how warm its eggs are nobody knows."
    stay = stays[0]
    room = stay.incubator.room
    zone = ZoneInfo(room.site.time_zone)
    if stay.until_at is not None:
        return (
            f"It stands in no incubator since {clock(stay.until_at, zone)}: how warm "
            "its eggs are nobody knows."
        )
    return (
        f"Stands in {stay.incubator.code}, {room.name}, {room.site.name}, since "
        f"{day(stay.from_at.astimezone(zone).date())}."
    )


def box_facts(
    box: EggBox, water: WaterBalance, zone: ZoneInfo, units: Units
) -> list[Fact]:
    """Return what is to be known of a box and its water."""
    substrate = box.get_substrate_display().replace("_", " ")
    return [
        Fact("Made up", f"{day(box.made_on)}, {substrate}", box.note),
        _mixed(box, units),
        _lost(water, zone, units),
    ]


def _mixed(box: EggBox, units: Units) -> Fact:
    ratio = mass_ratio(water_g=box.water_g, substrate_g=box.substrate_g)
    if ratio is None or box.water_g is None or box.substrate_g is None:
        return Fact("Water to substrate", "not weighed when it was made up")
    water, dry = (numbers.mass(g, units) for g in (box.water_g, box.substrate_g))
    return Fact(
        "Water to substrate",
        f"{_plain(ratio)} : 1 by mass ({water} of water, {dry} dry)",
        "A mass ratio is no water potential: how tightly water is held depends on the "
        "substrate.",
    )


def _lost(water: WaterBalance, zone: ZoneInfo, units: Units) -> Fact:
    last = water.since_last
    if last is None:
        return Fact(
            "Water lost", "not known", "Weigh the box with all in it, twice at least."
        )
    since = day(last.from_at.astimezone(zone).date())
    if last.lost_g is None:
        value = f"not known since {since}: eggs came or went between the weighings"
    elif last.lost_g < 0:
        value = (
            f"none: it gained {numbers.mass(-last.lost_g, units)} since {since}, and "
            "nobody wrote down that water"
        )
    else:
        value = f"{numbers.mass(last.lost_g, units)} since {since}"
    return Fact("Water lost", value, _make_up(water, units))


def _make_up(water: WaterBalance, units: Units) -> str:
    note = ""
    if water.make_up_g is not None:
        note = (
            f"{numbers.mass(water.make_up_g, units)} of water make up what was lost "
            "since it was first weighed."
            if water.make_up_g
            else "Nothing is missing of what it held when it was first weighed."
        )
    if water.unknown:
        spans = count(water.unknown, "time")
        note = f"{note} {spans} eggs came or went between weighings; what went then is not counted.".strip()
    return note


def _plain(ratio: Decimal) -> str:
    return f"{ratio.normalize():f}"


def look_rows(
    checks: Sequence[BoxCheck], zone: ZoneInfo, units: Units
) -> list[LookRow]:
    """Return looks into a box in words, in their order."""
    return [
        LookRow(
            at=clock(check.at, zone),
            mass=numbers.mass(check.mass_g, units) if check.mass_g else "–",
            water=numbers.mass(check.water_g, units) if check.water_g else "–",
            by=str(check.recorded_by) if check.recorded_by else "",
            note=check.note,
            struck=check.struck_reason,
        )
        for check in checks
    ]
