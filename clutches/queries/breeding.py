"""Every clutch of which eggs are still awaited, with what is due among them."""

from collections import defaultdict
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.db.models import Count, Exists, Max, Min, OuterRef, Q, QuerySet, Subquery

from clutches.models import (
    BoxCheck,
    BoxStay,
    Clutch,
    Egg,
    EggCheck,
    EggPlace,
    Forecast,
)
from clutches.queries.eggs import counts_by_state
from clutches.rules.eggs.due import (
    Due,
    HatchWindow,
    WaitingBox,
    WaitingClutch,
    due_among,
    profile_window,
)
from clutches.rules.eggs.stages import Expected, candle_from, expected_stage
from clutches.rules.eggs.states import LIVING
from clutches.rules.vocabulary import EggState, ForecastBasis
from husbandry.queries.profiles import profiles_in_force
from husbandry.rules.profiles.values import Profile

_LIVING = [state.value for state in LIVING]


@dataclass(frozen=True, slots=True)
class BreedingClutch:
    """One clutch with what is awaited of it.

    Attributes:
        dam, dam_code, dam_label: key, code and label of the female; None and "": not
            known.
        today: the local day where it is; day: days since laying.
        states: how many eggs stand how, in the order of the states; all four.
        due: what is to be done, the earliest first, also later.
    """

    id: int
    code: str
    species: str
    species_code: str
    dam: int | None
    dam_code: str
    dam_label: str
    site: str
    site_id: int
    site_code: str
    laid_on: date
    today: date
    day: int
    states: tuple[tuple[EggState, int], ...]
    expected: Expected
    waiting: WaitingClutch
    due: tuple[Due, ...]

    @property
    def due_today(self) -> tuple[Due, ...]:
        """Return what is due by today."""
        return tuple(due for due in self.due if due.on <= self.today)

    @property
    def next_due(self) -> Due | None:
        """Return what is due next after today; None: nothing is known."""
        return next((due for due in self.due if due.on > self.today), None)


def breeding_list(
    *, at: datetime, clutch: Clutch | None = None
) -> tuple[BreedingClutch, ...]:
    """Return the clutches with eggs that incubate or have pipped, nearest first.

    As many queries for many clutches as for one.

    Args:
        at: now.
        clutch: only this one; None: all.

    Returns:
        By the first day of the hatch window; those without one last, then by code.

    Raises:
        ProfileErrors: the text of a care profile can no longer be read.
    """
    rows = _clutches(clutch)
    if not rows:
        return ()
    keys = [row.pk for row in rows]
    today = {row.pk: _day(at, row) for row in rows}
    versions = profiles_in_force(
        species_ids={row.species_id for row in rows}, on=max(today.values())
    )
    profiles = {
        row.pk: versions[row.species_id].profile
        for row in rows
        if row.species_id in versions
    }
    counts = counts_by_state(clutch_ids=keys)
    boxes = _boxes(rows)
    windows = _windows(keys, boxes)
    uncandled = _uncandled(rows, profiles)
    found = []
    for row in rows:
        profile = profiles.get(row.pk)
        alive = sum(counts[row.pk][state] for state in LIVING)
        placed = sum(box.eggs for box in boxes.get(row.pk, ()))
        waiting = WaitingClutch(
            laid_on=row.laid_on,
            eggs=alive,
            pipped=counts[row.pk][EggState.PIPPED],
            unplaced=alive - placed,
            uncandled=uncandled.get(row.pk, 0),
            boxes=tuple(boxes.get(row.pk, ())),
            windows=windows.get(row.pk) or _of_profile(profile, row.laid_on),
        )
        day = (today[row.pk] - row.laid_on).days
        found.append(
            BreedingClutch(
                id=row.pk,
                code=row.code,
                species=str(row.species),
                species_code=row.species.code,
                dam=row.dam_id,
                dam_code=row.dam.code if row.dam else "",
                dam_label=str(row.dam) if row.dam else "",
                site=row.site.name,
                site_id=row.site_id,
                site_code=row.site.code,
                laid_on=row.laid_on,
                today=today[row.pk],
                day=day,
                states=tuple((state, counts[row.pk][state]) for state in EggState),
                expected=expected_stage(profile, day=day),
                waiting=waiting,
                due=due_among(waiting, profile, today=today[row.pk]),
            )
        )
    return tuple(sorted(found, key=_nearness))


def _nearness(clutch: BreedingClutch) -> tuple[date, str]:
    first = min((w.earliest_on for w in clutch.waiting.windows), default=date.max)
    return first, clutch.code


