"""Rounds and care tasks as data: word for word, refused in words, counted."""

from datetime import UTC, date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone
from rest_framework.test import APIClient

from husbandry.rules.round_cautions import MEDICINES, QUARANTINE, SALMONELLA
from husbandry.rules.vocabulary import AnimalStatus
from tests.factories import (
    AnimalFactory,
    EnclosureFactory,
    FeedingFactory,
    FindingFactory,
    HealthTestFactory,
    ObservationFactory,
    PrescriptionFactory,
    ReproductiveSpellFactory,
    ReviewRunFactory,
    RoomFactory,
    SetupFactory,
    StayFactory,
)
from tests.nightly.world import World, make_world, weigh

pytestmark = pytest.mark.django_db
ROUNDS, TASKS = "/api/v1/rounds/", "/api/v1/care-tasks/"
ON = date(2026, 3, 2)
AT = datetime(2026, 3, 1, 9, 0, tzinfo=UTC)
OVERDUE = {"every_days": 7, "last_on": "2026-02-01", "days": 29, "last_g": "101.0"}
Json = dict[str, Any]


@pytest.fixture
def world() -> World:
    world = make_world()
    world.room.code, world.site.code = "adults", "vescora"
    world.room.save()
    world.site.save()
    return world


def another(world: World) -> None:
    enclosure = EnclosureFactory.create(room=world.room)
    SetupFactory.create(enclosure=enclosure)
    animal = AnimalFactory.create(species=world.species)
    StayFactory.create(animal=animal, enclosure=enclosure)
    weigh(animal, ON - timedelta(days=1), "101.5")
    FeedingFactory.create(animal=animal, at=AT)
    PrescriptionFactory.create(animal=animal)
    FindingFactory.create(
        site=world.site,
        animal=animal,
        evidence=OVERDUE,
        opened_on=ON - timedelta(days=1),
    )


def queries(client: APIClient, path: str, **asked: str) -> int:
    with CaptureQueriesContext(connection) as caught:
        assert client.get(path, asked).status_code == 200
    return len(caught)


def shape(task: Json) -> Json:
    """A task without what its own tests hold word for word."""
    return {k: task[k] for k in ("kind", "due_on", "done_on", "open")}


def test_a_round_as_data(viewer: APIClient, world: World) -> None:
    animal = world.animal
    ReviewRunFactory.create(site=world.site, on=ON - timedelta(days=1))
    finding = FindingFactory.create(
        site=world.site,
        animal=animal,
        evidence=OVERDUE,
        opened_on=date(2026, 3, 1),
    )
    ReproductiveSpellFactory.create(animal=animal, from_on=date(2026, 2, 20))

    body = viewer.get(ROUNDS, {"room": "vescora/adults", "on": "2026-03-02"}).json()

    (stop,) = body.pop("stops")
    (told,) = stop.pop("animals")
    made_at = datetime.fromisoformat(body.pop("made_at"))
    assert abs((timezone.now() - made_at).total_seconds()) < 60
    assert body == {
        "site": "vescora",
        "room": {"id": world.room.pk, "code": "adults"},
        "quarantine": False,
        "on": "2026-03-02",
        "time_zone": "Europe/Lisbon",
        "night": "2026-03-01",
        "profiles": [{"common_name": "Veiled chameleon", "version": 1}],
        "cautions": [SALMONELLA],
        "tasks": body["tasks"],
        "overdue": [],
        "findings": [],
    }
    mistings = stop.pop("tasks")
    assert {task["kind"] for task in mistings} == {"mist"}
    assert stop == {
        "enclosure": {"id": world.enclosure.pk, "code": "A-01"},
        "overdue": [],
        "findings": [],
    }
    assert told == {
        "animal": {"id": animal.pk, "code": animal.code},
        "label": f"{animal.code} Bas",
        "sex": "male",
        "age_days": 547,
        "stage": "Adult",
        "last_weight": {"mass_g": 140.0, "on": "2026-03-01"},
        "plausible": {"low_g": 70.0, "high_g": 280.0},
        "notes": [
            {
                "kind": "gravid",
                "since_on": "2026-02-20",
                "until_on": None,
                "reason": "",
                "rule_id": "",
                "source": None,
                "standing": None,
            }
        ],
        "tasks": told["tasks"],
        "overdue": told["overdue"],
        "findings": [
            {
                "id": finding.pk,
                "kind": "weighing_overdue",
                "urgency": "watch",
                "opened_on": "2026-03-01",
                "sentence": "Last weighed 29 days ago (101.0 g on 1 Feb 2026); a "
                "weighing every 7 days is wanted.",
                "first_step": "Weigh it today, at the usual hour.",
            }
        ],
    }


def test_a_round_in_quarantine_says_so_first(viewer: APIClient, world: World) -> None:
    world.room.quarantine = True
    world.room.save()
    PrescriptionFactory.create(animal=world.animal)

    body = viewer.get(ROUNDS, {"room": str(world.room.pk), "on": "2026-03-02"}).json()

    assert body["quarantine"] is True
    assert body["cautions"] == [QUARANTINE, SALMONELLA, MEDICINES]


