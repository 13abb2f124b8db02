"""Keeping animals apart: on record from a day until a day, one time at a time."""

from datetime import date, timedelta

import pytest
from django.db import IntegrityError, connection, transaction
from pytest_django import DjangoAssertNumQueries

from core.models import AuditEntry
from husbandry.actions.animals import mark_left
from husbandry.actions.arrivals import YoungRow, take_in_young
from husbandry.actions.quarantine import (
    QuarantineRow,
    begin_quarantine,
    begin_quarantines,
    end_quarantine,
)
from husbandry.actions.stays import move_animal, record_move
from husbandry.models import Quarantine
from husbandry.queries.quarantine import open_quarantines
from husbandry.rules.arrivals import ArrivalError
from husbandry.rules.quarantine import QuarantineError
from husbandry.rules.stays import BreaksQuarantineError
from husbandry.rules.vocabulary import AnimalStatus, ReviewState
from tests.factories import (
    NOW,
    TODAY,
    AnimalFactory,
    EnclosureFactory,
    QuarantineFactory,
    ReviewRunFactory,
    RoomFactory,
    SiteFactory,
    StayFactory,
    UserFactory,
)

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)
WORDS = {"group": "reptiles", "reason": "came in: surrender"}


def test_a_quarantine_begins_and_ends_on_record() -> None:
    person, animal = UserFactory(), AnimalFactory()

    begun = begin_quarantine(animal=animal, on=TODAY - DAY, by=person, at=NOW, **WORDS)
    ended = end_quarantine(
        quarantine=begun, on=TODAY, by=person, at=NOW, reason="all is well"
    )

    stored = Quarantine.objects.get()
    assert (stored.began_on, stored.ended_on) == (TODAY - DAY, TODAY)
    assert (stored.begun_by, stored.begun_at) == (person, NOW)
    assert (ended.ended_by, ended.ended_at) == (person, NOW)
    first, last = AuditEntry.objects.order_by("pk")
    assert (first.verb, first.reason) == ("begin_quarantine", "came in: surrender")
    assert first.after == {
        "animal": animal.pk,
        "began_on": "2026-03-01",
        "group": "reptiles",
        "reason": "came in: surrender",
    }
    assert (last.verb, last.subject_id) == ("end_quarantine", str(begun.pk))
    assert last.after == {"animal": animal.pk, "ended_on": "2026-03-02"}


def test_who_is_kept_apart_is_told_as_of_a_day() -> None:
    here, there = SiteFactory(), SiteFactory()
    kept = QuarantineFactory(animal__code="B", began_on=TODAY - 10 * DAY)
    StayFactory(animal=kept.animal, enclosure__room__site=there)
    over = QuarantineFactory(
        animal__code="A",
        began_on=TODAY - 20 * DAY,
        ended_on=TODAY - 5 * DAY,
        ended_at=NOW,
    )

    def codes(on: date, **which: object) -> list[str]:
        return [q.code for q in open_quarantines(on=on, **which)]

    assert codes(TODAY - 21 * DAY) == []
    assert codes(TODAY - 11 * DAY) == ["A"]
    assert codes(TODAY - 6 * DAY) == ["A", "B"]
    assert codes(TODAY - 5 * DAY) == ["B"]
    assert codes(TODAY - 6 * DAY, site=there) == ["B"]
    assert codes(TODAY - 6 * DAY, site=here) == ["A"]  # nowhere: the first site's
    assert codes(TODAY - 6 * DAY, animal_ids=[over.animal_id]) == ["A"]
    assert codes(TODAY - 6 * DAY, animal_ids=[]) == []


def test_several_are_kept_apart_all_or_none() -> None:
    held = QuarantineFactory()
    rows = [
        QuarantineRow(AnimalFactory(), TODAY, **WORDS),
        QuarantineRow(held.animal, TODAY, **WORDS),
    ]

    with pytest.raises(QuarantineError, match="in quarantine since"):
        begin_quarantines(rows=rows, by=None, at=NOW)

    assert Quarantine.objects.count() == 1


def test_many_cost_no_more_queries_than_one(
    django_assert_num_queries: DjangoAssertNumQueries,
) -> None:
    for many in (1, 3):
        rows = [QuarantineRow(AnimalFactory(), TODAY, **WORDS) for _ in range(many)]
        # Animals, quarantines, stays, the rows and the audit entries; the others are
        # savepoints and the ends of them. PostgreSQL is asked to check what it defers.
        with django_assert_num_queries(
            {"sqlite": 12, "postgresql": 13}[connection.vendor]
        ):
            begin_quarantines(rows=rows, by=None, at=NOW)


def test_no_animals_are_no_quarantines() -> None:
    assert begin_quarantines(rows=[], by=None, at=NOW) == []
    assert not AuditEntry.objects.exists()


def test_a_quarantine_ends_once() -> None:
    begun = QuarantineFactory()
    twin = Quarantine.objects.get()
    end_quarantine(quarantine=begun, on=TODAY, by=None, at=NOW)

    with pytest.raises(QuarantineError, match="ended on 02 Mar 2026 already"):
        end_quarantine(quarantine=twin, on=TODAY, by=None, at=NOW)


