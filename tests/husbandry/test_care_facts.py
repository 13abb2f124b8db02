"""What is gathered of a site's care: whom, what counts, and as of which day."""

from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from pytest_django import DjangoAssertNumQueries

from core.models import Room, Site
from husbandry.models import Animal, Enclosure
from husbandry.queries.care import care_facts
from husbandry.rules.care.due import standing_tasks, tasks_due
from husbandry.rules.care.facts import (
    CaredAnimal,
    CaredEnclosure,
    CareFacts,
    FeedingFact,
    LampFact,
    OrderFact,
)
from husbandry.rules.vocabulary import (
    ChoreKind,
    FeedingOrderKind,
    HealthTestResult,
    LampKind,
    Misting,
    ObservationKind,
    Observed,
    TaskKind,
)
from husbandry.rules.weights import GravidSpell
from tests.factories import (
    AnimalFactory,
    CareProfileFactory,
    ChoreFactory,
    DoseFactory,
    EnclosureFactory,
    FeedingFactory,
    FeedingOrderFactory,
    HealthTestFactory,
    LampCheckFactory,
    LampFactory,
    ObservationFactory,
    PrescriptionFactory,
    ReproductiveSpellFactory,
    RoomFactory,
    SetupFactory,
    SiteFactory,
    StayFactory,
    UserFactory,
    WeighingFactory,
)

pytestmark = pytest.mark.django_db
ON = date(2026, 3, 2)
DAY = timedelta(1)
STRUCK: dict[str, Any] = {
    "struck_at": datetime(2026, 3, 1, tzinfo=UTC),
    "struck_reason": "the neighbour's",
}


def at(on: date, hour: int = 9, minute: int = 0) -> datetime:
    return datetime.combine(on, time(hour, minute), tzinfo=UTC)


@pytest.fixture
def site() -> Site:
    return SiteFactory()


@pytest.fixture
def room(site: Site) -> Room:
    return RoomFactory(site=site, code="main", name="Main", position=1)


def housed(room: Room, **animal: Any) -> Animal:
    """Return an animal in an enclosure of its own, lights from 07:00 to 19:00."""
    enclosure = EnclosureFactory(room=room)
    SetupFactory(enclosure=enclosure)
    found = AnimalFactory(**animal)
    StayFactory(animal=found, enclosure=enclosure)
    return found


def only(facts: CareFacts) -> CaredAnimal:
    (animal,) = facts.animals
    return animal


def gathered(site: Site, on: date = ON, room: Room | None = None) -> CareFacts:
    return care_facts(site=site, from_on=on, until_on=on, room=room)


def whole_record(animal: Animal) -> None:
    """Put something of every kind on record of an animal and its enclosure."""
    enclosure = animal.stays.get().enclosure
    for days in (1, 3, 100):
        FeedingFactory(animal=animal, at=at(ON - days * DAY))
        WeighingFactory(animal=animal, at=at(ON - days * DAY))
    FeedingOrderFactory(animal=animal, kind=FeedingOrderKind.FAST.value)
    ObservationFactory(animal=animal, at=at(ON - DAY), look_again_on=ON)
    ReproductiveSpellFactory(animal=animal)
    DoseFactory(prescription=PrescriptionFactory(animal=animal), due_at=at(ON))
    HealthTestFactory(animal=animal, expected_on=ON)
    ChoreFactory(enclosure=enclosure, kind=ChoreKind.MISTING.value, at=at(ON))
    LampCheckFactory(lamp=LampFactory(enclosure=enclosure), at=at(ON - DAY))


@pytest.mark.parametrize("animals", [1, 3])
def test_the_number_of_queries_does_not_grow_with_the_animals(
    site: Site,
    room: Room,
    animals: int,
    django_assert_num_queries: DjangoAssertNumQueries,
) -> None:
    CareProfileFactory()
    for _ in range(animals):
        whole_record(housed(room))

    with django_assert_num_queries(26):
        facts = gathered(site)
    with django_assert_num_queries(23):
        of_room = gathered(site, room=room)

    assert of_room == facts
    assert len(facts.animals) == len(facts.enclosures) == animals
    assert len(tasks_due(facts, from_on=ON, until_on=ON)) >= 5 * animals


