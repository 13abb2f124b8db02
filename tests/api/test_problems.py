"""Every refusal has one form, whatever refuses."""

import pytest
from django.test import Client, RequestFactory
from rest_framework.test import APIClient

from api.errors import PROBLEM, problem
from config.failures import server_error
from core.errors import NotFoundError
from husbandry.queries.profiles import ProfileVersion
from tests.factories import AnimalFactory, SiteFactory, UserFactory


def test_an_address_that_is_none(db: None) -> None:
    answer = APIClient().get("/api/v1/dragons/")

    assert answer.status_code == 404
    assert answer["Content-Type"] == PROBLEM
    assert answer.json() == {
        "title": "Not Found",
        "status": 404,
        "code": "not_found",
        "detail": "There is no address /api/v1/dragons/. Addresses end with a slash "
        "and are listed in /api/v1/schema/.",
        "fields": {},
        "confirm": None,
        "type": "about:blank",
    }


@pytest.mark.parametrize(
    "address", ["", "animals", "animals/x/", "animals/7/nothing/", "animals/-1/"]
)
def test_other_addresses_that_are_none(owner: APIClient, address: str) -> None:
    answer = owner.post(f"/api/v1/{address}")

    assert (answer.status_code, answer["Content-Type"]) == (404, PROBLEM)


@pytest.mark.parametrize("number", ["7", "999999999999999999"])
def test_a_row_that_is_not_there(owner: APIClient, number: str) -> None:
    answer = owner.get(f"/api/v1/animals/{number}/")

    assert (answer.status_code, answer["Content-Type"]) == (404, PROBLEM)
    assert answer.json()["code"] == "not_found"


def test_a_method_that_is_not_there(owner: APIClient) -> None:
    answer = owner.delete("/api/v1/animals/")

    assert (answer.status_code, answer["Content-Type"]) == (405, PROBLEM)
    assert answer.json()["code"] == "method_not_allowed"


@pytest.mark.parametrize(
    "body",
    [
        b"{",
        b"\xff",
        b'{"animal": "\xff"}',
        b"[" * 100_000,
        b'{"animal": NaN}',
        b'{"readings": [{"probe": "\xff", "at": 1}, {"probe": "P-1", "at": 1}]}',
        b'[{"animal": "\xff", "mass_g": 1}, {"animal": "V-1", "mass_g": 1}]',
        b'[{"animal": "\\ud800A", "mass_g": 1}, {"animal": "V-1", "mass_g": 1}]',
        b'{"animal": "\\ud800"}',
        b'{"animal": "a\\u0000b", "mass_g": 1}',
        b'{"animal": "a\x00b", "mass_g": 1}',
    ],
)
def test_a_body_that_is_not_json(owner: APIClient, body: bytes) -> None:
    for address in ("weighings", "readings", "weighings/confirm"):
        answer = owner.generic(
            "POST", f"/api/v1/{address}/", body, content_type="application/json"
        )

        assert (answer.status_code, answer["Content-Type"]) == (400, PROBLEM)
        assert answer.json()["code"] in {"malformed_json", "invalid_body"}


def test_no_body(owner: APIClient) -> None:
    answer = owner.post("/api/v1/readings/")

    assert answer.status_code == 400
    assert answer.json()["code"] == "no_body"


def test_a_body_of_another_kind(owner: APIClient) -> None:
    for address in ("readings", "weighings"):
        answer = owner.post(
            f"/api/v1/{address}/", "<a/>", content_type="application/xml"
        )

        assert (answer.status_code, answer["Content-Type"]) == (415, PROBLEM)


def test_a_body_with_too_many_bytes(owner: APIClient, settings: object) -> None:
    settings.DATA_UPLOAD_MAX_MEMORY_SIZE = 10  # type: ignore[attr-defined]

    answer = owner.post("/api/v1/readings/", {"readings": []}, format="json")

    assert (answer.status_code, answer["Content-Type"]) == (413, PROBLEM)
    assert answer.json()["detail"] == (
        "The body has 15 bytes; at most 10 are taken. Send it in parts."
    )


def test_an_answer_of_another_kind(owner: APIClient) -> None:
    answer = owner.get("/api/v1/animals/", headers={"accept": "text/csv"})

    assert (answer.status_code, answer["Content-Type"]) == (406, PROBLEM)


