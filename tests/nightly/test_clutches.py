"""Nights of a site with eggs: what is wrong with them is found, and closes."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from clutches.models import Clutch, EggBox, Forecast, IncubatorDay
from husbandry.actions.review import review_night
from husbandry.models import Enclosure, Finding, Probe, ReviewRun, Sighting
from husbandry.rules.vocabulary import EnclosureKind, ReviewState, Zone
from tests.factories import (
    AnimalFactory,
    BoxCheckFactory,
    BoxStayFactory,
    ClutchFactory,
    EggBoxFactory,
    EggFactory,
    EggPlaceFactory,
    EnclosureFactory,
    IntroductionFactory,
    ProbeFactory,
    SetupFactory,
    StayFactory,
)
from tests.nightly.world import (
    ON,
    World,
    day,
    make_world,
    record,
    record_good_day,
    weigh,
)

pytestmark = pytest.mark.django_db
LAID_ON = ON - timedelta(days=40)
Values = tuple[float | None, float | None, float | None]


@dataclass
class EggRoom:
    world: World
    incubator: Enclosure
    probe: Probe
    box: EggBox
    clutch: Clutch


@pytest.fixture
def eggs() -> EggRoom:
    world = make_world()
    incubator = EnclosureFactory.create(
        room=world.room, code="I-1", kind=EnclosureKind.INCUBATOR.value
    )
    SetupFactory.create(enclosure=incubator)
    box = EggBoxFactory.create(code="B-1", made_on=LAID_ON)
    laid_at = datetime.combine(LAID_ON, time(12), tzinfo=UTC)
    BoxStayFactory.create(box=box, incubator=incubator, from_at=laid_at)
    dam = AnimalFactory.create(species=world.species, arrived_on=LAID_ON)
    type(dam).objects.filter(pk=dam.pk).update(status="placed", left_on=LAID_ON)
    clutch = ClutchFactory.create(
        code="C-1", dam=dam, site=world.site, laid_on=LAID_ON, eggs_set=3
    )
    for number in range(1, 4):
        EggPlaceFactory.create(
            egg=EggFactory.create(clutch=clutch, number=number),
            box=box,
            column=number,
            from_at=laid_at,
        )
    BoxCheckFactory.create(
        box=box, at=datetime.combine(ON - timedelta(days=2), time(9), tzinfo=UTC)
    )
    probe = ProbeFactory.create(
        enclosure=incubator, code="I-1-eggs", zone=Zone.EGGS.value
    )
    return EggRoom(world, incubator, probe, box, clutch)


def held(celsius: float) -> Callable[[bool, int], Values]:
    return lambda _, step: (celsius + 0.05 * (step % 5), 80 + 0.1 * (step % 5), None)


def review(eggs: EggRoom, on: date) -> ReviewRun:
    at = datetime.combine(on + timedelta(days=1), time(6), tzinfo=UTC)
    return review_night(site=eggs.world.site, on=on, by=None, at=at)


def night(eggs: EggRoom, on: date, values: Callable[[bool, int], Values]) -> ReviewRun:
    record_good_day(eggs.world, on)
    record(eggs.probe, on, values)
    return review(eggs, on)


def open_kinds() -> list[str]:
    rows = Finding.objects.filter(closed_on__isnull=True, withdrawn_on__isnull=True)
    return sorted(rows.values_list("kind", flat=True))


def test_eggs_that_are_as_they_should_be_are_no_finding(eggs: EggRoom) -> None:
    run = night(eggs, ON, held(26.5))

    assert (run.state, run.failures) == (ReviewState.DONE, [])
    assert open_kinds() == []


def test_heat_past_the_limit_is_told_at_once_and_closes(eggs: EggRoom) -> None:
    # Andrews 2008: the warmest of the regimes studied was 30 °C.
    def hot(lit: bool, step: int) -> Values:
        return held(31.2 if 100 <= step < 112 else 26.5)(lit, step)

    night(eggs, ON, hot)

    [finding] = Finding.objects.all()
    assert (finding.kind, finding.urgency) == ("eggs_too_warm", "now")
    assert finding.enclosure == eggs.incubator
    assert finding.evidence["boxes"] == ["B-1"]
    assert finding.evidence["eggs"] == 3
    assert finding.evidence["room"] == "Adults"
    night(eggs, day(1), held(26.5))
    finding.refresh_from_db()
    assert finding.closed_on == day(1)


def test_an_hour_of_cool_is_no_finding(eggs: EggRoom) -> None:
    # Common practice, no source: a short time of cool slows eggs and harms none.
    def cool(lit: bool, step: int) -> Values:
        return held(20.0 if 100 <= step < 112 else 26.5)(lit, step)

    night(eggs, ON, cool)

    assert open_kinds() == []


def test_silence_among_eggs_is_told_once_and_as_such(eggs: EggRoom) -> None:
    record_good_day(eggs.world, ON)
    record(eggs.probe, ON, held(26.5), until_h=10)
    review(eggs, ON)

    assert open_kinds() == ["eggs_unmeasured"]
    assert not Sighting.objects.filter(kind="no_data", probe=eggs.probe).exists()


def test_a_box_that_nobody_looked_into_is_told(eggs: EggRoom) -> None:
    eggs.box.checks.update(at=datetime.combine(LAID_ON, time(13), tzinfo=UTC))

    night(eggs, ON, held(26.5))

    [finding] = Finding.objects.all()
    assert (finding.kind, finding.key) == (
        "box_unchecked",
        f"box_unchecked:box:{eggs.box.pk}",
    )


def test_the_hours_and_the_forecast_of_a_night_are_kept(eggs: EggRoom) -> None:
    night(eggs, ON, held(26.5))

    kept = IncubatorDay.objects.get(probe=eggs.probe, on=ON)
    assert len(kept.hours_milli_c) == 24
    assert all(26_400 < hour < 26_800 for hour in kept.hours_milli_c)
    forecast = Forecast.objects.get(clutch=eggs.clutch, box=eggs.box, on=ON)
    # The care profile's own window, long-2008: 180 to 275 days.
    assert (forecast.basis, forecast.coverage) == ("profile_window", None)
    assert forecast.earliest_on == LAID_ON + timedelta(days=180)
    assert forecast.latest_on == LAID_ON + timedelta(days=275)


def test_a_night_reviewed_again_says_the_same(eggs: EggRoom) -> None:
    def hot(lit: bool, step: int) -> Values:
        return held(31.2 if 100 <= step < 112 else 26.5)(lit, step)

    night(eggs, ON, hot)
    before = state()

    review(eggs, ON)

    assert state() == before


def state() -> list[object]:
    return [
        list(
            Sighting.objects.order_by("key").values_list("key", "urgency", "evidence")
        ),
        list(Forecast.objects.order_by("pk").values_list("clutch", "evidence")),
        list(IncubatorDay.objects.values_list("probe", "on", "hours_milli_c")),
    ]


def test_a_part_that_fails_leaves_the_animals_reviewed(
    eggs: EggRoom, settings: object
) -> None:
    settings.NIGHT_PARTS = ("tests.nightly.test_clutches.broken",)  # type: ignore[attr-defined]

    run = night(eggs, ON, held(26.5))

    assert run.state == ReviewState.PARTIAL
    assert run.failures == [{"animal": "tests", "error": "RuntimeError('broken')"}]
    assert run.animals == 1


def broken(night: object) -> None:
    raise RuntimeError("broken")


def test_no_more_queries_for_more_eggs(eggs: EggRoom) -> None:
    night(eggs, ON, held(26.5))
    counts = []
    for n in (1, 2):
        record_good_day(eggs.world, day(n))
        record(eggs.probe, day(n), held(26.5))
        with CaptureQueriesContext(connection) as asked:
            review(eggs, day(n))
        counts.append(len(asked))
        for column in range(1, 9):
            EggPlaceFactory.create(
                egg=EggFactory.create(clutch=eggs.clutch, number=10 * n + column),
                box=eggs.box,
                row=1 + n,
                column=column,
                from_at=datetime.combine(LAID_ON, time(12), tzinfo=UTC),
            )

    assert counts[0] == counts[1]


def test_a_mated_female_that_has_not_laid_is_told_after_the_window(
    eggs: EggRoom,
) -> None:
    # zoo-profile-2014 and kramer-case: a veiled chameleon lays 20 to 35 days after
    # mating. She is grown, so husbandry itself asks for the laying bin she has.
    dam = AnimalFactory.create(species=eggs.world.species, name="Mora")
    home = EnclosureFactory.create(room=eggs.world.room, code="A-02")
    SetupFactory.create(enclosure=home)
    StayFactory.create(animal=dam, enclosure=home)
    weigh(dam, ON, "110")
    mated_on = ON - timedelta(days=35)
    IntroductionFactory.create(
        pairing__dam=dam,
        pairing__sire=eggs.world.animal,
        at=datetime.combine(mated_on, time(10), tzinfo=UTC),
    )

    night(eggs, ON, held(26.5))
    assert "laying_overdue" not in open_kinds()
    night(eggs, day(1), held(26.5))

    finding = Finding.objects.get(kind="laying_overdue")
    assert finding.animal == dam
    assert finding.opened_on == day(1)
    assert finding.evidence["days"] == 36
    assert finding.evidence["window_until"] == ON.isoformat()