def test_who_is_in_care_there_on_the_last_day(site: Site, room: Room) -> None:
    elsewhere = RoomFactory()  # a room of another, later site
    housed(room, code="here")
    housed(room, code="left", status="placed", left_on=ON)
    housed(room, code="leaves later", status="placed", left_on=ON + DAY)
    housed(room, code="comes tomorrow", arrived_on=ON + DAY)
    housed(elsewhere, code="elsewhere")
    for code, from_room, to_room, moved_at in (
        ("moved in", elsewhere, room, at(ON, 23, 30)),
        ("moved out", room, elsewhere, at(ON, 23, 30)),
        ("moves out tomorrow", room, elsewhere, at(ON + DAY, 0, 30)),
    ):
        animal = AnimalFactory(code=code)
        StayFactory(
            animal=animal, enclosure=EnclosureFactory(room=from_room), until_at=moved_at
        )
        StayFactory(
            animal=animal, enclosure=EnclosureFactory(room=to_room), from_at=moved_at
        )

    found = {a.code for a in gathered(site).animals}

    assert found == {"here", "leaves later", "moved in", "moves out tomorrow"}


def test_an_animal_without_an_enclosure_is_cared_for_at_its_last_site(
    site: Site, room: Room
) -> None:
    other = SiteFactory()
    over = {"from_at": at(ON - 9 * DAY), "until_at": at(ON - DAY)}
    was_here = AnimalFactory(code="B was here")
    StayFactory(animal=was_here, enclosure=EnclosureFactory(room=room), **over)
    was_there = AnimalFactory(code="C was there")
    StayFactory(
        animal=was_there,
        enclosure=EnclosureFactory(room=RoomFactory(site=other)),
        **over,
    )
    AnimalFactory(code="D never anywhere")
    housed(room, code="A housed")
    FeedingFactory(animal=was_here, at=at(ON - DAY))

    facts = gathered(site)

    assert [(a.code, a.enclosure is None) for a in facts.animals] == [
        ("A housed", False),
        ("B was here", True),
        ("D never anywhere", True),
    ]
    assert [len(a.feedings) for a in facts.animals] == [0, 1, 0]
    assert [a.code for a in gathered(other).animals] == ["C was there"]
    assert [a.code for a in gathered(site, room=room).animals] == ["A housed"]


def test_feedings_in_force_up_to_the_end_of_the_last_day(
    site: Site, room: Room
) -> None:
    animal = housed(room, code="V-1", name="Juno")
    other = housed(room)
    FeedingFactory(animal=other, at=at(ON))
    kept = [
        FeedingFactory(animal=animal, at=at(ON - 62 * DAY, 0)),
        FeedingFactory(
            animal=animal, at=at(ON, 23, 59), eaten=None, supplements=[], assisted=True
        ),
    ]
    FeedingFactory(animal=animal, at=at(ON - 63 * DAY, 23, 59))
    FeedingFactory(animal=animal, at=at(ON + DAY, 0))
    FeedingFactory(animal=animal, at=at(ON, 8), **STRUCK)

    facts = gathered(site)

    cared = next(a for a in facts.animals if a.code == "V-1")
    assert cared.label == "V-1 Juno"
    assert cared.feedings == (
        FeedingFact(
            kept[0].pk,
            at(ON - 62 * DAY, 0),
            ON - 62 * DAY,
            "feeder-crickets",
            4,
            4,
            ("plain-calcium",),
            assisted=False,
        ),
        FeedingFact(
            kept[1].pk,
            at(ON, 23, 59),
            ON,
            "feeder-crickets",
            4,
            None,
            (),
            assisted=True,
        ),
    )
    assert facts.since_on == ON - 62 * DAY


def test_local_days_are_those_of_the_site() -> None:
    # 08:30 UTC on 1 March is 18:30 in Brisbane; 15:00 UTC is 01:00 on the 2nd.
    site = SiteFactory(time_zone="Australia/Brisbane")
    animal = housed(RoomFactory(site=site))
    for hour in (8, 15):
        FeedingFactory(animal=animal, at=at(ON - DAY, hour))
        WeighingFactory(animal=animal, at=at(ON - DAY, hour))
    FeedingFactory(animal=animal, at=at(ON, 14))  # midnight, of the 3rd

    facts = gathered(site)

    assert facts.zone == ZoneInfo("Australia/Brisbane")
    assert [f.on for f in only(facts).feedings] == [ON - DAY, ON]
    assert only(facts).weighed_on == (ON - DAY, ON)


