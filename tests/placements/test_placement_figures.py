"""Figures of random histories, counted again by plain SQL over the tables."""

from collections import Counter
from datetime import timedelta
from random import Random
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from placements.queries.figures import ChargeRows, charge_rows
from placements.rules.figures.census import census
from placements.rules.figures.counting import figures_of
from placements.rules.figures.facts import DaySpan, LeftOutWhy, Period
from tests.factories import (
    NOW,
    TODAY,
    AnimalFactory,
    ArrivalFactory,
    EarlierCareFactory,
    IntakeFactory,
    PlacementFactory,
    QuarantineFactory,
    SpeciesFactory,
)
from tests.placements.histories import FIRST, Maker

pytestmark = pytest.mark.django_db
PERIOD = Period(FIRST, TODAY)
DAY = timedelta(days=1)
# Each time in care, and whether it began by coming back from a foster stay or loan.
TIMES = """
WITH times AS (
    SELECT id AS animal_id, arrived_on, left_on, status FROM husbandry_animal
    UNION ALL
    SELECT animal_id, arrived_on, left_on, status FROM husbandry_earliercare
)
"""
INTAKES = f"""{TIMES}
SELECT COUNT(*) FROM times t WHERE NOT EXISTS (
    SELECT 1 FROM placements_placement p
    WHERE p.animal_id = t.animal_id AND p.ended_on = t.arrived_on
      AND p.state = 'came_back' AND p.kind IN ('foster', 'loan'))
"""
BY_SOURCE = """
SELECT a.source, COUNT(*) FROM placements_intake i
JOIN placements_arrival a ON a.id = i.arrival_id
WHERE a.source <> 'return' GROUP BY a.source
"""
BY_KIND = """
SELECT kind, COUNT(*) FROM placements_placement
WHERE handed_over_on IS NOT NULL AND kind NOT IN ('foster', 'loan') GROUP BY kind
"""
DEATHS = f"""{TIMES}
SELECT (SELECT COUNT(*) FROM times WHERE status = 'dead')
     + (SELECT COUNT(*) FROM placements_placement
         WHERE state = 'died_there' AND kind IN ('foster', 'loan')),
       (SELECT COUNT(*) FROM times WHERE status = 'lost'),
       (SELECT COUNT(*) FROM times t WHERE status = 'placed' AND NOT EXISTS (
         SELECT 1 FROM placements_placement p
         WHERE p.animal_id = t.animal_id AND p.handed_over_on = t.left_on))
"""
CENSUS = f"""{TIMES}
SELECT (SELECT COUNT(*) FROM times
         WHERE arrived_on <= %s AND (left_on IS NULL OR left_on > %s)),
       (SELECT COUNT(*) FROM placements_placement
         WHERE kind IN ('foster', 'loan') AND handed_over_on <= %s
           AND (ended_on IS NULL OR ended_on > %s))
"""


def asked(sql: str, *given: Any) -> list[tuple[Any, ...]]:
    with connection.cursor() as cursor:
        cursor.execute(sql, given)
        return list(cursor.fetchall())


def rows(species: str = "") -> ChargeRows:
    return charge_rows(species=species, on=TODAY)


@pytest.mark.parametrize("seed", [11, 12, 13])
def test_figures_are_what_the_tables_say(seed: int) -> None:
    list(Maker(Random(seed)).lives(40))

    found = rows()

    assert found.left_out == ()
    counted = figures_of(found.charges, period=PERIOD, on=TODAY)
    assert [(sum(counted.intakes.values()),)] == asked(INTAKES)
    by_source = {how.value: count for how, count in counted.intakes.items()}
    for how in ("return", "not_said", "found_again"):
        by_source.pop(how, None)
    assert by_source == dict(asked(BY_SOURCE))
    outcomes = Counter({how.value: n for how, n in counted.outcomes.items()})
    died = outcomes.pop("death", 0) + outcomes.pop("put_to_sleep", 0)
    ((dead, lost, unsaid),) = asked(DEATHS)
    assert (died, outcomes.pop("loss", 0), outcomes.pop("not_said", 0)) == (
        *(dead, lost),
        unsaid,
    )
    assert outcomes == dict(asked(BY_KIND))
    assert counted.stay.exits == sum(counted.outcomes.values())


