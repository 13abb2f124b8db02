"""A site's care at the end of a day, from what was due to what is told."""

import json
from collections import Counter
from dataclasses import replace
from datetime import date, datetime, time, timedelta

import pytest
from django.conf import settings

from husbandry.rules.care.assessing import assess_care
from husbandry.rules.care.due import tasks_due
from husbandry.rules.care.facts import CareFacts, ChoreFact
from husbandry.rules.profiles.reading import read_profile
from husbandry.rules.profiles.values import FeederNote, FeedingRule, MistingRule
from husbandry.rules.profiles.vocabulary import FeederUse
from husbandry.rules.sentences.care import TELLERS
from husbandry.rules.sentences.numbers import METRIC
from husbandry.rules.vocabulary import (
    ChoreKind,
    FindingKind,
    Misting,
    MistingTime,
    TaskKind,
    Urgency,
)
from tests.rules.care import kept
from tests.rules.care.kept import ON, PRACTICE, ZONE, day, days, fed, small_profile
from tests.rules.care.test_follow_up_findings import seen

K = FindingKind
CRICKETS = FeederNote("crickets", "Crickets", FeederUse.STAPLE, 0, "", PRACTICE)
MIST = MistingRule("misting", (), MistingTime.BEFORE_LIGHTS_ON, 2, 4, "", PRACTICE)
PROFILE = small_profile(feeders=(CRICKETS,), misting=(MIST,))
ALL_WELL = (*fed(day(15), dust=("multi-d3",)), *fed(*days(day(16), day(24))))


def chores(until: date) -> tuple[ChoreFact, ...]:
    found = []
    for on in days(day(15), until):
        misted_at = datetime.combine(on, time(6, 55), tzinfo=ZONE)
        loaded_at = datetime.combine(on, time(21), tzinfo=ZONE)
        found.append(ChoreFact(ChoreKind.MISTING, misted_at, on, 7, None, ""))
        found.append(
            ChoreFact(ChoreKind.GUT_LOADING, loaded_at, on, None, 3, "crickets")
        )
    cleaned_at = datetime.combine(until, time(12), tzinfo=ZONE)
    cleaning = ChoreFact(ChoreKind.CLEANING, cleaned_at, until, 7, None, "")
    return (*found, cleaning)


def judge(facts: CareFacts, *, on: date = ON) -> list[tuple[FindingKind, Urgency]]:
    tasks = tasks_due(facts, from_on=on - timedelta(6), until_on=on)
    return [(a.kind, a.urgency) for a in assess_care(facts, tasks, on=on)]


def cared_for(*animals: object, **changes: object) -> CareFacts:
    told = animals or (kept.animal(profile=PROFILE, feedings=ALL_WELL),)
    well = {"chores": chores(day(24)), "enclosures": (kept.enclosure(kept.lamp()),)}
    return kept.facts(*told, **{**well, **changes})  # type: ignore[arg-type]


def test_site_where_all_was_done_has_nothing_to_tell() -> None:
    assert judge(cared_for()) == []


def test_empty_site_has_nothing_to_tell() -> None:
    assert judge(kept.facts(enclosures=(), first_recorded_on={})) == []


def test_everything_that_was_left_undone_is_told_once_in_order() -> None:
    old = kept.lamp(fitted_on=date(2025, 11, 1))
    hungry = kept.animal(
        profile=PROFILE,
        feedings=fed(day(20), dust=()),
        observations=(seen(1, day(18), day(20)),),
    )
    dusted = kept.animal(
        id=2,
        profile=PROFILE,
        enclosure=None,
        feedings=(
            *fed(*days(day(1), day(5)), dust=("multi-d3",)),
            *fed(*days(day(6), day(24))),
        ),
    )
    facts = cared_for(
        hungry, dusted, chores=chores(day(22)), enclosures=(kept.enclosure(old),)
    )

    tasks = tasks_due(facts, from_on=day(18), until_on=ON)
    found = assess_care(facts, tasks, on=ON)

    assert [(a.kind, a.animal, a.enclosure, a.room, a.urgency) for a in found] == [
        (K.FEEDING_MISSED, 1, None, None, Urgency.NOW),
        (K.SUPPLEMENT_MISSED, 1, None, None, Urgency.WATCH),
        (K.FOLLOW_UP_OVERDUE, 1, None, None, Urgency.TODAY),
        (K.TOO_MUCH_D3, 2, None, None, Urgency.TODAY),
        (K.MISTING_MISSED, None, 7, None, Urgency.TODAY),
        (K.UV_CHECK_OVERDUE, None, 7, None, Urgency.WATCH),
        (K.LAMP_WORN, None, 7, None, Urgency.TODAY),
        (K.GUT_LOAD_MISSED, None, None, 3, Urgency.WATCH),
    ]
    names = [(a.kind, a.animal, a.enclosure, a.room, a.detail) for a in found]
    assert max(Counter(names).values()) == 1
    for assessment in found:
        assert json.loads(json.dumps(assessment.facts)) == assessment.facts
        assert assessment.facts["convention"] == "care-task-convention"
        assert TELLERS[assessment.kind](assessment.facts, METRIC).endswith(".")