def test_weighings_in_force_and_the_newest_of_all(site: Site, room: Room) -> None:
    animal, neglected = housed(room, code="A"), housed(room, code="B")
    wrong = WeighingFactory(animal=animal, at=at(ON - DAY), mass_g=Decimal(900))
    right = WeighingFactory(
        animal=animal, at=at(ON - DAY), mass_g=Decimal(90), corrects=wrong
    )
    WeighingFactory(animal=animal, at=at(ON - 5 * DAY, 8))
    WeighingFactory(animal=animal, at=at(ON - 5 * DAY, 20))
    WeighingFactory(animal=animal, at=at(ON + DAY))
    WeighingFactory(animal=neglected, at=at(ON - 90 * DAY))
    old = WeighingFactory(animal=neglected, at=at(ON - 80 * DAY), mass_g=Decimal(71))
    housed(room, code="C")

    first, second, third = gathered(site).animals

    assert first.weighed_on == (ON - 5 * DAY, ON - DAY)
    assert first.last_weighing is not None
    assert (first.last_weighing.id, first.last_weighing.mass_g) == (right.pk, 90)
    assert second.weighed_on == ()
    assert second.last_weighing is not None
    assert (second.last_weighing.id, second.last_weighing.mass_g) == (old.pk, 71)
    assert (third.weighed_on, third.last_weighing) == ((), None)


@pytest.mark.parametrize(
    ("withdrawn_at", "until_on"),
    [
        (None, ON + 5 * DAY),
        (at(ON + DAY, 0), ON + 5 * DAY),
        (at(ON, 12), ON - DAY),
        (at(ON - 2 * DAY, 12), ON - 3 * DAY),
        (at(ON - 3 * DAY, 12), None),
    ],
)
def test_a_withdrawn_agreement_held_until_the_day_before(
    site: Site, room: Room, withdrawn_at: datetime | None, until_on: date | None
) -> None:
    row = FeedingOrderFactory(
        animal=housed(room),
        kind=FeedingOrderKind.ASSIST.value,
        from_on=ON - 3 * DAY,
        until_on=ON + 5 * DAY,
        every_days=2,
        portion=3,
        unit="mL",
        reason="Weak after surgery.",
        made_by=UserFactory(username="vet"),
        withdrawn_at=withdrawn_at,
    )

    orders = only(gathered(site)).orders

    expected = OrderFact(
        id=row.pk,
        kind=FeedingOrderKind.ASSIST,
        from_on=ON - 3 * DAY,
        until_on=until_on or ON,
        every_days=2,
        portion=3,
        unit="mL",
        reason="Weak after surgery.",
        by="vet",
    )
    assert orders == ((expected,) if until_on else ())


def test_a_fast_of_tomorrow_spares_the_insects_tonight(site: Site, room: Room) -> None:
    CareProfileFactory()
    # Hatched 60 days before: fed daily.
    born_on = ON - 60 * DAY
    animal = housed(room, hatched_on=born_on, arrived_on=born_on)
    before = tasks_due(gathered(site), from_on=ON, until_on=ON)
    FeedingOrderFactory(animal=animal, from_on=ON + DAY, until_on=ON + DAY)

    after = tasks_due(gathered(site), from_on=ON, until_on=ON)

    assert {t.kind for t in before} - {t.kind for t in after} == {TaskKind.GUT_LOAD}


def test_old_observations_that_are_not_settled_are_gathered(
    site: Site, room: Room
) -> None:
    animal = housed(room)
    long_ago = ON - 200 * DAY
    sign = {"animal": animal, "kind": ObservationKind.SIGN.value}
    present = {"observed": Observed.PRESENT.value}
    gone = {"observed": Observed.GONE.value}
    open_sign = ObservationFactory(**sign, **present, sign="dark", at=at(long_ago))
    ObservationFactory(**sign, **present, sign="urates", at=at(long_ago, 10))
    last = ObservationFactory(**sign, **gone, sign="urates", at=at(long_ago + DAY))
    ObservationFactory(**sign, **gone, sign="dark", at=at(ON), **STRUCK)
    # Asked to look again, and somebody did so on that local day; and nobody did.
    ObservationFactory(animal=animal, at=at(long_ago, 11), look_again_on=last.at.date())
    unseen = ObservationFactory(
        animal=animal, at=at(long_ago, 12), look_again_on=long_ago + 9 * DAY
    )
    ObservationFactory(animal=animal, at=at(ON + DAY))

    facts = gathered(site)

    found = only(facts).observations
    assert [o.id for o in found if o.observed is not Observed.GONE] == [
        open_sign.pk,
        unseen.pk,
    ]
    assert [(t.kind, t.due_on) for t in standing_tasks(facts, on=ON)] == [
        (TaskKind.FOLLOW_UP, long_ago + 9 * DAY)
    ]
    # Tomorrow somebody looks at it, whatever is seen.
    later = only(gathered(site, ON + DAY)).observations
    assert open_sign.pk in {o.id for o in later}
    assert unseen.pk not in {o.id for o in later}


