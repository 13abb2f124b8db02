"""Moves: one stay ends as the next begins, and no two animals share by accident."""

import sqlite3
import threading
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from django.db import IntegrityError, connection, connections, transaction

from core.models import AuditEntry, User
from husbandry.actions import stays as stay_actions
from husbandry.actions.stays import move_animal, record_move
from husbandry.models import Animal, Enclosure, ReviewRun, Stay
from husbandry.queries.stays import StayLine, local_day_of, site_of, stay_history
from husbandry.rules.stays import EnclosureOccupiedError, MoveError
from tests.factories import (
    NOW,
    TODAY,
    AnimalFactory,
    CareProfileFactory,
    EnclosureFactory,
    ReviewRunFactory,
    SiteFactory,
    SpeciesFactory,
    StayFactory,
    UserFactory,
)

pytestmark = pytest.mark.django_db
HOUR, DAY = timedelta(hours=1), timedelta(days=1)


def newborn(**more: Any) -> Animal:
    hatched_on = TODAY - 10 * DAY
    made: Animal = AnimalFactory(hatched_on=hatched_on, arrived_on=hatched_on, **more)
    return made


# Moving.


def test_the_old_stay_ends_at_the_instant_the_new_begins() -> None:
    person, to = UserFactory(), EnclosureFactory(code="N-12")
    old = StayFactory(enclosure__code="Q-1")

    new = move_animal(
        animal=old.animal, to=to, by=person, at=NOW, reason="out of quarantine"
    )

    old.refresh_from_db()
    assert new is not None
    assert (old.until_at, new.from_at, new.until_at) == (NOW, NOW, None)
    assert (new.animal, new.enclosure, new.place) == (old.animal, to, None)
    assert (new.moved_by, new.reason) == (person, "out of quarantine")
    entry = AuditEntry.objects.get()
    assert (entry.verb, entry.by, entry.reason) == (
        "move_animal",
        person,
        "out of quarantine",
    )
    assert (entry.subject, entry.subject_id) == (
        "husbandry.animal",
        str(old.animal.pk),
    )
    assert entry.before == {"enclosure": "Q-1"}
    assert entry.after == {
        "enclosure": "N-12",
        "place": None,
        "moved_at": "2026-03-02T12:00:00+00:00",
    }


def test_out_of_every_enclosure_and_back() -> None:
    stay = StayFactory()
    animal = stay.animal

    assert move_animal(animal=animal, to=None, by=None, at=NOW) is None
    assert not Stay.objects.filter(until_at__isnull=True).exists()
    back = move_animal(animal=animal, to=stay.enclosure, by=None, at=NOW + HOUR)

    assert back is not None
    assert [s.until_at for s in Stay.objects.order_by("from_at")] == [NOW, None]


def test_a_vacated_enclosure_can_be_taken_at_the_same_instant() -> None:
    first = StayFactory()
    move_animal(animal=first.animal, to=EnclosureFactory(), by=None, at=NOW)

    stay = move_animal(animal=AnimalFactory(), to=first.enclosure, by=None, at=NOW)

    assert stay is not None


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"moved_at": NOW + timedelta(seconds=1)}, "has not come yet"),
        ({"moved_at": NOW - 2 * DAY}, "can only leave after that"),
        ({"moved_at": NOW - DAY}, "can only leave after that"),
        ({"to": "same"}, "already"),
        ({"to": "retired"}, "retired on 02 Mar 2026"),
        ({"animal": "placed"}, "not in care"),
        ({"animal": "nowhere", "to": None}, "in no enclosure already"),
        ({"to": "occupied"}, "is occupied by"),
        ({"reason": "x" * 201}, "at most 200"),
    ],
)
def test_a_move_that_cannot_be_leaves_nothing_behind(
    changes: dict[str, Any], said: str
) -> None:
    stay = StayFactory(from_at=NOW - DAY)
    named: dict[Any, Any] = {
        "same": stay.enclosure,
        "retired": EnclosureFactory(retired_on=TODAY),
        "occupied": StayFactory().enclosure,
        "placed": AnimalFactory(left=True),
        "nowhere": AnimalFactory(),
    }
    before = list(Stay.objects.order_by("pk").values())
    asked = {"animal": stay.animal, "to": EnclosureFactory(), "moved_at": NOW}
    asked |= {k: named.get(v, v) for k, v in changes.items()}

    with pytest.raises(MoveError, match=said):
        record_move(**asked, by=None, at=NOW)

    assert list(Stay.objects.order_by("pk").values()) == before
    assert not AuditEntry.objects.exists()