@pytest.mark.parametrize(
    ("query", "code", "sentence"),
    [
        (
            "colour=green",
            "unknown_parameter",
            "There is no parameter 'colour' here. Parameters are: open, night, urgency, "
            "kind, site, animal, enclosure, probe, opened_from, seen_from, cursor, "
            "page_size, search, ordering, fields.",
        ),
        (
            "open=maybe",
            "invalid_parameter",
            "open='maybe' cannot be read; accepted is: true, false.",
        ),
        (
            "open=null",
            "invalid_parameter",
            "open='null' cannot be read; accepted is: true, false.",
        ),
        (
            "urgency=soon",
            "invalid_parameter",
            "urgency='soon' cannot be read; accepted is: now, today, watch.",
        ),
        (
            "night=1.3.2026",
            "invalid_parameter",
            "night='1.3.2026' cannot be read; accepted is: a day as 2026-03-01.",
        ),
        (
            "page_size=0",
            "invalid_parameter",
            "page_size='0' cannot be read; accepted is: int >= 1.",
        ),
        (
            "page_size=501",
            "invalid_parameter",
            "page_size='501' cannot be read; accepted is: int <= 500.",
        ),
        (
            "urgency=now&urgency=today",
            "repeated_parameter",
            "urgency is given 2 times; give it once.",
        ),
        (
            "night=0001-01-01",
            "day_out_of_range",
            "night=0001-01-01 is too far off; accepted is 1970-01-01 to 2199-12-31.",
        ),
        (
            "site=a%00b",
            "invalid_parameter",
            "site='a\\x00b' cannot be read; accepted is: other text.",
        ),
    ],
)
def test_query_parameters_that_cannot_be_read(
    viewer: APIClient, query: str, code: str, sentence: str
) -> None:
    answer = viewer.get(f"/api/v1/findings/?{query}")

    assert answer.status_code == 400
    assert (answer.json()["code"], answer.json()["detail"]) == (code, sentence)


def test_an_address_that_asks_nothing_takes_no_parameter(viewer: APIClient) -> None:
    answer = viewer.get("/api/v1/me/?format=json")

    assert answer.status_code == 400
    assert answer.json()["detail"] == (
        "There is no parameter 'format' here. Parameters are: none."
    )


@pytest.mark.parametrize("cursor", ["", "x", "cD1hYmM=", "eyJ4IjoxfQ:1:2", "ü"])
def test_a_cursor_that_was_made_up(viewer: APIClient, cursor: str) -> None:
    answer = viewer.get("/api/v1/animals/", {"cursor": cursor})

    assert (answer.status_code, answer["Content-Type"]) == (400, PROBLEM)
    assert answer.json()["code"] == "bad_cursor"


def test_a_cursor_of_another_list(viewer: APIClient) -> None:
    for _ in range(2):
        SiteFactory()
        AnimalFactory()
    following = viewer.get("/api/v1/animals/?page_size=1").json()["next"]

    answer = viewer.get("/api/v1/stays/?" + following.partition("?")[2])

    assert answer.json()["code"] == "bad_cursor"


@pytest.mark.django_db
def test_a_fault_of_the_program_tells_nothing(
    monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def fail(**kwargs: object) -> ProfileVersion:
        raise ZeroDivisionError("a secret")

    monkeypatch.setattr("api.targets.needs_on", fail)
    user, animal = UserFactory(), AnimalFactory()
    browser = Client(raise_request_exception=False)
    browser.force_login(user)

    answer = browser.get(f"/api/v1/animals/{animal.pk}/targets/")

    assert (answer.status_code, answer["Content-Type"]) == (500, PROBLEM)
    assert answer.json()["code"] == "server_error"
    assert "secret" not in answer.content.decode()
    assert "a secret" in caplog.text


def test_what_an_action_does_not_find_is_not_found() -> None:
    answer = problem(NotFoundError("There is no packet 7."), {})

    assert answer is not None
    assert answer.status_code == 404
    assert answer.data.detail == "There is no packet 7."


def test_a_fault_is_not_turned_into_a_refusal() -> None:
    assert problem(ZeroDivisionError(), {}) is None


@pytest.mark.django_db
def test_a_fault_elsewhere_is_told_to_people(client: Client) -> None:
    request = RequestFactory().get("/")

    answer = server_error(request)

    assert answer.status_code == 500
    assert answer["Content-Type"].startswith("text/html")
