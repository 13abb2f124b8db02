"""Each coming and going is told once, whatever tells of it."""

from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from husbandry.rules.vocabulary import AnimalStatus
from placements.rules.register.facts import (
    AnimalRecord,
    CareTime,
    IntakeFact,
    PlacementFact,
)
from placements.rules.register.movements import movements_of
from placements.rules.vocabulary import (
    Direction,
    IntakeSource,
    PlacementKind,
    PlacementState,
)

DAY = date(2025, 1, 1)
CAME, LEFT = Direction.CAME, Direction.LEFT


def on(days: int) -> date:
    return DAY + timedelta(days=days)


def time(first: int, last: int | None, status: str = "placed") -> CareTime:
    if last is None:
        return CareTime(on(first), None, AnimalStatus.IN_CARE)
    return CareTime(on(first), on(last), AnimalStatus(status))


def record(*times: CareTime, **more: object) -> AnimalRecord:
    known = AnimalRecord(7, "V-7", "veiled", "Chamaeleo calyptratus", False, times)
    return replace(known, **more)  # type: ignore[arg-type]  # fields by name


def placed(
    key: int,
    day: int,
    *,
    kind: str = "adoption",
    state: str = "handed_over",
    ended: int | None = None,
    follows: int | None = None,
) -> PlacementFact:
    return PlacementFact(
        id=key,
        kind=PlacementKind(kind),
        state=PlacementState(state),
        planned_on=on(0),
        handed_over_on=on(day),
        ended_on=None if ended is None else on(ended),
        home=100 + key,
        follows=follows,
    )


def told(of: AnimalRecord) -> list[tuple[str, int, str, int | None]]:
    return [
        (m.direction.value, (m.on - DAY).days, m.how.value, m.home)
        for m in movements_of(of)
    ]


def test_an_ancestor_that_was_never_here_never_came() -> None:
    assert movements_of(record()) == ()


@pytest.mark.parametrize(
    ("born_here", "how"), [(False, "not_said"), (True, "born_here")]
)
def test_without_an_intake_it_came_as_far_as_is_known(
    born_here: bool, how: str
) -> None:
    assert told(record(time(0, None), born_here=born_here)) == [("came", 0, how, None)]


def test_an_intake_says_how_it_came_and_from_whom() -> None:
    intake = IntakeFact(3, on(0), IntakeSource.SEIZURE, 55, None)

    (only,) = movements_of(record(time(0, None), intakes=(intake,), born_here=True))

    assert (only.how.value, only.home, only.arrival) == ("seizure", 55, 3)


def test_an_intake_of_a_day_within_the_time_is_taken_for_its_coming() -> None:
    """The day of arrival was mended since; who brought it is still known."""
    late = IntakeFact(3, on(1), IntakeSource.STRAY, None, None)
    before = IntakeFact(4, on(-5), IntakeSource.SEIZURE, 9, None)

    assert told(record(time(0, 9, "dead"), intakes=(before, late)))[0] == (
        *("came", 0),
        *("stray", None),
    )


@pytest.mark.parametrize(
    ("status", "asleep", "how"),
    [
        ("dead", False, "death"),
        ("dead", True, "put_to_sleep"),
        ("lost", False, "loss"),
        ("released", False, "release"),
        ("placed", False, "not_said"),
    ],
)
def test_how_it_left_where_no_placement_tells(
    status: str, asleep: bool, how: str
) -> None:
    found = told(record(time(0, 5, status), put_to_sleep=asleep))

    assert found[1] == ("left", 5, how, None)


@pytest.mark.parametrize("kind", [kind.value for kind in PlacementKind])
def test_a_placement_says_how_it_left_and_to_whom(kind: str) -> None:
    status = "released" if kind == "release" else "placed"

    found = told(record(time(0, 5, status), placements=(placed(1, 5, kind=kind),)))

    assert found[1:] == [("left", 5, kind, 101)]


def test_a_stay_made_lasting_leaves_again_without_moving() -> None:
    foster = placed(1, 5, kind="foster", state="made_lasting", ended=20)
    lasting = placed(2, 20, kind="adoption", follows=1)

    assert told(record(time(0, 5), placements=(foster, lasting))) == [
        ("came", 0, "not_said", None),
        ("left", 5, "foster", 101),
        ("left", 20, "adoption", 102),
    ]


