"""Days on which an animal may be kept apart, by hand."""

from dataclasses import replace
from datetime import date

import pytest

from husbandry.rules.quarantine import (
    QuarantineError,
    ToKeepApart,
    check_begin,
    check_end,
    check_words,
    is_kept_apart,
)
from husbandry.rules.vocabulary import AnimalStatus

ARRIVED, TODAY = date(2025, 1, 1), date(2025, 2, 1)
NEWCOMER = ToKeepApart("V-1 Ash", AnimalStatus.IN_CARE, ARRIVED, None, None)


@pytest.mark.parametrize(
    ("ended_on", "on", "held"),
    [
        (None, date(2024, 12, 31), False),
        (None, date(2025, 1, 1), True),
        (None, date(2026, 1, 1), True),
        (date(2025, 2, 19), date(2025, 2, 18), True),
        (date(2025, 2, 19), date(2025, 2, 19), False),
        (date(2025, 1, 1), date(2025, 1, 1), False),
    ],
)
def test_an_animal_is_kept_apart_until_the_day_that_ends_it(
    ended_on: date | None, on: date, held: bool
) -> None:
    found = is_kept_apart(began_on=date(2025, 1, 1), ended_on=ended_on, on=on)

    assert found is held


@pytest.mark.parametrize(
    ("animal", "on"),
    [
        (NEWCOMER, ARRIVED),
        (NEWCOMER, TODAY),
        (replace(NEWCOMER, ended_on=date(2025, 1, 20)), date(2025, 1, 20)),
    ],
)
def test_a_quarantine_begins_on_a_day_in_care(animal: ToKeepApart, on: date) -> None:
    check_begin(animal, on=on, today=TODAY)


@pytest.mark.parametrize(
    ("animal", "on", "words", "field"),
    [
        (NEWCOMER, date(2025, 2, 2), "02 Feb 2025 has not come yet", "on"),
        (NEWCOMER, date(2024, 12, 31), "arrived on 01 Jan 2025", "on"),
        (
            replace(NEWCOMER, ended_on=date(2025, 1, 20)),
            date(2025, 1, 19),
            "was in an earlier quarantine until 20 Jan 2025",
            "on",
        ),
        (
            replace(NEWCOMER, open_since=ARRIVED),
            TODAY,
            "in quarantine since 01 Jan 2025 already",
            "animal",
        ),
        (
            replace(NEWCOMER, status=AnimalStatus.DEAD),
            TODAY,
            "not in care any more",
            "animal",
        ),
        (
            replace(NEWCOMER, status=AnimalStatus.ELSEWHERE),
            TODAY,
            "never in care here",
            "animal",
        ),
    ],
)
def test_a_quarantine_that_cannot_be_is_refused(
    animal: ToKeepApart, on: date, words: str, field: str
) -> None:
    with pytest.raises(QuarantineError, match=words) as refused:
        check_begin(animal, on=on, today=TODAY)

    assert list(refused.value.fields) == [field]


def test_a_quarantine_ends_between_its_first_day_and_today() -> None:
    for on in (ARRIVED, TODAY):
        check_end("V-1", began_on=ARRIVED, on=on, today=TODAY)

    with pytest.raises(QuarantineError, match="it began on 01 Jan 2025"):
        check_end("V-1", began_on=ARRIVED, on=date(2024, 12, 31), today=TODAY)
    with pytest.raises(QuarantineError, match="has not come yet"):
        check_end("V-1", began_on=ARRIVED, on=date(2025, 2, 2), today=TODAY)


@pytest.mark.parametrize(
    ("group", "reason", "field"),
    [
        (" ", "came in", "group"),
        ("g" * 41, "came in", "group"),
        ("reptiles", "", "reason"),
        ("reptiles", "r" * 201, "reason"),
    ],
)
def test_a_quarantine_says_its_group_and_its_reason(
    group: str, reason: str, field: str
) -> None:
    check_words(group="g" * 40, reason="r" * 200)

    with pytest.raises(QuarantineError) as refused:
        check_words(group=group, reason=reason)

    assert list(refused.value.fields) == [field]
