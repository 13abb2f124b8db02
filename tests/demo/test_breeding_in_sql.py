"""What the nights say of eggs, asked again in SQL that shares no code with the rules."""

import json
from collections import Counter
from collections.abc import Iterator
from datetime import date, timedelta

import pytest
from django.db import connection, transaction

from clutches.models import Clutch
from clutches.queries.clutches import clutch_counts
from demo.build import Demo
from demo.nights import Nights
from demo.plans import NIGHTS
from husbandry.rules.vocabulary import FindingKind
from tests.demo import fortnights

# Without it no database would be made where this file is run alone.
pytestmark = pytest.mark.django_db
UNTIL = date(2026, 2, 24)
# Lisbon keeps UTC in winter, so a local day of this fortnight is a day of UTC.
DAY = timedelta(days=1)
LOOK_AFTER_DAYS = 14  # House rule, no source.
LAYING_UNTIL_DAYS = 35  # Zoo profile of 2014 and one vet's case: three to five weeks.
WARMEST_MILLI_C = 30_000  # Andrews 2008: the warmest regime that was studied.
HOLD_S = 1800  # A logger writes every ten minutes; a value holds for three of them.
GAP_S = 3600  # Convention of this project.


@pytest.fixture(scope="module")
def demo(django_db_setup: None, django_db_blocker, tmp_path_factory) -> Iterator[Demo]:
    with django_db_blocker.unblock(), transaction.atomic():
        yield fortnights.build_until(UNTIL, tmp_path_factory.mktemp("demo"))
        transaction.set_rollback(True)


def ask(sql: str, *params: object) -> list[tuple[object, ...]]:
    with connection.cursor() as cursor:
        cursor.execute(sql, params)
        return [tuple(row) for row in cursor.fetchall()]


def day_of(instant: object) -> date:
    return date.fromisoformat(str(instant)[:10])


def days(demo: Demo) -> list[date]:
    nights = Nights(demo.until, fortnights.ZONE)
    return [nights.on(n) for n in range(1, NIGHTS + 1)]


def told(kind: FindingKind) -> list[tuple[date, dict]]:
    """Return the day and the evidence of every night on which it was seen."""
    rows = ask(
        'SELECT "on", evidence FROM husbandry_sighting WHERE kind = %s AND seen',
        kind.value,
    )
    return [(day_of(on), json.loads(str(evidence))) for on, evidence in rows]


def test_a_box_is_unchecked_on_exactly_the_days_without_a_look(demo: Demo) -> None:
    looks = ask(
        "SELECT b.code, k.at FROM clutches_boxcheck k "
        "JOIN clutches_eggbox b ON b.id = k.box_id WHERE k.struck_at IS NULL "
        "UNION ALL SELECT b.code, k.at FROM clutches_eggcheck k "
        "JOIN clutches_eggplace p ON p.egg_id = k.egg_id "
        "JOIN clutches_eggbox b ON b.id = p.box_id WHERE k.struck_at IS NULL"
    )
    filled = {code for (code,) in ask("SELECT code FROM clutches_eggbox")}
    expected = set()
    for on in days(demo):
        for code in filled:
            last = max(day_of(at) for c, at in looks if c == code and day_of(at) <= on)
            if (on - last).days > LOOK_AFTER_DAYS:
                expected.add((code, on))

    assert len(filled) == 2
    assert expected
    unchecked = told(FindingKind.BOX_UNCHECKED)
    assert {(evidence["box"], on) for on, evidence in unchecked} == expected


# How long each value of a probe among eggs held, in seconds.
HELD = (
    "SELECT p.code AS probe, e.code AS incubator, r.at, r.temperature_milli_c, "
    "lead(r.at) OVER (PARTITION BY r.probe_id ORDER BY r.at) - r.at AS next_s "
    "FROM husbandry_reading r JOIN husbandry_probe p ON p.id = r.probe_id "
    "JOIN husbandry_enclosure e ON e.id = p.enclosure_id "
    "WHERE e.kind = 'incubator' AND r.temperature_milli_c IS NOT NULL"
)


