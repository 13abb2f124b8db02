"""What was seen is not sent again, and what changed meanwhile is not overwritten.

Expectations are those of RFC 9110 (8.8, 13, 15.4.5, 15.5.13) and RFC 9111 (5.2.2).
"""

import re
from collections.abc import Callable
from datetime import timedelta

import pytest
from django.http import HttpResponse
from django.utils import timezone
from rest_framework.test import APIClient

from api.errors import PROBLEM
from core.models import Site
from core.roles import Role
from husbandry.models import Weighing
from placements.models import Placement
from tests.api.conftest import Caller
from tests.api.test_counts import COUNTS
from tests.factories import (
    AnimalFactory,
    HomeFactory,
    PlacementFactory,
    SiteFactory,
)

STRONG = re.compile(r'"[0-9a-f]{32}"')
# What these show goes on with the time: which doses are due, how old a female is.
BY_THE_CLOCK = {"prescriptions", "pairings"}


@pytest.mark.parametrize(("address", "make"), [(a, m) for a, m, _ in COUNTS])
def test_a_tag_stays_while_nobody_changes_anything(
    address: str,
    make: Callable[[], object],
    owner: APIClient,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    make()
    make()
    listed = f"/api/v1/{address}/?page_size=1"
    addresses = [listed]
    # Conditions have no number; a packet is checked against its hash, and this made
    # up one does not pass.
    if address not in {"conditions", "packets"}:
        number = owner.get(listed).json()["results"][0]["id"]
        addresses.append(f"/api/v1/{address.partition('/')[0]}/{number}/")
    before = [owner.get(one)["ETag"] for one in addresses]
    later = timezone.now() + timedelta(days=400)
    monkeypatch.setattr("django.utils.timezone.now", lambda: later)

    after = [owner.get(one)["ETag"] for one in addresses]

    assert all(STRONG.fullmatch(tag) for tag in before)
    assert (after == before) is (address not in BY_THE_CLOCK)


def test_what_was_seen_is_not_sent_again(viewer: APIClient) -> None:
    SiteFactory()
    for address in ("sites/", f"sites/{Site.objects.get().pk}/", "me/", "schema/"):
        first = viewer.get(f"/api/v1/{address}")

        again = viewer.get(f"/api/v1/{address}", HTTP_IF_NONE_MATCH=first["ETag"])

        assert (again.status_code, again.content) == (304, b"")
        # RFC 9110, 15.4.5: what the 200 would have carried of these.
        for name in ("ETag", "Cache-Control", "Vary"):
            assert again[name] == first[name], name
        # 8.6: the length that the 200 has, or none.
        assert again["Content-Length"] == str(len(first.content))
        assert "Content-Type" not in again


@pytest.mark.parametrize(
    ("header", "status"),
    [
        ("{tag}", 304),
        ("W/{tag}", 304),  # 13.1.2: compared weakly
        ('"other", {tag}', 304),
        ("*", 304),
        ('"other"', 200),
        ('W/"other" , "another"', 200),
    ],
)
@pytest.mark.parametrize("method", ["get", "head"])
def test_if_none_match(
    viewer: APIClient, header: str, status: int, method: str
) -> None:
    tag = viewer.get("/api/v1/me/")["ETag"]

    answer = getattr(viewer, method)(
        "/api/v1/me/", HTTP_IF_NONE_MATCH=header.format(tag=tag)
    )

    assert (answer.status_code, answer["ETag"]) == (status, tag)


@pytest.mark.parametrize(
    ("header", "status"),
    [
        ("{tag}", 200),
        ('"other", {tag}', 200),
        ("*", 200),
        ("W/{tag}", 412),  # 13.1.1: compared strongly
        ('"other"', 412),
    ],
)
def test_if_match(owner: APIClient, header: str, status: int) -> None:
    row = PlacementFactory(kind="sale")
    address = f"/api/v1/placements/{row.pk}/"
    tag = owner.get(address)["ETag"]
    match = {"HTTP_IF_MATCH": header.format(tag=tag)}

    read = owner.get(address, **match)
    written = owner.post(
        f"{address}call-off/", {"reason": "A change of mind."}, **match
    )

    assert (read.status_code, written.status_code) == (status, status), written.content
    row.refresh_from_db()
    if status == 200:
        assert row.state == "called_off"
        assert written["ETag"] == owner.get(address)["ETag"] != tag
    else:
        assert row.state == "planned"
        assert written["Content-Type"] == read["Content-Type"] == PROBLEM
        assert written.json()["code"] == "changed_meanwhile"
        assert written.json()["status"] == 412


def test_if_none_match_of_a_verb(owner: APIClient) -> None:
    """13.1.2: for other methods than GET and HEAD it is 412."""
    row = PlacementFactory(kind="sale")
    address = f"/api/v1/placements/{row.pk}/"
    seen = owner.get(address)["ETag"]

    for header in (seen, "*"):
        answer = owner.post(
            f"{address}call-off/", {"reason": "So."}, HTTP_IF_NONE_MATCH=header
        )
        assert answer.status_code == 412
    answer = owner.post(
        f"{address}call-off/", {"reason": "So."}, HTTP_IF_NONE_MATCH='"other"'
    )
    assert answer.status_code == 200


def test_what_is_not_there_or_not_allowed_comes_before_conditions(
    owner: APIClient, viewer: APIClient
) -> None:
    """13.2.1: a condition does not matter where it would not have succeeded anyway."""
    missing, match = "/api/v1/placements/7/", {"HTTP_IF_MATCH": '"other"'}

    assert owner.get(missing, **match).status_code == 404
    assert owner.post(f"{missing}call-off/", {}, **match).status_code == 404
    assert viewer.post(f"{missing}call-off/", {}, **match).status_code == 403


@pytest.mark.parametrize("header", ["If-Match", "If-None-Match"])
def test_a_condition_where_there_is_no_row(keeper: APIClient, header: str) -> None:
    body = {"animal": AnimalFactory().code, "mass_g": 22.1}

    answer = keeper.post("/api/v1/weighings/", body, headers={header: '"1"'})

    assert (answer.status_code, answer["Content-Type"]) == (400, PROBLEM)
    assert answer.json()["code"] == "condition_not_here"
    assert list(answer.json()["fields"]) == [header]
    assert not Weighing.objects.exists()


@pytest.mark.parametrize(
    "text", ["", "abc", "W/abc", '"a', '"a" "b"', '"a b"', '*, "a"']
)
@pytest.mark.parametrize("header", ["If-Match", "If-None-Match"])
def test_what_is_no_list_of_tags(owner: APIClient, header: str, text: str) -> None:
    row = PlacementFactory(kind="sale")
    address = f"/api/v1/placements/{row.pk}/"

    for answer in (
        owner.get(address, headers={header: text}),
        owner.post(f"{address}call-off/", {"reason": "So."}, headers={header: text}),
    ):
        assert (answer.status_code, answer["Content-Type"]) == (400, PROBLEM)
        assert answer.json()["code"] == "bad_tag"
    assert Placement.objects.get().state == "planned"


def test_sent_again_with_its_key_it_is_answered_before_its_condition_is_looked_at(
    owner: APIClient,
) -> None:
    """13.1.1 allows it: the change that it asks for is made already."""
    row = PlacementFactory(kind="sale")
    address = f"/api/v1/placements/{row.pk}/"
    tag = owner.get(address)["ETag"]

    first, again = (
        owner.post(
            f"{address}call-off/",
            {"reason": "A change of mind."},
            HTTP_IF_MATCH=tag,
            HTTP_IDEMPOTENCY_KEY='"1"',
        )
        for _ in range(2)
    )

    assert (first.status_code, again.status_code) == (200, 200)
    assert again.content == first.content
    assert again["ETag"] == first["ETag"]


def test_a_tag_is_of_what_its_reader_sees(caller: Caller) -> None:
    row = PlacementFactory(home=HomeFactory())
    sees, does_not = caller(Role.OWNER), caller(Role.VET)
    address = f"/api/v1/placements/{row.pk}/"

    assert sees.get(address).json()["home"] is not None
    assert does_not.get(address).json()["home"] is None
    assert sees.get(address)["ETag"] != does_not.get(address)["ETag"]


def test_a_new_row_is_answered_with_its_address_and_tag(owner: APIClient) -> None:
    """15.3.2: where it is, and which version of it was shown."""
    answer = owner.post(
        "/api/v1/weighings/", {"animal": AnimalFactory().code, "mass_g": 22.1}
    )

    assert answer["Location"] == f"/api/v1/weighings/{answer.json()['id']}/"
    assert answer["ETag"] == owner.get(answer["Location"])["ETag"]


def test_answers_are_nobody_elses(viewer: APIClient) -> None:
    """RFC 9111, 5.2.2.7 and 5.2.2.4: no shared cache keeps it, others ask again."""
    for address in ("me/", "animals/", "animals/7/", "nothing/", "homes/"):
        answer = viewer.get(f"/api/v1/{address}")

        assert answer["Cache-Control"] == "private, no-cache", address
        varies = {name.strip() for name in answer["Vary"].split(",")}
        assert varies >= {"Accept", "Authorization", "Cookie"}, address
        assert "Last-Modified" not in answer


def test_a_stricter_rule_of_an_answer_stays(owner: APIClient) -> None:
    body = {"placement": PlacementFactory(handed_over=True).pk}

    answer = owner.post("/api/v1/private-addresses/", body)

    assert answer["Cache-Control"] == "no-store"


def test_a_file_has_a_tag(owner: APIClient) -> None:
    address = "/api/v1/breeding-figures/eggs-csv/"
    first = owner.get(address)

    again = owner.get(address, HTTP_IF_NONE_MATCH=first["ETag"])

    assert (first.status_code, again.status_code) == (200, 304)


def _lasting(answer: HttpResponse) -> dict[str, str]:
    """Return the headers but for what is left of the caller's quota."""
    return {n: v for n, v in answer.headers.items() if not n.startswith("RateLimit")}


def test_options_and_head(viewer: APIClient) -> None:
    """9.3.7 and 9.3.2."""
    options = viewer.options("/api/v1/findings/")
    head, get = viewer.head("/api/v1/findings/"), viewer.get("/api/v1/findings/")

    assert (options.status_code, options.content) == (204, b"")
    assert options["Allow"] == "GET, HEAD, OPTIONS"
    assert (head.status_code, head.content) == (200, b"")
    assert _lasting(head) == _lasting(get)
