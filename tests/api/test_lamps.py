"""Lamps and what the meter showed under them."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.utils import timezone
from rest_framework.test import APIClient

from husbandry.models import Lamp, LampCheck
from tests.api.racks import AT, WHEN, Json, Rack, ada, entry, ids, make_rack
from tests.factories import LampCheckFactory, LampFactory

LAMPS, CHECKS = "/api/v1/lamps/", "/api/v1/lamp-checks/"
TUBE: Json = {
    "enclosure": "A-1",
    "kind": "uvb_tube",
    "label": "T5, 6 %",
    "fitted_on": "2026-01-01",
}


@pytest.fixture
def rack(db: None) -> Rack:
    return make_rack()


@pytest.fixture
def lamp(rack: Rack) -> Lamp:
    enclosure = rack.room.enclosures.get(code="A-1")
    row: Lamp = LampFactory.create(enclosure=enclosure)
    return row


def test_fit_and_remove(rack: Rack, owner: APIClient) -> None:
    fitted, again = owner.post(LAMPS, TUBE), owner.post(LAMPS, TUBE)

    row = Lamp.objects.get()
    assert (fitted.status_code, again.json()) == (201, fitted.json())
    said = {
        "id": row.pk,
        "enclosure": {"id": row.enclosure.pk, "code": "A-1"},
        "kind": "uvb_tube",
        "label": "T5, 6 %",
        "fitted_on": "2026-01-01",
        "removed_on": None,
    }
    assert fitted.json() == said

    removed = owner.post(f"{LAMPS}{row.pk}/remove/", {"on": "2026-02-01"})
    late = owner.post(f"{LAMPS}{row.pk}/remove/", {"on": "2026-02-02"})

    assert (removed.status_code, removed.json()) == (
        200,
        said | {"removed_on": "2026-02-01"},
    )
    assert (late.status_code, late.json()["code"]) == (409, "lamp_refused")


def test_without_a_day_it_is_today(rack: Rack, owner: APIClient) -> None:
    # No zone's day is more than one off the server's.
    near = {timezone.localdate() + timedelta(days=n) for n in (-1, 0, 1)}

    fitted = owner.post(LAMPS, {"enclosure": "A-1", "kind": "heat"}).json()
    removed = owner.post(f"{LAMPS}{fitted['id']}/remove/").json()

    assert date.fromisoformat(fitted["fitted_on"]) in near
    assert removed["removed_on"] == fitted["fitted_on"]


@pytest.mark.parametrize(
    ("changes", "status", "fields"),
    [
        ({"kind": "laser"}, 400, {"kind": "uvb_tube, heat"}),
        ({"enclosure": "A-9"}, 400, {"enclosure": "the code of an enclosure"}),
        ({"label": "x" * 81}, 400, {"label": "str of length <= 80"}),
        ({"fitted_on": "2190-01-01"}, 409, None),
    ],
)
def test_a_lamp_that_cannot_be_is_refused(
    changes: Json, status: int, fields: Json | None, rack: Rack, owner: APIClient
) -> None:
    answer = owner.post(LAMPS, {**TUBE, **changes})

    assert answer.status_code == status
    assert fields is None or answer.json()["fields"] == fields
    assert not Lamp.objects.exists()


def test_read_and_filter_lamps(lamp: Lamp, viewer: APIClient) -> None:
    old = LampFactory.create(
        kind="heat", fitted_on=date(2025, 1, 1), removed_on=date(2025, 12, 1)
    )

    assert ids(viewer, LAMPS, "") == [lamp.pk, old.pk]
    assert ids(viewer, LAMPS, "burning=true") == [lamp.pk]
    assert ids(viewer, LAMPS, "kind=heat") == [old.pk]
    assert ids(viewer, LAMPS, "enclosure=A-1") == [lamp.pk]
    assert ids(viewer, LAMPS, "room=vescora/adults") == [lamp.pk]
    assert viewer.get(f"{LAMPS}{old.pk}/").json()["removed_on"] == "2025-12-01"


def test_record_one_reading(lamp: Lamp) -> None:
    answer = ada().post(
        CHECKS, {"lamp": lamp.pk, "at": AT, "uv_index": 3.456, "distance_cm": 25}
    )

    assert answer.status_code == 201
    row = LampCheck.objects.get()
    assert (row.uv_index, row.distance_cm) == (Decimal("3.46"), Decimal("25.0"))
    found = answer.json()
    assert found.pop("recorded_at").endswith("Z")
    assert found == entry(
        row.pk,
        lamp=lamp.pk,
        enclosure={"id": lamp.enclosure.pk, "code": "A-1"},
        uv_index=3.46,  # kept to 0.01
        distance_cm=25.0,
        remarks=[],
    )


@pytest.mark.parametrize(
    ("changes", "status", "code"),
    [
        ({"lamp": 2**63}, 400, "invalid_body"),
        ({"lamp": 2**63 - 1}, 409, "lamp_refused"),
        ({"uv_index": 20.01}, 409, "lamp_refused"),
        ({"uv_index": None}, 400, "invalid_body"),
        ({"distance_cm": 0}, 409, "lamp_refused"),
        ({"at": "2025-12-31T09:00:00Z"}, 409, "lamp_refused"),
        ({"corrects": 1}, 400, "invalid_body"),
    ],
)
def test_a_reading_that_cannot_be_is_refused(
    changes: Json, status: int, code: str, lamp: Lamp, keeper: APIClient
) -> None:
    body = {"lamp": lamp.pk, "at": AT, "uv_index": 3, **changes}

    answer = keeper.post(CHECKS, body)

    assert (answer.status_code, answer.json()["code"]) == (status, code)
    assert not LampCheck.objects.exists()


def test_a_list_of_readings_keeps_its_good_lines(lamp: Lamp, keeper: APIClient) -> None:
    one = {"lamp": lamp.pk, "at": AT, "uv_index": 3}
    lines = [one, one, {**one, "uv_index": 4}, {**one, "lamp": 0}, {"lamp": lamp.pk}]

    report = keeper.post(CHECKS, lines).json()
    again = keeper.post(CHECKS, lines).json()

    number, label = LampCheck.objects.get().pk, str(lamp.pk)
    assert (report["stored"], report["known"]) == (1, 1)
    assert (again["stored"], again["known"]) == (0, 2)
    assert [(row["index"], row["code"]) for row in report["refused"]] == [
        (2, "lamp_refused"),
        (3, "lamp_refused"),
        (4, "unreadable"),
    ]
    assert report["lines"] == [
        {"label": label, "record": number, "remarks": []},
        {"label": label, "record": number, "remarks": []},
        {"label": label, "record": None, "remarks": []},
        {"label": "0", "record": None, "remarks": []},
        {"label": None, "record": None, "remarks": []},
    ]


def test_strike_out_read_and_filter_readings(lamp: Lamp) -> None:
    client = ada()
    kept = LampCheckFactory.create(lamp=lamp, at=WHEN)
    other = LampCheckFactory.create(at=WHEN - timedelta(days=1))
    struck = client.post(f"{CHECKS}{other.pk}/strike/", {"reason": "Wrong lamp."})

    assert (struck.status_code, struck.json()["struck_by"]) == (200, "Ada")
    assert ids(client, CHECKS, "") == [kept.pk, other.pk]
    assert ids(client, CHECKS, "in_force=true") == [kept.pk]
    assert ids(client, CHECKS, f"lamp={other.lamp_id}") == [other.pk]
    assert ids(client, CHECKS, "enclosure=A-1") == [kept.pk]
    assert ids(client, CHECKS, "room=vescora/adults") == [kept.pk]
    assert client.get(f"{CHECKS}?lamp={2**63}").status_code == 400