def test_an_animal_cannot_have_been_in_two_places() -> None:
    past = StayFactory(from_at=NOW - 9 * DAY, until_at=NOW - 3 * DAY)

    with pytest.raises(MoveError, match="still elsewhere until 2026-02-27"):
        record_move(
            animal=past.animal,
            to=EnclosureFactory(),
            moved_at=NOW - 4 * DAY,
            by=None,
            at=NOW,
        )


def test_an_enclosure_that_was_occupied_then_cannot_be_taken_afterwards() -> None:
    past = StayFactory(from_at=NOW - 9 * DAY, until_at=NOW - 3 * DAY)
    move = {"animal": AnimalFactory(), "to": past.enclosure, "by": None, "at": NOW}

    with pytest.raises(EnclosureOccupiedError):
        record_move(**move, moved_at=NOW - 4 * DAY)
    assert record_move(**move, moved_at=NOW - 3 * DAY)


def test_a_move_recorded_later_makes_reviews_since_stale() -> None:
    here, there = SiteFactory(), SiteFactory()
    stay = StayFactory(enclosure__room__site=here)
    to = EnclosureFactory(room__site=there)
    for site in (here, there):
        for days in (1, 2, 3):
            ReviewRunFactory(site=site, on=TODAY - days * DAY)

    record_move(animal=stay.animal, to=to, moved_at=NOW - 2 * DAY, by=None, at=NOW)

    marked = ReviewRun.objects.filter(stale_since=NOW).order_by("site", "on")
    assert [(r.site, (TODAY - r.on).days) for r in marked] == [
        (here, 2),
        (here, 1),
        (there, 2),
        (there, 1),
    ]


def test_a_move_of_this_moment_makes_no_review_stale() -> None:
    stay = StayFactory()
    run = ReviewRunFactory(site=stay.enclosure.room.site, on=TODAY)

    move_animal(animal=stay.animal, to=None, by=None, at=NOW)

    run.refresh_from_db()
    assert run.stale_since is None


# Company. The shipped profile: hatchlings in fours (Ballen 2014), others alone.


def test_hatchlings_get_places_up_to_the_groups_size() -> None:
    CareProfileFactory()
    to = EnclosureFactory()

    for _ in range(4):
        move_animal(animal=newborn(), to=to, by=None, at=NOW)
    with pytest.raises(EnclosureOccupiedError, match="allows a group of 4"):
        move_animal(animal=newborn(), to=to, by=None, at=NOW)

    assert [s.place for s in Stay.objects.order_by("pk")] == [1, 2, 3, 4]


def test_the_place_of_one_that_left_is_given_again() -> None:
    CareProfileFactory()
    to, first = EnclosureFactory(), newborn()
    move_animal(animal=first, to=to, by=None, at=NOW)
    move_animal(animal=newborn(), to=to, by=None, at=NOW)
    move_animal(animal=first, to=None, by=None, at=NOW + HOUR)

    stay = move_animal(animal=newborn(), to=to, by=None, at=NOW + HOUR)

    assert stay is not None
    assert stay.place == 1


