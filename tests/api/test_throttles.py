"""How often a key may ask, and what the answers say of it.

Headers: draft-ietf-httpapi-ratelimit-headers-11, sections 3 and 4; their form is that
of RFC 9651. `Retry-After`: RFC 9110, section 10.2.3.
"""

import re
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import pytest
from django.core.cache import cache
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone
from rest_framework.test import APIClient

from api.throttles import counted
from core.models import ApiToken, User
from core.roles import Role, TokenScope
from core.tokens import issue_token, revoke_token
from tests.api.conftest import Caller
from tests.factories import DeviceProbeFactory, UserFactory

ME, READINGS = "/api/v1/me/", "/api/v1/readings/"
DAY = 86_400
# A list of Strings with Integer parameters, as both sections want it (RFC 9651).
POLICY = re.compile(r'"(?P<name>[a-z-]+)";q=(?P<q>\d{1,15});w=(?P<w>[1-9]\d{0,14})')
LIMIT = re.compile(r'"(?P<name>[a-z-]+)";r=(?P<r>\d{1,15});t=(?P<t>\d{1,15})')

pytestmark = pytest.mark.django_db
Rates = Callable[..., None]


@pytest.fixture
def rates(settings: Any) -> Rates:
    """Set rates by the day, so that no test runs over the end of a window."""

    def change(**counts: int) -> None:
        given = {"read": 100, "write": 100, "ingest": 100, "wrong_token": 100} | counts
        settings.API_RATES = {
            name.replace("_", "-"): (count, DAY) for name, count in given.items()
        } | {"wrong-tokens": (10 * given["wrong_token"], DAY)}

    return change


def _with(text: str, **extra: str) -> APIClient:
    client = APIClient(**extra)
    client.credentials(HTTP_AUTHORIZATION=f"Bearer {text}")
    return client


def _issue(user: User, scope: TokenScope = TokenScope.MANAGE) -> str:
    now = timezone.now()
    return issue_token(user=user, name="x", scope=scope, by=None, at=now).text


def _told(answer: Any) -> tuple[str, int, int]:
    """Return the policy, its quota and what is left, as the headers say it."""
    policy = POLICY.fullmatch(answer["RateLimit-Policy"])
    limit = LIMIT.fullmatch(answer["RateLimit"])
    assert policy
    assert limit
    assert policy["name"] == limit["name"]
    assert 0 < int(limit["t"]) <= int(policy["w"])
    return policy["name"], int(policy["q"]), int(limit["r"])


def test_each_answer_says_what_is_left(rates: Rates, owner: APIClient) -> None:
    rates(read=3, write=2, ingest=1)

    assert _told(owner.get(ME)) == ("read", 3, 2)
    assert _told(owner.get("/api/v1/animals/7/")) == ("read", 3, 1)  # a 404
    assert _told(owner.post("/api/v1/tokens/", {})) == ("write", 2, 1)  # a 400
    assert _told(owner.put(ME)) == ("write", 2, 0)  # a 405
    assert _told(owner.post(READINGS, {})) == ("ingest", 1, 0)


def test_refused_requests_count_as_well(rates: Rates, viewer: APIClient) -> None:
    rates(read=2)

    statuses = [viewer.get("/api/v1/homes/").status_code for _ in range(3)]

    assert statuses == [403, 403, 429]


def test_who_asks_too_often_is_told_when_to_come_again(
    rates: Rates, owner: APIClient
) -> None:
    rates(read=1)
    assert owner.get(ME).status_code == 200

    answer = owner.get(ME)

    assert (answer.status_code, answer["Content-Type"]) == (
        429,
        "application/problem+json",
    )
    assert answer.json()["code"] == "throttled"
    assert "More than 1 requests of the kind “read”" in answer.json()["detail"]
    assert _told(answer) == ("read", 1, 0)
    limit = LIMIT.fullmatch(answer["RateLimit"])
    assert limit
    # Section 6: Retry-After does not point before the end of the effective window.
    assert int(limit["t"]) <= int(answer["Retry-After"]) <= DAY + 1
    # Other kinds are counted by themselves.
    assert owner.post("/api/v1/tokens/", {}).status_code == 400


def test_tokens_of_one_person_are_counted_apart(rates: Rates) -> None:
    rates(read=1)
    user = UserFactory()
    first, second = _with(_issue(user)), _with(_issue(user))
    browser = APIClient()
    browser.force_login(user)

    for client in (first, second, browser):
        assert client.get(ME).status_code == 200
        assert client.get(ME).status_code == 429


def test_two_people_are_counted_apart(rates: Rates, caller: Caller) -> None:
    rates(read=1)

    for _ in range(2):
        assert caller(Role.KEEPER).get(ME).status_code == 200


def test_a_device_is_counted_by_the_rate_for_readings(rates: Rates) -> None:
    rates(write=1, ingest=3)
    text = _issue(UserFactory(), TokenScope.INGEST)
    DeviceProbeFactory(device__token=ApiToken.objects.get())
    hub = _with(text)

    statuses = [hub.post(READINGS, {}).status_code for _ in range(4)]

    assert statuses == [400, 400, 400, 429]


