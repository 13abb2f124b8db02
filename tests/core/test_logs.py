"""What is logged of an address that is a secret."""

import logging
from io import StringIO

import pytest
from django.test import Client

from core.keys import new_key
from core.logs import HideAddresses

# Of the shape of a key; the names of cases must be the same in every process.
KEY = "a1b2c3d4_" + "Kk-_9" * 8 + "Zz0"


def logged(msg: object, *args: object) -> str:
    record = logging.LogRecord("x", logging.INFO, "", 0, msg, args, None)
    assert HideAddresses().filter(record)
    return record.getMessage()


@pytest.mark.parametrize(
    ("msg", "args", "told"),
    [
        (
            "%s: %s",
            ("Not Found", "/calendar/ab_cd.ics"),
            "Not Found: /calendar/…",
        ),
        ("GET /calendar/ab_cd.ics HTTP/1.1", (), "GET /calendar/… HTTP/1.1"),
        ("at /calendar/ab_cd.ics?x=1", (), "at /calendar/…?x=1"),
        ("GET /home/ab_cd/report/?x=1", (), "GET /home/…?x=1"),
        ("%s", ("/api/v1/homes/7/",), "/api/v1/homes/7/"),
        ("%s %d", ("/animals/", 3), "/animals/ 3"),
        ("Not Found: %s", (f"/cal/{KEY}.ics",), "Not Found: /cal/….ics"),
        (f"Not Found: /api/v1/me/sb_{KEY}/", (), "Not Found: /api/v1/me/sb_…/"),
    ],
)
def test_an_address_is_shortened(msg: str, args: tuple[object, ...], told: str) -> None:
    assert logged(msg, *args) == told


def test_any_key_that_is_made_is_hidden() -> None:
    for _ in range(20):
        assert logged(f"at /elsewhere/{new_key().text}/") == "at /elsewhere/…/"


def test_what_is_no_text_is_left_alone() -> None:
    assert logged(ValueError("x")) == "x"
    record = logging.LogRecord("x", logging.INFO, "", 0, "%(a)s", None, None)
    record.args = {"a": 1}
    HideAddresses().filter(record)
    assert record.getMessage() == "1"


@pytest.mark.django_db
def test_every_refusal_is_logged_without_the_address() -> None:
    told = StringIO()
    (console,) = (
        handler
        for handler in logging.getLogger().handlers
        if any(isinstance(f, HideAddresses) for f in handler.filters)
    )
    assert isinstance(console, logging.StreamHandler)
    before = console.setStream(told)
    try:
        Client().get("/calendar/ab_secret.ics")
        Client().post("/calendar/ab_secret.ics")
    finally:
        console.setStream(before)

    assert "Not Found: /calendar/…" in told.getvalue()
    assert "Method Not Allowed (POST): /calendar/…" in told.getvalue()
    assert "secret" not in told.getvalue()
