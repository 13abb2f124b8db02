"""Nights of a house with newcomers, papers, plans and homes: told once, and closing."""

from collections.abc import Iterator
from datetime import UTC, date, datetime, time, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from core.models import Room
from husbandry.actions.review import review_night
from husbandry.models import Animal, Finding, ReviewRun, Sighting
from husbandry.rules.sentences.findings import describe
from husbandry.rules.vocabulary import AnimalStatus, FindingKind, ReviewState
from placements.models import Placement
from placements.rules.vocabulary import PlacementKind, PlacementState
from tests import factories
from tests.nightly.world import ON, World, make_world, record_good_day

pytestmark = pytest.mark.django_db
MORNING_AFTER = timedelta(days=1, hours=6)
K = FindingKind


@pytest.fixture
def world() -> World:
    return make_world()


def moment(on: date, clock: time = time(9)) -> datetime:
    return datetime.combine(on, clock, tzinfo=UTC)


def review(world: World, on: date = ON) -> ReviewRun:
    return review_night(
        site=world.site, on=on, by=None, at=moment(on, time(0)) + MORNING_AFTER
    )


def told(kind: FindingKind) -> list[Finding]:
    return list(Finding.objects.filter(kind=kind.value).order_by("key"))


def what(finding: Finding) -> tuple[str, str]:
    words = describe(FindingKind(finding.kind), finding.evidence)
    return words.who, words.what


def newcomer(world: World, room: Room, code: str) -> Animal:
    animal = factories.AnimalFactory.create(
        code=code, species=world.species, arrived_on=ON - timedelta(days=40)
    )
    enclosure = factories.EnclosureFactory.create(room=room)
    factories.SetupFactory.create(enclosure=enclosure)
    factories.StayFactory.create(
        animal=animal, enclosure=enclosure, from_at=moment(ON - timedelta(days=40))
    )
    factories.QuarantineFactory.create(
        animal=animal,
        began_on=ON - timedelta(days=40),
        begun_at=moment(ON - timedelta(days=40)),
    )
    return animal


def placed(world: World, code: str, **details: object) -> Placement:
    left_on = ON - timedelta(days=30)
    animal = factories.AnimalFactory.create(
        code=code,
        species=world.species,
        arrived_on=ON - timedelta(days=200),
        status=AnimalStatus.PLACED.value,
        left_on=left_on,
    )
    return factories.PlacementFactory.create(
        **{
            "animal": animal,
            "state": PlacementState.HANDED_OVER.value,
            "planned_on": left_on,
            "handed_over_on": left_on,
            **details,
        }
    )


def test_who_is_in_quarantine_in_an_ordinary_room_is_told(world: World) -> None:
    newcomer(world, world.room, "V-0701")

    review(world)

    (finding,) = told(K.QUARANTINE_BROKEN)
    assert finding.animal is not None
    assert finding.animal.code == "V-0701"
    assert "which is not kept for quarantine" in what(finding)[1]


def test_a_paper_about_a_species_is_told_by_its_name_until_it_is_renewed(
    world: World,
) -> None:
    factories.AnimalPaperFactory.create(
        animal=None,
        species=world.species,
        kind="keeping_permit",
        number="KP-1",
        valid_until=ON + timedelta(days=10),
        recorded_at=moment(ON - timedelta(days=100)),
    )
    review(world)
    (finding,) = told(K.PAPER_EXPIRING)
    assert what(finding)[0] == world.species.common_name
    assert (finding.animal, finding.closed_on) == (None, None)

    factories.AnimalPaperFactory.create(
        animal=None,
        species=world.species,
        kind="keeping_permit",
        number="KP-2",
        issued_on=ON + timedelta(days=1),
        valid_until=ON + timedelta(days=400),
        recorded_at=moment(ON + timedelta(days=1)),
    )
    review(world, ON + timedelta(days=1))

    (finding,) = told(K.PAPER_EXPIRING)
    assert finding.closed_on == ON + timedelta(days=1)


def test_what_is_about_an_animal_that_is_away_names_it(world: World) -> None:
    foster = placed(
        world,
        "V-0702",
        kind=PlacementKind.FOSTER.value,
        due_back_on=ON - timedelta(days=2),
    )
    factories.FollowUpFactory.create(placement=foster, due_on=ON - timedelta(days=16))
    factories.HomeReportFactory.create(
        placement=foster, on=ON - timedelta(days=1), received_at=moment(ON)
    )

    review(world)

    kinds = (K.DUE_BACK, K.HOME_UNHEARD, K.HOME_REPORT)
    found = [finding for kind in kinds for finding in told(kind)]
    assert [f.animal and f.animal.code for f in found] == ["V-0702"] * 3
    assert {what(f)[0] for f in found} == {str(foster.animal)}


def test_a_plan_whose_day_has_come_is_told_with_its_shut_gates(world: World) -> None:
    animal = newcomer(world, world.room, "V-0703")
    factories.PlacementFactory.create(
        animal=animal, planned_on=ON, created_at=moment(ON - timedelta(days=3))
    )

    review(world)

    (finding,) = told(K.PLACEMENT_STUCK)
    assert "quarantine_over" in [gate for gate, _ in finding.evidence["shut"]]


def test_a_night_reviewed_again_says_the_same(world: World) -> None:
    animal = newcomer(world, world.room, "V-0704")
    factories.PlacementFactory.create(
        animal=animal, planned_on=ON, created_at=moment(ON - timedelta(days=3))
    )
    review(world)
    before = list(Sighting.objects.order_by("key").values_list("key", "evidence"))

    review(world)

    after = list(Sighting.objects.order_by("key").values_list("key", "evidence"))
    assert after == before


def queries_with(world: World, numbers: Iterator[int], many: int) -> int:
    for _ in range(many):
        number = next(numbers)
        animal = newcomer(world, world.room, f"W-{number:04d}")
        factories.PlacementFactory.create(
            animal=animal, planned_on=ON, created_at=moment(ON - timedelta(days=3))
        )
        factories.AnimalPaperFactory.create(
            animal=animal, valid_until=ON, recorded_at=moment(ON - timedelta(days=9))
        )
        factories.IntakeFactory.create(
            animal=animal,
            species_sure=False,
            arrival=factories.ArrivalFactory.create(
                site=world.site, arrived_at=moment(ON - timedelta(days=40))
            ),
        )
        away = placed(
            world,
            f"X-{number:04d}",
            kind=PlacementKind.LOAN.value,
            due_back_on=ON - timedelta(days=2),
        )
        factories.FollowUpFactory.create(placement=away, due_on=ON - timedelta(days=9))
        factories.HomeReportFactory.create(
            placement=away, on=ON, received_at=moment(ON)
        )
    with CaptureQueriesContext(connection) as asked:
        run = review(world)
    assert run.state == ReviewState.DONE.value
    assert {f.kind for f in Finding.objects.all()} >= {
        *(K.QUARANTINE_BROKEN, K.PLACEMENT_STUCK, K.PAPER_EXPIRING),
        *(K.SPECIES_UNSURE, K.DUE_BACK, K.HOME_UNHEARD, K.HOME_REPORT),
    }
    return len(asked)


def test_no_more_queries_for_more_newcomers_plans_and_homes(world: World) -> None:
    record_good_day(world, ON)
    numbers = iter(range(1, 100))
    queries_with(world, numbers, 1)

    few = queries_with(world, numbers, 1)
    many = queries_with(world, numbers, 4)

    assert many == few
