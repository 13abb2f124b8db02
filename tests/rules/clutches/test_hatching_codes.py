"""Codes of hatchlings go on where the last ones ended."""

import pytest

from clutches.rules.hatching.codes import next_codes


@pytest.mark.parametrize(
    ("taken", "expected"),
    [
        ([], ["C-07-01", "C-07-02"]),
        (["C-07-01", "C-07-09"], ["C-07-10", "C-07-11"]),
        (["C-07-99"], ["C-07-100", "C-07-101"]),
        (["C-07", "C-071-05", "C-07-x", "C-08-04", "C-07-²"], ["C-07-01", "C-07-02"]),
    ],
)
def test_next_codes(taken: list[str], expected: list[str]) -> None:
    assert next_codes("C-07", many=2, taken=taken) == expected


def test_none_wanted() -> None:
    assert next_codes("C-07", many=0, taken=[]) == []
