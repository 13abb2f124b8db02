"""Whatever refuses, under /api/ it is a problem of RFC 9457 and never a page."""

import json
from collections.abc import Callable
from datetime import date
from typing import Any

import pytest
from django.db import OperationalError
from django.test import Client
from rest_framework.test import APIClient

from api.errors import PROBLEM, RefusedError
from api.inputs import read_body
from api.structs import In
from core.roles import Role
from husbandry.models import Weighing
from husbandry.rules.vocabulary import AnimalStatus
from tests.factories import AnimalFactory, UserFactory

pytestmark = pytest.mark.django_db
JSON = "application/json"
MEMBERS = {"title", "status", "code", "detail", "fields", "confirm", "type"}
POST = "/api/v1/weighings/"


@pytest.fixture
def browser() -> Client:
    """Return a browser that checks forms, signed in by its session."""
    client = Client(enforce_csrf_checks=True, raise_request_exception=False)
    client.force_login(UserFactory(role=Role.OWNER.value))
    return client


def check(answer: Any, status: int, code: str) -> dict[str, Any]:
    """Hold an answer to RFC 9457, 3.1 and 4.2.1."""
    assert (answer.status_code, answer["Content-Type"]) == (status, PROBLEM)
    assert answer["Cache-Control"] == "private, no-cache"
    body: dict[str, Any] = json.loads(answer.content)
    assert set(body) == MEMBERS
    assert (body["status"], body["code"]) == (status, code)
    assert body["type"] == "about:blank"
    assert body["detail"].endswith(".")
    return body


ASKED: list[tuple[str, int, str, Callable[[Client], Any]]] = [
    ("no address", 404, "not_found", lambda c: c.get("/api/v1/dragons/")),
    ("no version", 404, "not_found", lambda c: c.get("/api/v2/animals/")),
    ("no address at all", 404, "not_found", lambda c: c.get("/api/")),
    ("no slash at its end", 404, "not_found", lambda c: c.get("/api/v1/me")),
    ("no slash, posted", 404, "not_found", lambda c: c.post("/api/v1/weighings")),
    ("no such row", 404, "not_found", lambda c: c.get("/api/v1/animals/7/")),
    (
        "no kind",
        406,
        "not_acceptable",
        lambda c: c.get("/api/v1/me/", HTTP_ACCEPT="a/b"),
    ),
    (
        "a bad host",
        400,
        "unknown_host",
        lambda c: c.get("/api/v1/me/", HTTP_HOST="a b"),
    ),
    (
        "another host",
        400,
        "unknown_host",
        lambda c: c.get("/api/v1/me/", HTTP_HOST="elsewhere.example"),
    ),
    (
        "too many parameters",
        400,
        "too_many_parameters",
        lambda c: c.get("/api/v1/me/?" + "a=1&" * 1_001),
    ),
    ("a form without its sign", 403, "permission_denied", lambda c: c.post(POST)),
]


@pytest.mark.parametrize(
    ("status", "code", "ask"), [a[1:] for a in ASKED], ids=[a[0] for a in ASKED]
)
def test_before_and_in_a_view(
    browser: Client, status: int, code: str, ask: Callable[[Client], Any]
) -> None:
    check(ask(browser), status, code)


def test_a_page_is_still_a_page_to_people(browser: Client) -> None:
    for answer in (browser.get("/dragons/"), browser.get("/", HTTP_HOST="a b")):
        assert answer.status_code in {400, 404}
        assert answer["Content-Type"].startswith("text/html")


def test_a_method_that_is_not_there_says_which_are(owner: APIClient) -> None:
    """RFC 9110, 15.5.6."""
    for method in ("DELETE", "BREW"):
        answer = owner.generic(method, POST)

        check(answer, 405, "method_not_allowed")
        assert answer["Allow"] == "GET, POST, HEAD, OPTIONS"


@pytest.mark.parametrize(
    ("said", "status", "code", "accepted"),
    [
        ({"CONTENT_TYPE": "text/csv"}, 415, "unsupported_media_type", JSON),
        ({"CONTENT_TYPE": "application/x-www-form-urlencoded"}, 415, None, JSON),
        (
            {"CONTENT_TYPE": "application/json; charset=latin-1"},
            415,
            "unsupported_charset",
            "the same, in UTF-8",
        ),
        ({"CONTENT_TYPE": "application/json; charset=UTF-8"}, 201, None, None),
        ({"CONTENT_LENGTH": "many"}, 400, "no_body", None),
        (
            {"CONTENT_LENGTH": "", "HTTP_TRANSFER_ENCODING": "chunked"},
            411,
            "length_required",
            "how many bytes the body has",
        ),
    ],
)
def test_how_a_body_is_said_to_be(
    keeper: APIClient,
    said: dict[str, str],
    status: int,
    code: str | None,
    accepted: str | None,
) -> None:
    body = json.dumps({"animal": AnimalFactory().code, "mass_g": 22.1})

    kind = said.get("CONTENT_TYPE", JSON)
    answer = keeper.generic("POST", POST, body, kind, **(said | {"CONTENT_TYPE": kind}))

    if status == 201:
        assert answer.status_code == 201
    else:
        told = check(answer, status, code or "unsupported_media_type")
        assert list(told["fields"].values()) == ([accepted] if accepted else [])
    assert Weighing.objects.count() == (status == 201)


