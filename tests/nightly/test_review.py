"""The nightly review, from rows in the database to findings."""

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from io import StringIO
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.db import IntegrityError, connection, transaction
from django.utils.timezone import now

from config.schedule import SCHEDULE, Row
from core.models import AuditEntry
from husbandry.actions import review as module
from husbandry.actions.probes import retire_probe
from husbandry.actions.review import (
    NightNotOverError,
    NightsFailedError,
    ReviewRunningError,
    review_day,
    review_finished_nights,
    review_night,
)
from husbandry.actions.staleness import mark_nights_stale
from husbandry.models import Conditions, Finding, ReviewRun, Sighting
from husbandry.rules.vocabulary import ReviewState
from husbandry.tasks import nightly_review
from tests.factories import (
    AnimalFactory,
    EnclosureFactory,
    ProbeFactory,
    SetupFactory,
    SpeciesFactory,
    StayFactory,
    WeighingFactory,
)
from tests.nightly.world import (
    MORNING,
    ON,
    World,
    ambient,
    basking,
    day,
    make_world,
    record,
    record_good_day,
    weigh,
    wobble,
)

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)
# COPY, which PostgreSQL reads and writes readings with, is not counted by Django.
QUERIES = {"sqlite": 91, "postgresql": 92}


@pytest.fixture
def world() -> World:
    return make_world()


def keys() -> list[str]:
    return sorted(
        f.key
        for f in Finding.objects.filter(
            closed_on__isnull=True, withdrawn_on__isnull=True
        )
    )


def everything() -> list[Any]:
    """All that a review leaves, without ids and times of the run."""
    return [
        list(
            Sighting.objects.order_by("key", "on").values_list(
                "key", "on", "seen", "urgency", "evidence"
            )
        ),
        list(
            Finding.objects.order_by("key", "opened_on").values_list(
                "pk", "key", "opened_on", "last_seen_on", "closed_on", "evidence"
            )
        ),
        list(
            Conditions.objects.order_by(
                "probe", "on", "quantity", "period", "band"
            ).values()
        ),
    ]


def test_a_well_kept_animal_has_no_findings(world: World) -> None:
    record_good_day(world, ON)

    run = review_night(site=world.site, on=ON, by=None, at=MORNING)

    assert (run.state, run.animals, run.probes, run.findings) == ("done", 1, 2, 0)
    assert run.readings == 2 * 288
    assert run.coverage == 1.0
    assert run.duration_ms is not None
    assert Sighting.objects.count() == 0
    assert AuditEntry.objects.get(verb="review_night").after["findings"] == 0


def test_conditions_are_kept_by_probe_period_and_quantity(world: World) -> None:
    record_good_day(world, ON)

    review_night(site=world.site, on=ON, by=None, at=MORNING)

    rows = Conditions.objects.filter(
        probe=world.ambient, on=ON, quantity="humidity_pct"
    )
    # By hand: 12 h at 40 % and 12 h at 85 %, each with 0, 0.1 … 0.4 in turn. The five
    # steps repeat 28.8 times by day: 144 steps from step 84 on.
    day_row = rows.get(period="day")
    assert (day_row.expected_s, day_row.covered_s) == (43_200, 43_200)
    assert (day_row.low, day_row.high) == (30.0, 50.0)
    assert (day_row.lowest, day_row.highest) == (40.0, 40.4)
    by_hand = sum(40 + wobble(step) for step in range(84, 228)) / 144
    assert day_row.mean == pytest.approx(by_hand, abs=1e-9)
    assert (day_row.below_s, day_row.above_s) == (0, 0)
    night_row = rows.get(period="night")
    assert (night_row.readings, night_row.covered_s) == (144, 43_200)


def test_a_failed_lamp_is_found_told_and_closed_again(world: World) -> None:
    record(world.ambient, ON, ambient)
    record(world.basking, ON, lambda day, step: (22.0 + wobble(step), None, 0.0))
    review_night(site=world.site, on=ON, by=None, at=MORNING)

    cold = f"below_target:animal:{world.animal.pk}:temperature_c:basking:day"
    dark = f"below_target:animal:{world.animal.pk}:uv_index:basking:day"
    assert keys() == sorted([cold, dark])

    record_good_day(world, day(1))
    review_night(site=world.site, on=day(1), by=None, at=MORNING + timedelta(days=1))

    assert keys() == []
    assert set(Finding.objects.values_list("closed_on", flat=True)) == {day(1)}


