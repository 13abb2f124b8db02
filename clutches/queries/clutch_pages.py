"""One clutch with all that is on record of it, and one egg with its history."""

from collections import Counter, defaultdict
from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.db.models import F

from clutches.models import (
    CandidateSire,
    Clutch,
    Egg,
    EggCheck,
    EggPlace,
    Forecast,
    Hatchling,
)
from clutches.queries.eggs import Lying, lying
from clutches.queries.grids import LastLook, last_looks
from clutches.rules.boxes.places import Place
from clutches.rules.vocabulary import Candled, EggState, FailureCause


@dataclass(frozen=True, slots=True)
class EggLine:
    """One egg of a clutch as it stands, and what was last seen of it."""

    id: int
    number: int
    state: EggState
    pipped_on: date | None
    ended_on: date | None
    cause: FailureCause | None
    note: str
    lies: Lying
    look: LastLook


@dataclass(frozen=True, slots=True)
class CandledDay:
    """What was seen on one local day; the last look of the day at each egg counts.

    Attributes:
        day: days since laying.
        seen: how many eggs showed what, in the order of the words.
    """

    on: date
    day: int
    seen: tuple[tuple[Candled, int], ...]


@dataclass(frozen=True, slots=True)
class ClutchRecord:
    """What is on record of a clutch beside itself."""

    eggs: tuple[EggLine, ...]
    candlings: tuple[CandledDay, ...]
    sires: tuple[CandidateSire, ...]
    hatchlings: tuple[Hatchling, ...]
    forecasts: tuple[Forecast, ...]


@dataclass(frozen=True, slots=True)
class Spell:
    """An egg at one place, from an instant until another."""

    box: str
    place: str
    from_at: datetime
    until_at: datetime | None


@dataclass(frozen=True, slots=True)
class EggRecord:
    """What is on record of one egg beside itself: newest looks first, oldest spell."""

    spells: tuple[Spell, ...]
    checks: tuple[EggCheck, ...]
    animal: Hatchling | None


def clutch_record(*, clutch: Clutch) -> ClutchRecord:
    """Return all that is on record of a clutch; six queries."""
    zone = ZoneInfo(clutch.site.time_zone)
    eggs = list(Egg.objects.filter(clutch=clutch).order_by("number"))
    lies = lying(egg_ids=[egg.pk for egg in eggs])
    looks = last_looks(zones=dict.fromkeys((egg.pk for egg in eggs), zone))
    sires = CandidateSire.objects.filter(clutch=clutch).select_related("sire")
    hatchlings = Hatchling.objects.filter(clutch=clutch)
    return ClutchRecord(
        eggs=tuple(
            EggLine(
                id=egg.pk,
                number=egg.number,
                state=EggState(egg.state),
                pipped_on=egg.pipped_on,
                ended_on=egg.ended_on,
                cause=FailureCause(egg.cause) if egg.cause else None,
                note=egg.note,
                lies=lies.get(egg.pk, Lying()),
                look=looks.get(egg.pk, LastLook()),
            )
            for egg in eggs
        ),
        candlings=_candlings(clutch, zone),
        sires=tuple(sires.order_by("-probability", "sire__code")),
        hatchlings=tuple(
            hatchlings.select_related("animal", "egg").order_by(
                F("egg__number").asc(nulls_last=True), "animal__code"
            )
        ),
        forecasts=_newest_forecasts(clutch),
    )


def egg_record(*, egg: Egg) -> EggRecord:
    """Return all that is on record of an egg; three queries."""
    places = EggPlace.objects.filter(egg=egg).select_related("box").order_by("from_at")
    checks = EggCheck.objects.filter(egg=egg).select_related("recorded_by", "struck_by")
    return EggRecord(
        spells=tuple(
            Spell(
                row.box.code,
                Place(row.row, row.column).label,
                row.from_at,
                row.until_at,
            )
            for row in places
        ),
        checks=tuple(checks.order_by("-at", "-pk")),
        animal=Hatchling.objects.filter(egg=egg).select_related("animal").first(),
    )


def _candlings(clutch: Clutch, zone: ZoneInfo) -> tuple[CandledDay, ...]:
    rows = EggCheck.objects.filter(egg__clutch=clutch, struck_at__isnull=True)
    last: dict[date, dict[int, Candled]] = defaultdict(dict)
    for egg, at, seen in (
        rows.exclude(seen="").order_by("at", "pk").values_list("egg_id", "at", "seen")
    ):
        last[at.astimezone(zone).date()][egg] = Candled(seen)
    found = []
    for on, by_egg in last.items():
        counts = Counter(by_egg.values())
        seen_then = tuple((word, counts[word]) for word in Candled)
        found.append(CandledDay(on, (on - clutch.laid_on).days, seen_then))
    return tuple(found)


def _newest_forecasts(clutch: Clutch) -> tuple[Forecast, ...]:
    """Return the newest forecast of each box, by the box's code."""
    found: dict[int, Forecast] = {}
    rows = Forecast.objects.filter(clutch=clutch).select_related("box")
    for row in rows.order_by("box__code", "-on"):
        found.setdefault(row.box_id, row)
    return tuple(found.values())
