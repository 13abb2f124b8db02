"""Nights of a site that records its care: what was left undone is found and closes."""

from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal

import pytest

from husbandry.actions.chores import ChoreRow, record_chores
from husbandry.actions.doses import note_dose_not_given
from husbandry.actions.feedings import FeedingRow, record_feedings
from husbandry.actions.policies import set_policy
from husbandry.actions.review import review_night
from husbandry.models import (
    Chore,
    Feeding,
    Finding,
    ReviewPolicy,
    ReviewRun,
    Setup,
    Sighting,
)
from husbandry.queries.care import care_facts
from husbandry.rules.care.due import tasks_due
from husbandry.rules.care.tasks import FeedPlan, GutLoadPlan
from husbandry.rules.vocabulary import (
    ChoreKind,
    FindingKind,
    Misting,
    RowOutcome,
    TaskKind,
    Urgency,
)
from tests.factories import (
    AnimalFactory,
    ChoreFactory,
    EnclosureFactory,
    LampFactory,
    PrescriptionFactory,
    SetupFactory,
    StayFactory,
)
from tests.nightly.world import (
    ON,
    World,
    day,
    make_world,
    record_good_day,
    weigh,
)

pytestmark = pytest.mark.django_db
K = FindingKind
HOUR = timedelta(hours=1)


def at(on: date, hour: int) -> datetime:
    return datetime.combine(on, time(hour), tzinfo=UTC)


@pytest.fixture
def kept() -> World:
    """An adult male, fed by hand, misted by a timer, under a new lamp."""
    world = make_world()
    ReviewPolicy.objects.all().delete()
    Setup.objects.update(misting=Misting.BY_TIMER.value)
    LampFactory.create(enclosure=world.enclosure, fitted_on=date(2026, 2, 20))
    eve = day(-1)
    meal(world, eve)
    ChoreFactory.create(
        kind=ChoreKind.GUT_LOADING.value,
        enclosure=None,
        room=world.room,
        feeder="feeder-crickets",
        at=at(eve, 21),
    )
    return world


def meal(world: World, on: date, *supplements: str) -> None:
    row = FeedingRow(
        world.animal.code, at(on, 9), "feeder-crickets", 3, 3, supplements=supplements
    )
    taken(record_feedings(rows=[row], by=None, recorded_at=at(on, 9)))


def keep(world: World, on: date, *, feed: bool = True, load: bool = True) -> None:
    """A good day: the climate as wanted, and the round done as it is due."""
    record_good_day(world, on)
    facts = care_facts(site=world.site, from_on=on, until_on=on)
    for task in tasks_due(facts, from_on=on, until_on=on):
        plan = task.plan
        if isinstance(plan, FeedPlan) and feed and task.is_open:
            given = tuple(s.id for s in plan.supplements)
            row = FeedingRow(
                world.animal.code, at(on, 9), plan.feeder, 3, 3, supplements=given
            )
            taken(record_feedings(rows=[row], by=None, recorded_at=at(on, 9)))
        if isinstance(plan, GutLoadPlan) and load and task.due_at:
            chore = ChoreRow(
                ChoreKind.GUT_LOADING,
                at=task.due_at,
                room=(world.site.code, world.room.code),
                feeder=plan.feeder,
            )
            taken(record_chores(rows=[chore], by=None, recorded_at=task.due_at))


def taken(results) -> None:
    assert {r.outcome for r in results} <= {RowOutcome.STORED, RowOutcome.KNOWN}


def review(world: World, on: date) -> ReviewRun:
    return review_night(
        site=world.site, on=on, by=None, at=at(on + timedelta(days=1), 6)
    )


def open_kinds() -> set[str]:
    return set(
        Finding.objects.filter(
            closed_on__isnull=True, withdrawn_on__isnull=True
        ).values_list("kind", flat=True)
    )


def test_a_well_kept_fortnight_has_no_findings(kept: World) -> None:
    for n in range(14):
        keep(kept, day(n))
    for n in range(14):
        assert review(kept, day(n)).findings == 0, day(n)

    # Every 2 to 3 days, common practice without a source: five or six meals; the
    # multivitamin of the 1st went on one of them.
    assert 5 <= Feeding.objects.count() <= 7
    dusted = [f.at.date() for f in Feeding.objects.all() if "d3" in str(f.supplements)]
    assert len(dusted) == 1


def test_an_animal_that_was_not_fed_is_found_until_it_is(kept: World) -> None:
    for n in range(3):
        keep(kept, day(n))
    for n in range(3, 10):
        keep(kept, day(n), feed=False)
    nights = {}
    for n in range(10):
        review(kept, day(n))
        nights[n] = open_kinds() & {K.FEEDING_MISSED.value}
    first = min(n for n, kinds in nights.items() if kinds)

    assert first in {4, 5, 6}
    assert all(nights[n] for n in range(first, 10))
    finding = Finding.objects.get(kind=K.FEEDING_MISSED.value)
    assert finding.urgency == Urgency.TODAY.value
    last = Feeding.objects.latest("at").at.date()
    assert finding.evidence["last_on"] == last.isoformat()

    keep(kept, day(10), feed=False)
    meal(kept, day(10), "plain-calcium")
    review(kept, day(10))

    assert K.FEEDING_MISSED.value not in open_kinds()
    finding.refresh_from_db()
    assert finding.closed_on == day(10)