@pytest.mark.parametrize("days_ago", [1, 100, 300])
def test_a_loss_that_nobody_weighed_again_stays_a_finding(
    world: World, days_ago: int
) -> None:
    record_good_day(world, ON)
    world.animal.weighings.all().delete()
    weigh(world.animal, day(-days_ago - 10), "140")
    weigh(world.animal, day(-days_ago), "120")

    review_night(site=world.site, on=ON, by=None, at=MORNING)

    loss = Finding.objects.get(kind="weight_loss")
    assert (loss.evidence["from_g"], loss.evidence["to_g"]) == ("140.00", "120.00")


def test_silence_keeps_a_finding_open(world: World) -> None:
    record(world.ambient, ON, ambient)
    record(world.basking, ON, lambda day, step: (22.0 + wobble(step), None, 3.0 * day))
    review_night(site=world.site, on=ON, by=None, at=MORNING)
    record(world.ambient, day(1), ambient)

    review_night(site=world.site, on=day(1), by=None, at=MORNING + timedelta(days=1))

    assert keys() == [
        f"below_target:animal:{world.animal.pk}:temperature_c:basking:day",
        f"no_data:probe:{world.basking.pk}",
    ]


def test_taking_the_probe_away_keeps_a_finding_open(world: World) -> None:
    for n in range(4):
        record(world.ambient, day(n), ambient)
    record(world.basking, ON, lambda lit, step: (22.0 + wobble(step), None, 3.0 * lit))
    review_night(site=world.site, on=ON, by=None, at=MORNING)
    retire_probe(probe=world.basking, on=ON, by=None, at=MORNING)
    cold = f"below_target:animal:{world.animal.pk}:temperature_c:basking:day"

    review_night(site=world.site, on=day(1), by=None, at=MORNING + DAY)

    assert keys() == [cold, f"unmeasured_target:animal:{world.animal.pk}"]

    # A new probe that shows all is well closes it, whatever is reviewed again.
    new = ProbeFactory.create(
        enclosure=world.enclosure,
        zone=world.basking.zone,
        measures_humidity=False,
        measures_uv_index=True,
        from_on=day(2),
    )
    record(new, day(2), basking)
    for n in (2, 1):
        review_night(site=world.site, on=day(n), by=None, at=MORNING + 2 * DAY)

    assert keys() == []
    closed = Finding.objects.get(key=cold)
    assert (closed.last_seen_on, closed.closed_on) == (ON, day(2))


def test_running_twice_gives_the_same_answer(world: World) -> None:
    record(world.ambient, ON, ambient, until_h=10)
    review_night(site=world.site, on=ON, by=None, at=MORNING)
    first = everything()

    review_night(site=world.site, on=ON, by=None, at=MORNING)

    assert everything() == first
    assert first[1]
    assert ReviewRun.objects.count() == 2


def test_a_past_night_is_not_changed_by_what_happened_since(world: World) -> None:
    record_good_day(world, ON)
    review_night(site=world.site, on=ON, by=None, at=MORNING)
    first = everything()
    weigh(world.animal, day(2), "90")
    record(world.basking, day(1), lambda day, step: (10.0, None, 9.0))
    SetupFactory.create(enclosure=world.enclosure, from_on=day(2), height_cm=30)

    review_night(site=world.site, on=ON, by=None, at=MORNING + timedelta(days=9))

    assert everything() == first


def test_a_probe_that_was_retired_since_leaves_no_conditions(world: World) -> None:
    for n in range(2):
        record_good_day(world, day(n))
        review_night(site=world.site, on=day(n), by=None, at=MORNING + n * DAY)
    measured_on = Conditions.objects.filter(probe=world.basking).values_list("on")
    assert set(measured_on.all()) == {(ON,), (day(1),)}
    retire_probe(probe=world.basking, on=ON, by=None, at=MORNING + DAY)

    for n in range(2):
        review_night(site=world.site, on=day(n), by=None, at=MORNING + DAY)

    # Its last day in use is kept, and so is what the other probe measured.
    assert set(measured_on.all()) == {(ON,)}
    assert Conditions.objects.filter(probe=world.ambient, on=day(1)).exists()


