"""Whether the program says truly that its database answers."""

from collections.abc import Callable

import pytest
from django.db import OperationalError, connection
from django.test import Client


@pytest.mark.django_db
def test_it_is_well_where_the_database_answers() -> None:
    answer = Client().get("/healthz")

    assert (answer.status_code, answer.content) == (200, b"ok")
    assert "no-store" in answer.headers["Cache-Control"]


@pytest.mark.django_db
def test_it_is_not_well_where_the_database_does_not() -> None:
    def refuse(execute: Callable[..., object], *_: object) -> object:
        raise OperationalError("gone")

    with connection.execute_wrapper(refuse):
        answer = Client().get("/healthz")

    assert (answer.status_code, answer.content) == (503, b"no database")
