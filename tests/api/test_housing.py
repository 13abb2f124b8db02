"""Sites, rooms, enclosures, stays, probes, conditions and review runs."""

from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal

import pytest
from django.utils import timezone
from rest_framework.test import APIClient

from tests.factories import (
    NOW,
    AnimalFactory,
    ConditionsFactory,
    EnclosureFactory,
    ProbeFactory,
    ReadingFactory,
    ReviewRunFactory,
    RoomFactory,
    SetupFactory,
    SiteFactory,
    StayFactory,
    UserFactory,
)

API = "/api/v1"
LONG_AGO = NOW - timedelta(days=900)
START = 1_772_409_600  # 2026-03-02T00:00:00Z


def test_site_and_room(viewer: APIClient) -> None:
    site = SiteFactory(code="home", name="Home")
    room = RoomFactory(site=site, code="nursery", name="Nursery", position=3)
    RoomFactory()

    assert viewer.get(f"{API}/sites/{site.pk}/").json() == {
        "id": site.pk,
        "code": "home",
        "name": "Home",
        "time_zone": "Europe/Lisbon",
        "latitude_deg": 38.7,
        "longitude_deg": -9.1,
    }
    assert viewer.get(f"{API}/rooms/?site=home").json() == {
        "next": None,
        "results": [
            {
                "id": room.pk,
                "code": "nursery",
                "name": "Nursery",
                "site": {"id": site.pk, "code": "home"},
                "position": 3,
                "quarantine": False,
            }
        ],
    }


def test_an_enclosure_as_it_stands_today(viewer: APIClient) -> None:
    row = EnclosureFactory(code="E-1", position=2)
    SetupFactory(enclosure=row, width_cm=Decimal("40.0"))
    SetupFactory(
        enclosure=row, from_on=date(2025, 2, 1), lights_on=time(8), laying_bin=False
    )
    SetupFactory(enclosure=row, from_on=date(2199, 1, 1), width_cm=Decimal("90.0"))
    stay = StayFactory(enclosure=row)
    StayFactory(enclosure=row, from_at=LONG_AGO, until_at=NOW - timedelta(days=700))
    probe = ProbeFactory(enclosure=row)
    ProbeFactory(enclosure=row, retired_on=date(2025, 2, 1))

    assert viewer.get(f"{API}/enclosures/{row.pk}/").json() == {
        "id": row.pk,
        "code": "E-1",
        "site": {"id": row.room.site.pk, "code": row.room.site.code},
        "room": {"id": row.room.pk, "code": row.room.code},
        "position": 2,
        "kind": "screen",
        "retired_on": None,
        "notes": "",
        "setup": {
            "from_on": "2025-02-01",
            "width_cm": 61.0,
            "depth_cm": 61.0,
            "height_cm": 122.0,
            "lights": "timer",
            "lights_on": "08:00:00",
            "lights_off": "19:00:00",
            "laying_bin": False,
            "misting": "by_hand",
        },
        "animals": [{"id": stay.animal.pk, "code": stay.animal.code}],
        "probes": [{"id": probe.pk, "code": probe.code}],
    }


def test_enclosure_filters(viewer: APIClient) -> None:
    room = RoomFactory(code="nursery", site=SiteFactory(code="home"))
    EnclosureFactory(code="A", room=room, position=1)
    EnclosureFactory(code="B", room=room, position=2, kind="tub")
    EnclosureFactory(code="C", retired_on=date(2026, 1, 1))

    def codes(query: str) -> list[str]:
        rows = viewer.get(f"{API}/enclosures/?{query}").json()["results"]
        return [row["code"] for row in rows]

    assert codes("") == ["A", "B", "C"]
    assert codes("site=home&kind=tub") == ["B"]
    assert codes("room=nursery") == ["A", "B"]
    assert codes("in_use=false") == ["C"]
    assert codes("in_use=true&code=A") == ["A"]