def test_a_night_that_is_not_over_is_refused(world: World) -> None:
    # 23:59 of 1 March in Lisbon, which is on UTC then.
    before = datetime(2026, 3, 1, 23, 59, tzinfo=UTC)

    with pytest.raises(NightNotOverError, match="finished day there is 2026-02-28"):
        review_night(site=world.site, on=ON, by=None, at=before)

    assert ReviewRun.objects.count() == 0


def test_two_reviews_of_one_night_at_once_are_refused(world: World) -> None:
    ReviewRun.objects.create(
        site=world.site, on=ON, state=ReviewState.RUNNING.value, started_at=MORNING
    )

    with pytest.raises(ReviewRunningError, match="being reviewed at this moment"):
        review_night(site=world.site, on=ON, by=None, at=MORNING)
    with pytest.raises(IntegrityError), transaction.atomic():
        ReviewRun.objects.create(
            site=world.site, on=ON, state=ReviewState.RUNNING.value, started_at=MORNING
        )


def test_a_run_whose_process_died_is_taken_over(world: World) -> None:
    record_good_day(world, ON)
    dead = ReviewRun.objects.create(
        site=world.site,
        on=ON,
        state=ReviewState.RUNNING.value,
        started_at=MORNING - timedelta(hours=3),
    )

    run = review_night(site=world.site, on=ON, by=None, at=MORNING)

    dead.refresh_from_db()
    assert (dead.state, run.state) == ("failed", "done")


def test_a_crash_leaves_nothing_half_written(
    world: World, monkeypatch: pytest.MonkeyPatch
) -> None:
    record(world.ambient, ON, ambient, until_h=10)
    review_night(site=world.site, on=ON, by=None, at=MORNING)
    first = everything()

    def crash(*args: Any, **kwargs: Any) -> int:
        raise RuntimeError("the disk is full")

    with monkeypatch.context() as patch:
        patch.setattr("husbandry.actions.review.write_sightings", crash)
        record(world.basking, ON, basking)
        with pytest.raises(RuntimeError, match="disk is full"):
            review_night(site=world.site, on=ON, by=None, at=MORNING)

    assert everything() == first
    assert [r.state for r in ReviewRun.objects.order_by("pk")] == ["done", "failed"]
    assert review_night(site=world.site, on=ON, by=None, at=MORNING).state == "done"


def test_missed_nights_are_caught_up_oldest_first(world: World) -> None:
    world.animal.stays.update(from_at=datetime(2026, 2, 27, 12, tzinfo=UTC))
    for n in range(-2, 1):
        record_good_day(world, day(n))

    runs = review_finished_nights(by=None, at=MORNING)

    assert [run.on for run in runs] == [date(2026, 2, 27), date(2026, 2, 28), ON]
    assert review_finished_nights(by=None, at=MORNING) == []


def test_catching_up_begins_with_the_first_local_day(world: World) -> None:
    # Midnight of 1 July in Lisbon is 23:00 of 30 June in UTC.
    world.animal.stays.update(from_at=datetime(2026, 6, 30, 23, tzinfo=UTC))

    runs = review_finished_nights(by=None, at=datetime(2026, 7, 2, 6, tzinfo=UTC))

    assert [run.on for run in runs] == [date(2026, 7, 1)]


def test_a_stale_night_is_reviewed_again(world: World) -> None:
    world.animal.stays.update(from_at=datetime(2026, 3, 1, 1, tzinfo=UTC))
    record(world.ambient, ON, ambient)
    review_finished_nights(by=None, at=MORNING)
    assert f"no_data:probe:{world.basking.pk}" in keys()
    record(world.basking, ON, basking)
    ReviewRun.objects.update(stale_since=MORNING)

    runs = review_finished_nights(by=None, at=MORNING + timedelta(hours=1))

    assert [run.on for run in runs] == [ON]
    assert keys() == []
    assert review_finished_nights(by=None, at=MORNING + timedelta(hours=2)) == []


