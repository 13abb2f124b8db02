"""How checks of applications stand: of each kind the newest counts."""

import pytest

from placements.rules.applications.checks import (
    Checked,
    before_accepting,
    having,
    outcomes,
)
from placements.rules.vocabulary import CheckKind, CheckOutcome, HomeKind

OPEN, PASSED, FAILED = CheckOutcome.OPEN, CheckOutcome.PASSED, CheckOutcome.FAILED


def test_without_any_check_all_that_is_wanted_is_open() -> None:
    assert outcomes((), home=HomeKind.HOUSEHOLD) == dict.fromkeys(CheckKind, OPEN)
    for home in (HomeKind.ORGANISATION, HomeKind.AUTHORITY):
        assert list(outcomes((), home=home)) == [
            CheckKind.REFERENCES,
            CheckKind.LOCAL_LAW,
            CheckKind.HOME_READY,
        ]


def test_the_last_of_a_kind_counts() -> None:
    made = (
        Checked(CheckKind.LANDLORD, FAILED),
        Checked(CheckKind.REFERENCES, PASSED),
        Checked(CheckKind.LANDLORD, PASSED),
    )

    standing = outcomes(made, home=HomeKind.HOUSEHOLD)

    assert having(standing, PASSED) == (CheckKind.REFERENCES, CheckKind.LANDLORD)
    assert having(standing, FAILED) == ()
    assert having(outcomes(made[:1], home=HomeKind.HOUSEHOLD), FAILED) == (
        CheckKind.LANDLORD,
    )


def test_what_was_looked_into_unasked_counts_too() -> None:
    made = (Checked(CheckKind.LANDLORD, FAILED),)

    standing = outcomes(made, home=HomeKind.ORGANISATION)

    assert having(standing, FAILED) == (CheckKind.LANDLORD,)


@pytest.mark.parametrize(
    ("kinds", "left"),
    [
        ((), ()),
        ((CheckKind.HOME_READY,), ()),
        ((CheckKind.LANDLORD, CheckKind.HOME_READY), (CheckKind.LANDLORD,)),
    ],
)
def test_readiness_may_be_open_when_accepting(
    kinds: tuple[CheckKind, ...], left: tuple[CheckKind, ...]
) -> None:
    assert before_accepting(kinds) == left
