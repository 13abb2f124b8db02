"""What the nights say of care, asked again in SQL that shares no code with the rules."""

from collections.abc import Iterator
from datetime import date, timedelta
from itertools import pairwise

import pytest
from django.db import connection, transaction

from demo.build import Demo
from demo.nights import Nights
from demo.plans import NIGHTS
from husbandry.rules.vocabulary import FindingKind
from tests.demo import fortnights

# Without it no database would be made where this file is run alone.
pytestmark = pytest.mark.django_db
UNTIL = date(2026, 2, 24)
# Lisbon keeps UTC in winter, so a local day of this fortnight is a day of UTC.


@pytest.fixture(scope="module")
def demo(django_db_setup: None, django_db_blocker, tmp_path_factory) -> Iterator[Demo]:
    with django_db_blocker.unblock(), transaction.atomic():
        yield fortnights.build_until(UNTIL, tmp_path_factory.mktemp("demo"))
        transaction.set_rollback(True)


def ask(sql: str, *params: object) -> set[tuple[object, ...]]:
    with connection.cursor() as cursor:
        cursor.execute(sql, params)
        return {tuple(row) for row in cursor.fetchall()}


def seen(kind: FindingKind) -> set[tuple[str, str]]:
    rows = ask(
        'SELECT a.code, s."on" FROM husbandry_sighting s '
        "JOIN husbandry_animal a ON a.id = s.animal_id WHERE s.kind = %s AND s.seen",
        kind.value,
    )
    return {(str(code), str(on)) for code, on in rows}


def days(demo: Demo) -> list[str]:
    nights = Nights(demo.until, fortnights.ZONE)
    return [nights.on(n).isoformat() for n in range(1, NIGHTS + 1)]


def test_a_hatchling_is_missed_on_exactly_the_days_without_a_meal(demo: Demo) -> None:
    """Daily, common practice without a source: 10 to 15 insects."""
    fed = {
        (code, str(on)[:10])
        for code, on in ask(
            "SELECT a.code, f.at FROM husbandry_feeding f "
            "JOIN husbandry_animal a ON a.id = f.animal_id "
            "WHERE a.code LIKE 'V-04%%' AND f.struck_at IS NULL"
        )
    }
    hatchlings = {
        str(code)
        for (code,) in ask("SELECT code FROM husbandry_animal WHERE code LIKE 'V-04%%'")
    }
    unfed = {
        (code, on) for code in hatchlings for on in days(demo) if (code, on) not in fed
    }

    assert len(hatchlings) == 12
    assert unfed
    missed = seen(FindingKind.FEEDING_MISSED)
    assert {one for one in missed if one[0] in hatchlings} == unfed


def test_nobody_else_went_longer_without_food_than_the_rule_allows(demo: Demo) -> None:
    """Every 2 to 3 days, common practice without a source; no gap is longer."""
    rows = ask(
        "SELECT a.code, f.at FROM husbandry_feeding f "
        "JOIN husbandry_animal a ON a.id = f.animal_id "
        "WHERE a.code NOT LIKE 'V-04%%' AND f.struck_at IS NULL"
    )
    meals: dict[str, list[date]] = {}
    for code, at in sorted((str(c), str(a)[:10]) for c, a in rows):
        meals.setdefault(code, []).append(date.fromisoformat(at))
    gaps = {
        (later - earlier).days
        for on in meals.values()
        for earlier, later in pairwise(on)
    }

    assert len(meals) == 12
    assert max(gaps) <= 3
    assert {c for c, _ in seen(FindingKind.FEEDING_MISSED)} <= {"V-0410"}


def test_no_animal_got_vitamin_d3_on_more_than_two_days_of_a_month(demo: Demo) -> None:
    """Twice a month, common practice without a source; too much is toxic."""
    rows = ask(
        "SELECT a.code, f.at, f.supplements FROM husbandry_feeding f "
        "JOIN husbandry_animal a ON a.id = f.animal_id WHERE f.struck_at IS NULL"
    )
    d3_days: dict[tuple[str, str], set[str]] = {}
    for code, at, supplements in rows:
        if "d3" in str(supplements).replace("without", ""):
            key = (str(code), str(at)[:7])
            d3_days.setdefault(key, set()).add(str(at)[:10])

    assert d3_days
    assert max(map(len, d3_days.values())) <= 2
    assert seen(FindingKind.TOO_MUCH_D3) == set()


def test_a_dose_is_missed_from_the_day_that_no_row_stands_for_it(demo: Demo) -> None:
    ((code, first_at, until_on, every),) = ask(
        "SELECT a.code, p.first_at, p.until_on, p.every_hours "
        "FROM husbandry_prescription p JOIN husbandry_animal a ON a.id = p.animal_id"
    )
    given = {str(at)[:10] for (at,) in ask("SELECT due_at FROM husbandry_dose")}
    first, last = (date.fromisoformat(str(d)[:10]) for d in (first_at, until_on))
    due = [first + timedelta(days=n) for n in range((last - first).days + 1)]
    without = [on for on in due if on.isoformat() not in given]

    assert every == 24
    assert len(without) == 1
    expected = {(code, on) for on in days(demo) if on >= without[0].isoformat()}
    assert seen(FindingKind.DOSE_MISSED) == expected
