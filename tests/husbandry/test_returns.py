"""Animals that come into care again: what is kept, what is judged, what is refused."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

import pytest

from core.models import AuditEntry, Site
from husbandry.actions.animals import AnimalError, correct_animal, mark_left
from husbandry.actions.feedings import FeedingRow, record_feedings
from husbandry.actions.health_tests import record_test
from husbandry.actions.returns import take_back
from husbandry.actions.stays import move_animal, record_move
from husbandry.actions.weights import WeighingError, record_weighing
from husbandry.models import Animal, EarlierCare, ReviewRun
from husbandry.queries.animal_tasks import animal_tasks
from husbandry.queries.animals import here_since, in_care_on
from husbandry.queries.care import care_facts
from husbandry.queries.returns import last_day_of_care, times_away
from husbandry.queries.review import night_facts
from husbandry.rules.health.testing import HealthTestError
from husbandry.rules.returns import ReturnError, TimeAway
from husbandry.rules.stays import MoveError
from husbandry.rules.vocabulary import AnimalStatus, DatePrecision, HealthTestKind
from tests.factories import (
    NOW,
    TODAY,
    AnimalFactory,
    EarlierCareFactory,
    EnclosureFactory,
    ReviewRunFactory,
    RoomFactory,
    SiteFactory,
    StayFactory,
)

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)


@pytest.fixture
def site() -> Site:
    return SiteFactory.create(time_zone="UTC")


def came_again(site: Site) -> Animal:
    """Here in January, placed on the 20th, back since 10 February."""
    enclosure = EnclosureFactory.create(room=RoomFactory.create(site=site))
    animal = AnimalFactory.create(code="V-7", name="", arrived_on=date(2026, 1, 1))
    stay = StayFactory.create(
        animal=animal,
        enclosure=enclosure,
        from_at=datetime(2026, 1, 1, 9, tzinfo=UTC),
    )
    mark_left(
        animal=animal,
        status=AnimalStatus.PLACED,
        on=date(2026, 1, 20),
        by=None,
        at=NOW,
    )
    animal = take_back(animal=animal, arrived_on=date(2026, 2, 10), by=None, at=NOW)
    record_move(
        animal=animal,
        to=stay.enclosure,
        moved_at=datetime(2026, 2, 10, 9, tzinfo=UTC),
        by=None,
        at=NOW,
    )
    return animal


def test_its_earlier_time_stays_on_record() -> None:
    animal = AnimalFactory.create(
        arrived_on=date(2025, 3, 1), status="placed", left_on=date(2026, 1, 5)
    )

    back = take_back(animal=animal, arrived_on=TODAY, by=None, at=NOW)

    assert (back.status, back.arrived_on, back.left_on) == ("in_care", TODAY, None)
    earlier = EarlierCare.objects.get()
    assert (earlier.animal, earlier.status) == (animal, "placed")
    assert (earlier.arrived_on, earlier.left_on) == (
        date(2025, 3, 1),
        date(2026, 1, 5),
    )
    entry = AuditEntry.objects.get(verb="take_back")
    assert entry.before == {
        "status": "placed",
        "arrived_on": "2025-03-01",
        "left_on": "2026-01-05",
    }
    assert entry.after == {
        "status": "in_care",
        "arrived_on": TODAY.isoformat(),
        "left_on": None,
    }


@pytest.mark.parametrize("status", ["placed", "lost", "released"])
def test_it_may_come_again_on_the_day_on_which_it_left(status: str) -> None:
    animal = AnimalFactory.create(
        arrived_on=date(2025, 3, 1), status=status, left_on=TODAY
    )

    take_back(animal=animal, arrived_on=TODAY, by=None, at=NOW)

    assert EarlierCare.objects.get().left_on == TODAY


def test_an_ancestor_that_comes_has_no_earlier_time() -> None:
    animal = AnimalFactory.create(
        status="elsewhere", arrived_on=TODAY, left_on=TODAY, code="KEEPER-3"
    )

    back = take_back(animal=animal, arrived_on=TODAY - DAY, by=None, at=NOW)

    assert (back.code, back.status, back.arrived_on) == (
        "KEEPER-3",
        "in_care",
        TODAY - DAY,
    )
    assert not EarlierCare.objects.exists()


@pytest.mark.parametrize(
    ("status", "left_on", "on", "said"),
    [
        ("in_care", None, TODAY, "is in care already"),
        ("dead", TODAY - DAY, TODAY, "is on record as dead"),
        ("placed", TODAY - DAY, TODAY - 2 * DAY, "was here until 01 Mar 2026"),
        ("placed", TODAY - DAY, TODAY + 3 * DAY, "has not come yet"),
    ],
)
def test_an_animal_that_cannot_have_come(
    status: str, left_on: date | None, on: date, said: str
) -> None:
    animal = AnimalFactory.create(status=status, left_on=left_on)

    with pytest.raises(ReturnError, match=said):
        take_back(animal=animal, arrived_on=on, by=None, at=NOW)

    assert not EarlierCare.objects.exists()
    assert not AuditEntry.objects.exists()


def test_an_ancestor_cannot_have_come_before_it_hatched() -> None:
    animal = AnimalFactory.create(
        status="elsewhere",
        arrived_on=TODAY,
        left_on=TODAY,
        hatched_on=TODAY - DAY,
        hatched_precision=DatePrecision.DAY.value,
    )

    with pytest.raises(AnimalError, match="cannot have arrived"):
        take_back(animal=animal, arrived_on=TODAY - 2 * DAY, by=None, at=NOW)


def test_a_third_time_on_one_day_is_refused() -> None:
    animal = AnimalFactory.create(arrived_on=TODAY, status="placed", left_on=TODAY)
    EarlierCareFactory.create(animal=animal, arrived_on=TODAY, left_on=TODAY)

    with pytest.raises(ReturnError, match="a third time on the same day"):
        take_back(animal=animal, arrived_on=TODAY, by=None, at=NOW)


def test_nights_since_are_judged_again_and_those_away_are_not() -> None:
    site = SiteFactory.create(time_zone="UTC")
    runs = {
        day: ReviewRunFactory.create(site=site, on=date(2026, 2, day), state="done")
        for day in (9, 10, 11)
    }
    animal = AnimalFactory.create(
        arrived_on=date(2025, 3, 1), status="placed", left_on=date(2026, 1, 5)
    )

    take_back(animal=animal, arrived_on=date(2026, 2, 10), by=None, at=NOW)

    stale = set(
        ReviewRun.objects.filter(stale_since__isnull=False).values_list("pk", flat=True)
    )
    assert stale == {runs[10].pk, runs[11].pk}


@pytest.mark.parametrize(
    ("on", "here", "since"),
    [
        (date(2025, 12, 31), False, None),
        (date(2026, 1, 1), True, date(2026, 1, 1)),
        (date(2026, 1, 19), True, date(2026, 1, 1)),
        (date(2026, 1, 20), False, None),
        (date(2026, 2, 9), False, None),
        (date(2026, 2, 10), True, date(2026, 2, 10)),
        (date(2026, 3, 1), True, date(2026, 2, 10)),
    ],
)
def test_a_past_night_sees_it_as_it_was_then(
    site: Site, on: date, here: bool, since: date | None
) -> None:
    came_again(site)

    night = night_facts(site=site, on=on)
    care = care_facts(site=site, from_on=on, until_on=on)

    found = Animal.objects.filter(in_care_on(on)).annotate(since=here_since(on))
    assert [a.since for a in found] == ([since] if here else [])
    assert [a.arrived_on for a in night.animals] == ([since] if here else [])
    assert [a.arrived_on for a in care.animals] == ([since] if here else [])


def test_its_tasks_end_with_the_time_in_care_that_was_asked_about(site: Site) -> None:
    animal = came_again(site)

    assert last_day_of_care(animal=animal, on=date(2026, 1, 25)) == date(2026, 1, 20)
    assert last_day_of_care(animal=animal, on=date(2025, 1, 1)) is None
    assert last_day_of_care(animal=animal, on=TODAY) is None
    told = animal_tasks(
        animal=animal, from_on=date(2026, 1, 21), until_on=date(2026, 2, 5), at=NOW
    )
    assert told.tasks == ()


def test_the_times_away_of_one_that_came_twice_again(site: Site) -> None:
    animal = came_again(site)
    EarlierCareFactory.create(
        animal=animal, arrived_on=date(2024, 5, 1), left_on=date(2024, 6, 1)
    )

    assert times_away(animals=[animal, AnimalFactory.create()]) == {
        animal.pk: (
            TimeAway(date(2024, 6, 1), date(2026, 1, 1)),
            TimeAway(date(2026, 1, 20), date(2026, 2, 10)),
        )
    }
    assert times_away(animals=[]) == {}


AWAY = datetime(2026, 1, 30, 12, tzinfo=UTC)
SENTENCE = (
    "V-7 was not here on 30 Jan 2026: it left on 20 Jan 2026 and came again on "
    "10 Feb 2026."
)


def test_nothing_is_recorded_of_the_days_away(site: Site) -> None:
    animal = came_again(site)
    other = EnclosureFactory.create(room=RoomFactory.create(site=site))

    with pytest.raises(WeighingError, match=SENTENCE):
        record_weighing(
            animal=animal, mass_g=Decimal(90), at=AWAY, by=None, recorded_at=NOW
        )
    with pytest.raises(HealthTestError, match=SENTENCE):
        record_test(
            animal=animal,
            kind=HealthTestKind.FAECAL,
            taken_on=AWAY.date(),
            laboratory="",
            expected_on=None,
            by=None,
            at=NOW,
        )
    move_animal(animal=animal, to=None, by=None, at=NOW)
    with pytest.raises(MoveError, match="was still elsewhere"):
        record_move(animal=animal, to=other, moved_at=AWAY, by=None, at=NOW)
    (result,) = record_feedings(
        rows=[FeedingRow(animal="V-7", at=AWAY, feeder="crickets", offered=5)],
        by=None,
        recorded_at=NOW,
    )
    assert result.sentence == SENTENCE


def test_a_late_move_into_the_days_away_is_refused(site: Site) -> None:
    animal = AnimalFactory.create(
        code="V-7",
        name="",
        arrived_on=date(2026, 1, 1),
        status="placed",
        left_on=date(2026, 1, 20),
    )
    animal = take_back(animal=animal, arrived_on=date(2026, 2, 10), by=None, at=NOW)
    to = EnclosureFactory.create(room=RoomFactory.create(site=site))

    with pytest.raises(MoveError, match=SENTENCE):
        record_move(animal=animal, to=to, moved_at=AWAY, by=None, at=NOW)


def test_records_of_the_earlier_time_can_still_come_late(site: Site) -> None:
    animal = came_again(site)

    row = record_weighing(
        animal=animal,
        mass_g=Decimal(90),
        at=datetime(2026, 1, 20, 12, tzinfo=UTC),
        by=None,
        recorded_at=NOW,
    )

    assert row.pk is not None


def test_its_arrival_cannot_be_mended_into_the_earlier_time(site: Site) -> None:
    animal = came_again(site)

    with pytest.raises(AnimalError, match="was in care before, until 20 Jan 2026"):
        correct_animal(
            animal=animal,
            arrived_on=date(2026, 1, 19),
            by=None,
            at=NOW,
            reason="typed wrongly",
        )