def test_counting_asks_no_database(rates: Rates) -> None:
    rates(read=1)
    client = _with(_issue(UserFactory()))
    client.get(ME)

    with CaptureQueriesContext(connection) as caught:
        assert client.get(ME).status_code == 429

    # The token and its person are looked up, in one go; nothing else is.
    assert len(caught) == 1


def test_the_window_ends(
    rates: Rates, owner: APIClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    rates(read=1)
    clock = [float(DAY) * 20_000]
    monkeypatch.setattr("api.throttles.time.time", lambda: clock[0])
    seen = []

    for now in (0, DAY - 1, DAY):
        clock[0] = float(DAY) * 20_000 + now
        answer = owner.get(ME)
        seen.append((answer.status_code, answer["RateLimit"]))

    assert seen == [
        (200, f'"read";r=0;t={DAY}'),
        (429, '"read";r=0;t=1'),
        (200, f'"read";r=0;t={DAY}'),
    ]


def test_a_count_that_went_in_between_begins_anew(
    rates: Rates, owner: APIClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    rates(read=1)
    # What a cache does that let go of the count after it was looked for.
    monkeypatch.setattr(cache, "add", lambda *_, **__: False)

    assert _told(owner.get(ME)) == ("read", 1, 0)


def test_requests_at_once_are_each_counted(rates: Rates) -> None:
    rates(read=100)

    with ThreadPoolExecutor(8) as pool:
        limits = list(pool.map(lambda _: counted("read", "one key"), range(80)))

    assert sorted(limit.left for limit in limits) == list(range(20, 100))


# Wrong tokens


def test_wrong_tokens_are_counted_by_address_and_prefix(rates: Rates) -> None:
    rates(wrong_token=2)
    wrong = _with("sb_0badc0de_x")

    told = [wrong.get(ME) for _ in range(3)]

    assert [answer.status_code for answer in told] == [401, 401, 429]
    assert [_told(answer) for answer in told] == [
        ("wrong-token", 2, 1),
        ("wrong-token", 2, 0),
        ("wrong-token", 2, 0),
    ]
    assert int(told[2]["Retry-After"]) > 0
    assert _with("sb_0badc0de_x", REMOTE_ADDR="198.51.100.7").get(ME).status_code == 401
    assert _with("sb_feedf00d_x").get(ME).status_code == 401


def test_what_is_held_is_not_looked_up(rates: Rates) -> None:
    rates(wrong_token=1)
    wrong = _with("sb_0badc0de_x")
    wrong.get(ME)

    with CaptureQueriesContext(connection) as caught:
        assert wrong.get(ME).status_code == 429

    assert len(caught) == 0


def test_an_old_token_does_not_shut_out_the_others_of_its_house(rates: Rates) -> None:
    rates(wrong_token=2)
    user = UserFactory()
    old, good = _issue(user), _issue(user)
    revoke_token(token=ApiToken.objects.order_by("pk")[0], by=None, at=timezone.now())

    statuses = [_with(old).get(ME).status_code for _ in range(30)]

    assert statuses == [401] * 2 + [429] * 28
    assert _with(good).get(ME).status_code == 200


def test_many_wrong_tokens_of_one_address_are_held_and_a_right_one_passes(
    rates: Rates,
) -> None:
    rates(wrong_token=1)
    good = _issue(UserFactory())

    statuses = [_with(f"sb_{n:08x}_x").get(ME).status_code for n in range(12)]

    assert statuses == [401] * 10 + [429] * 2
    assert _with(good).get(ME).status_code == 200


@pytest.mark.parametrize(
    ("proxies", "told", "counted"),
    [
        (0, "203.0.113.9", "127.0.0.1"),  # nobody is believed
        (1, "203.0.113.9", "203.0.113.9"),
        (1, "192.0.2.1, 203.0.113.9", "203.0.113.9"),  # the first is made up
        (2, "203.0.113.9, 10.0.0.2", "203.0.113.9"),
        (2, "203.0.113.9", "127.0.0.1"),  # one of the two did not write
        (1, "", "127.0.0.1"),
    ],
)
def test_only_our_own_proxies_are_believed(
    proxies: int, told: str, counted: str, rates: Rates, settings: Any
) -> None:
    rates(wrong_token=1)
    settings.PROXIES = proxies
    text = "sb_0badc0de_x"
    assert _with(text, HTTP_X_FORWARDED_FOR=told).get(ME).status_code == 401

    settings.PROXIES = 0
    again = _with(text, REMOTE_ADDR=counted).get(ME)

    assert again.status_code == 429


def test_nobody_is_counted_by_address(rates: Rates) -> None:
    rates(read=1)

    statuses = [APIClient().get(ME).status_code for _ in range(2)]

    assert statuses == [401, 429]


def test_no_name_in_the_cache_holds_a_token(
    rates: Rates, monkeypatch: pytest.MonkeyPatch
) -> None:
    rates()
    names: list[str] = []
    add = cache.add
    monkeypatch.setattr(
        cache, "add", lambda name, *rest: names.append(name) or add(name, *rest)
    )
    text = _issue(UserFactory())
    _with(text).get(ME)
    _with(text + "x").get(ME)

    assert len(names) == 3
    assert not [name for name in names if text.split("_")[1] in name]
