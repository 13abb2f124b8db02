"""Readings of unknown probes: parked, told, claimed and discarded at the door."""

from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from django.utils import timezone
from rest_framework.test import APIClient

from core.roles import TokenScope
from core.tokens import issue_token
from husbandry.actions.review import review_night
from husbandry.models import Finding, Reading, ReviewRun, UnclaimedReadings
from husbandry.rules.vocabulary import ReviewState
from tests.api.sensed import FORMATS, READINGS, post
from tests.factories import ProbeFactory, StayFactory, UserFactory

pytestmark = pytest.mark.django_db
UNCLAIMED = "/api/v1/unclaimed-readings/"
START = 1_772_409_600  # 2026-03-02T00:00:00Z


def _rows(code: str, count: int = 3) -> list[dict[str, Any]]:
    return [
        {"probe": code, "at": START + 300 * n, "temperature_c": 24 + n / 10}
        for n in range(count)
    ]


@pytest.mark.parametrize("write", FORMATS)
def test_known_ones_beside_unknown_ones_are_stored(
    keeper: APIClient, write: Any
) -> None:
    ProbeFactory(code="P-1")
    mixed = [*_rows("XX-9"), *_rows("P-1", 2)]
    rows = _rows("XX-9") if write(mixed) is None else mixed

    report = post(keeper, *write(rows)).json()

    assert (report["received"], report["unclaimed"]) == (len(rows), 3)
    assert report["stored"] == Reading.objects.count() == len(rows) - 3
    assert (report["unknown_probes"], report["refused"]) == (["XX-9"], [])
    assert post(keeper, *write(rows)).json()["unclaimed"] == 3
    assert UnclaimedReadings.objects.get().readings == 3


def test_a_retired_probe_is_not_unknown(keeper: APIClient) -> None:
    ProbeFactory(code="P-1", retired_on=date(2026, 3, 1))

    report = keeper.post(READINGS, {"readings": _rows("P-1")}).json()

    assert (report["unclaimed"], report["not_taken"]) == (0, 3)
    assert {row["code"] for row in report["refused"]} == {"not_in_use"}


def test_what_waits_is_shown_with_who_sent_it() -> None:
    person = UserFactory(username="ada", role="keeper")
    token = issue_token(
        user=person,
        name="hub in the cellar",
        scope=TokenScope.RECORD,
        by=None,
        at=_now(),
    )
    client = APIClient()
    client.credentials(HTTP_AUTHORIZATION=f"Bearer {token.text}")
    client.post(READINGS, {"readings": _rows("XX-9")})
    row = UnclaimedReadings.objects.get()

    (shown,) = client.get(UNCLAIMED, {"state": "waiting"}).json()["results"]

    assert shown == client.get(f"{UNCLAIMED}{row.pk}/").json()
    assert {
        name: shown[name]
        for name in ("code", "state", "readings", "sent_by", "sent_with")
    } == {
        "code": "XX-9",
        "state": "waiting",
        "readings": 3,
        "sent_by": "ada",
        "sent_with": "hub in the cellar",
    }
    assert (shown["first_at"], shown["last_at"]) == (
        "2026-03-02T00:00:00Z",
        "2026-03-02T00:10:00Z",
    )
    assert (shown["probe"], shown["report"], shown["settled_at"]) == (None, None, None)
    assert client.get(UNCLAIMED, {"code": "XX-8"}).json()["results"] == []


def test_claimed_they_are_stored_and_reported(owner: APIClient) -> None:
    ProbeFactory(code="P-1")
    owner.post(READINGS, {"readings": _rows("XX-9")})
    owner.post(READINGS, {"readings": _rows("P-1", 1)})
    row = UnclaimedReadings.objects.get()

    answer = owner.post(f"{UNCLAIMED}{row.pk}/claim/", {"probe": "P-1"})

    assert answer.status_code == 200
    shown = answer.json()
    assert (shown["state"], shown["probe"]["code"]) == ("claimed", "P-1")
    assert shown["report"] == {
        "received": 3,
        "stored": 2,
        "completed": 0,
        "known": 1,
        "repeated": 0,
        "conflicting": 0,
        "refused": 0,
        "refusals": [],
    }
    assert Reading.objects.count() == 3
    again = owner.post(f"{UNCLAIMED}{row.pk}/discard/", {"reason": "Too late."})
    assert (again.status_code, again.json()["code"]) == (409, "unclaimed_refused")