def test_a_round_is_of_today_unless_asked(viewer: APIClient, world: World) -> None:
    body = viewer.get(ROUNDS, {"room": "vescora/adults"}).json()

    here = timezone.now().astimezone(ZoneInfo("Europe/Lisbon")).date()
    assert body["on"] == here.isoformat()


def test_a_round_costs_the_same_for_one_and_for_three(
    viewer: APIClient, world: World
) -> None:
    ReviewRunFactory.create(site=world.site, on=ON - timedelta(days=1))
    another(world)
    asked = {"room": "vescora/adults", "on": "2026-03-02"}
    once = queries(viewer, ROUNDS, **asked)
    another(world)
    another(world)

    assert queries(viewer, ROUNDS, **asked) == once


@pytest.mark.parametrize(
    ("asked", "code", "fields"),
    [
        ({}, "no_room", ["room"]),
        ({"room": "vescora/attic"}, "unknown_room", ["room"]),
        ({"room": "adults"}, "unknown_room", ["room"]),
        ({"room": "9999999"}, "unknown_room", ["room"]),
        ({"room": "9" * 40}, "unknown_room", ["room"]),
        ({"room": "²"}, "unknown_room", ["room"]),
        ({"room": "vescora/adults", "on": "2.3.2026"}, "invalid_parameter", ["on"]),
        ({"room": "vescora/adults", "on": "1969-12-31"}, "day_out_of_range", ["on"]),
        ({"room": "vescora/adults", "day": "1"}, "unknown_parameter", ["day"]),
    ],
)
def test_a_round_that_cannot_be_told_is_refused(
    viewer: APIClient, world: World, asked: Json, code: str, fields: list[str]
) -> None:
    answer = viewer.get(ROUNDS, asked)

    body = answer.json()
    assert (answer.status_code, body["code"], list(body["fields"])) == (
        *(400, code, fields),
    )


def test_tasks_of_an_animal_with_plan_source_and_standing(
    viewer: APIClient, world: World
) -> None:
    animal = world.animal
    # The multivitamin of the 1st was given; left off, it would stand on the next one.
    FeedingFactory.create(animal=animal, at=AT, supplements=["multivitamin-d3"])

    body = viewer.get(
        TASKS,
        {"animal": animal.code, "from_on": "2026-03-01", "until_on": "2026-03-05"},
    ).json()

    assert {k: body[k] for k in ("animal", "from_on", "until_on")} == {
        "animal": {"id": animal.pk, "code": animal.code},
        "from_on": "2026-03-01",
        "until_on": "2026-03-05",
    }
    feeds = [task for task in body["tasks"] if task["kind"] == "feed"]
    assert feeds
    first = feeds[-1]
    assert first == {
        "key": f"feed:animal:{animal.pk}:{first['due_on']}",
        "kind": "feed",
        "due_on": first["due_on"],
        "due_at": first["due_at"],
        "done_on": None,
        "open": True,
        "animal": {"id": animal.pk, "code": animal.code},
        "enclosure": None,
        "room": None,
        "sentence": first["sentence"],
        "plan": {
            "of": "feed",
            "feeder": first["plan"]["feeder"],
            "feeder_name": first["plan"]["feeder_name"],
            # Three or four insects every two or three days: the shipped profile.
            "portion_low": 3,
            "portion_high": 4,
            "unit": "insects",
            "supplements": [
                {"id": "plain-calcium", "name": "Plain calcium without vitamin D3"}
            ],
            "assisted": False,
            "agreed": "",
        },
        "rule_id": "feeding-adult",
        "source": "common-practice",
        "standing": "common_practice",
    }
    assert first["sentence"].startswith("Feed 3–4 insects: ")


def test_doses_looks_results_and_weighings_are_tasks_too(
    viewer: APIClient, world: World
) -> None:
    animal = world.animal
    prescription = PrescriptionFactory.create(animal=animal, until_on=ON)
    look = ObservationFactory.create(
        animal=animal, at=AT, look_again_on=ON, note="A swollen eye."
    )
    test = HealthTestFactory.create(animal=animal, expected_on=ON)

    body = viewer.get(TASKS, {"animal": animal.code, "from_on": "2026-03-02"}).json()

    plans = {task["kind"]: task["plan"] for task in body["tasks"]}
    assert body["until_on"] == "2026-03-02"
    assert plans["dose"] == {
        "of": "dose",
        "prescription": prescription.pk,
        "drug": "Invented syrup",
        "route": "by_mouth",
        "vet": "A licensed vet of the tests",
        "due_at": "2026-03-02T09:00:00Z",
        # 10 mg/kg × 0.140 kg / 10 mg/mL = 0.14 mL.
        "volume_ml": 0.14,
        "refusal": "",
        "mass_g": 140.0,
        "weighed_on": "2026-03-01",
    }
    assert (plans["follow_up"]["of"], plans["follow_up"]["record"]) == (
        *("look", look.pk),
    )
    assert plans["test_result"] == {
        "of": "look",
        "record": test.pk,
        "since_on": "2026-02-20",
        "text": plans["test_result"]["text"],
        "test": "faecal",
    }


