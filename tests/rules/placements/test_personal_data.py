"""How long personal data are kept, worked out by hand."""

from dataclasses import replace
from datetime import date

import pytest

from placements.rules.personal_data import (
    SHIPPED,
    ApplicationLine,
    HomeHistory,
    PlacementLine,
    Retention,
    is_past,
    kept_until,
    why_not_now,
    without_words,
)
from placements.rules.vocabulary import (
    ApplicationState,
    FollowUpKind,
    PlacementKind,
    PlacementState,
)

POLICY = Retention(months_after_decline=6, months_after_last_placement=60)
BARE = HomeHistory(home=1, recorded_on=date(2026, 1, 10), keep_until=None)
DECLINED = ApplicationLine(ApplicationState.DECLINED, date(2026, 3, 1))
LEFT = PlacementLine(
    PlacementState.HANDED_OVER, PlacementKind.ADOPTION, "V-1", date(2026, 4, 1)
)


def test_shipped_months_say_that_nobody_decided_them() -> None:
    assert Retention(6, 60, shipped=True) == SHIPPED


@pytest.mark.parametrize(
    ("history", "last"),
    [
        (BARE, date(2026, 7, 10)),
        (replace(BARE, recorded_on=None), None),
        (replace(BARE, applications=(DECLINED,)), date(2026, 9, 1)),
        # 31 August + 6 months: February ends on the 28th.
        (replace(BARE, recorded_on=date(2026, 8, 31)), date(2027, 2, 28)),
        (
            replace(BARE, applications=(DECLINED,), placements=(LEFT,)),
            date(2031, 4, 1),
        ),
        (
            replace(
                BARE,
                placements=(replace(LEFT, state=PlacementState.CALLED_OFF),),
            ),
            date(2026, 10, 1),
        ),
        (replace(BARE, arrivals=(date(2026, 2, 2),)), date(2031, 2, 2)),
        # Somebody set a day: it counts, earlier or later.
        (
            replace(BARE, placements=(LEFT,), keep_until=date(2026, 5, 5)),
            date(2026, 5, 5),
        ),
    ],
)
def test_until_when_data_are_kept(history: HomeHistory, last: date | None) -> None:
    assert kept_until(history, POLICY) == last


def test_the_last_day_is_still_kept() -> None:
    assert not is_past(BARE, POLICY, date(2026, 7, 10))
    assert is_past(BARE, POLICY, date(2026, 7, 11))
    assert not is_past(replace(BARE, recorded_on=None), POLICY, date(2199, 1, 1))


@pytest.mark.parametrize("state", ApplicationState)
def test_an_open_application_stands_against_it(state: ApplicationState) -> None:
    history = replace(BARE, applications=(replace(DECLINED, state=state),))
    over = {
        ApplicationState.PLACED,
        ApplicationState.DECLINED,
        ApplicationState.WITHDRAWN,
    }

    assert (why_not_now(history, date(2027, 1, 1)) == ()) is (state in over)
    assert is_past(history, POLICY, date(2040, 1, 1)) is (state in over)


@pytest.mark.parametrize(
    ("state", "kind", "told"),
    [
        (PlacementState.PLANNED, PlacementKind.SALE, "V-1 is planned to go there"),
        (PlacementState.HANDED_OVER, PlacementKind.FOSTER, "is there as a foster"),
        (PlacementState.HANDED_OVER, PlacementKind.LOAN, "is there as a loan"),
        (PlacementState.HANDED_OVER, PlacementKind.ADOPTION, ""),
        (PlacementState.CAME_BACK, PlacementKind.FOSTER, ""),
        (PlacementState.CALLED_OFF, PlacementKind.FOSTER, ""),
    ],
)
def test_an_animal_of_ours_stands_against_it(
    state: PlacementState, kind: PlacementKind, told: str
) -> None:
    line = replace(LEFT, state=state, kind=kind)

    found = why_not_now(replace(BARE, placements=(line,)), date(2040, 1, 1))

    assert len(found) == bool(told)
    assert told in "".join(found)


def test_a_noted_day_stands_against_it_until_it_is_over() -> None:
    history = replace(BARE, keep_until=date(2026, 5, 5))

    assert why_not_now(history, date(2026, 5, 5)) == (
        "Its data have to be kept until 2026-05-05, as was noted.",
    )
    assert why_not_now(history, date(2026, 5, 6)) == ()


def test_of_answers_only_chosen_words_stay() -> None:
    answers = {"doing": "well", "told": "Mr Grey fell ill.", "eating": "x", "odd": "y"}

    assert without_words(FollowUpKind.TWO_WEEKS, answers) == {"doing": "well"}
