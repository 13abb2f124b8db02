"""Eggs: which lie where, now and at the end of a past day."""

from collections import Counter, defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from django.db.models import Count, F, Max, OuterRef, Q, QuerySet, Subquery
from django.db.models.expressions import Combinable

from clutches.models import BoxCheck, BoxStay, Egg, EggCheck, EggPlace
from clutches.rules.boxes.places import Place
from clutches.rules.facts import EggGroup, PhasePlan
from clutches.rules.vocabulary import EggState
from core.errors import NotFoundError
from core.models import Site

_MOMENT = timedelta(microseconds=1)


def egg_groups(
    *,
    site: Site,
    at: datetime,
    zone: ZoneInfo,
    plans: Mapping[int, PhasePlan | None],
) -> tuple[EggGroup, ...]:
    """Return the eggs of a site by clutch and box, as they stood at an instant.

    They are those whose box stands in one of the site's incubators, and those of
    the site's clutches whose box stands nowhere. Four queries.

    Args:
        site: where.
        at: the end of a local day; what is so up to it counts, whatever became of
            the eggs since. See `clutches_at` for which clutches there are.
        zone: the site's.
        plans: how the eggs of each clutch are kept, by clutch; absent: not said.

    Returns:
        By clutch and box, in order of their codes.
    """
    on = (at - _MOMENT).astimezone(zone).date()
    rows = (
        _lying_at(at)
        .filter(_living_on(on, "egg__"), egg__clutch__laid_on__lte=on)
        .annotate(incubator=_stood_in(at, "incubator_id"))
        .annotate(where=_stood_in(at, "incubator__room__site_id"))
        .filter(Q(where=site.pk) | Q(where__isnull=True, egg__clutch__site=site))
        .order_by("egg__clutch__code", "box__code")
        .values_list(
            *("egg__clutch_id", "egg__clutch__code", "egg__clutch__species_id"),
            *("egg__clutch__laid_on", "box_id", "box__code", "incubator"),
        )
        .annotate(
            eggs=Count("pk"),
            pipped=Count("pk", filter=Q(egg__pipped_on__lte=on)),
        )
    )
    found = list(rows)
    hatched = _hatched_until(on, {row[0] for row in found})
    looked = _last_looks(at, {row[4] for row in found}, zone)
    return tuple(
        EggGroup(
            clutch=clutch,
            clutch_code=code,
            species=species,
            laid_on=laid_on,
            box=box,
            box_code=box_code,
            plan=plans.get(clutch),
            eggs=eggs,
            pipped=pipped,
            hatched=hatched.get(clutch, 0),
            incubator=incubator,
            checked_on=looked.get(box),
        )
        for (
            clutch,
            code,
            species,
            laid_on,
            box,
            box_code,
            incubator,
            eggs,
            pipped,
        ) in found
    )


def unplaced_eggs(*, site: Site, at: datetime) -> tuple[tuple[int, str, int], ...]:
    """Return which of a site's clutches have eggs that lie in no box; one query.

    Args:
        site: of the clutches.
        at: the end of a local day.

    Returns:
        (clutch key, code, eggs) in order of the codes.
    """
    on = (at - _MOMENT).astimezone(ZoneInfo(site.time_zone)).date()
    rows = (
        Egg.objects.filter(_living_on(on), clutch__site=site, clutch__laid_on__lte=on)
        .exclude(pk__in=_lying_at(at).values("egg"))
        .order_by("clutch__code")
        .values_list("clutch_id", "clutch__code")
        .annotate(eggs=Count("pk"))
    )
    return tuple((clutch, code, eggs) for clutch, code, eggs in rows)


def clutches_at(*, site: Site, at: datetime) -> dict[int, int]:
    """Return the species of each clutch of which eggs lie at a site; one query.

    Args:
        site: see `egg_groups`.
        at: the end of a local day.
    """
    on = (at - _MOMENT).astimezone(ZoneInfo(site.time_zone)).date()
    rows = (
        _lying_at(at)
        .filter(_living_on(on, "egg__"), egg__clutch__laid_on__lte=on)
        .annotate(where=_stood_in(at, "incubator__room__site_id"))
        .filter(Q(where=site.pk) | Q(where__isnull=True, egg__clutch__site=site))
        .order_by()
        .values_list("egg__clutch_id", "egg__clutch__species_id")
    )
    return dict(rows.distinct())


@dataclass(frozen=True, slots=True)
class Lying:
    """Where one egg lies, and when it last ended to lie somewhere.

    Attributes:
        place: the key of the open spell; None: it lies nowhere.
        at: `B3 of BX-1`; "".
        label: `B3`; "".
        since_at: from when it lies there, or None.
        last_until_at: when its last finished spell ended, or None.
    """

    place: int | None = None
    at: str = ""
    label: str = ""
    box: int | None = None
    box_code: str = ""
    since_at: datetime | None = None
    last_until_at: datetime | None = None