def test_data_that_come_while_a_night_is_reviewed_make_it_stale(
    world: World, monkeypatch: pytest.MonkeyPatch
) -> None:
    world.animal.stays.update(from_at=datetime(2026, 3, 1, 1, tzinfo=UTC))
    real = module.assess_night

    def while_assessing(*args: Any) -> Any:
        mark_nights_stale(nights={(world.site.pk, ON)}, at=MORNING)
        return real(*args)

    monkeypatch.setattr(module, "assess_night", while_assessing)
    review_night(site=world.site, on=ON, by=None, at=MORNING)
    monkeypatch.undo()

    runs = review_finished_nights(by=None, at=MORNING)

    assert [run.on for run in runs] == [ON]
    assert review_finished_nights(by=None, at=MORNING) == []


def test_one_bad_night_does_not_keep_others_from_being_reviewed(
    world: World, monkeypatch: pytest.MonkeyPatch
) -> None:
    world.animal.stays.update(from_at=datetime(2026, 2, 28, 1, tzinfo=UTC))
    real = module.night_facts

    def fail_once(*, site: Any, on: date) -> Any:
        if on == date(2026, 2, 28):
            raise RuntimeError("bad night")
        return real(site=site, on=on)

    monkeypatch.setattr(module, "night_facts", fail_once)

    with pytest.raises(NightsFailedError, match="2026-02-28") as raised:
        review_finished_nights(by=None, at=MORNING)

    assert "1 other" in raised.value.sentence
    assert dict(ReviewRun.objects.values_list("on", "state")) == {
        date(2026, 2, 28): "failed",
        ON: "done",
    }


@pytest.mark.parametrize("zone", ["Europe/Lisbon", "America/New_York", "Asia/Kolkata"])
@pytest.mark.parametrize("on", [date(2026, 3, 8), date(2026, 3, 29), date(2026, 11, 1)])
def test_days_of_any_length_are_covered_whole(zone: str, on: date) -> None:
    world = make_world(zone=zone)
    record_good_day(world, on)
    weigh(world.animal, on, "140")

    run = review_night(
        site=world.site, on=on, by=None, at=MORNING + timedelta(days=300)
    )

    assert (run.coverage, run.findings) == (1.0, 0)


def crowd(world: World, animals: int) -> None:
    """More animals of the same kind, each with its enclosure and probes."""
    for n in range(animals):
        enclosure = EnclosureFactory.create(room=world.room)
        SetupFactory.create(enclosure=enclosure)
        animal = AnimalFactory.create(species=world.species)
        StayFactory.create(animal=animal, enclosure=enclosure)
        WeighingFactory.create(animal=animal)
        record(ProbeFactory.create(enclosure=enclosure), ON, ambient, until_h=2 + n)


@pytest.mark.parametrize("animals", [1, 6])
def test_a_night_takes_the_same_number_of_queries_for_any_number_of_animals(
    world: World, animals: int, django_assert_num_queries: Callable[..., Any]
) -> None:
    crowd(world, animals)
    record_good_day(world, ON)

    with django_assert_num_queries(QUERIES[connection.vendor]):
        review_night(site=world.site, on=ON, by=None, at=MORNING)


def test_an_animal_at_another_site_is_not_looked_for_here(world: World) -> None:
    elsewhere = make_world(code="B-01")
    moved = elsewhere.animal
    for n in range(2):
        record_good_day(world, day(n))
        record_good_day(elsewhere, day(n))
    elsewhere.animal.stays.update(until_at=datetime(2026, 3, 1, 12, tzinfo=UTC))
    other = EnclosureFactory.create(room=world.room)
    SetupFactory.create(enclosure=other)
    StayFactory.create(
        animal=moved, enclosure=other, from_at=datetime(2026, 3, 1, 12, tzinfo=UTC)
    )

    for site in (world.site, elsewhere.site):
        review_night(site=site, on=ON, by=None, at=MORNING)

    assert keys() == [f"unmeasured_target:animal:{moved.pk}"]
    assert {f.site_id for f in Finding.objects.all()} == {world.site.pk}