def test_a_meal_written_down_late_makes_the_night_stale_and_is_taken_back(
    kept: World,
) -> None:
    for n in range(3):
        keep(kept, day(n))
    for n in range(3, 8):
        keep(kept, day(n), feed=False)
    for n in range(8):
        review(kept, day(n))
    assert K.FEEDING_MISSED.value in open_kinds()

    rows = [
        FeedingRow(kept.animal.code, at(day(n), 10), "feeder-crickets", 3, 3)
        for n in range(3, 8)
    ]
    taken(record_feedings(rows=rows, by=None, recorded_at=at(day(8), 8)))
    stale = set(
        ReviewRun.objects.exclude(stale_since=None).values_list("on", flat=True)
    )
    for n in range(8):
        review(kept, day(n))

    assert stale == {day(n) for n in range(3, 8)}
    assert K.FEEDING_MISSED.value not in open_kinds()
    finding = Finding.objects.get(kind=K.FEEDING_MISSED.value)
    assert finding.withdrawn_on is not None


def test_a_night_of_care_twice_says_the_same(kept: World) -> None:
    keep(kept, day(0))
    for n in range(1, 6):
        keep(kept, day(n), feed=False)

    review(kept, day(5))
    once = list(Sighting.objects.order_by("key").values("key", "seen", "evidence"))
    review(kept, day(5))

    assert once
    assert (
        list(Sighting.objects.order_by("key").values("key", "seen", "evidence")) == once
    )


def test_a_site_that_records_no_care_is_told_once(kept: World) -> None:
    Feeding.objects.all().delete()
    Chore.objects.all().delete()
    for n in range(3):
        record_good_day(kept, day(n))
        review(kept, day(n))

    finding = Finding.objects.get()
    assert (finding.kind, finding.animal, finding.nights_seen) == (
        K.CARE_UNRECORDED.value,
        None,
        3,
    )
    assert finding.evidence["site"] == kept.site.name
    assert TaskKind.FEED.value in finding.evidence["kinds"]


def test_a_dose_nobody_wrote_down_is_found_until_somebody_does(kept: World) -> None:
    prescription = PrescriptionFactory.create(
        animal=kept.animal, first_at=at(day(0), 10), until_on=day(0)
    )
    for n in range(12):
        keep(kept, day(n))
        review(kept, day(n))
    # Long after the course was over, too.
    assert open_kinds() == {K.DOSE_MISSED.value}

    note_dose_not_given(
        prescription=prescription,
        due_at=at(day(0), 10),
        why="It slept; the vet knows.",
        by=None,
        recorded_at=at(day(12), 8),
    )
    keep(kept, day(12))
    review(kept, day(12))

    assert open_kinds() == set()


def test_a_policy_switches_a_finding_off_and_closes_it(kept: World) -> None:
    keep(kept, day(0))
    for n in range(1, 6):
        keep(kept, day(n), feed=False)
        review(kept, day(n))
    assert K.FEEDING_MISSED.value in open_kinds()

    set_policy(
        site=kept.site,
        kind=K.FEEDING_MISSED,
        from_on=day(6),
        switched_on=False,
        urgency=None,
        limits={},
        reason="meals are written down elsewhere",
        by=None,
        at=at(day(6), 8),
    )
    keep(kept, day(6), feed=False)
    review(kept, day(6))
    review(kept, day(5))

    finding = Finding.objects.get(kind=K.FEEDING_MISSED.value)
    assert (finding.last_seen_on, finding.closed_on) == (day(5), day(6))


def test_a_limit_of_the_site_is_what_the_night_judges_by(kept: World) -> None:
    keep(kept, day(0))
    set_policy(
        site=kept.site,
        kind=K.LAMP_WORN,
        from_on=day(1),
        switched_on=True,
        urgency=Urgency.WATCH,
        limits={"replace_after_months": Decimal(1)},
        reason="our tubes fade fast",
        by=None,
        at=at(day(1), 8),
    )
    # A tube of 20 Feb is a month old on 20 Mar: the 19th of these days.
    for n in (18, 19):
        keep(kept, day(n))
    before, then = (
        review(kept, day(n)) and open_kinds() & {K.LAMP_WORN.value} for n in (18, 19)
    )

    assert (before, then) == (set(), {K.LAMP_WORN.value})
    finding = Finding.objects.get(kind=K.LAMP_WORN.value)
    assert finding.urgency == Urgency.WATCH.value
    assert finding.evidence["basis"]["source"] == "policy-of-this-site"


def test_the_day_of_arrival_asks_for_nothing_yet(kept: World) -> None:
    keep(kept, day(0))
    kept.animal.arrived_on = day(1)
    kept.animal.save(update_fields=["arrived_on"])
    record_good_day(kept, day(1))

    review(kept, day(1))

    assert K.FEEDING_MISSED.value not in open_kinds()
    assert day(0) == ON


def test_mates_that_left_or_died_still_count_at_the_same_age(kept: World) -> None:
    """Five mates are needed; three are here, two were placed a month ago."""
    dam = AnimalFactory.create(species=kept.species)
    hatched_on = day(0) - timedelta(days=60)
    young = {"species": kept.species, "dam": dam, "hatched_on": hatched_on}
    young |= {"arrived_on": hatched_on}
    runt = AnimalFactory.create(**young)
    here = [AnimalFactory.create(**young) for _ in range(3)]
    gone = [
        AnimalFactory.create(**young, status="placed", left_on=day(0)) for _ in range(2)
    ]
    for one in (runt, *here):
        enclosure = EnclosureFactory.create(room=kept.room)
        SetupFactory.create(enclosure=enclosure, misting=Misting.BY_TIMER.value)
        StayFactory.create(animal=one, enclosure=enclosure)
    for n, mate in enumerate((*here, *gone)):
        weigh(mate, day(-1), str(20 + n))
    weigh(runt, day(-1), "9")

    review(kept, day(0))

    (finding,) = Finding.objects.filter(kind=K.GROWTH_BEHIND.value)
    assert finding.animal == runt
    assert finding.evidence["mates"] == 5
    assert {m["animal"] for m in finding.evidence["weighed_mates"]} >= {
        str(mate) for mate in gone
    }
