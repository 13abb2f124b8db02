"""The page of quarantine: each animal with its clock, its criteria and a person's word."""

from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from core.models import Room
from core.roles import Role
from husbandry.models import Quarantine
from husbandry.rules.vocabulary import FindingKind, ReviewState
from placements.models import Clearance
from tests.factories import (
    FindingFactory,
    QuarantineFactory,
    QuarantinePolicyFactory,
    ReviewRunFactory,
    RoomFactory,
    StayFactory,
    WeighingFactory,
)
from tests.husbandry.care_lists import queries_of
from tests.staff.conftest import Visitor
from tests.staff.record_forms import text

pytestmark = pytest.mark.django_db
PAGE = "/quarantine/"
DAY = timedelta(days=1)


def ago(days: int) -> datetime:
    return timezone.now() - days * DAY


def today() -> date:
    return timezone.now().date()


def arrivals(**more: Any) -> Room:
    made: Room = RoomFactory(
        name="Arrivals", quarantine=True, **{"site__time_zone": "UTC", **more}
    )
    return made


def kept_apart(room: Room, days: int, **more: Any) -> Quarantine:
    made: Quarantine = QuarantineFactory(began_on=today() - days * DAY, **more)
    StayFactory(animal=made.animal, enclosure__room=room, from_at=ago(days))
    return made


def all_well(held: Quarantine, room: Room) -> None:
    for days, mass_g in ((13, "100"), (1, "99")):
        WeighingFactory(animal=held.animal, at=ago(days), mass_g=Decimal(mass_g))
    ReviewRunFactory(site=room.site, on=today() - DAY, state=ReviewState.DONE.value)


def clear(client: Client, held: Quarantine, **typed: str) -> Any:
    sent = {"on": today().isoformat(), "despite": "", **typed}
    return client.post(f"{PAGE}{held.pk}/clear/", sent, follow=True)


def test_nobody_in_quarantine_is_said(keeper: Client) -> None:
    page = text(keeper.get(PAGE))

    assert "No animal is in quarantine." in page
    assert "Salmonella" in page
    assert "Children under five" in page


def test_an_animal_is_told_with_its_clock_and_each_criterion(keeper: Client) -> None:
    room = arrivals()
    held = kept_apart(room, 20, animal__code="V-1", animal__name="Ash")
    kept_apart(room, 5, animal__code="V-2")
    FindingFactory(
        site=room.site,
        animal=held.animal,
        kind=FindingKind.SIGN_SEEN.value,
        opened_on=today() - 2 * DAY,
        last_seen_on=today() - DAY,
    )
    ReviewRunFactory(site=room.site, on=today() - DAY, state=ReviewState.DONE.value)

    page = text(keeper.get(PAGE))

    assert "2 animals kept apart." in page
    assert "came from another house. It lives in" in page
    assert "5 days of 30; the earliest day is" in page
    assert "it met V-2 in Arrivals; both were in quarantine." in page
    assert "Days: not met" in page
    assert "Tests: not asked for" in page
    assert "Weight: not known" in page
    assert "Health: not met" in page
    assert "See: sign seen" in page
    assert "quarantine-guidance; shipped with the program" in page
    assert "Let it out" not in page  # a keeper may not
    assert "Put an animal into quarantine" in page
    assert "Decide what is asked for" not in page


def test_a_house_s_own_policy_is_named_as_such(keeper: Client) -> None:
    QuarantinePolicyFactory(days=60, reason="as agreed with the vet")
    kept_apart(arrivals(), 5)

    page = text(keeper.get(PAGE))

    assert "5 days of 60" in page
    assert "as agreed with the vet (decided by this house)" in page


def test_those_that_are_not_kept_apart_come_first(visitor: Visitor) -> None:
    room = arrivals()
    waiting = kept_apart(room, 5, animal__code="V-1")
    ready = kept_apart(room, 40, animal__code="V-2", group="others")
    all_well(ready, room)
    outside = kept_apart(RoomFactory(name="Adults", site=room.site), 3)
    shared = kept_apart(arrivals(site__time_zone="UTC"), 3, group="alone")
    StayFactory(
        animal__code="R-7",
        enclosure__room=shared.animal.stays.get().enclosure.room,
    )
    nowhere = QuarantineFactory(began_on=today(), animal__code="V-9")

    page = text(visitor(Role.VET).get(PAGE))

    places = [page.index(f'id="quarantine-{q.pk}"') for q in (outside, ready, waiting)]
    assert places == sorted(places)
    assert "Adults is no room of quarantine" in page
    assert "R-7 in the same room: not in quarantine." in page
    assert "all is met" in page
    assert "It is in no enclosure." in page
    assert page.count("Let it out</button>") == 5
    assert f'id="id_{nowhere.pk}_despite"' in page


def test_a_vet_lets_an_animal_out_of_which_all_is_met(visitor: Visitor) -> None:
    room = arrivals()
    held = kept_apart(room, 30)
    all_well(held, room)

    page = text(clear(visitor(Role.VET), held))

    assert f"{held.animal} is out of quarantine." in page
    held.refresh_from_db()
    assert held.ended_on == today()
    assert Clearance.objects.get().despite == ""


def test_without_a_reason_it_is_refused_beside_the_field(visitor: Visitor) -> None:
    held = kept_apart(arrivals(), 5)
    vet = visitor(Role.VET)

    refused = clear(vet, held, despite="")
    page = text(refused)

    assert refused.status_code == 409
    assert "cannot be let out of quarantine yet. 5 days since" in page
    assert f'id="id_{held.pk}_despite_error"' in page
    held.refresh_from_db()
    assert held.ended_on is None

    page = text(clear(vet, held, despite="goes to the zoo's own quarantine"))

    assert "is out of quarantine." in page
    assert Clearance.objects.get().despite == "goes to the zoo's own quarantine"


def test_what_was_typed_is_kept_beside_what_is_wrong(visitor: Visitor) -> None:
    held = kept_apart(arrivals(), 5)
    vet = visitor(Role.VET)

    unread = clear(vet, held, on="yesterday", despite="typed with care")
    to_come = clear(vet, held, on=str(today() + 3 * DAY), despite="typed with care")

    assert (unread.status_code, to_come.status_code) == (400, 409)
    for page in (text(unread), text(to_come)):
        assert 'value="typed with care"' in page
        assert f'id="id_{held.pk}_on_error"' in page
    assert "has not come yet" in text(to_come)
    assert not Clearance.objects.exists()


def test_one_that_was_let_out_meanwhile_is_said(visitor: Visitor) -> None:
    held = kept_apart(arrivals(), 5)
    vet = visitor(Role.VET)
    clear(vet, held, despite="first")

    again = clear(vet, held, despite="second")

    assert again.status_code == 409
    assert "already" in text(again)
    assert clear(vet, Quarantine(pk=99_999)).status_code == 404
    assert Clearance.objects.get().despite == "first"


def test_the_page_costs_the_same_for_many(keeper: Client) -> None:
    room = arrivals()
    counts = []
    for _ in range(3):
        all_well(kept_apart(room, 30), room)
        ReviewRunFactory(site=room.site, on=today() - 2 * DAY)
        counts.append(queries_of(lambda: keeper.get(PAGE)))

    assert len(set(counts[1:])) == 1
    assert counts[0] >= counts[1]
