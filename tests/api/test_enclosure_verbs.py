"""Enclosures, their set-ups and probes: added, corrected, retired, refused."""

import random
from datetime import UTC, date, datetime, time, timedelta
from typing import Any

import pytest
from django.utils import timezone
from rest_framework.test import APIClient

from core.models import AuditEntry
from husbandry.models import Enclosure, Probe, Reading, Setup
from tests.factories import (
    EnclosureFactory,
    ProbeFactory,
    ReadingFactory,
    ReviewRunFactory,
    RoomFactory,
    SetupFactory,
    SiteFactory,
    StayFactory,
)

API = "/api/v1"
Json = dict[str, Any]
START = 1_772_409_600  # 2026-03-02T00:00:00Z
SETUP: Json = {
    "enclosure": "E-1",
    "from_on": "2026-02-01",
    "width_cm": 61.04,
    "depth_cm": 61,
    "height_cm": 122,
    "lights": "timer",
    "lights_on": "07:00:00",
    "lights_off": "19:00:00",
    "laying_bin": True,
}
PROBE: Json = {
    "code": "P-1",
    "enclosure": "E-1",
    "zone": "basking",
    "measures": ["temperature_c", "uv_index"],
    "interval_s": 300,
    "from_on": "2026-02-01",
}


def refused(answer: Any) -> tuple[int, list[str]]:
    return answer.status_code, list(answer.json()["fields"])


def test_an_enclosure_is_added_and_retired(owner: APIClient) -> None:
    room = RoomFactory(code="nursery", site=SiteFactory(code="home", time_zone="UTC"))
    body = {"code": "E-1", "room": "home/nursery", "kind": "tub", "position": 4}

    added = owner.post(f"{API}/enclosures/", body)

    row = Enclosure.objects.get()
    told = {
        "id": row.pk,
        "code": "E-1",
        "site": {"id": room.site.pk, "code": "home"},
        "room": {"id": room.pk, "code": "nursery"},
        "position": 4,
        "kind": "tub",
        "retired_on": None,
        "notes": "",
        "setup": None,
        "animals": [],
        "probes": [],
    }
    assert (added.status_code, added.json()) == (201, told)
    probe = ProbeFactory(enclosure=row)
    address = f"{API}/enclosures/{row.pk}/retire/"
    retired = owner.post(address, {"on": "2026-03-01", "reason": "Broken."})
    assert retired.status_code == 200
    assert retired.json() == {**told, "retired_on": "2026-03-01"}
    probe.refresh_from_db()
    assert probe.retired_on == date(2026, 3, 1)
    assert refused(owner.post(address, {}))[0] == 409


def test_an_enclosure_is_retired_today_unless_told(owner: APIClient) -> None:
    row = EnclosureFactory(room__site__time_zone="UTC")

    answer = owner.post(f"{API}/enclosures/{row.pk}/retire/", {})

    assert answer.json()["retired_on"] == timezone.now().date().isoformat()


@pytest.mark.parametrize(
    ("changes", "expected"),
    [
        ({"code": "TAKEN"}, (409, ["code"])),
        ({"code": " "}, (409, ["code"])),
        ({"code": "x" * 21}, (400, ["code"])),
        ({"room": "nursery"}, (400, ["room"])),
        ({"kind": "cave"}, (400, ["kind"])),
        ({"position": -1}, (400, ["position"])),
    ],
)
def test_an_enclosure_that_cannot_be_is_refused(
    changes: Json, expected: tuple[int, list[str]], owner: APIClient
) -> None:
    RoomFactory(code="nursery", site=SiteFactory(code="home"))
    EnclosureFactory(code="TAKEN")
    body = {"code": "E-1", "room": "home/nursery", "kind": "tub"} | changes

    assert refused(owner.post(f"{API}/enclosures/", body)) == expected
    assert Enclosure.objects.count() == 1


def test_a_home_is_not_retired(owner: APIClient) -> None:
    row = StayFactory(animal__code="V-1").enclosure

    answer = owner.post(f"{API}/enclosures/{row.pk}/retire/", {})

    assert refused(answer) == (409, ["enclosure"])
    assert "V-1" in answer.json()["detail"]