def test_made_lasting_on_the_day_it_left_is_two_lines_too() -> None:
    foster = placed(1, 5, kind="foster", state="made_lasting", ended=5)
    lasting = placed(2, 5, kind="adoption", follows=1)

    assert [
        how for _, _, how, _ in told(record(time(0, 5), placements=(foster, lasting)))
    ] == [*("not_said", "foster", "adoption")]


def test_who_comes_back_comes_from_where_it_was() -> None:
    adoption = placed(1, 5, state="came_back", ended=9)

    assert told(record(time(0, 5), time(9, None), placements=(adoption,)))[2:] == [
        ("came", 9, "return", 101)
    ]


def test_a_return_by_intake_keeps_who_brought_it() -> None:
    adoption = placed(1, 5, state="came_back", ended=9)
    intake = IntakeFact(8, on(9), IntakeSource.RETURN, 77, 1)

    found = movements_of(
        record(time(0, 5), time(9, None), placements=(adoption,), intakes=(intake,))
    )[2]

    assert (found.how.value, found.home, found.placement) == ("return", 77, 1)


def test_who_was_lost_is_found_again() -> None:
    assert told(record(time(0, 5, "lost"), time(9, None)))[2][2] == "found_again"


@pytest.mark.parametrize("asleep", [False, True])
def test_what_dies_on_a_foster_stay_has_left_by_death(asleep: bool) -> None:
    foster = placed(1, 5, kind="foster", state="died_there", ended=8)

    found = told(record(time(0, 5), placements=(foster,), put_to_sleep=asleep))

    how = "put_to_sleep" if asleep else "death"
    assert found[1:] == [("left", 5, "foster", 101), ("left", 8, how, 101)]


def test_a_death_on_a_loan_is_told_once_though_two_rows_tell_of_it() -> None:
    loan = placed(1, 5, kind="loan", state="died_there", ended=8)

    assert told(record(time(0, 8, "dead"), placements=(loan,)))[1:] == [
        ("left", 5, "loan", 101),
        ("left", 8, "death", 101),
    ]


@pytest.mark.parametrize("row_says_dead", [False, True])
def test_a_death_in_a_lasting_home_is_no_line_of_ours(row_says_dead: bool) -> None:
    sale = placed(1, 5, kind="sale", state="died_there", ended=8)
    times = time(0, 8, "dead") if row_says_dead else time(0, 5)

    assert told(record(times, placements=(sale,)))[1:] == [("left", 5, "sale", 101)]


@st.composite
def histories(draw: st.DrawFn) -> AnimalRecord:
    """Times one after another, each left by a placement, a loss, or not at all."""
    times, placements, day = [], [], 0
    for key in range(draw(st.integers(1, 6))):
        day += draw(st.integers(0, 30))
        stays = draw(st.integers(0, 30))
        how = draw(st.sampled_from(["adoption", "foster", "loan", "lost", "unsaid"]))
        times.append(time(day, day + stays, "lost" if how == "lost" else "placed"))
        day += stays
        if how not in ("lost", "unsaid"):
            placements.append(placed(key, day, kind=how, state="came_back", ended=day))
    if draw(st.booleans()):
        times.append(time(day, None))
    return record(*times, placements=tuple(placements))


@given(histories())
def test_there_are_as_many_movements_as_days_that_begin_and_end_times(
    history: AnimalRecord,
) -> None:
    found = movements_of(history)

    came = [m.on for m in found if m.direction is CAME]
    left = [m.on for m in found if m.direction is LEFT]
    assert came == [t.arrived_on for t in history.times]
    assert left == [t.left_on for t in history.times if t.left_on is not None]


@given(histories())
def test_they_take_turns_and_are_in_order(history: AnimalRecord) -> None:
    found = movements_of(history)

    assert [m.direction for m in found] == [CAME, LEFT] * (len(found) // 2) + (
        [CAME] if len(found) % 2 else []
    )
    assert [m.on for m in found] == sorted(m.on for m in found)