@pytest.mark.parametrize("key", [{}, {"HTTP_IDEMPOTENCY_KEY": "k"}])
def test_a_body_that_is_too_large(
    keeper: APIClient, settings: Any, key: dict[str, str]
) -> None:
    settings.DATA_UPLOAD_MAX_MEMORY_SIZE = 10

    check(keeper.post(POST, {"animal": "V-0417"}, **key), 413, "too_large")


@pytest.mark.parametrize(
    "body",
    [
        '{"animal": "%s", "mass_g": 1.5, "mass_g": 15}',
        '[{"animal": "%s", "mass_g": 1.5, "mass_g": 15}]',
    ],
)
def test_a_name_that_stands_twice(keeper: APIClient, body: str) -> None:
    """RFC 7493, 2.3: there must be no such object; a decoder takes the last."""
    sent = body % AnimalFactory().code

    told = check(keeper.generic("POST", POST, sent, JSON), 400, "repeated_name")

    assert told["fields"] == {"mass_g": "once"}
    assert not Weighing.objects.exists()


def test_a_mark_of_the_order_of_bytes_is_passed_over(keeper: APIClient) -> None:
    """RFC 8259, 8.1."""
    body = json.dumps({"animal": AnimalFactory().code, "mass_g": 22.1})

    answer = keeper.generic("POST", POST, b"\xef\xbb\xbf" + body.encode(), JSON)

    assert answer.status_code == 201


@pytest.mark.parametrize(
    ("sent", "field", "accepted"),
    [
        ({"animal": "V", "mass_g": "x"}, "mass_g", "float"),
        ({"animal": "V"}, "mass_g", "needed"),
        (
            {"animal": "V", "mass_g": 1, "colour": "green"},
            "colour",
            "none of that name; known are: animal, mass_g, at, note",
        ),
        (
            {"animal": "V", "mass_g": 1, "at": "yesterday"},
            "at",
            "an instant as 2026-03-01T06:00:00+01:00",
        ),
    ],
)
def test_which_field_and_what_it_takes(
    keeper: APIClient, sent: Any, field: str, accepted: str
) -> None:
    told = check(keeper.post(POST, sent), 400, "invalid_body")

    assert told["fields"] == {field: accepted}
    assert told["detail"].startswith(f"{field} cannot be read: ")


class Leg(In, frozen=True):
    kind: AnimalStatus
    on: date


class Journey(In, frozen=True):
    legs: tuple[Leg, ...]


@pytest.mark.parametrize(
    ("leg", "field", "accepted"),
    [
        ('"kind": "x"', "legs[1].kind", ", ".join(AnimalStatus)),
        ('"kind": "here", "on": "x"', "legs[1].on", "a day as 2026-03-01"),
        ('"kind": "here"', "legs[1].on", "a day as 2026-03-01"),
        (
            '"kind": "here", "colour": 1',
            "legs[1].colour",
            "none of that name; known are: kind, on",
        ),
        ('"kind": 1', "legs[1].kind", ", ".join(AnimalStatus)),
    ],
)
def test_where_in_a_body_it_stands(leg: str, field: str, accepted: str) -> None:
    leg = leg.replace("here", next(iter(AnimalStatus)).value)
    body = '{"legs": [{"kind": "%s", "on": "2026-03-02"}, {%s}]}'

    with pytest.raises(RefusedError) as refused:
        read_body((body % (next(iter(AnimalStatus)).value, leg)).encode(), Journey)

    assert refused.value.fields == {field: accepted}
    assert str(refused.value.detail).startswith(f"{field} cannot be read: ")


@pytest.mark.parametrize(
    ("cause", "status"),
    [("database is locked", 503), ("the disk is full", 500)],
)
def test_where_others_were_faster_it_can_be_sent_again(
    keeper: APIClient, monkeypatch: pytest.MonkeyPatch, cause: str, status: int
) -> None:
    def fail(**_: object) -> None:
        raise OperationalError(cause)

    monkeypatch.setattr("api.weighings.record_weighing", fail)
    keeper.raise_request_exception = False
    body = {"animal": AnimalFactory().code, "mass_g": 22.1}

    answer = keeper.post(POST, body)

    check(answer, status, "busy" if status == 503 else "server_error")
    assert ("Retry-After" in answer) is (status == 503)