def test_who_had_all_of_it_gets_a_place_when_company_comes() -> None:
    CareProfileFactory()
    alone = StayFactory(animal=newborn(), from_at=NOW - DAY)

    stay = move_animal(animal=newborn(), to=alone.enclosure, by=None, at=NOW)

    alone.refresh_from_db()
    assert stay is not None
    assert (alone.place, stay.place) == (1, 2)


@pytest.mark.parametrize(
    ("occupant_days", "mover_days"), [(10, 100), (100, 10), (500, 500)]
)
def test_grown_animals_are_not_put_together(
    occupant_days: int, mover_days: int
) -> None:
    CareProfileFactory()
    occupant, mover = (
        AnimalFactory(hatched_on=TODAY - days * DAY, arrived_on=TODAY)
        for days in (occupant_days, mover_days)
    )
    stay = StayFactory(animal=occupant, from_at=NOW - HOUR)

    with pytest.raises(EnclosureOccupiedError, match="wants each animal alone"):
        move_animal(animal=mover, to=stay.enclosure, by=None, at=NOW)


def test_without_a_profile_nobody_shares() -> None:
    stay = StayFactory(animal=newborn(), from_at=NOW - HOUR)

    with pytest.raises(EnclosureOccupiedError):
        move_animal(animal=newborn(), to=stay.enclosure, by=None, at=NOW)


def test_two_species_do_not_share() -> None:
    CareProfileFactory()
    other = SpeciesFactory(code="panther_chameleon", common_name="Panther")
    CareProfileFactory(species=other)
    stay = StayFactory(animal=newborn(), from_at=NOW - HOUR)

    with pytest.raises(EnclosureOccupiedError, match="different species"):
        move_animal(animal=newborn(species=other), to=stay.enclosure, by=None, at=NOW)


# What the database holds even where no rule has looked.


@pytest.mark.parametrize(
    ("place", "other_place", "from_at", "until_at", "refused"),
    [
        (None, None, NOW, None, True),
        (None, 1, NOW, None, True),
        (1, None, NOW, None, True),
        (1, 1, NOW, None, True),
        (1, 2, NOW, None, False),
        (None, None, NOW - 3 * DAY, NOW - DAY, False),  # ends as the other begins
        (None, None, NOW - 3 * DAY, NOW - DAY + HOUR, True),
    ],
)
def test_an_enclosure_is_not_shared_without_places(
    place: int | None,
    other_place: int | None,
    from_at: datetime,
    until_at: datetime | None,
    refused: bool,
) -> None:
    stay = StayFactory(from_at=NOW - DAY, place=place)
    other = {"enclosure": stay.enclosure, "place": other_place}

    if not refused:
        StayFactory(**other, from_at=from_at, until_at=until_at)
        return
    with (
        pytest.raises(IntegrityError, match="husbandry_stay_enclosure_not_shared"),
        transaction.atomic(),
    ):
        StayFactory(**other, from_at=from_at, until_at=until_at)


def test_an_animal_is_in_one_place() -> None:
    stay = StayFactory(from_at=NOW - DAY, until_at=NOW)

    with (
        pytest.raises(IntegrityError, match="husbandry_stay_animal_in_one_place"),
        transaction.atomic(),
    ):
        StayFactory(animal=stay.animal, from_at=NOW - HOUR)


def test_a_stay_cannot_be_drawn_out_over_another() -> None:
    stay = StayFactory(from_at=NOW - DAY, until_at=NOW - HOUR)
    StayFactory(enclosure=stay.enclosure, from_at=NOW - HOUR)

    with (
        pytest.raises(IntegrityError, match="husbandry_stay_enclosure_not_shared"),
        transaction.atomic(),
    ):
        Stay.objects.filter(pk=stay.pk).update(until_at=None)