def test_an_enclosure_is_set_up_and_the_set_up_corrected(owner: APIClient) -> None:
    enclosure = EnclosureFactory(code="E-1")
    run = ReviewRunFactory(site=enclosure.room.site, on=date(2026, 2, 3))

    made = owner.post(f"{API}/set-ups/", SETUP)
    again = owner.post(f"{API}/set-ups/", SETUP)

    row = Setup.objects.get()
    told = {
        **SETUP,
        "id": row.pk,
        "enclosure": {"id": enclosure.pk, "code": "E-1"},
        "width_cm": 61.0,
        "misting": "by_hand",
        "notes": "",
    }
    assert (made.status_code, made.json(), again.json()) == (201, told, told)
    run.refresh_from_db()
    assert run.stale_since is not None
    address = f"{API}/set-ups/{row.pk}/correct/"
    mended = owner.post(
        address,
        {
            "reason": "It is natural light.",
            "lights": "natural",
            "lights_on": None,
            "lights_off": None,
            "height_cm": 120.5,
        },
    )
    told |= {
        "lights": "natural",
        "lights_on": None,
        "lights_off": None,
        "height_cm": 120.5,
    }
    assert (mended.status_code, mended.json()) == (200, told)
    assert owner.get(f"{API}/set-ups/{row.pk}/").json() == told
    entry = AuditEntry.objects.latest("pk")
    assert (entry.verb, entry.reason) == ("correct_setup", "It is natural light.")
    nothing = owner.post(address, {"reason": "None.", "height_cm": 120.5})
    assert nothing.status_code == 409


@pytest.mark.parametrize(
    ("changes", "expected"),
    [
        ({"enclosure": "E-9"}, (400, ["enclosure"])),
        ({"from_on": "2026-01-01"}, (409, ["from_on"])),
        ({"width_cm": 0}, (409, ["width_cm"])),
        ({"width_cm": 1e300}, (409, ["width_cm"])),
        ({"lights_off": "06:00:00"}, (409, ["lights_off"])),
        ({"lights_on": None}, (409, ["lights_on", "lights_off"])),
        ({"lights_on": "07:00:00Z"}, (400, ["lights_on"])),
        ({"lights": "natural"}, (409, ["lights_on", "lights_off"])),
        ({"from_on": "2300-01-01"}, (400, ["from_on"])),
    ],
)
def test_a_set_up_that_cannot_be_is_refused(
    changes: Json, expected: tuple[int, list[str]], owner: APIClient
) -> None:
    enclosure = EnclosureFactory(code="E-1")
    SetupFactory(enclosure=enclosure, from_on=date(2026, 1, 1), width_cm=90)

    assert refused(owner.post(f"{API}/set-ups/", SETUP | changes)) == expected
    assert Setup.objects.count() == 1


def test_the_set_ups_of_an_enclosure(viewer: APIClient) -> None:
    enclosure = EnclosureFactory(code="E-1")
    old = SetupFactory(enclosure=enclosure, from_on=date(2025, 1, 1))
    new = SetupFactory(enclosure=enclosure, from_on=date(2026, 1, 1), lights_on=time(8))
    SetupFactory()

    def found(query: str) -> list[int]:
        rows = viewer.get(f"{API}/set-ups/?{query}").json()["results"]
        return [row["id"] for row in rows]

    assert found("enclosure=E-1") == [new.pk, old.pk]
    assert found("enclosure=E-1&from_on=2025-06-01") == [new.pk]


def test_a_probe_is_added_and_retired(owner: APIClient) -> None:
    enclosure = EnclosureFactory(code="E-1")

    added = owner.post(f"{API}/probes/", PROBE)

    row = Probe.objects.get()
    told = {
        **PROBE,
        "id": row.pk,
        "enclosure": {"id": enclosure.pk, "code": "E-1"},
        "retired_on": None,
        "latest_reading": None,
    }
    assert (added.status_code, added.json()) == (201, told)
    address = f"{API}/probes/{row.pk}/retire/"
    assert refused(owner.post(address, {"on": "2026-01-31"})) == (409, ["on"])
    retired = owner.post(address, {"on": "2026-03-01", "reason": "Drifts."})
    assert (retired.status_code, retired.json()) == (
        200,
        {**told, "retired_on": "2026-03-01"},
    )
    assert AuditEntry.objects.latest("pk").reason == "Drifts."
    assert owner.post(address, {}).status_code == 409


def test_a_probe_is_in_use_from_today_to_today_unless_told(owner: APIClient) -> None:
    EnclosureFactory(code="E-1", room__site__time_zone="UTC")
    body = {name: value for name, value in PROBE.items() if name != "from_on"}

    added = owner.post(f"{API}/probes/", body).json()
    retired = owner.post(f"{API}/probes/{added['id']}/retire/", {}).json()

    today = timezone.now().date().isoformat()
    assert (added["from_on"], retired["retired_on"]) == (today, today)


