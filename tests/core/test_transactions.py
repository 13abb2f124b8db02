"""All of what was done, or nothing: rows and what no database knows of."""

from collections.abc import Callable

import pytest
from django.db import transaction

from core.models import Organisation
from core.transactions import if_undone, whole
from tests.factories import OrganisationFactory

pytestmark = pytest.mark.django_db


def _begin(*undos: Callable[[], None]) -> None:
    """Do something that is then undone."""
    with whole():
        OrganisationFactory.create()
        for undo in undos:
            if_undone(undo)
        raise ZeroDivisionError


def test_what_is_undone_takes_back_what_it_was_told_the_last_first() -> None:
    undone: list[str] = []

    with pytest.raises(ZeroDivisionError):
        _begin(lambda: undone.append("first"), lambda: undone.append("second"))

    assert undone == ["second", "first"]
    assert not Organisation.objects.exists()


def test_what_is_kept_takes_nothing_back() -> None:
    undone: list[str] = []

    with whole():
        OrganisationFactory.create()
        if_undone(lambda: undone.append("first"))

    assert undone == []
    assert Organisation.objects.exists()


def test_an_inner_whole_is_undone_with_the_outer_one() -> None:
    undone: list[str] = []

    def begin() -> None:
        with whole():
            with whole():
                if_undone(lambda: undone.append("inner"))
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        begin()

    assert undone == ["inner"]


def test_an_inner_whole_can_be_undone_alone() -> None:
    undone: list[str] = []

    with whole():
        if_undone(lambda: undone.append("outer"))
        with pytest.raises(ZeroDivisionError):
            _begin(lambda: undone.append("inner"))

    assert undone == ["inner"]


def test_there_is_nothing_to_be_undone_with() -> None:
    with pytest.raises(RuntimeError, match=r"Open core\.transactions\.whole"):
        if_undone(lambda: None)


@pytest.mark.django_db(transaction=True)
def test_a_transaction_that_takes_nothing_back_may_not_be_around_it() -> None:
    with transaction.atomic(), pytest.raises(RuntimeError, match="durable"), whole():
        pytest.fail("It was begun.")