def _clutches(clutch: Clutch | None) -> list[Clutch]:
    living = Egg.objects.filter(clutch=OuterRef("pk"), state__in=_LIVING)
    rows = Clutch.objects.filter(Exists(living))
    if clutch is not None:
        rows = rows.filter(pk=clutch.pk)
    return list(rows.select_related("species", "dam", "site").order_by("code"))


def _of_profile(profile: Profile | None, laid_on: date) -> tuple[HatchWindow, ...]:
    window = profile_window(profile, laid_on=laid_on)
    return (window,) if window else ()


def _day(at: datetime, clutch: Clutch) -> date:
    return at.astimezone(ZoneInfo(clutch.site.time_zone)).date()


def _lying(clutch_ids: Collection[int]) -> QuerySet[EggPlace]:
    return EggPlace.objects.filter(
        egg__clutch__in=clutch_ids, egg__state__in=_LIVING, until_at__isnull=True
    )


def _boxes(rows: Collection[Clutch]) -> dict[int, list[WaitingBox]]:
    """Return the boxes with eggs of each clutch, by code; three queries."""
    by_key = {row.pk: row for row in rows}
    stays = BoxStay.objects.filter(box=OuterRef("box"), until_at__isnull=True)
    lying = list(
        _lying(by_key)
        .annotate(incubator=Subquery(stays.values("incubator__code")[:1]))
        .order_by("egg__clutch_id", "box__code")
        .values_list("egg__clutch_id", "box_id", "box__code", "incubator")
        .annotate(eggs=Count("pk"), put_at=Min("from_at"))
    )
    looked = _last_looks({box for _, box, *_ in lying})
    found: dict[int, list[WaitingBox]] = defaultdict(list)
    for clutch, box, code, incubator, eggs, put_at in lying:
        row = by_key[clutch]
        last_at = looked.get(box)
        found[clutch].append(
            WaitingBox(
                code=code,
                incubator=incubator or "",
                eggs=eggs,
                put_on=_day(put_at, row),
                checked_on=_day(last_at, row) if last_at else None,
            )
        )
    return found


def _last_looks(box_ids: Collection[int]) -> dict[int, datetime]:
    found: dict[int, datetime] = {}
    looks = BoxCheck.objects.filter(box__in=box_ids, struck_at__isnull=True).order_by()
    candlings = EggCheck.objects.filter(
        egg__places__box__in=box_ids,
        egg__places__until_at__isnull=True,
        struck_at__isnull=True,
    ).order_by()
    for rows in (
        looks.values_list("box_id").annotate(last=Max("at")),
        candlings.values_list("egg__places__box_id").annotate(last=Max("at")),
    ):
        for box, last in rows:
            found[box] = max(last, found.get(box, last))
    return found


def _windows(
    clutch_ids: Collection[int], boxes: Mapping[int, Collection[WaitingBox]]
) -> dict[int, tuple[HatchWindow, ...]]:
    """Return the newest forecast of each box in which eggs of a clutch lie; one query."""
    last = Forecast.objects.filter(clutch=OuterRef("clutch"), box=OuterRef("box"))
    newest = last.order_by("-on").values("pk")[:1]
    rows = Forecast.objects.filter(clutch__in=clutch_ids, pk=Subquery(newest))
    found: dict[int, list[HatchWindow]] = defaultdict(list)
    for row in rows.select_related("box").order_by("clutch", "box__code"):
        if row.box.code not in {box.code for box in boxes.get(row.clutch_id, ())}:
            continue
        found[row.clutch_id].append(
            HatchWindow(
                earliest_on=row.earliest_on,
                likely_on=row.likely_on,
                latest_on=row.latest_on,
                basis=ForecastBasis(row.basis),
                on=row.on,
            )
        )
    return {clutch: tuple(windows) for clutch, windows in found.items()}


def _uncandled(
    rows: Collection[Clutch], profiles: Mapping[int, Profile]
) -> dict[int, int]:
    """Return how many eggs were not candled since it tells, by clutch; one query.

    A candling counts from the local day on from which the profile says so.
    """
    from_on = {
        row.pk: on
        for row in rows
        if (on := candle_from(profiles.get(row.pk), laid_on=row.laid_on))
    }
    by_key = {row.pk: row for row in rows}
    looks = (
        Egg.objects.filter(clutch__in=from_on, state=EggState.INCUBATING.value)
        .annotate(
            last=Max(
                "checks__at",
                filter=Q(checks__struck_at__isnull=True) & ~Q(checks__seen=""),
            )
        )
        .order_by()
        .values_list("clutch_id", "last")
    )
    found: dict[int, int] = defaultdict(int)
    for clutch, last in looks:
        if last is None or _day(last, by_key[clutch]) < from_on[clutch]:
            found[clutch] += 1
    return found
