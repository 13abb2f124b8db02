"""Lists that are sent in cost the same number of queries for one row and for three."""

from collections.abc import Callable
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from rest_framework.test import APIClient

from tests.factories import AnimalFactory, CareProfileFactory, StayFactory

Rows = list[dict[str, Any]]


def _animals(first: int, rows: int) -> Rows:
    AnimalFactory(code=f"D-{first}")
    row = {"species": "veiled_chameleon", "arrived_on": "2026-03-01"}
    dams = [f"D-{first}"] * rows
    return [
        {
            **row,
            "code": f"N-{first + n}",
            "dam": dam,
            "microchip": f"2760981{first + n:08}",
        }
        for n, dam in enumerate(dams)
    ]


def _weighings(first: int, rows: int) -> Rows:
    animals = [StayFactory(animal__code=f"V-{first + n}").animal for n in range(rows)]
    return [
        {"animal": animal.code, "mass_g": 100, "at": "2026-03-01T09:00:00Z"}
        for animal in animals
    ]


@pytest.mark.parametrize("query", ["", "?all_or_none=true"])
@pytest.mark.parametrize(
    ("address", "make"), [("animals", _animals), ("weighings", _weighings)]
)
def test_queries_of_what_is_sent(
    address: str, make: Callable[[int, int], Rows], query: str, owner: APIClient
) -> None:
    CareProfileFactory()

    def queries(first: int, rows: int) -> int:
        body = make(first, rows)
        with CaptureQueriesContext(connection) as seen:
            answer = owner.post(f"/api/v1/{address}/{query}", body)
        assert (answer.status_code, answer.json()["stored"]) == (200, rows)
        return len(seen)

    assert queries(100, 1) == queries(200, 3)