def lying(*, egg_ids: Collection[int]) -> dict[int, Lying]:
    """Return where eggs lie, by egg; those that never lay anywhere are absent.

    One query.
    """
    found: dict[int, Lying] = {}
    rows = EggPlace.objects.filter(egg__in=egg_ids).select_related("box")
    # The open spell comes last: a null would be sorted otherwise by each database.
    for row in rows.order_by("egg", F("until_at").asc(nulls_last=True)):
        if row.until_at is not None:
            found[row.egg_id] = Lying(last_until_at=row.until_at)
            continue
        label = Place(row.row, row.column).label
        found[row.egg_id] = Lying(
            place=row.pk,
            at=f"{label} of {row.box.code}",
            label=label,
            box=row.box_id,
            box_code=row.box.code,
            since_at=row.from_at,
            last_until_at=found.get(row.egg_id, Lying()).last_until_at,
        )
    return found


def eggs_named(*, names: Sequence[tuple[str, int]]) -> list[Egg]:
    """Return eggs by clutch code and number, in the order given; one query.

    Raises:
        NotFoundError: there is no such egg; all that there are not are named.
    """
    rows = Egg.objects.select_related("clutch__site").filter(
        clutch__code__in={code for code, _ in names},
        number__in={number for _, number in names},
    )
    found = {(egg.clutch.code, egg.number): egg for egg in rows}
    missing = sorted({f"egg {n} of {code}" for code, n in set(names) - found.keys()})
    if missing:
        raise NotFoundError(
            f"There is no {', no '.join(missing)}. Give the code on the clutch's label "
            "and a number of its eggs.",
            fields={"eggs": "codes of clutches and numbers of their eggs"},
        )
    return [found[name] for name in names]


def egg_name(egg: Egg) -> str:
    """Return how an egg is called; its clutch is fetched with it."""
    return f"egg {egg.number} of {egg.clutch.code}"


def counts_by_state(*, clutch_ids: Collection[int]) -> dict[int, Counter[EggState]]:
    """Return how many eggs of each clutch stand how, by clutch; one query."""
    found: dict[int, Counter[EggState]] = defaultdict(Counter)
    rows = Egg.objects.filter(clutch__in=clutch_ids).order_by()
    for clutch, state, eggs in rows.values_list("clutch_id", "state").annotate(
        eggs=Count("pk")
    ):
        found[clutch][EggState(state)] = eggs
    return found


def _lying_at(at: datetime) -> QuerySet[EggPlace]:
    """Return the spells that held until an instant: what begins with it does not."""
    still = Q(until_at__isnull=True) | Q(until_at__gte=at)
    return EggPlace.objects.filter(still, from_at__lt=at)


def _living_on(on: date, path: str = "") -> Q:
    """Return the condition of not having ended by the end of a local day."""
    ended_on = f"{path}ended_on"
    return Q(**{f"{ended_on}__isnull": True}) | Q(**{f"{ended_on}__gt": on})


def _stood_in(at: datetime, what: str) -> Combinable:
    still = Q(until_at__isnull=True) | Q(until_at__gte=at)
    rows = BoxStay.objects.filter(still, box=OuterRef("box"), from_at__lt=at)
    return Subquery(rows.order_by("-from_at").values(what)[:1])


def _hatched_until(on: date, clutch_ids: Collection[int]) -> dict[int, int]:
    rows = Egg.objects.filter(
        clutch__in=clutch_ids, state=EggState.HATCHED.value, ended_on__lte=on
    ).order_by()
    return dict(rows.values_list("clutch_id").annotate(eggs=Count("pk")))


def _last_looks(
    at: datetime, box_ids: Collection[int], zone: ZoneInfo
) -> dict[int, date]:
    """Return the local day of the last look at each box or an egg in it; two queries."""
    newest: dict[int, datetime] = {}
    looks = BoxCheck.objects.filter(
        box__in=box_ids, struck_at__isnull=True, at__lt=at
    ).order_by()
    candlings = EggCheck.objects.filter(
        egg__places__in=_lying_at(at).filter(box__in=box_ids),
        struck_at__isnull=True,
        at__lt=at,
    ).order_by()
    for rows in (
        looks.values_list("box_id").annotate(last=Max("at")),
        candlings.values_list("egg__places__box_id").annotate(last=Max("at")),
    ):
        for box, last in rows:
            newest[box] = max(last, newest.get(box, last))
    return {box: last.astimezone(zone).date() for box, last in newest.items()}