def test_stays(viewer: APIClient) -> None:
    animal, enclosure = AnimalFactory(code="V-1"), EnclosureFactory(code="E-1")
    past = StayFactory(
        animal=animal,
        enclosure=enclosure,
        until_at=NOW,
        moved_by=UserFactory(first_name="Ada"),
        reason="Outgrew it.",
    )
    current = StayFactory(animal=animal, from_at=NOW)
    StayFactory()

    found = viewer.get(f"{API}/stays/?animal=V-1").json()["results"]

    assert [row["id"] for row in found] == [current.pk, past.pk]
    assert found[1] == {
        "id": past.pk,
        "animal": {"id": animal.pk, "code": "V-1"},
        "enclosure": {"id": enclosure.pk, "code": "E-1"},
        "place": None,
        "from_at": "2025-01-01T10:00:00Z",
        "until_at": "2026-03-02T12:00:00Z",
        "moved_by": "Ada",
        "reason": "Outgrew it.",
    }
    rows = viewer.get(f"{API}/stays/?animal=V-1&current=true").json()["results"]
    assert [row["id"] for row in rows] == [current.pk]
    rows = viewer.get(f"{API}/stays/?enclosure=E-1").json()["results"]
    assert [row["id"] for row in rows] == [past.pk]


def test_a_probe_with_its_latest_reading(viewer: APIClient) -> None:
    row = ProbeFactory(code="P-1")
    ReadingFactory(probe=row, at=START)
    ReadingFactory(
        probe=row,
        at=START + 300,
        temperature_milli_c=-1_250,
        humidity_milli_pct=None,
        uv_index_milli=None,
    )
    tomorrow = int(timezone.now().timestamp()) + 86_400
    ReadingFactory(probe=row, at=tomorrow)

    assert viewer.get(f"{API}/probes/{row.pk}/").json() == {
        "id": row.pk,
        "code": "P-1",
        "enclosure": {"id": row.enclosure.pk, "code": row.enclosure.code},
        "zone": "ambient",
        "measures": ["temperature_c", "humidity_pct"],
        "interval_s": 300,
        "from_on": "2025-01-01",
        "retired_on": None,
        "latest_reading": {
            "at": "2026-03-02T00:05:00Z",
            "temperature_c": -1.25,
            "humidity_pct": None,
            "uv_index": None,
        },
    }


def test_probe_filters(viewer: APIClient) -> None:
    enclosure = EnclosureFactory(
        code="E-1", room=RoomFactory(site=SiteFactory(code="home"))
    )
    ProbeFactory(code="A", enclosure=enclosure)
    ProbeFactory(code="B", zone="basking")
    ProbeFactory(code="C", retired_on=date(2026, 1, 1))

    def codes(query: str) -> list[str]:
        rows = viewer.get(f"{API}/probes/?{query}").json()["results"]
        return [row["code"] for row in rows]

    assert codes("site=home") == codes("enclosure=E-1") == ["A"]
    assert codes("zone=basking") == ["B"]
    assert codes("in_use=false") == ["C"]
    assert codes("code=B&in_use=true") == ["B"]
    assert codes("code=nothing") == []


def test_a_series_keeps_extremes_and_gaps(viewer: APIClient) -> None:
    probe = ProbeFactory()
    # One hour each five minutes, a gap of two hours, then another hour.
    for at in (*range(0, 3600, 300), *range(10_800, 14_400, 300)):
        milli = 31_500 if at == 600 else 24_000
        ReadingFactory(probe=probe, at=START + at, temperature_milli_c=milli)

    answer = viewer.get(
        f"{API}/probes/{probe.pk}/series/",
        {
            "quantity": "temperature_c",
            "from_at": "2026-03-02T00:00:00Z",
            "until_at": "2026-03-02T05:00:00+01:00",
            "points": 4,
        },
    )

    assert answer.json() == {
        "probe": {"id": probe.pk, "code": probe.code},
        "quantity": "temperature_c",
        "from_at": "2026-03-02T00:00:00Z",
        "until_at": "2026-03-02T04:00:00Z",
        "readings": 24,
        "runs": [
            [
                {
                    "first_at": "2026-03-02T00:00:00Z",
                    "last_at": "2026-03-02T00:55:00Z",
                    "lowest": 24.0,
                    "highest": 31.5,
                    "readings": 12,
                }
            ],
            [
                {
                    "first_at": "2026-03-02T03:00:00Z",
                    "last_at": "2026-03-02T03:55:00Z",
                    "lowest": 24.0,
                    "highest": 24.0,
                    "readings": 12,
                }
            ],
        ],
    }


