"""When a night has waited too long for its review."""

import pytest

from husbandry.rules.overdue import is_overdue


@pytest.mark.parametrize(
    ("waited_s", "overdue"),
    # Two hours, by hand: 2 × 60 × 60.
    [(-1, False), (0, False), (7_200, False), (7_201, True), (86_400, True)],
)
def test_after_two_hours_it_is(waited_s: int, overdue: bool) -> None:
    assert is_overdue(ended_s=1_772_409_600, at_s=1_772_409_600 + waited_s) is overdue
