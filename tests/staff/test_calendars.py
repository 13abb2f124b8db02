"""The calendar feed: who reads it, what stands in it, how it is fetched."""

from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal
from typing import Any

import icalendar
import pytest
import vobject
from django.core.cache import cache
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from core.calendars import issue_address, revoke_address
from core.models import AuditEntry, CalendarAddress, User
from core.roles import GRANTS, Role
from placements.queries.feeds import feed_for
from tests.factories import (
    AnimalFactory,
    EnclosureFactory,
    HealthTestFactory,
    OrganisationFactory,
    PrescriptionFactory,
    ReproductiveSpellFactory,
    SetupFactory,
    StayFactory,
    UserFactory,
    WeighingFactory,
)
from tests.nightly.world import World
from tests.staff.conftest import client_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def reader() -> User:
    return UserFactory.create(username="ana")


def read(text: str, **headers: str) -> Any:
    return Client().get(f"/calendar/{text}.ics", headers=headers)


def new_address(user: User) -> str:
    return issue_address(user=user, name="phone", by=user, at=timezone.now()).text


def unfolded(feed: bytes) -> str:
    return feed.decode().replace("\r\n ", "")


def test_a_good_address_is_a_calendar_without_signing_in(
    reader: User, world: World
) -> None:
    OrganisationFactory.create()

    answer = read(new_address(reader))

    assert answer.status_code == 200
    assert answer.headers["Content-Type"] == "text/calendar; charset=utf-8"
    assert answer.headers["Cache-Control"] == "private, no-cache"
    assert answer.headers["X-Robots-Tag"] == "noindex"
    assert "Set-Cookie" not in answer.headers
    calendar = icalendar.Calendar.from_ical(answer.content)
    assert calendar["x-wr-calname"] == "Care – Willow Bend Reptiles"
    assert CalendarAddress.objects.get().last_used_at is not None


def test_a_wrong_address_is_not_found_whatever_is_wrong_with_it(
    reader: User, world: World
) -> None:
    good, gone = new_address(reader), new_address(reader)
    address = CalendarAddress.objects.order_by("-pk").first()
    assert address is not None
    revoke_address(address=address, by=reader, at=timezone.now())
    inactive = new_address(UserFactory.create())
    User.objects.exclude(pk=reader.pk).update(is_active=False)

    wrong = [gone, inactive, f"{good}A", good[:-1], "nothing", "00000000_x", "%00_x"]

    answers = [read(text) for text in wrong]
    assert [a.status_code for a in answers] == [404] * len(wrong)
    assert len({a.content for a in answers}) == 1
    assert read(good).status_code == 200


