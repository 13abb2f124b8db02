"""Lines written at the same moment: numbers without a gap, nothing twice."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.db import transaction

from husbandry.actions.animals import mark_left
from husbandry.rules.vocabulary import AnimalStatus
from placements.actions.register import write_register
from placements.models import RegisterEntry
from tests.factories import NOW, TODAY, AnimalFactory
from tests.husbandry import test_readings_at_once as at_once

pytestmark = pytest.mark.django_db(transaction=True)
shared_database = at_once.shared_database


def lines() -> list[tuple[int, str, str]]:
    found: list[tuple[int, str, str]] = []
    rows = RegisterEntry.objects.order_by("number")
    at_once.together(
        lambda: found.extend(rows.values_list("number", "animal_code", "direction"))
    )
    return found


def test_four_nights_at_once_write_each_line_once(shared_database: Any) -> None:
    animals = AnimalFactory.create_batch(30)
    written: list[int] = []
    shared_database()

    raised = at_once.together(
        *[lambda: written.append(write_register(by=None, at=NOW))] * 4
    )

    assert raised == []
    assert sorted(written) == [0, 0, 0, 30]
    assert [(number, code) for number, code, _ in lines()] == list(
        enumerate((animal.code for animal in animals), start=1)
    )


def test_animals_that_leave_at_once_get_numbers_without_a_gap(
    shared_database: Any,
) -> None:
    animals = AnimalFactory.create_batch(6)
    write_register(by=None, at=NOW)
    shared_database()

    def leave(index: int) -> Callable[[], None]:
        def work() -> None:
            with transaction.atomic():
                said: dict[str, Any] = {"on": TODAY - timedelta(days=1), "by": None}
                mark_left(
                    animal=animals[index], status=AnimalStatus.LOST, at=NOW, **said
                )
                write_register(by=None, at=NOW, animal_ids=[animals[index].pk])

        return work

    def undone() -> None:
        with transaction.atomic():
            leave(5)()
            raise RuntimeError("The door was shut.")

    raised = at_once.together(*(leave(index) for index in range(5)), undone)

    assert [type(error) for error in raised] == [RuntimeError]
    found = lines()
    assert [number for number, _, _ in found] == list(range(1, 12))
    assert sorted(code for _, code, direction in found if direction == "left") == [
        animal.code for animal in animals[:5]
    ]