def test_the_database_holds_one_open_quarantine_an_animal() -> None:
    begun = QuarantineFactory()

    with pytest.raises(IntegrityError), transaction.atomic():
        QuarantineFactory(animal=begun.animal)


@pytest.mark.parametrize("began_days_ago", [3, 0])
def test_leaving_care_ends_a_quarantine(began_days_ago: int) -> None:
    began_on = TODAY - began_days_ago * DAY
    begun = QuarantineFactory(began_on=began_on)

    mark_left(
        animal=begun.animal, status=AnimalStatus.DEAD, on=TODAY - DAY, by=None, at=NOW
    )

    begun.refresh_from_db()
    assert begun.ended_on == max(began_on, TODAY - DAY)
    assert open_quarantines(on=TODAY) == ()


def test_nights_judged_without_it_are_redone() -> None:
    stay = StayFactory()
    site = stay.enclosure.room.site
    before, since = (
        ReviewRunFactory(site=site, on=on, state=ReviewState.DONE.value)
        for on in (TODAY - 3 * DAY, TODAY - 2 * DAY)
    )

    begun = begin_quarantine(
        animal=stay.animal, on=TODAY - 2 * DAY, by=None, at=NOW, **WORDS
    )

    before.refresh_from_db()
    since.refresh_from_db()
    assert (before.stale_since, since.stale_since) == (None, NOW)

    since.stale_since = None
    since.save()
    end_quarantine(quarantine=begun, on=TODAY, by=None, at=NOW)
    since.refresh_from_db()
    assert since.stale_since is None  # what was judged then still holds


# Moves.


def test_an_animal_in_quarantine_stays_in_rooms_of_quarantine() -> None:
    apart = RoomFactory(name="Arrivals", quarantine=True)
    adults = EnclosureFactory(room__name="Adults")
    held = QuarantineFactory()
    StayFactory(animal=held.animal, enclosure__room=apart)

    with pytest.raises(BreaksQuarantineError, match="Adults is no room of quarantine"):
        move_animal(animal=held.animal, to=adults, by=None, at=NOW)
    other = EnclosureFactory(room=apart)
    move_animal(animal=held.animal, to=other, by=None, at=NOW)

    assert held.animal.stays.get(until_at=None).enclosure == other


def test_nobody_else_comes_to_live_with_it() -> None:
    apart = RoomFactory(name="Arrivals", quarantine=True)
    held = QuarantineFactory(animal__code="V-9")
    StayFactory(animal=held.animal, enclosure__room=apart)
    free = EnclosureFactory(room=apart)

    with pytest.raises(BreaksQuarantineError, match="V-9 in Arrivals is in quarantine"):
        move_animal(animal=AnimalFactory(), to=free, by=None, at=NOW)

    end_quarantine(quarantine=held, on=TODAY, by=None, at=NOW)
    move_animal(animal=AnimalFactory(), to=free, by=None, at=NOW)


def test_a_room_of_quarantine_where_nobody_is_in_quarantine_is_open_to_all() -> None:
    free = EnclosureFactory(room__quarantine=True)
    held = QuarantineFactory()
    StayFactory(
        animal=held.animal,
        enclosure__room=free.room,
        until_at=NOW - DAY,
    )

    move_animal(animal=AnimalFactory(), to=free, by=None, at=NOW)


def test_a_move_that_is_recorded_late_is_held_to_the_day_it_was_done() -> None:
    apart = RoomFactory(quarantine=True)
    held = QuarantineFactory(began_on=TODAY - 30 * DAY)
    StayFactory(animal=held.animal, enclosure__room=apart)
    end_quarantine(quarantine=held, on=TODAY - 2 * DAY, by=None, at=NOW)
    adults = EnclosureFactory()

    with pytest.raises(BreaksQuarantineError):
        record_move(
            animal=held.animal, to=adults, moved_at=NOW - 3 * DAY, by=None, at=NOW
        )
    record_move(animal=held.animal, to=adults, moved_at=NOW - 2 * DAY, by=None, at=NOW)


def test_an_animal_in_quarantine_may_go_to_the_vet() -> None:
    held = QuarantineFactory()
    StayFactory(animal=held.animal, enclosure__room__quarantine=True)

    assert move_animal(animal=held.animal, to=None, by=None, at=NOW) is None


def test_young_are_not_put_where_somebody_is_in_quarantine() -> None:
    held = QuarantineFactory(animal__code="V-9")
    StayFactory(animal=held.animal, enclosure__room__name="Arrivals")
    room = held.animal.stays.get().enclosure.room
    row = YoungRow("egg 1", "N-1", enclosure=EnclosureFactory(room=room))

    with pytest.raises(ArrivalError, match="V-9 in Arrivals is in quarantine"):
        take_in_young(
            species=held.animal.species,
            site=room.site,
            hatched_on=TODAY,
            rows=[row],
            by=None,
            at=NOW,
        )
