"""The care of a day: what is due for 10,000 animals, from what is on record of them."""

from collections.abc import Callable, Iterator
from datetime import UTC, datetime, time, timedelta
from decimal import Decimal

from django.db import connection

from bench.frame import Figure, progress, side_by_side
from bench.herd import ON, stock
from bench.residents import BATCH, settle
from bench.scratch import scratch_database
from core.models import Site
from husbandry.models import Animal, Chore, Enclosure, Feeding, Lamp, Weighing
from husbandry.queries.care import care_facts
from husbandry.rules.care.due import tasks_due
from husbandry.rules.care.facts import CareFacts
from husbandry.rules.vocabulary import ChoreKind, LampKind

ANIMALS = 10_000
DAYS = 60
WEIGHED_EVERY_DAYS = 14
# Of a grown animal, every two and three days by turns: 24 in 60 days.
FEEDINGS = [n for n in range(DAYS) if n % 5 in {0, 2}]
DUE_S = 1.0
FEEDING_COLUMNS = (
    *("animal_id", "pk", "at", "feeder", "offered", "eaten", "supplements"),
    "assisted",
)


def figures(*, size: int | None) -> Iterator[Figure]:
    """Measure gathering what is on record, and working out what is due."""
    with scratch_database():
        site = _site(size or ANIMALS)
        yield from _figures(site, f"care, {size or ANIMALS:,} animals")


def _figures(site: Site, label: str) -> Iterator[Figure]:
    progress("measuring")
    facts = care_facts(site=site, from_on=ON, until_on=ON)
    works = {
        "rows": _rows(site),
        "facts": lambda: care_facts(site=site, from_on=ON, until_on=ON),
        "due": _due(facts),
    }
    taken = side_by_side(works, repeats=3)
    rows = sum(len(animal.feedings) for animal in facts.animals)
    progress(f"{rows:,} feedings, {len(_due(facts)()):,} tasks due on the day")
    yield Figure(
        f"{label}: what is due on a day",
        taken["due"], DUE_S * 1000, 1.0, "one second",
    )  # fmt: skip
    yield Figure(
        f"{label}: gather the facts",
        taken["facts"], taken["rows"], 2.0, "reading the same rows",
    )  # fmt: skip
    yield Figure(
        f"{label}: facts and what is due",
        taken["facts"] + taken["due"], taken["rows"], None, "reading the same rows",
    )  # fmt: skip


def _due(facts: CareFacts) -> Callable[[], tuple[object, ...]]:
    return lambda: tasks_due(facts, from_on=ON, until_on=ON)


def _rows(site: Site) -> Callable[[], None]:
    """Return the floor: the rows of the same days, read as plain tuples."""
    from_at = datetime.combine(ON - timedelta(days=62), time(), tzinfo=UTC)
    animals = Animal.objects.filter(stays__enclosure__room__site=site)

    def read() -> None:
        list(animals.values_list("pk", "code", "name", "sex", "hatched_on"))
        here = {"animal__in": animals.values("pk"), "at__gte": from_at}
        list(Feeding.objects.filter(**here).values_list(*FEEDING_COLUMNS))
        list(Weighing.objects.filter(**here).values_list("animal_id", "at", "mass_g"))
        list(Enclosure.objects.filter(room__site=site).values_list("pk", "code"))
        list(Chore.objects.filter(at__gte=from_at).values_list("at", "enclosure_id"))
        list(Lamp.objects.values_list("pk", "enclosure_id", "fitted_on"))

    return read


def _site(animals: int) -> Site:
    """Let animals live as they should, with all their care of 60 days on record."""
    site = settle(stock(animals))
    progress(f"recording {animals * len(FEEDINGS):,} feedings")
    keys = list(Animal.objects.order_by("pk").values_list("pk", flat=True))
    Feeding.objects.bulk_create(_feedings(keys), batch_size=BATCH)
    Weighing.objects.all().delete()
    Weighing.objects.bulk_create(_weighings(keys), batch_size=BATCH)
    enclosures = list(Enclosure.objects.order_by("pk").values_list("pk", flat=True))
    Chore.objects.bulk_create(_chores(enclosures), batch_size=BATCH)
    Lamp.objects.bulk_create(
        (
            Lamp(
                enclosure_id=key,
                kind=LampKind.UVB_TUBE.value,
                fitted_on=ON - timedelta(days=100 + key % 90),
            )
            for key in enclosures
        ),
        batch_size=BATCH,
    )
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")
    return site


def _feedings(keys: list[int]) -> Iterator[Feeding]:
    for key in keys:
        for days in FEEDINGS:
            at = _moment(days + 1, minute=key % 60)
            yield Feeding(
                animal_id=key,
                at=at,
                feeder="feeder-crickets",
                offered=4,
                eaten=4,
                supplements=["plain-calcium"],
                recorded_at=at,
            )


def _weighings(keys: list[int]) -> Iterator[Weighing]:
    for key in keys:
        for days in range(1, DAYS, WEIGHED_EVERY_DAYS):
            at = _moment(days, minute=key % 60)
            yield Weighing(animal_id=key, at=at, mass_g=Decimal(140), recorded_at=at)


def _chores(enclosures: list[int]) -> Iterator[Chore]:
    for key in enclosures:
        for days in range(7):
            at = _moment(days, hour=6, minute=key % 60)
            yield Chore(
                kind=ChoreKind.MISTING.value, enclosure_id=key, at=at, recorded_at=at
            )


def _moment(days: int, *, hour: int = 9, minute: int = 0) -> datetime:
    return datetime.combine(ON - timedelta(days=days), time(hour, minute), tzinfo=UTC)
