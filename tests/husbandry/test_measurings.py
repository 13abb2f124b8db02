"""Lengths: entered in lists, known again, corrected; only the impossible is refused."""

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest

from core.models import AuditEntry
from husbandry.actions.care_records import CareResult
from husbandry.actions.measurings import MeasuringRow, record_measurings
from husbandry.models import Animal, Measuring
from tests.factories import NOW, AnimalFactory, StayFactory, UserFactory
from tests.husbandry.care_lists import (
    KNOWN,
    REFUSED,
    STORED,
    judged,
    queries_of,
    stale_days,
)

pytestmark = pytest.mark.django_db
HOUR, DAY = timedelta(hours=1), timedelta(days=1)
CM = Decimal


@pytest.fixture
def juno() -> Animal:
    return AnimalFactory.create(code="V-1", name="Juno")


def row(**given: Any) -> MeasuringRow:
    return MeasuringRow(**({"animal": "V-1", "at": NOW - HOUR} | given))


def measure(*rows: MeasuringRow, by: Any = None) -> tuple[CareResult, ...]:
    return record_measurings(rows=rows, by=by, recorded_at=NOW)


def one(**given: Any) -> CareResult:
    (result,) = measure(row(**given))
    return result


def test_lengths_are_kept_to_a_millimetre_with_their_audit_entry(juno: Animal) -> None:
    keeper = UserFactory.create()
    said = row(snout_vent_cm=CM("18.46"), total_cm=CM(35), note="On a ruler.")

    (result,) = measure(said, by=keeper)

    stored = Measuring.objects.get()
    assert result == CareResult(STORED, stored.pk, "", "", ())
    assert (stored.animal, stored.at) == (juno, NOW - HOUR)
    assert (stored.snout_vent_cm, stored.total_cm) == (CM("18.5"), CM(35))
    assert (stored.recorded_by, stored.note) == (keeper, "On a ruler.")
    entry = AuditEntry.objects.get()
    assert (entry.verb, entry.after["snout_vent_cm"]) == ("record_measuring", "18.5")
    assert measure(said)[0] == CareResult(KNOWN, stored.pk, "", "", ())


def test_a_bad_line_does_not_keep_the_others_out(juno: Animal) -> None:
    results = measure(
        row(),
        row(snout_vent_cm=CM(18)),
        row(total_cm=CM(35), at=NOW),
        row(animal="V-9", total_cm=CM(35)),
        row(total_cm=CM(35), at=NOW + HOUR),
    )

    assert [r.outcome for r in results] == [REFUSED, STORED, STORED, REFUSED, REFUSED]
    assert [r.code for r in results if r.code] == [
        *("measuring_refused", "care_entry_refused", "care_entry_refused"),
    ]
    assert "Nothing was measured" in results[0].sentence
    assert results[3].fields == (("animal", "the code of an animal"),)
    assert "has not come yet" in results[4].sentence
    assert Measuring.objects.count() == 2


def test_another_length_at_the_same_instant_is_corrected_not_added(
    juno: Animal,
) -> None:
    old = one(snout_vent_cm=CM(18)).record

    other = one(snout_vent_cm=CM(19))
    right = one(snout_vent_cm=CM(19), note="Read from the wrong end.", corrects=old)

    assert "there is another measuring on record (V-1 Juno: 18.0 cm)" in other.sentence
    assert right.outcome is STORED
    struck = Measuring.objects.get(pk=old)
    assert struck.struck_reason == "Read from the wrong end."
    assert AuditEntry.objects.latest("pk").before == {
        "snout_vent_cm": "18.0",
        "note": "",
    }


def test_one_that_shrank_is_kept_as_it_was_measured(juno: Animal) -> None:
    one(snout_vent_cm=CM(18), at=NOW - DAY)

    assert one(snout_vent_cm=CM(12)) == CareResult(
        STORED, Measuring.objects.latest("pk").pk, "", "", ()
    )


def test_a_late_length_makes_reviews_stale(juno: Animal) -> None:
    site = StayFactory.create(animal=juno).enclosure.room.site
    judged(site, 1, 2, 3)

    one(snout_vent_cm=CM(18), at=NOW - 2 * DAY)

    assert stale_days(site) == {1, 2}


def test_many_lines_take_as_many_queries_as_one(juno: Animal) -> None:
    animals = [StayFactory.create().animal for _ in range(30)]

    def work(some: list[Animal], day: int) -> None:
        at = NOW - day * DAY
        results = measure(
            *(row(animal=a.code, at=at, snout_vent_cm=CM(18)) for a in some)
        )
        assert {r.outcome for r in results} == {STORED}

    one_line = queries_of(lambda: work(animals[:1], 2))

    assert queries_of(lambda: work(animals, 3)) == one_line