def test_prescriptions_that_run_and_what_became_of_their_doses(
    site: Site, room: Room
) -> None:
    animal = housed(room)
    runs = PrescriptionFactory(
        animal=animal, stopped_at=at(ON + DAY, 0), stopped_reason="better"
    )
    stopped = PrescriptionFactory(
        animal=animal, stopped_at=at(ON - DAY, 12), stopped_reason="better"
    )
    PrescriptionFactory(animal=animal, first_at=at(ON + DAY, 0))
    long_over = ON - 63 * DAY
    PrescriptionFactory(animal=animal, until_on=long_over, first_at=at(long_over))
    over = PrescriptionFactory(
        animal=animal, until_on=ON - DAY, first_at=at(ON - 8 * DAY)
    )
    dose = DoseFactory(prescription=runs, due_at=at(ON), at=at(ON, 10))
    DoseFactory(prescription=runs, due_at=at(ON - DAY), at=at(ON), **STRUCK)
    DoseFactory(prescription=over, due_at=at(ON), at=at(ON, 10))

    found = only(gathered(site)).prescriptions

    assert [p.id for p in found] == [over.pk, runs.pk, stopped.pk]
    # Stopped tomorrow is not known yet.
    assert [p.stopped_at for p in found[:2]] == [None, None]
    assert [d.id for d in found[1].doses] == [dose.pk]
    (yesterday, *_) = [
        p for p in only(gathered(site, ON - DAY)).prescriptions if p.id == stopped.pk
    ]
    assert yesterday.stopped_at == at(ON - DAY, 12)


def test_tests_as_they_stood_on_the_day(site: Site, room: Room) -> None:
    animal = housed(room)
    found = HealthTestResult.FOUND.value
    nothing = HealthTestResult.NOTHING_FOUND.value
    rows = {
        "awaited": HealthTestFactory(animal=animal, taken_on=ON - 90 * DAY),
        "came tomorrow": HealthTestFactory(
            animal=animal, result=nothing, result_on=ON + DAY
        ),
        "came": HealthTestFactory(animal=animal, result=nothing, result_on=ON),
        "settled": HealthTestFactory(
            animal=animal,
            taken_on=ON - 90 * DAY,
            result=nothing,
            result_on=ON - 80 * DAY,
        ),
        "unseen": HealthTestFactory(
            animal=animal,
            taken_on=ON - 90 * DAY,
            result=found,
            result_on=ON - 80 * DAY,
            finding="coccidia",
            seen_by_vet_on=ON + DAY,
        ),
        "taken tomorrow": HealthTestFactory(animal=animal, taken_on=ON + DAY),
    }

    tests = {t.id: t for t in only(gathered(site)).tests}

    told = {n: tests[r.pk].result.value for n, r in rows.items() if r.pk in tests}
    assert told == {
        "awaited": "awaited",
        "came tomorrow": "awaited",
        "came": nothing,
        "unseen": found,
    }
    assert tests[rows["unseen"].pk].seen_by_vet_on is None
    assert tests[rows["unseen"].pk].finding == "coccidia"


def test_gravid_spells_that_had_begun(site: Site, room: Room) -> None:
    animal = housed(room)
    ReproductiveSpellFactory(animal=animal, from_on=ON + DAY)
    ReproductiveSpellFactory(
        animal=animal, from_on=ON - 300 * DAY, until_on=ON - 270 * DAY
    )

    assert only(gathered(site)).gravid == (GravidSpell(ON - 300 * DAY, ON - 270 * DAY),)