def test_one_who_may_no_longer_see_animals_reads_nothing(
    reader: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    text = new_address(reader)
    monkeypatch.setitem(GRANTS, Role.KEEPER, frozenset())

    assert read(text).status_code == 404


def test_guessing_at_an_address_is_slowed_down(reader: User, world: World) -> None:
    text = new_address(reader)
    prefix = text.partition("_")[0]

    statuses = [read(f"{prefix}_guess{n}").status_code for n in range(6)]
    held = read(text)

    assert statuses == [404] * 5 + [429]
    assert (held.status_code, held.headers["Retry-After"]) == (429, "300")
    # Who reads another address from there is not held up.
    assert read(new_address(reader)).status_code == 200


@pytest.mark.parametrize("method", ["post", "put", "patch", "delete"])
def test_an_address_only_reads(reader: User, method: str) -> None:
    answer = getattr(Client(), method)(f"/calendar/{new_address(reader)}.ics")

    assert answer.status_code == 405


def test_an_address_opens_nothing_else(reader: User, world: World) -> None:
    client = Client()
    text = new_address(reader)
    client.get(f"/calendar/{text}.ics")

    assert client.get("/animals/").status_code == 302
    bearer = {"Authorization": f"Bearer sb_{text}"}
    assert client.get("/api/v1/animals/", headers=bearer).status_code == 401


def test_what_has_not_changed_is_not_sent_again(reader: User, world: World) -> None:
    text = new_address(reader)
    first = read(text)

    again = read(text, if_none_match=first.headers["ETag"])

    assert (again.status_code, again.content) == (304, b"")
    assert read(text, if_none_match='"other"').status_code == 200


NOW = datetime(2026, 3, 2, 12, 20, 5, tzinfo=UTC)


def feed(reader: User, at: datetime = NOW) -> bytes:
    cache.clear()
    return feed_for(reader, at=at)


def test_the_rooms_day_is_entered_with_what_is_due(reader: User, world: World) -> None:
    made = feed(reader)

    room = world.room.pk
    entries: Any = vobject.readOne(made.decode()).vevent_list
    found = {str(e.uid.value): e for e in entries}
    day = found[f"care-room-{room}-2026-03-02@spurbook.invalid"]
    assert day.dtstart.value == date(2026, 3, 2)
    assert day.summary.value.startswith("Adults: ")
    assert "misting" in day.summary.value
    assert world.animal.code in unfolded(made)
    days = [uid for uid in found if uid.startswith("care-room-")]
    assert len(days) == len(set(days)) <= 36
    assert {e.dtstamp.value for e in entries} == {
        datetime(2026, 3, 2, 12, 0, tzinfo=UTC)
    }
    assert max(len(line) for line in made.split(b"\r\n")) <= 75


def test_doses_keep_their_hour_over_a_change_of_clocks(
    reader: User, world: World
) -> None:
    # Every 24 hours from 09:00 in Lisbon; on 29 March 2026 clocks go on by an hour.
    PrescriptionFactory.create(
        animal=world.animal,
        first_at=datetime(2026, 3, 27, 9, 0, tzinfo=UTC),
        until_on=date(2026, 3, 30),
    )

    made = feed(reader)

    starts = [
        line.removeprefix("DTSTART:")
        for line in unfolded(made).split("\r\n")
        if line.startswith("DTSTART:202603") and line.endswith("T090000Z")
    ]
    assert starts == [f"202603{day}T090000Z" for day in (27, 28, 29, 30)]
    assert "Invented syrup" in unfolded(made)
    assert "licensed reptile vet" in unfolded(made)


def test_results_and_laying_are_entered(reader: User, world: World) -> None:
    HealthTestFactory.create(animal=world.animal, expected_on=date(2026, 3, 5))
    world.animal.sex = "female"
    world.animal.save()
    ReproductiveSpellFactory.create(animal=world.animal, from_on=date(2026, 2, 20))

    text = unfolded(feed(reader))

    assert "Ask for the result of the faecal test taken on 20 Feb 2026" in text
    assert f"SUMMARY:{world.animal} may lay (gravid since 20 Feb 2026)" in text
    assert "DTSTART;VALUE=DATE:20260312\r\nDTEND;VALUE=DATE:20260328" in text


def test_the_same_hour_gives_the_same_file(reader: User, world: World) -> None:
    assert feed(reader) == feed(reader, NOW + timedelta(minutes=30))
    assert feed(reader) != feed(reader, NOW + timedelta(hours=1))


def test_more_animals_cost_no_more_queries(reader: User, world: World) -> None:
    from_one = _queries(reader)
    for n in range(3):
        _animal_more(world, n)

    assert _queries(reader) == from_one


def _queries(reader: User) -> int:
    with CaptureQueriesContext(connection) as caught:
        feed(reader)
    return len(caught)


def _animal_more(world: World, n: int) -> None:
    enclosure = EnclosureFactory.create(room=world.room)
    SetupFactory.create(enclosure=enclosure)
    animal = AnimalFactory.create(species=world.species)
    StayFactory.create(animal=animal, enclosure=enclosure)
    WeighingFactory.create(
        animal=animal,
        at=datetime.combine(date(2026, 2, 1), time(9), tzinfo=UTC),
        mass_g=Decimal(100),
    )
    PrescriptionFactory.create(animal=animal)


def test_an_address_is_made_shown_once_listed_and_revoked(reader: User) -> None:
    client = client_of(reader)

    shown = client.post("/me/calendars/", {"name": "my phone"})

    page = shown.content.decode()
    address = CalendarAddress.objects.get()
    start = page.index("http://testserver/calendar/")
    url = page[start : page.index(".ics", start) + 4]
    assert "no-store" in shown.headers["Cache-Control"]
    assert Client().get(url).status_code == 200
    mine = client.get("/me/").content.decode()
    assert "my phone" in mine
    assert "last read" in mine
    assert url.removesuffix(".ics").partition("_")[2] not in mine

    client.post(f"/me/calendars/{address.pk}/revoke/")

    assert Client().get(url).status_code == 404
    again = client.get("/me/").content.decode()
    assert "The address for my phone is revoked." in again
    assert "Revoke the address" not in client.get("/me/").content.decode()
    verbs = list(AuditEntry.objects.order_by("pk").values_list("verb", "by"))
    assert verbs == [("issue_address", reader.pk), ("revoke_address", reader.pk)]


def test_an_address_without_a_name_is_refused_in_words(reader: User) -> None:
    answer = client_of(reader).post("/me/calendars/", {"name": " "}, follow=True)

    assert "say what reads it" in answer.content.decode()
    assert not CalendarAddress.objects.exists()


def test_a_revoked_address_cannot_be_revoked_again(reader: User) -> None:
    client = client_of(reader)
    new_address(reader)
    pk = CalendarAddress.objects.get().pk
    client.post(f"/me/calendars/{pk}/revoke/")

    answer = client.post(f"/me/calendars/{pk}/revoke/", follow=True)

    assert "was revoked already" in answer.content.decode()


def test_nobody_revokes_the_address_of_somebody_else(reader: User) -> None:
    new_address(reader)
    address = CalendarAddress.objects.get()
    other = client_of(UserFactory.create(role=Role.OWNER.value))

    answer = other.post(f"/me/calendars/{address.pk}/revoke/")

    address.refresh_from_db()
    assert (answer.status_code, address.revoked_at) == (404, None)
