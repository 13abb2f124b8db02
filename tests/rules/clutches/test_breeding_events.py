"""Breeding as entries of a calendar: windows, days to candle, second looks."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from clutches.rules.breeding_events import (
    BEARING,
    CANDLING,
    HATCHING,
    STORED,
    EggsAhead,
    LayingAhead,
    LookAhead,
    breeding_events,
)
from clutches.rules.layings.windows import expected_laying, next_clutch
from core.events import AllDay, Event
from tests.rules.clutches.layings.made import (
    LABEL,
    MATED_ON,
    bearing,
    female,
    laying,
    mating,
    veiled,
)

ON = MATED_ON
DAY = timedelta(days=1)
EGGS = EggsAhead(
    clutch=7,
    clutch_code="C-07",
    box="B-2",
    eggs=35,
    earliest_on=date(2026, 8, 20),
    likely_on=date(2026, 9, 1),
    latest_on=date(2026, 9, 20),
    candle_from=date(2026, 5, 30),
)


def ahead(*matings: object, profile: object = None, **changes: object) -> LayingAhead:
    one = female(*matings, **changes)  # type: ignore[arg-type] # matings
    known = profile or veiled()
    return LayingAhead(
        animal=1,
        label=one.label,
        place="Gallery, G-04",
        expected=expected_laying(one, known, on=ON),  # type: ignore[arg-type] # a profile
        next_clutch=next_clutch(one.layings, known, on=ON),  # type: ignore[arg-type] # as above
    )


def entries(
    *layings: LayingAhead, eggs: tuple[EggsAhead, ...] = (), on: date = ON
) -> tuple[Event, ...]:
    return breeding_events(layings, eggs, (), on=on)


def test_a_laying_window_is_an_entry_of_whole_days() -> None:
    (found,) = entries(ahead(mating()))

    # 20 to 35 days after 1 March (zoo profile 2014, Kramer DVM).
    assert found == Event(
        key="breeding-laying-1-2026-03-01",
        when=AllDay(date(2026, 3, 21), date(2026, 4, 5)),
        summary=f"V-0001 Juno may lay (mated, last put together with {LABEL} on 1 Mar "
        "2026)",
        description=found.description,
        location="Gallery, G-04",
    )
    assert found.description.startswith("Have a place to dig ready")
    assert found.description.endswith("call a licensed reptile vet.")


def test_who_was_not_watched_and_who_bears_is_told_so() -> None:
    unseen, bears, gravid = entries(
        ahead(mating(mated=False)),
        ahead(mating(), profile=bearing()),
        ahead(profile=bearing(), gravid_since=ON),
    )

    assert unseen.summary.endswith(
        f"(put together with {LABEL} on 1 Mar 2026, nobody watched)"
    )
    assert bears.summary.startswith("V-0001 Juno may bear (mated,")
    assert bears.description == BEARING
    assert gravid.summary == "V-0001 Juno may bear (gravid since 1 Mar 2026)"


def test_one_only_known_to_be_gravid_stands_among_her_care() -> None:
    assert entries(ahead(gravid_since=ON)) == ()


def test_stored_sperm_is_an_entry_90_days_after_laying() -> None:
    (found,) = entries(ahead(layings=(laying(0),)))

    # 90 days after 1 March (encyclopaedic page).
    assert (found.when, found.description) == (
        AllDay(date(2026, 5, 30), date(2026, 5, 30)),
        STORED,
    )
    assert entries(ahead(mating(0), layings=(laying(-1),)))[0].key == (
        "breeding-laying-1-2026-03-01"
    )


def test_a_clutch_is_candled_from_a_day_on_and_hatches_in_a_window() -> None:
    assert entries(eggs=(EGGS,)) == (
        Event(
            key="breeding-hatch-7-422d32",
            when=AllDay(date(2026, 8, 20), date(2026, 9, 20)),
            summary="C-07 in box B-2: 35 eggs may hatch (most likely about 1 Sep 2026)",
            description=HATCHING,
            location="B-2",
        ),
        Event(
            key="breeding-candle-7",
            when=AllDay(date(2026, 5, 30), date(2026, 5, 30)),
            summary="Candle C-07",
            description=CANDLING,
        ),
    )


def test_eggs_in_two_boxes_are_candled_as_one_clutch() -> None:
    other = replace(EGGS, box="", eggs=1, likely_on=None, candle_from=EGGS.candle_from)

    found = entries(eggs=(EGGS, other))

    assert [event.key for event in found] == [
        "breeding-hatch-7-422d32",
        "breeding-hatch-7-none",
        "breeding-candle-7",
    ]
    assert found[1].summary == (
        "C-07: 1 egg may hatch (by the care profile's window alone)"
    )


def test_where_nothing_says_when_nothing_is_entered() -> None:
    silent = replace(EGGS, earliest_on=None, latest_on=None, candle_from=None)

    assert entries(eggs=(silent,)) == ()


@pytest.mark.parametrize(("days", "shown"), [(0, True), (7, True), (8, False)])
def test_what_ended_a_week_ago_is_over(days: int, shown: bool) -> None:
    one = replace(EGGS, candle_from=None)

    found = entries(eggs=(one,), on=date(2026, 9, 20) + days * DAY)

    assert bool(found) is shown


def test_a_second_look_is_for_today() -> None:
    (found,) = breeding_events((), (), [LookAhead(3, "V-0410 Pip")], on=ON)

    assert (found.key, found.when) == ("breeding-look-3", AllDay(ON, ON))
    assert found.summary == "V-0410 Pip: look at the heels again"