def test_tasks_go_on_where_the_animal_was(viewer: APIClient, world: World) -> None:
    elsewhere = EnclosureFactory.create(room=RoomFactory.create(site=world.site))
    stay = world.animal.stays.get()
    stay.until_at = datetime(2026, 3, 10, 12, tzinfo=UTC)
    stay.save()
    asked = {"animal": world.animal.code, "from_on": "2026-03-01"}
    housed = viewer.get(TASKS, asked).json()["tasks"]
    nowhere = viewer.get(TASKS, {**asked, "until_on": "2026-03-12"}).json()["tasks"]
    StayFactory.create(animal=world.animal, enclosure=elsewhere, from_at=stay.until_at)
    moved = viewer.get(TASKS, asked).json()["tasks"]

    assert [t["due_on"] for t in housed] == [t["due_on"] for t in moved]
    assert max(t["due_on"] for t in nowhere) > "2026-03-09"


def test_tasks_end_with_the_day_before_an_animal_left(
    viewer: APIClient, world: World
) -> None:
    asked = {"animal": world.animal.code, "from_on": "2026-03-01"}
    stayed = viewer.get(TASKS, {**asked, "until_on": "2026-03-09"}).json()["tasks"]
    world.animal.stays.update(until_at=datetime(2026, 3, 10, 12, tzinfo=UTC))
    world.animal.status = AnimalStatus.PLACED.value
    world.animal.left_on = date(2026, 3, 10)
    world.animal.save()

    body = viewer.get(TASKS, {**asked, "until_on": "2026-03-20"}).json()
    after = viewer.get(TASKS, {**asked, "from_on": "2026-03-10"}).json()

    assert stayed
    assert [t["due_on"] for t in body["tasks"]] == [t["due_on"] for t in stayed]
    assert body["until_on"] == "2026-03-20"
    assert after["tasks"] == []


def test_an_animal_that_never_had_an_enclosure_has_no_tasks(
    viewer: APIClient, world: World
) -> None:
    animal = AnimalFactory.create(species=world.species)

    body = viewer.get(TASKS, {"animal": animal.code, "from_on": "2026-03-01"}).json()

    assert body["tasks"] == []


def test_tasks_are_of_today_unless_asked(viewer: APIClient, world: World) -> None:
    body = viewer.get(TASKS, {"animal": world.animal.code}).json()

    today = timezone.now().astimezone(ZoneInfo("Europe/Lisbon")).date().isoformat()
    assert (body["from_on"], body["until_on"]) == (today, today)


def test_a_longer_range_costs_no_more_queries(viewer: APIClient, world: World) -> None:
    FeedingFactory.create(animal=world.animal, at=AT)
    PrescriptionFactory.create(animal=world.animal)
    asked = {"animal": world.animal.code, "from_on": "2026-03-01"}

    day = queries(viewer, TASKS, **asked, until_on="2026-03-01")
    another(world)

    assert queries(viewer, TASKS, **asked, until_on="2026-05-31") == day


@pytest.mark.parametrize(
    ("asked", "code", "field"),
    [
        ({}, "no_animal", "animal"),
        ({"animal": "V-none"}, "unknown_animal", "animal"),
        (
            {"animal": "V-1", "from_on": "2026-03-02", "until_on": "2026-03-01"},
            *("bad_span", "until_on"),
        ),
        (
            {"animal": "V-1", "from_on": "2026-03-01", "until_on": "2026-06-01"},
            *("bad_span", "until_on"),
        ),
        ({"animal": "V-1", "from_on": "tomorrow"}, "invalid_parameter", "from_on"),
        ({"animal": "V-1", "on": "2026-03-01"}, "unknown_parameter", "on"),
    ],
)
def test_tasks_that_cannot_be_told_are_refused(
    viewer: APIClient, asked: Json, code: str, field: str
) -> None:
    AnimalFactory.create(code="V-1")

    answer = viewer.get(TASKS, asked)

    body = answer.json()
    assert (answer.status_code, body["code"], list(body["fields"])) == (
        *(400, code, [field]),
    )


def test_ninety_two_days_are_the_most(viewer: APIClient) -> None:
    AnimalFactory.create(code="V-1")
    asked = {"animal": "V-1", "from_on": "2026-03-01", "until_on": "2026-05-31"}

    assert viewer.get(TASKS, asked).status_code == 200
    refused = viewer.get(TASKS, {**asked, "until_on": "2026-06-01"}).json()
    assert refused["detail"] == (
        "From 2026-03-01 until 2026-06-01 cannot be answered; until_on must lie "
        "between 2026-03-01 and 2026-05-31, 92 days in all."
    )


def test_tasks_far_ahead_are_refused(viewer: APIClient, world: World) -> None:
    asked = {"animal": world.animal.code, "from_on": "2199-12-31"}

    answer = viewer.get(TASKS, asked)

    body = answer.json()
    assert (answer.status_code, body["code"]) == (400, "too_far_ahead")
    assert list(body["fields"]) == ["from_on"]