def test_the_census_is_what_the_tables_say_day_by_day() -> None:
    list(Maker(Random(21)).lives(40))

    days = census(rows().charges, period=PERIOD, on=TODAY)

    for day in days[::29]:
        assert asked(CENSUS, *[day.on] * 4) == [(day.here, day.away)], day.on
    assert max(day.charges for day in days) > 10


def test_dirty_records_are_left_out_and_listed_and_change_nothing_else() -> None:
    list(Maker(Random(31)).lives(20))
    clean = figures_of(rows().charges, period=PERIOD, on=TODAY)
    negative = AnimalFactory.create(
        code="D-1", arrived_on=TODAY - DAY, status="lost", left_on=TODAY - 9 * DAY
    )
    to_come = AnimalFactory.create(code="D-2", arrived_on=TODAY + DAY)
    never = AnimalFactory.create(
        code="D-3", status="elsewhere", arrived_on=TODAY, left_on=TODAY
    )
    IntakeFactory.create(animal=never, arrival=ArrivalFactory(arrived_at=NOW))

    found = rows()

    assert [(one.code, one.why) for one in found.left_out] == [
        (negative.code, LeftOutWhy.NEGATIVE),
        (to_come.code, LeftOutWhy.TO_COME),
        (never.code, LeftOutWhy.NO_TIME_IN_CARE),
    ]
    assert figures_of(found.charges, period=PERIOD, on=TODAY) == clean


def test_overlapping_and_repeated_times_leave_the_later_one() -> None:
    animal = AnimalFactory.create(arrived_on=TODAY - 20 * DAY)
    EarlierCareFactory.create(
        animal=animal, arrived_on=TODAY - 50 * DAY, left_on=TODAY - 10 * DAY
    )
    twice = AnimalFactory.create(
        arrived_on=TODAY - 5 * DAY, left_on=TODAY - DAY, status="lost"
    )
    EarlierCareFactory.create(
        animal=twice, arrived_on=TODAY - 5 * DAY, left_on=TODAY - DAY, status="lost"
    )

    found = rows()

    assert [(one.code, one.why) for one in found.left_out] == [
        (animal.code, LeftOutWhy.OVERLAPPING),
        (twice.code, LeftOutWhy.REPEATED),
    ]
    assert [(c.code, c.began_on) for c in found.charges] == [
        (animal.code, TODAY - 20 * DAY),
        (twice.code, TODAY - 5 * DAY),
    ]


def test_quarantines_and_plans_come_along() -> None:
    animal = AnimalFactory.create(arrived_on=TODAY - 40 * DAY)
    QuarantineFactory.create(
        animal=animal,
        began_on=TODAY - 40 * DAY,
        ended_on=TODAY - 11 * DAY,
        ended_at=NOW,
    )
    PlacementFactory.create(animal=animal, created_at=NOW - 3 * DAY)

    (charge,) = rows().charges

    assert charge.quarantines == (DaySpan(TODAY - 40 * DAY, TODAY - 10 * DAY),)
    assert charge.planned == (DaySpan(TODAY - 3 * DAY, None),)


def test_one_species_only() -> None:
    AnimalFactory.create()
    other = AnimalFactory.create(species=SpeciesFactory(code="other"))

    assert [charge.code for charge in rows("other").charges] == [other.code]


def test_as_many_queries_for_many_as_for_one() -> None:
    def counted() -> int:
        with CaptureQueriesContext(connection) as queries:
            rows()
        return len(queries)

    AnimalFactory.create()
    one = counted()
    list(Maker(Random(41)).lives(10))

    assert counted() == one == 8