@pytest.mark.parametrize(
    ("unrecorded", "kinds"),
    [
        ((), None),
        ((TaskKind.FEED,), ["feed"]),
        ((TaskKind.MIST,), ["mist"]),
        ((TaskKind.GUT_LOAD,), ["gut_load"]),
        (
            (TaskKind.MIST, TaskKind.FEED, TaskKind.GUT_LOAD),
            ["feed", "gut_load", "mist"],
        ),
    ],
)
def test_site_is_told_once_of_what_it_never_recorded(
    unrecorded: tuple[TaskKind, ...], kinds: list[str] | None
) -> None:
    facts = cared_for(kept.animal(profile=PROFILE), chores=())
    known = {k: d for k, d in facts.first_recorded_on.items() if k not in unrecorded}
    facts = replace(facts, first_recorded_on=known)

    tasks = tasks_due(facts, from_on=day(18), until_on=ON)
    found = [a for a in assess_care(facts, tasks, on=ON) if a.kind is K.CARE_UNRECORDED]

    assert [a.facts for a in found] == (
        []
        if kinds is None
        else [
            {
                "kinds": kinds,
                "on": "2026-11-24",
                "animals": 1,
                "convention": "care-task-convention",
            }
        ]
    )
    assert all(
        (a.animal, a.enclosure, a.room, a.urgency) == (None, None, None, Urgency.WATCH)
        for a in found
    )


def test_care_that_is_not_recorded_is_not_judged() -> None:
    facts = cared_for(kept.animal(profile=PROFILE), chores=())

    assert judge(replace(facts, first_recorded_on={})) == [
        (K.CARE_UNRECORDED, Urgency.WATCH)
    ]


def test_what_was_first_recorded_later_was_not_recorded_on_the_day() -> None:
    facts = cared_for(kept.animal(profile=PROFILE, feedings=fed(day(25))))
    later = {**facts.first_recorded_on, TaskKind.FEED: day(25)}

    found = judge(replace(facts, first_recorded_on=later))

    assert found == [(K.CARE_UNRECORDED, Urgency.WATCH)]


@pytest.mark.parametrize(
    ("fitted", "known", "told"),
    [
        ((), {}, True),
        ((kept.lamp(),), {}, False),
        ((kept.lamp(fitted_on=day(25)),), {}, True),
        # Others were there and were taken away.
        ((), {TaskKind.UV_CHECK: date(2026, 1, 2)}, False),
    ],
)
def test_site_without_any_lamp_on_record_is_told(
    fitted: tuple[kept.LampFact, ...], known: dict[TaskKind, date], told: bool
) -> None:
    facts = cared_for(enclosures=(kept.enclosure(*fitted),))
    others = {
        kind: on
        for kind, on in facts.first_recorded_on.items()
        if kind not in (TaskKind.UV_CHECK, TaskKind.LAMP_CHANGE)
    }

    found = judge(replace(facts, first_recorded_on={**others, **known}))

    assert ((K.CARE_UNRECORDED, Urgency.WATCH) in found) is told


def test_what_no_animal_needs_is_not_missed() -> None:
    plain = small_profile(feeding=(), lamps=(), gut_load=None)
    facts = cared_for(
        kept.animal(profile=plain),
        enclosures=(kept.enclosure(misting=Misting.BY_TIMER),),
        first_recorded_on={},
    )

    assert judge(facts) == []


@pytest.mark.parametrize("unknown", [{"profile": None}, {"hatched_on": None}])
def test_animal_without_a_profile_or_an_age_is_not_judged(
    unknown: dict[str, None],
) -> None:
    animal = kept.animal(**{"profile": PROFILE, **unknown})

    assert judge(cared_for(animal)) == []