def test_an_enclosure_stands_as_on_the_last_day(site: Site, room: Room) -> None:
    animal = housed(room)
    enclosure = animal.stays.get().enclosure
    SetupFactory(
        enclosure=enclosure,
        from_on=ON,
        lights_on=time(6),
        lights_off=time(18, 30),
        misting=Misting.BY_TIMER.value,
        laying_bin=False,
    )
    SetupFactory(enclosure=enclosure, from_on=ON + DAY)
    bare = EnclosureFactory(room=room)
    EnclosureFactory(room=room, retired_on=ON - DAY)
    SetupFactory(enclosure=bare, from_on=ON - DAY, natural=True, laying_bin=False)

    facts = gathered(site)

    assert set(facts.enclosures) == {enclosure.pk, bare.pk}
    assert facts.enclosures[enclosure.pk] == CaredEnclosure(
        id=enclosure.pk,
        code=enclosure.code,
        position=enclosure.position,
        room=room.pk,
        lights_on=time(6),
        lights_off=time(18, 30),
        misting=Misting.BY_TIMER,
        laying_bin=False,
    )
    # The sun over Lisbon on 2 March: up from about 07:05 to 18:30, to the minutes
    # (noaa-solar; from memory of an almanac).
    sunny = facts.enclosures[bare.pk]
    assert time(7) < sunny.lights_on < time(7, 10)
    assert time(18, 25) < sunny.lights_off < time(18, 35)


def lamp_of(site: Site, on: date = ON) -> LampFact:
    (enclosure,) = gathered(site, on).enclosures.values()
    (lamp,) = enclosure.lamps
    return lamp


def lit(room: Room, **setup: Any) -> Enclosure:
    enclosure = EnclosureFactory(room=room)
    SetupFactory(enclosure=enclosure, **setup)
    return enclosure


def test_a_lamp_has_burnt_by_the_light_times_since_it_was_fitted(
    site: Site, room: Room
) -> None:
    enclosure = lit(room)
    SetupFactory(
        enclosure=enclosure,
        from_on=ON - 10 * DAY,
        lights_on=time(6),
        lights_off=time(19, 30),
    )
    lamp = LampFactory(enclosure=enclosure, fitted_on=ON - 30 * DAY)
    LampFactory(enclosure=enclosure, fitted_on=ON - 60 * DAY, removed_on=ON)
    LampFactory(enclosure=enclosure, fitted_on=ON + DAY)
    for days, uv_index in ((9, 4), (3, 3), (-1, 2)):
        LampCheckFactory(lamp=lamp, at=at(ON - days * DAY), uv_index=Decimal(uv_index))
    LampCheckFactory(lamp=lamp, at=at(ON), uv_index=Decimal(9), **STRUCK)

    # 20 days of 12 h, then 10 days of 13.5 h: 240 + 135.
    assert lamp_of(site) == LampFact(
        id=lamp.pk,
        kind=LampKind.UVB_TUBE,
        label="T5, 6 %",
        fitted_on=ON - 30 * DAY,
        burnt_hours=375.0,
        checked_on=(ON - 9 * DAY, ON - 3 * DAY),
        last_uv_index=Decimal(3),
    )


def test_a_lamp_by_natural_light_burns_with_the_sun() -> None:
    # On the equator the almanac's day lasts 12 h 6–7 min all year (noaa-solar).
    room = RoomFactory(site=SiteFactory(latitude_deg=0.0))
    enclosure = lit(room, natural=True)
    LampFactory(enclosure=enclosure, fitted_on=ON - 100 * DAY)

    assert lamp_of(room.site).burnt_hours == pytest.approx(1211, abs=2)


def test_lamps_are_judged_from_the_light_of_the_day(site: Site, room: Room) -> None:
    CareProfileFactory()
    animal = housed(room)
    LampFactory(enclosure=animal.stays.get().enclosure, fitted_on=ON - 28 * DAY)

    tasks = tasks_due(gathered(site), from_on=ON, until_on=ON)

    assert [t.kind for t in tasks if t.enclosure and t.kind is not TaskKind.MIST] == [
        TaskKind.UV_CHECK
    ]


def test_chores_of_the_place_in_the_last_week(site: Site, room: Room) -> None:
    enclosure, stranger = EnclosureFactory(room=room), EnclosureFactory()
    ChoreFactory(enclosure=enclosure, at=at(ON - 7 * DAY, 0))
    ChoreFactory(enclosure=enclosure, at=at(ON - 8 * DAY, 23))
    ChoreFactory(enclosure=enclosure, at=at(ON + DAY, 0))
    ChoreFactory(enclosure=enclosure, at=at(ON), **STRUCK)
    ChoreFactory(enclosure=stranger, at=at(ON))
    fed = {"kind": ChoreKind.GUT_LOADING.value, "enclosure": None, "feeder": "roaches"}
    ChoreFactory(room=room, at=at(ON), **fed)
    ChoreFactory(room=RoomFactory(site=site), at=at(ON), **fed)

    def told(facts: CareFacts) -> list[tuple[ChoreKind, date, int | None, int | None]]:
        return [(c.kind, c.on, c.enclosure, c.room) for c in facts.chores]

    here = [
        (ChoreKind.CLEANING, ON - 7 * DAY, enclosure.pk, None),
        (ChoreKind.GUT_LOADING, ON, None, room.pk),
    ]
    assert told(gathered(site, room=room)) == here
    assert told(gathered(site))[:2] == here
    assert len(told(gathered(site))) == 3