@pytest.mark.parametrize(
    ("changes", "expected"),
    [
        ({"code": "TAKEN"}, (409, ["code"])),
        ({"enclosure": "E-9"}, (400, ["enclosure"])),
        ({"enclosure": "OLD"}, (409, ["enclosure"])),
        ({"measures": []}, (400, ["measures"])),
        ({"measures": ["mood"]}, (400, ["measures[0]"])),
        ({"interval_s": 0}, (400, ["interval_s"])),
        ({"interval_s": 86_401}, (400, ["interval_s"])),
    ],
)
def test_a_probe_that_cannot_be_is_refused(
    changes: Json, expected: tuple[int, list[str]], owner: APIClient
) -> None:
    EnclosureFactory(code="E-1")
    EnclosureFactory(code="OLD", retired_on=date(2026, 1, 1))
    ProbeFactory(code="TAKEN")

    assert refused(owner.post(f"{API}/probes/", PROBE | changes)) == expected
    assert Probe.objects.count() == 1


def test_what_all_probes_of_an_enclosure_measured(
    viewer: APIClient, django_assert_num_queries: Any
) -> None:
    enclosure = EnclosureFactory(code="E-1")
    warm = ProbeFactory(code="P-1", enclosure=enclosure)
    silent = ProbeFactory(code="P-2", enclosure=enclosure, retired_on=date(2026, 1, 1))
    ProbeFactory(enclosure=enclosure, measures_temperature=False)
    ReadingFactory(probe=warm, at=START, temperature_milli_c=24_500)
    ReadingFactory(at=START)
    query = (
        "quantity=temperature_c"
        "&from_at=2026-03-02T00:00:00Z&until_at=2026-03-02T01:00:00Z"
    )
    address = f"{API}/enclosures/{enclosure.pk}/series/?{query}"

    # The enclosure, its set-ups, stays and probes; the readings of all of them.
    with django_assert_num_queries(5):
        found = viewer.get(address).json()

    span = {
        "quantity": "temperature_c",
        "from_at": "2026-03-02T00:00:00Z",
        "until_at": "2026-03-02T01:00:00Z",
    }
    point = {
        "first_at": "2026-03-02T00:00:00Z",
        "last_at": "2026-03-02T00:00:00Z",
        "lowest": 24.5,
        "highest": 24.5,
        "readings": 1,
    }
    assert found == {
        "enclosure": {"id": enclosure.pk, "code": "E-1"},
        "series": [
            {
                "probe": {"id": warm.pk, "code": "P-1"},
                **span,
                "readings": 1,
                "runs": [[point]],
            },
            {
                "probe": {"id": silent.pk, "code": "P-2"},
                **span,
                "readings": 0,
                "runs": [],
            },
        ],
    }
    for number in range(3, 6):
        ProbeFactory(code=f"P-{number}", enclosure=enclosure)
    with django_assert_num_queries(5):
        assert len(viewer.get(address).json()["series"]) == 5


def test_an_enclosure_without_such_a_probe_has_no_series(viewer: APIClient) -> None:
    row = EnclosureFactory()

    found = viewer.get(f"{API}/enclosures/{row.pk}/series/?quantity=uv_index")

    assert (found.status_code, found.json()["series"]) == (200, [])
    bad = f"{API}/enclosures/{row.pk}/series/?quantity=uv_index&until_at=1970-01-02T00:00:00Z&from_at=1970-01-03T00:00:00Z"
    assert viewer.get(bad).json()["code"] == "bad_span"


@pytest.mark.parametrize("seed", range(8))
def test_no_extreme_is_lost_however_coarse_the_answer(
    seed: int, viewer: APIClient
) -> None:
    chance = random.Random(seed)
    probe = ProbeFactory(interval_s=60)
    stored = {
        START + at: chance.randint(-5_000, 60_000)
        for at in chance.sample(range(86_400), chance.randint(1, 400))
    }
    Reading.objects.bulk_create(
        Reading(probe=probe, at=at, temperature_milli_c=milli)
        for at, milli in stored.items()
    )
    points = chance.choice([1, 2, 7, 60, 2_000])
    until = datetime.fromtimestamp(START, UTC) + timedelta(days=1)

    answer = viewer.get(
        f"{API}/probes/{probe.pk}/series/",
        {
            "quantity": "temperature_c",
            "from_at": "2026-03-02T00:00:00Z",
            "until_at": until.isoformat(),
            "points": points,
        },
    ).json()

    told = [point for run in answer["runs"] for point in run]
    assert sum(point["readings"] for point in told) == len(stored)
    for point in told:
        first, last = (
            int(datetime.fromisoformat(point[name]).timestamp())
            for name in ("first_at", "last_at")
        )
        within = [milli for at, milli in stored.items() if first <= at <= last]
        # Against the readings themselves: every spike of the span is in its point.
        assert (point["lowest"], point["highest"], point["readings"]) == (
            min(within) / 1000,
            max(within) / 1000,
            len(within),
        )