@pytest.mark.parametrize(
    ("arrived", "mates", "told"),
    [
        (day(24), (), False),
        (day(23), (), True),
        # Another one was there before it.
        (day(24), (day(10),), True),
    ],
)
def test_enclosure_is_not_called_dry_on_the_day_its_first_animal_came(
    arrived: date, mates: tuple[date, ...], told: bool
) -> None:
    animals = [
        kept.animal(id=n, profile=PROFILE, arrived_on=on, feedings=ALL_WELL)
        for n, on in enumerate((arrived, *mates), 1)
    ]

    found = judge(cared_for(*animals, chores=()))

    assert (K.MISTING_MISSED in {kind for kind, _ in found}) is told


def test_lamp_over_an_empty_enclosure_is_not_judged() -> None:
    old = kept.enclosure(kept.lamp(fitted_on=date(2020, 1, 1)))
    animal = kept.animal(profile=PROFILE, enclosure=None, feedings=ALL_WELL)

    assert judge(cared_for(animal, enclosures=(old,))) == []


def test_lamp_that_was_spent_before_the_animal_came_is_told() -> None:
    old = kept.enclosure(kept.lamp(fitted_on=date(2025, 10, 1), checked_on=(day(20),)))
    animal = kept.animal(profile=PROFILE, arrived_on=day(20), feedings=ALL_WELL)

    assert judge(cared_for(animal, enclosures=(old,))) == [(K.LAMP_WORN, Urgency.TODAY)]


@pytest.mark.parametrize(
    ("last", "expected"),
    [
        # Every 14 days from its first day: due on 3 and 17 November 2026.
        (day(17), None),
        # Nearer the 17th than the 3rd, a feeding stands for it.
        (day(10), None),
        # A day late for the 3rd it does not: the next would come 27 days after it.
        (day(4), Urgency.TODAY),
        (day(3), Urgency.TODAY),
        (day(12, 10), Urgency.NOW),
    ],
)
def test_animal_that_eats_every_other_week_is_not_forgotten_after_one(
    last: date, expected: Urgency | None
) -> None:
    rare = FeedingRule("rare", (), 14, 14, 1, 1, "mouse", "", PRACTICE)
    profile = small_profile(feeding=(rare,), supplements=(), gut_load=None)
    began_on = date(2026, 2, 10)
    animal = kept.animal(
        profile=profile, hatched_on=began_on, arrived_on=began_on, feedings=fed(last)
    )

    found = judge(cared_for(animal))

    assert found == ([(K.FEEDING_MISSED, expected)] if expected else [])


@pytest.mark.parametrize(
    ("given", "expected"),
    [
        # Twice a month, on the 1st and the 15th (K14: common practice, no source).
        ((day(1), day(15)), []),
        ((day(15),), []),
        ((day(1),), [(K.SUPPLEMENT_MISSED, Urgency.WATCH)]),
        ((day(1), day(15), day(20)), [(K.TOO_MUCH_D3, Urgency.TODAY)]),
    ],
)
def test_shipped_profile_of_the_veiled_chameleon_counts_its_d3(
    given: tuple[date, ...], expected: list[tuple[FindingKind, Urgency]]
) -> None:
    path = settings.BASE_DIR / "husbandry" / "profiles" / "veiled_chameleon.yaml"
    veiled = read_profile(path.read_text(encoding="utf-8"), name=path.name)
    month = (
        feeding
        for on in days(day(1), day(24))
        for feeding in fed(
            on, dust=("multivitamin-d3",) if on in given else ("plain-calcium",)
        )
    )
    animal = kept.animal(profile=veiled, enclosure=None, feedings=tuple(month))

    assert judge(cared_for(animal)) == expected


def test_days_without_food_are_counted_as_far_back_as_records_go() -> None:
    facts = cared_for(kept.animal(profile=PROFILE), since_on=day(14))
    tasks = tasks_due(facts, from_on=day(18), until_on=ON)

    found = assess_care(facts, tasks, on=ON)

    assert [a.facts["days"] for a in found if a.kind is K.FEEDING_MISSED] == [11]


def test_day_in_the_past_is_judged_by_what_was_known_then() -> None:
    # Asked about the 20th, whatever was recorded after it.
    facts = cared_for(
        kept.animal(profile=PROFILE, feedings=fed(day(15), day(24), dust=("multi-d3",)))
    )

    found = judge(facts, on=day(20))

    assert (K.FEEDING_MISSED, Urgency.NOW) in found