def test_each_kind_is_recorded_from_a_day_on(site: Site, room: Room) -> None:
    animal, elsewhere = housed(room), housed(RoomFactory())
    enclosure = animal.stays.get().enclosure
    assert gathered(site).first_recorded_on == {}

    FeedingFactory(animal=elsewhere, at=at(ON - 90 * DAY))
    FeedingFactory(animal=animal, at=at(ON - 50 * DAY), **STRUCK)
    # Before its first stay here: fed by somebody else.
    FeedingFactory(animal=animal, at=datetime(2025, 1, 1, 9, tzinfo=UTC))
    for days in (4, 40, -1):
        FeedingFactory(animal=animal, at=at(ON - days * DAY))
    misting = {"kind": ChoreKind.MISTING.value, "enclosure": enclosure}
    ChoreFactory(enclosure=enclosure, at=at(ON - 9 * DAY))
    ChoreFactory(**misting, at=at(ON - 3 * DAY))
    ChoreFactory(**misting, at=at(ON - 2 * DAY))
    ChoreFactory(
        kind=ChoreKind.GUT_LOADING.value,
        enclosure=None,
        room=room,
        feeder="roaches",
        at=at(ON - 5 * DAY),
    )
    lamp = LampFactory(enclosure=enclosure, fitted_on=ON - 6 * DAY)
    LampCheckFactory(lamp=lamp, at=at(ON - DAY))

    assert gathered(site).first_recorded_on == {
        TaskKind.FEED: ON - 40 * DAY,
        TaskKind.MIST: ON - 3 * DAY,
        TaskKind.GUT_LOAD: ON - 5 * DAY,
        TaskKind.UV_CHECK: ON - 6 * DAY,
        TaskKind.LAMP_CHANGE: ON - 6 * DAY,
    }
    assert set(gathered(site, ON - 5 * DAY).first_recorded_on) == {
        TaskKind.FEED,
        TaskKind.GUT_LOAD,
        TaskKind.UV_CHECK,
        TaskKind.LAMP_CHANGE,
    }


def test_a_past_day_is_told_as_it_was(site: Site, room: Room) -> None:
    CareProfileFactory()
    # Grown since 1 September 2025; two and three days take turns from there, five
    # together: day 180 is 28 February, day 182 is 2 March.
    animal = housed(room)
    FeedingFactory(animal=animal, at=at(ON - 2 * DAY))
    before = tasks_due(gathered(site), from_on=ON, until_on=ON)
    FeedingFactory(animal=animal, at=at(ON + DAY))

    again = tasks_due(gathered(site), from_on=ON, until_on=ON)
    late = tasks_due(gathered(site, ON + DAY), from_on=ON, until_on=ON)

    def fed(tasks: Any) -> list[date | None]:
        return [t.done_on for t in tasks if t.kind is TaskKind.FEED]

    assert fed(before) == fed(again) == [None]
    assert fed(late) == [ON + DAY]


def test_without_a_profile_nothing_is_lost(site: Site, room: Room) -> None:
    animal = housed(room)
    PrescriptionFactory(animal=animal)

    facts = gathered(site)

    assert only(facts).profile is None
    assert [t.kind for t in tasks_due(facts, from_on=ON, until_on=ON)] == [
        TaskKind.DOSE
    ]


def test_what_was_seen_last_of_a_kind_is_gathered_however_old(
    site: Site, room: Room
) -> None:
    animal = housed(room)
    seen = {
        days: ObservationFactory(
            animal=animal,
            at=at(ON - days * DAY),
            kind=ObservationKind.LAYING.value,
            observed=observed.value,
        )
        for days, observed in ((200, Observed.BEGUN), (199, Observed.STOPPED))
    }
    struck = ObservationFactory(
        animal=animal,
        at=at(ON - 150 * DAY),
        kind=ObservationKind.LAYING.value,
        observed=Observed.FINISHED.value,
        **STRUCK,
    )
    shed = ObservationFactory(animal=animal, at=at(ON - 120 * DAY))

    found = only(gathered(site))

    ids = {observation.id for observation in found.observations}
    assert ids == {seen[199].pk, shed.pk}
    assert struck.pk not in ids
