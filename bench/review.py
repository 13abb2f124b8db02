"""The nightly review: reading a day, summing it up, writing what it adds up to."""

import resource
import sys
from collections.abc import Callable, Iterator

from django.db import connection, transaction

from bench import floors
from bench.frame import Figure, fastest, progress, side_by_side
from bench.herd import DAY_S, HOLD_S, ON, START_S, VALUES, Herd, load, night_plan, stock
from bench.residents import whole_night
from bench.scratch import scratch_database
from husbandry.actions.conditions import TABLE, columns_of, write_conditions
from husbandry.actions.copying import copy_in
from husbandry.queries.nights import night_readings
from husbandry.rules.conditions import NightConditions, summarise

SIZES = {"postgresql": (100, 1_000, 10_000), "sqlite": (1_000,)}
MEDIUM, LARGE = 1_000, 10_000
# At the large size the day is all there is: loading more would take minutes.
AROUND_DAYS = {LARGE: 0.02}
MEMORY_MB = 400


def figures(*, size: int | None) -> Iterator[Figure]:
    """Measure the review's parts, at one size or at all of them."""
    best: dict[int, float] = {}
    for enclosures in (size,) if size else SIZES[connection.vendor]:
        with scratch_database():
            herd = _herd(enclosures)
            yield from kernel_figures(herd)
            best[enclosures] = fastest(reading(herd))
            yield from whole_night(herd, f"{enclosures:,} enclosures")
    if {MEDIUM, LARGE} <= best.keys():
        yield Figure(
            "review: growth from 1,000 to 10,000 enclosures",
            best[LARGE], best[MEDIUM], 11, "the same at 1,000",
        )  # fmt: skip


def _herd(enclosures: int) -> Herd:
    around = AROUND_DAYS.get(enclosures, 1)
    values = enclosures * VALUES * DAY_S // 300
    progress(f"storing {enclosures:,} enclosures, {values:,} values a day")
    herd = stock(enclosures)
    load(herd, days_before=around, days_after=around)
    return herd


def kernel_figures(herd: Herd) -> Iterator[Figure]:
    """Measure reading, summing up and writing, without judging."""
    progress("measuring")
    label = f"{herd.enclosures:,} enclosures"
    if connection.vendor == "postgresql":
        yield from _on_postgresql(herd, label)
    else:
        taken = side_by_side({"floor": floors.day_summed(), "work": reading(herd)})
        yield Figure(
            f"review, {label}: read and sum up",
            taken["work"], taken["floor"], 5, "sum computed inside SQLite",
        )  # fmt: skip
    yield from _writing(herd, label)


def _on_postgresql(herd: Herd, label: str) -> Iterator[Figure]:
    large = herd.enclosures >= LARGE
    works = {"floor": floors.day_out(), "work": reading(herd)}
    if large:
        works["narrow"] = floors.narrow_day_out()
    taken = side_by_side(works, repeats=3 if large else 7)
    name = f"review, {label}: read and sum up"
    yield Figure(
        name, taken["work"], taken["floor"],
        1.5 if herd.enclosures == MEDIUM else None, "COPY out of the same rows",
    )  # fmt: skip
    if large:
        yield Figure(
            name, taken["work"], taken["narrow"], 1.0,
            "COPY out of the same values, one a row",
        )  # fmt: skip
        yield Figure(
            f"review, {label}: memory of the whole process",
            _peak_mb(), MEMORY_MB, 1.0, "what it may take", unit="MB",
        )  # fmt: skip


def reading(herd: Herd) -> Callable[[], NightConditions]:
    """Return the work of reading the measured day and summing it up."""

    def work() -> NightConditions:
        # The plan is made anew, as every review does.
        plan = night_plan(herd)
        readings = night_readings(
            probe_ids=herd.probe_ids, from_s=START_S - HOLD_S, until_s=START_S + DAY_S
        )
        return summarise(readings, plan)

    return work


def _writing(herd: Herd, label: str) -> Iterator[Figure]:
    """Measure writing a night again; each time it is rolled back."""
    night = reading(herd)()
    with transaction.atomic():
        write_conditions(night, on=ON, probe_ids=herd.probe_ids)

    def again() -> None:
        with transaction.atomic():
            write_conditions(night, on=ON, probe_ids=herd.probe_ids)
            transaction.set_rollback(True)

    def rows_in() -> None:
        with transaction.atomic():
            copy_in("bench_conditions", columns_of(night, ON, herd.probe_ids))
            transaction.set_rollback(True)

    if connection.vendor != "postgresql":
        taken = side_by_side({"work": again}, repeats=3)
        yield Figure(
            f"review, {label}: write conditions again",
            taken["work"], len(night) / 1000, None, "per thousand rows",
        )  # fmt: skip
        return
    with connection.cursor() as cursor:
        cursor.execute(f"CREATE TABLE bench_conditions (LIKE {TABLE} INCLUDING ALL)")
    taken = side_by_side({"floor": rows_in, "work": again}, repeats=3)
    yield Figure(
        f"review, {label}: write conditions again",
        taken["work"], taken["floor"], 2.5, "COPY of the same rows in",
    )  # fmt: skip


def _peak_mb() -> float:
    """Return the most memory this process ever had."""
    unit = 1 if sys.platform == "darwin" else 1024
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * unit / 2**20