def test_discarded_with_a_reason(owner: APIClient) -> None:
    owner.post(READINGS, {"readings": _rows("XX-9")})
    row = UnclaimedReadings.objects.get()
    address = f"{UNCLAIMED}{row.pk}/discard/"

    assert owner.post(address, {"reason": ""}).status_code == 400
    assert owner.post(address, {"reason": " "}).status_code == 409
    shown = owner.post(address, {"reason": "On a bench."}).json()

    assert (shown["state"], shown["reason"]) == ("discarded", "On a bench.")


def test_a_claim_needs_a_probe_that_there_is(owner: APIClient) -> None:
    owner.post(READINGS, {"readings": _rows("XX-9")})
    row = UnclaimedReadings.objects.get()

    answer = owner.post(f"{UNCLAIMED}{row.pk}/claim/", {"probe": "XX-9"})

    assert (answer.status_code, answer.json()["code"]) == (400, "unknown_probe")
    assert owner.post(f"{UNCLAIMED}999/claim/", {"probe": "P"}).status_code == 404


def _now() -> datetime:
    return timezone.now()


# Five minutes are a house rule; ADR 0003.
@pytest.mark.parametrize(
    ("ahead_s", "taken", "said"),
    [
        (-3600, True, ""),
        (0, True, ""),
        (295, True, ""),
        (310, False, " is 5 min "),
        (3_700, False, " is 1 h 1 min ahead of this clock; "),
        (2 * 86_400 + 3_700, False, " is 2 d 1 h ahead of this clock; "),
    ],
)
@pytest.mark.parametrize("code", ["P-1", "XX-9"])
def test_a_device_whose_clock_is_off_is_told_by_how_much(
    keeper: APIClient, code: str, ahead_s: int, taken: bool, said: str
) -> None:
    ProbeFactory(code="P-1")
    at = int(_now().timestamp()) + ahead_s

    report = keeper.post(
        READINGS, {"readings": [{"probe": code, "at": at, "temperature_c": 24}]}
    ).json()

    assert report["stored"] + report["unclaimed"] == int(taken)
    if not taken:
        (refused,) = report["refused"]
        assert refused["code"] == "in_future"
        assert said in refused["sentence"]


def _night_with_a_gap() -> tuple[Any, date]:
    """Review a local day on which an animal's only probe was silent."""
    probe = ProbeFactory(code="P-1", interval_s=3_600, measures_humidity=False)
    StayFactory(enclosure=probe.enclosure)
    on = date(2026, 3, 1)
    review_night(on=on, site=probe.enclosure.room.site, by=None, at=_now())
    return probe, on


@pytest.mark.parametrize("code", ["P-1", "XX-9"])
def test_late_readings_bring_their_night_to_be_reviewed_again(
    owner: APIClient, code: str
) -> None:
    probe, on = _night_with_a_gap()
    site = probe.enclosure.room.site
    assert Finding.objects.filter(kind="no_data", closed_on=None).exists()
    first = datetime(2026, 2, 28, 12, tzinfo=UTC)
    at = [(first + timedelta(hours=n)).isoformat() for n in range(60)]

    # Out of order: the latest first.
    body = {"probe": code, "at": at[::-1], "temperature_c": [24] * len(at)}
    owner.post(READINGS, body)
    if code != "P-1":
        row = UnclaimedReadings.objects.get()
        owner.post(f"{UNCLAIMED}{row.pk}/claim/", {"probe": "P-1"})

    (run,) = ReviewRun.objects.filter(site=site, on=on)
    assert run.stale_since is not None
    again = review_night(on=on, site=site, by=None, at=_now())
    assert again.pk != run.pk
    assert (again.state, again.stale_since) == (ReviewState.DONE, None)
    assert again.coverage is not None
    assert again.coverage > 0.99
    assert not Finding.objects.filter(kind="no_data", closed_on=None).exists()
