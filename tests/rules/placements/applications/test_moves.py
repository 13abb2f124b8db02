"""From where to where an application moves."""

import pytest

from placements.rules.applications.moves import (
    OPEN,
    REFUSED,
    ApplicationStateError,
    check_move,
    check_settled,
)
from placements.rules.vocabulary import ApplicationState as S
from placements.rules.vocabulary import CheckKind

# Written by hand beside the table that the code reads.
ALLOWED = {
    (S.RECEIVED, S.CHECKING),
    (S.RECEIVED, S.DECLINED),
    (S.RECEIVED, S.WITHDRAWN),
    (S.CHECKING, S.ACCEPTED),
    (S.CHECKING, S.DECLINED),
    (S.CHECKING, S.WITHDRAWN),
    (S.ACCEPTED, S.WAITING),
    (S.ACCEPTED, S.PLACED),
    (S.ACCEPTED, S.DECLINED),
    (S.ACCEPTED, S.WITHDRAWN),
    (S.WAITING, S.ACCEPTED),
    (S.WAITING, S.PLACED),
    (S.WAITING, S.DECLINED),
    (S.WAITING, S.WITHDRAWN),
    (S.PLACED, S.ACCEPTED),
}


@pytest.mark.parametrize("before", S)
@pytest.mark.parametrize("to", S)
def test_every_pair_of_states(before: S, to: S) -> None:
    if (before, to) in ALLOWED:
        check_move(before, to)
        return
    with pytest.raises(ApplicationStateError, match=f"{before}; from there"):
        check_move(before, to)


def test_every_state_is_open_refused_or_placed() -> None:
    assert OPEN | REFUSED | {S.PLACED} == set(S)
    assert not OPEN & REFUSED


def test_the_refusal_says_where_it_can_go() -> None:
    with pytest.raises(ApplicationStateError) as refused:
        check_move(S.RECEIVED, S.ACCEPTED)
    assert refused.value.sentence == (
        "The application is received; from there it cannot become accepted, only "
        "checking or declined or withdrawn."
    )
    with pytest.raises(ApplicationStateError) as refused:
        check_move(S.DECLINED, S.ACCEPTED)
    assert refused.value.fields == {"to": "nothing: it is over"}


def test_nothing_is_accepted_before_it_is_settled() -> None:
    check_settled((), ())
    with pytest.raises(ApplicationStateError) as refused:
        check_settled((CheckKind.LANDLORD,), (CheckKind.VET_NEARBY,))
    assert "landlord failed; vet nearby is open." in refused.value.sentence
