"""Sight lines: listed, noted and blocked."""

from datetime import timedelta

import pytest
from rest_framework.test import APIClient

from core.models import AuditEntry
from core.roles import Role
from husbandry.models import SightLine
from tests.api.conftest import Caller
from tests.factories import (
    TODAY,
    EnclosureFactory,
    RoomFactory,
    SightLineFactory,
    SiteFactory,
)

LINES = "/api/v1/sight-lines/"
YESTERDAY = TODAY - timedelta(days=1)

# What is asked of a list, and which of its two rows is the answer; not among the
# other filters, because it takes more enclosures than these have.
CASES = [
    ("sight-lines", "enclosure", "opposite-a", "a"),
    ("sight-lines", "room", "b/b", "b"),
    ("sight-lines", "on", str(TODAY), "a"),
    ("sight-lines", "open", "false", "b"),
]


@pytest.fixture
def manager(caller: Caller) -> APIClient:
    return caller(Role.MANAGER)


def make(code: str, **more: object) -> SightLine:
    room = RoomFactory(code=code, site=SiteFactory(code=code))
    one, other = (
        EnclosureFactory(code=c, room=room) for c in (code, f"opposite-{code}")
    )
    return SightLineFactory(enclosure=one, other=other, **more)


@pytest.mark.parametrize(("address", "name", "text", "answer"), CASES)
def test_a_filter_narrows_the_list(
    address: str, name: str, text: str, answer: str, viewer: APIClient
) -> None:
    lines = {"a": make("a"), "b": make("b", until_on=YESTERDAY)}

    found = viewer.get(f"/api/v1/{address}/", {name: text}).json()["results"]

    assert [row["id"] for row in found] == [lines[answer].pk]


def test_a_line_is_noted_and_blocked_again(manager: APIClient) -> None:
    room = RoomFactory()
    one, two = (
        EnclosureFactory(code="E-1", room=room),
        EnclosureFactory(code="E-2", room=room),
    )

    noted = manager.post(
        LINES, {"enclosure": "E-2", "other": "E-1", "from_on": "2026-02-01"}
    )

    line = SightLine.objects.get()
    said = {
        "id": line.pk,
        # The one with the lower number first, in whichever order they were sent.
        "enclosure": {"id": one.pk, "code": "E-1"},
        "other": {"id": two.pk, "code": "E-2"},
        "from_on": "2026-02-01",
        "until_on": None,
    }
    assert (noted.status_code, noted.json()) == (201, said)
    assert manager.get(f"{LINES}{line.pk}/").json() == said

    blocked = manager.post(
        f"{LINES}remove/",
        {"enclosure": "E-1", "other": "E-2", "until_on": "2026-02-20"},
    )

    assert blocked.status_code == 200
    assert blocked.json() == {**said, "until_on": "2026-02-20"}
    verbs = AuditEntry.objects.order_by("pk").values_list("verb", flat=True)
    assert list(verbs) == ["note_sight_line", "remove_sight_line"]


def test_without_a_day_it_is_today_at_the_site(manager: APIClient) -> None:
    room = RoomFactory()
    EnclosureFactory(code="E-1", room=room), EnclosureFactory(code="E-2", room=room)
    pair = {"enclosure": "E-1", "other": "E-2"}

    noted = manager.post(LINES, pair).json()
    blocked = manager.post(f"{LINES}remove/", pair).json()

    assert noted["from_on"] == blocked["until_on"]


@pytest.mark.parametrize(
    ("verb", "other", "status", "code", "fields"),
    [
        ("", "E-1", 409, "sight_line_refused", {"other": "another enclosure"}),
        (
            "",
            "far",
            409,
            "sight_line_refused",
            {"other": "an enclosure of the same site"},
        ),
        ("", "E-9", 400, "unknown_enclosure", {"other": "the code of one on record"}),
        (
            "remove/",
            "far",
            409,
            "sight_line_refused",
            {"other": "an enclosure in sight"},
        ),
    ],
)
def test_what_cannot_be_is_refused(
    verb: str,
    other: str,
    status: int,
    code: str,
    fields: dict[str, str],
    manager: APIClient,
) -> None:
    EnclosureFactory(code="E-1"), EnclosureFactory(code="far")

    answer = manager.post(f"{LINES}{verb}", {"enclosure": "E-1", "other": other})

    assert (answer.status_code, answer.json()["code"]) == (status, code)
    assert answer.json()["fields"] == fields
    assert not SightLine.objects.exists()
