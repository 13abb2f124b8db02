"""Measurings: one or a list, known again, corrected, struck out."""

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from rest_framework.test import APIClient

from husbandry.models import Measuring
from tests.api.racks import AT, WHEN, Json, Rack, ada, entry, ids, make_rack
from tests.factories import EnclosureFactory, MeasuringFactory, StayFactory
from tests.husbandry.care_lists import queries_of

MEASURINGS = "/api/v1/measurings/"
ONE: Json = {"animal": "V-1", "at": AT, "snout_vent_cm": 18.04, "total_cm": 35}


@pytest.fixture
def rack(db: None) -> Rack:
    return make_rack()


def test_record_one(rack: Rack) -> None:
    answer = ada().post(MEASURINGS, ONE)

    assert answer.status_code == 201
    row = Measuring.objects.get()
    assert (row.snout_vent_cm, row.total_cm) == (Decimal("18.0"), Decimal("35.0"))
    found = answer.json()
    assert found.pop("recorded_at").endswith("Z")
    assert found == entry(
        row.pk,
        animal={"id": rack.pk("V-1"), "code": "V-1"},
        snout_vent_cm=18.0,  # kept to 0.1 cm
        total_cm=35.0,
        remarks=[],
    )


@pytest.mark.parametrize(
    ("changes", "status", "fields"),
    [
        ({"snout_vent_cm": "18"}, 400, {"snout_vent_cm": "float | null"}),
        ({"snout_vent_cm": 60.1}, 409, {"snout_vent_cm": "1 to 60 cm"}),
        ({"total_cm": 1e300}, 409, {"total_cm": "1 to 200 cm"}),
        ({"total_cm": 17.9}, 409, {"total_cm": "at least 18.0"}),
        (
            {"snout_vent_cm": None, "total_cm": None},
            409,
            {"snout_vent_cm": "a length", "total_cm": "a length"},
        ),
        ({"room": "vescora/adults"}, 400, None),
    ],
)
def test_what_cannot_be_is_refused(
    changes: Json, status: int, fields: Json | None, rack: Rack, keeper: APIClient
) -> None:
    answer = keeper.post(MEASURINGS, {**ONE, **changes})

    assert answer.status_code == status
    assert fields is None or answer.json()["fields"] == fields
    assert not Measuring.objects.exists()


def test_a_list_keeps_its_good_lines(rack: Rack, keeper: APIClient) -> None:
    lines = [ONE, {**ONE, "animal": "V-2", "total_cm": 400}, {**ONE, "animal": 2}]

    report = keeper.post(MEASURINGS, lines).json()
    again = keeper.post(MEASURINGS, lines).json()

    number = Measuring.objects.get().pk
    assert (report["stored"], again["known"]) == (1, 1)
    assert [(row["index"], row["code"]) for row in report["refused"]] == [
        (1, "measuring_refused"),
        (2, "unreadable"),
    ]
    assert report["lines"] == [
        {"label": "V-1", "record": number, "remarks": []},
        {"label": "V-2", "record": None, "remarks": []},
        {"label": None, "record": None, "remarks": []},
    ]
    assert set(report) == {"stored", "known", "refused", "lines"}


def test_thirty_take_as_many_queries_as_one(rack: Rack, keeper: APIClient) -> None:
    def post(body: Any) -> None:
        assert keeper.post(MEASURINGS, body).json()["refused"] == []

    stays = [
        StayFactory.create(enclosure=EnclosureFactory.create(room=rack.room))
        for _ in range(30)
    ]
    codes = [stay.animal.code for stay in stays]

    one = queries_of(lambda: post([ONE]))
    thirty = queries_of(lambda: post([{**ONE, "animal": code} for code in codes]))

    assert one == thirty


def test_correct_strike_out_read_and_filter(rack: Rack) -> None:
    client = ada()
    old = client.post(MEASURINGS, ONE).json()["id"]
    right = {**ONE, "total_cm": 36, "note": "Read from the wrong end."}
    new = client.post(MEASURINGS, {**right, "corrects": old}).json()
    other = MeasuringFactory.create(at=WHEN - timedelta(days=1))
    struck = client.post(f"{MEASURINGS}{other.pk}/strike/", {"reason": "In inches."})

    assert (new["corrects"], struck.status_code) == (old, 200)
    assert ids(client, MEASURINGS, "") == [new["id"], old, other.pk]
    assert ids(client, MEASURINGS, "in_force=true") == [new["id"]]
    assert ids(client, MEASURINGS, "room=vescora/adults") == [new["id"], old]
    assert ids(client, MEASURINGS, "until_at=2026-03-02T09:00:00Z") == [other.pk]
    found = client.get(f"{MEASURINGS}{old}/").json()
    assert (found["corrected_by"], found["total_cm"]) == (new["id"], 35.0)