def test_an_animal_that_is_nowhere_is_found_by_its_last_site(world: World) -> None:
    elsewhere = make_world(code="B-01")
    record_good_day(world, ON)
    elsewhere.animal.stays.update(until_at=datetime(2026, 2, 20, tzinfo=UTC))
    never = AnimalFactory.create(species=world.species)

    review_night(site=world.site, on=ON, by=None, at=MORNING)
    review_night(site=elsewhere.site, on=ON, by=None, at=MORNING)

    nowhere = Finding.objects.filter(kind="no_enclosure")
    assert {(f.animal_id, f.site_id) for f in nowhere} == {
        (elsewhere.animal.pk, elsewhere.site.pk),
        (never.pk, world.site.pk),
    }


def test_a_species_without_profile_is_reported(world: World) -> None:
    record_good_day(world, ON)
    stranger = AnimalFactory.create(species=SpeciesFactory.create(code="unknown"))
    other = EnclosureFactory.create(room=world.room)
    StayFactory.create(animal=stranger, enclosure=other)

    review_night(site=world.site, on=ON, by=None, at=MORNING)

    assert keys() == [f"no_profile:animal:{stranger.pk}"]


def test_the_task_reviews_what_is_due(world: World) -> None:
    world.animal.stays.update(from_at=now() - timedelta(days=3))

    count = nightly_review()

    assert count == ReviewRun.objects.count() == 3
    assert nightly_review() == 0


def test_the_command_reviews_one_day_or_all_that_is_due(world: World) -> None:
    world.animal.stays.update(from_at=datetime(2026, 3, 1, 1, tzinfo=UTC))
    record_good_day(world, ON)
    out = StringIO()

    call_command("nightly", ON.isoformat(), stdout=out)

    assert "night of 01 Mar 2026: done, 1 animal, 2 probes (100% covered), 0" in (
        out.getvalue()
    )
    with pytest.raises(CommandError, match="is not over yet"):
        call_command("nightly", "2100-01-01")


def test_without_a_site_the_command_does_not_speak_of_reviews() -> None:
    out = StringIO()

    call_command("nightly", stdout=out)

    assert out.getvalue().startswith("There is no site yet")


def test_the_command_does_what_else_is_scheduled() -> None:
    AnimalFactory.create()
    out = StringIO()

    call_command("nightly", stdout=out)

    assert "Write the register: 1" in out.getvalue()


def test_what_fails_of_the_schedule_is_named_and_keeps_nothing_else_back(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    AnimalFactory.create()
    broken = Row("Break", "tests.nightly.test_review.broken", "0", "*", 1)
    monkeypatch.setattr(
        "config.management.commands.nightly.SCHEDULE", (broken, *SCHEDULE)
    )
    out = StringIO()

    with pytest.raises(CommandError, match=r"Break: .*on purpose"):
        call_command("nightly", stdout=out)

    assert "Write the register: 1" in out.getvalue()


def broken() -> int:
    raise RuntimeError("on purpose")


def test_a_day_is_refused_for_all_sites_if_it_is_not_over_at_one(world: World) -> None:
    make_world(zone="Pacific/Honolulu", code="B-01")
    before = datetime(2026, 3, 2, 6, tzinfo=UTC)

    with pytest.raises(NightNotOverError):
        review_day(on=ON, by=None, at=before)

    assert ReviewRun.objects.count() == 0


def test_an_animal_without_an_enclosure_is_told_of_at_one_site(world: World) -> None:
    elsewhere = make_world(code="B-01")
    noon, evening = (datetime(2026, 3, 1, h, tzinfo=UTC) for h in (12, 20))
    world.animal.stays.update(until_at=noon)
    elsewhere.animal.stays.update(until_at=noon)
    StayFactory.create(
        animal=world.animal,
        enclosure=elsewhere.enclosure,
        from_at=noon,
        until_at=evening,
    )

    for place in (world, elsewhere):
        review_night(site=place.site, on=ON, by=None, at=MORNING)

    told = Finding.objects.filter(kind="no_enclosure", animal=world.animal)
    assert [f.site for f in told] == [elsewhere.site]