def utc_day(epoch_s: int) -> date:
    return date(1970, 1, 1) + epoch_s // 86_400 * DAY


def test_eggs_were_past_the_hard_limit_for_exactly_so_long(demo: Demo) -> None:
    seconds: Counter[tuple[object, date]] = Counter()
    for incubator, at, next_s in ask(
        f"SELECT incubator, at, next_s FROM ({HELD}) held "
        "WHERE temperature_milli_c > %s",
        WARMEST_MILLI_C,
    ):
        seconds[incubator, utc_day(at)] += min(next_s, HOLD_S)

    assert sum(seconds.values()) > 2 * 3600
    warm = told(FindingKind.EGGS_TOO_WARM)
    past = {(e["enclosure"], on): e["past_hard_s"] for on, e in warm if e["past_hard"]}
    assert past == dict(seconds)


def test_eggs_went_unmeasured_for_exactly_so_long(demo: Demo) -> None:
    gaps = {
        (probe, utc_day(at), round((next_s - HOLD_S) / 3600, 1))
        for probe, at, next_s in ask(
            f"SELECT probe, at, next_s FROM ({HELD}) held WHERE next_s >= %s",
            HOLD_S + GAP_S,
        )
    }

    assert gaps
    silent = told(FindingKind.EGGS_UNMEASURED)
    assert {(e["probes"][0], on, e["hours"]) for on, e in silent} == gaps


def test_she_is_overdue_from_the_day_after_the_laying_window(demo: Demo) -> None:
    met = ask(
        "SELECT a.code, max(i.at) FROM clutches_introduction i "
        "JOIN clutches_pairing p ON p.id = i.pairing_id "
        "JOIN husbandry_animal a ON a.id = p.dam_id "
        "WHERE i.outcome = 'mated' AND i.struck_at IS NULL GROUP BY a.code"
    )
    laid = ask(
        "SELECT a.code, max(c.laid_on) FROM clutches_clutch c "
        "JOIN husbandry_animal a ON a.id = c.dam_id GROUP BY a.code"
    )
    last_laid = {code: day_of(on) for code, on in laid}
    waiting = {(code, day_of(at)) for code, at in met if last_laid[code] < day_of(at)}
    expected = {
        (code, on)
        for code, mated_on in waiting
        for on in days(demo)
        if (on - mated_on).days > LAYING_UNTIL_DAYS
    }

    assert len(waiting) == 2
    assert expected
    overdue = told(FindingKind.LAYING_OVERDUE)
    assert {(e["animal"].split()[0], on) for on, e in overdue} == expected


def test_every_egg_is_counted_once_and_lies_where_it_should(demo: Demo) -> None:
    rows = ask(
        "SELECT c.code, e.state, count(*) FROM clutches_egg e "
        "JOIN clutches_clutch c ON c.id = e.clutch_id GROUP BY c.code, e.state"
    )
    (total,) = ask("SELECT sum(eggs_set) FROM clutches_clutch")
    astray = ask(
        "SELECT e.id FROM clutches_egg e LEFT JOIN clutches_eggplace p "
        "ON p.egg_id = e.id AND p.until_at IS NULL GROUP BY e.id, e.ended_on "
        "HAVING count(p.id) <> CASE WHEN e.ended_on IS NULL THEN 1 ELSE 0 END"
    )
    codes = dict(Clutch.objects.values_list("pk", "code"))
    counts = clutch_counts(clutch_ids=codes.keys())
    counted = {
        (codes[key], state, number)
        for key, one in counts.items()
        for state in ("incubating", "pipped", "hatched", "failed")
        if (number := getattr(one, state))
    }

    assert set(rows) == counted
    assert sum(number for _, _, number in rows) == total[0] == 133
    assert astray == []