def test_its_refusal_reads_like_the_rules(monkeypatch: pytest.MonkeyPatch) -> None:
    # As if another writer had come between the look and the write.
    stay, moving = StayFactory(), StayFactory()
    monkeypatch.setattr(stay_actions, "occupants", lambda **_: ())

    with pytest.raises(EnclosureOccupiedError, match="at the same moment"):
        move_animal(animal=moving.animal, to=stay.enclosure, by=None, at=NOW)

    moving.refresh_from_db()
    assert moving.until_at is None


def _in_memory_copied_to(path: Path) -> Callable[[], None]:
    """Copy SQLite's test database into a file, which threads can share as in use."""
    assert connection.connection is not None
    with sqlite3.connect(path) as target:
        connection.connection.backup(target)
    target.close()

    def use() -> None:
        own = connections.create_connection("default")
        own.settings_dict = {**own.settings_dict, "NAME": str(path)}
        connections["default"] = own

    return use


@pytest.mark.django_db(transaction=True)
def test_of_two_moves_into_one_enclosure_at_once_one_succeeds(tmp_path: Path) -> None:
    movers, to = [AnimalFactory(), AnimalFactory()], EnclosureFactory()
    CareProfileFactory()
    use = (
        _in_memory_copied_to(tmp_path / "shared.sqlite3")
        if connection.vendor == "sqlite"
        else lambda: None
    )
    together = threading.Barrier(len(movers))
    outcomes: list[Any] = []

    def move(animal: Animal) -> None:
        use()
        try:
            together.wait(timeout=20)
            move_animal(animal=animal, to=to, by=None, at=NOW)
            outcomes.append("moved")
        except Exception as error:  # noqa: BLE001 - shown by the assertion below
            outcomes.append(error)
        finally:
            outcomes.append(Stay.objects.filter(enclosure=to).count())
            connections.close_all()

    threads = [threading.Thread(target=move, args=[animal]) for animal in movers]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=60)

    refusals = [o for o in outcomes if isinstance(o, Exception)]
    assert outcomes.count("moved") == 1, outcomes
    assert [type(r) for r in refusals] == [EnclosureOccupiedError], outcomes
    assert set(outcomes) == {"moved", *refusals, 1}


# Where an animal is.


def test_at_an_instant_or_last_before() -> None:
    north, south = SiteFactory(), SiteFactory(time_zone="Asia/Tokyo")
    animal = AnimalFactory()
    StayFactory(
        animal=animal,
        enclosure__room__site=north,
        from_at=NOW - 9 * DAY,
        until_at=NOW - 5 * DAY,
    )
    StayFactory(animal=animal, enclosure__room__site=south, from_at=NOW - 2 * DAY)

    found = [
        site_of(animal=animal, at=NOW - days * DAY) for days in (10, 9, 5, 3, 2, 0)
    ]

    assert found == [None, north, north, north, south, south]


def test_its_local_day_is_that_of_the_site() -> None:
    late = datetime(2026, 3, 2, 20, tzinfo=UTC)  # 05:00 on the 3rd in Tokyo
    tokyo = StayFactory(enclosure__room__site__time_zone="Asia/Tokyo").animal

    assert local_day_of(animal=tokyo, at=late) == date(2026, 3, 3)
    assert local_day_of(animal=AnimalFactory(), at=late) == date(2026, 3, 2)


def test_its_history(django_assert_num_queries: Any) -> None:
    person: User = UserFactory(username="mara")
    to: Enclosure = EnclosureFactory(
        code="N-1", room__name="Nursery", room__site__name="North"
    )
    old = StayFactory(enclosure=to, until_at=NOW, moved_by=person, reason="came")
    new = StayFactory(animal=old.animal, from_at=NOW)

    with django_assert_num_queries(1):
        found = stay_history(animal_id=old.animal.pk)

    assert [s.id for s in found] == [new.pk, old.pk]
    assert found[1] == StayLine(
        id=old.pk,
        enclosure="N-1",
        room="Nursery",
        site="North",
        place=None,
        from_at=old.from_at,
        until_at=NOW,
        moved_by="mara",
        reason="came",
    )