@pytest.mark.parametrize(
    ("query", "code"),
    [
        ("", "invalid_parameter"),
        ("quantity=pressure", "invalid_parameter"),
        ("quantity=uv_index&points=0", "invalid_parameter"),
        ("quantity=uv_index&from_at=2026-03-01T00:00:00", "invalid_parameter"),
        ("quantity=uv_index&from_at=2999-03-01T00:00:00Z", "day_out_of_range"),
        (
            "quantity=uv_index&from_at=2026-03-02T00:00:00Z"
            "&until_at=2026-03-02T00:00:00Z",
            "bad_span",
        ),
        (
            "quantity=uv_index&from_at=2020-03-02T00:00:00Z"
            "&until_at=2026-03-02T00:00:00Z",
            "bad_span",
        ),
    ],
)
def test_a_series_that_cannot_be_drawn(
    viewer: APIClient, query: str, code: str
) -> None:
    probe = ProbeFactory()

    answer = viewer.get(f"{API}/probes/{probe.pk}/series/?{query}")

    assert (answer.status_code, answer.json()["code"]) == (400, code)


def test_a_series_of_the_last_day_unless_asked(viewer: APIClient) -> None:
    probe, now = ProbeFactory(), int(timezone.now().timestamp())
    ReadingFactory(probe=probe, at=now - 60)
    ReadingFactory(probe=probe, at=now - 90_000)

    answer = viewer.get(f"{API}/probes/{probe.pk}/series/?quantity=uv_index").json()

    assert answer["readings"] == 1


def test_conditions(viewer: APIClient) -> None:
    row = ConditionsFactory()
    older = ConditionsFactory(on=date(2026, 2, 1), probe=row.probe, period="night")

    whole = viewer.get(f"{API}/conditions/").json()["results"]

    assert whole[0] == {
        "on": "2026-03-02",
        "probe": {"id": row.probe.pk, "code": row.probe.code},
        "zone": "ambient",
        "period": "day",
        "quantity": "temperature_c",
        "band": 0,
        "readings": 144,
        "expected_s": 43_200,
        "covered_s": 43_200,
        "impossible_s": 0,
        "mean": 24.0,
        "lowest": 23.0,
        "highest": 25.0,
        "low": 21.1,
        "high": 26.1,
        "below_s": 0,
        "above_s": 0,
        "longest_below_s": 0,
        "longest_above_s": 0,
        "below_unit_minutes": 0.0,
        "above_unit_minutes": 0.0,
    }

    def days(query: str) -> list[str]:
        rows = viewer.get(f"{API}/conditions/?{query}").json()["results"]
        return [found["on"] for found in rows]

    assert days("") == ["2026-03-02", "2026-02-01"]
    assert days("on=2026-02-01") == days("period=night") == ["2026-02-01"]
    assert days("from_on=2026-02-02&until_on=2026-03-02") == ["2026-03-02"]
    assert days(f"probe={older.probe.code}&quantity=humidity_pct") == []
    assert days("zone=basking") == days("site=nowhere") == days("enclosure=x") == []


def test_review_runs(viewer: APIClient) -> None:
    site = SiteFactory(code="home")
    row = ReviewRunFactory(site=site, animals=3, coverage=0.98, findings=2)
    stale = ReviewRunFactory(
        on=date(2026, 3, 1),
        stale_since=NOW,
        state="partial",
        failures=[{"animal": "V-1", "error": "no stage"}],
    )

    found = viewer.get(f"{API}/review-runs/?site=home").json()["results"]

    assert found == [
        {
            "id": row.pk,
            "site": {"id": site.pk, "code": "home"},
            "on": "2026-03-02",
            "state": "done",
            "started_at": "2026-03-02T12:00:00Z",
            "finished_at": "2026-03-02T12:00:02Z",
            "started_by": None,
            "duration_ms": 2000,
            "animals": 3,
            "probes": 0,
            "readings": 0,
            "coverage": 0.98,
            "findings": 2,
            "failures": [],
            "stale_since": None,
        }
    ]

    def ids(query: str) -> list[int]:
        rows = viewer.get(f"{API}/review-runs/?{query}").json()["results"]
        return [found["id"] for found in rows]

    assert ids("") == [row.pk, stale.pk]
    assert ids("stale=true") == ids("state=partial") == [stale.pk]
    assert ids("stale=false") == ids("on=2026-03-02") == [row.pk]
    assert ids("from_on=2026-03-02") == [row.pk]
    assert ids("until_on=2026-03-01") == [stale.pk]
    assert viewer.get(f"{API}/review-runs/{stale.pk}/").json()["failures"] == [
        {"animal": "V-1", "error": "no stage"}
    ]


def test_instants_are_answered_in_utc(viewer: APIClient) -> None:
    stay = StayFactory(from_at=datetime(2025, 7, 1, 12, tzinfo=UTC))

    found = viewer.get(f"{API}/stays/{stay.pk}/").json()

    assert found["from_at"] == "2025-07-01T12:00:00Z"
