"""Observations: one, a list, a whole rack; words that go with their kind."""

from datetime import timedelta
from typing import Any

import pytest
from rest_framework.test import APIClient

from husbandry.models import Observation
from tests.api.racks import AT, WHEN, Json, Rack, ada, entry, ids, make_rack
from tests.factories import (
    AnimalFactory,
    EnclosureFactory,
    ObservationFactory,
    ReproductiveSpellFactory,
    StayFactory,
)
from tests.husbandry.care_lists import queries_of

OBSERVATIONS = "/api/v1/observations/"
BRIGHT: Json = {"at": AT, "kind": "alertness", "observed": "bright"}


@pytest.fixture
def rack(db: None) -> Rack:
    return make_rack()


def test_record_one(rack: Rack) -> None:
    answer = ada().post(
        OBSERVATIONS,
        {
            "animal": "V-1",
            "at": AT,
            "kind": "sign",
            "sign": "sign-eyes-closed",
            "observed": "present",
            "look_again_on": "2026-03-03",
            "note": "Since noon.",
        },
    )

    assert answer.status_code == 201
    found = answer.json()
    assert found.pop("recorded_at").endswith("Z")
    assert found == entry(
        Observation.objects.get().pk,
        note="Since noon.",
        animal={"id": rack.pk("V-1"), "code": "V-1"},
        kind="sign",
        sign="sign-eyes-closed",
        observed="present",
        urates=None,
        eggs=None,
        look_again_on="2026-03-03",
        remarks=[],
    )


def test_laying_is_remarked_on(rack: Rack, keeper: APIClient) -> None:
    ReproductiveSpellFactory.create(animal=rack.animals["V-1"])

    answer = keeper.post(
        OBSERVATIONS,
        {
            "animal": "V-1",
            "at": AT,
            "kind": "laying",
            "observed": "finished",
            "eggs": 31,
        },
    )

    assert (answer.status_code, answer.json()["eggs"]) == (201, 31)
    assert answer.json()["remarks"] == [
        "V-1 Name 1 is on record as gravid since 20 Feb 2026. If she has laid all her "
        "eggs, record that she is resting again from the day after on."
    ]


def test_the_same_again_is_known(rack: Rack, keeper: APIClient) -> None:
    body = {"animal": "V-1", **BRIGHT}

    first, again = keeper.post(OBSERVATIONS, body), keeper.post(OBSERVATIONS, [body])

    assert again.json() == {
        "stored": 0,
        "known": 1,
        "refused": [],
        "lines": [{"label": "V-1", "record": first.json()["id"], "remarks": []}],
        "empty": [],
    }


@pytest.mark.parametrize(
    ("changes", "status", "fields"),
    [
        (
            {"kind": "mood"},
            400,
            {
                "kind": "sign, shed, droppings, digging, laying, alertness, condition, "
                "note"
            },
        ),
        (
            {"observed": "happy"},
            400,
            {
                "observed": "present, gone, whole, in_patches, stuck, formed, loose, "
                "bloody, begun, stopped, finished, bright, weak, lean, good, heavy"
            },
        ),
        ({"urates": "blue"}, 400, {"urates": "white, yellowish, orange"}),
        ({"eggs": 10**30}, 400, {"eggs": "int <= 32767"}),
        ({"look_again_on": "soon"}, 400, {"look_again_on": "a day as 2026-03-01"}),
        ({"observed": "stuck"}, 409, {"observed": "one of bright, weak"}),
        ({"eggs": 3}, 409, {"eggs": "empty"}),
        (
            {"kind": "laying", "observed": "begun", "eggs": 501},
            409,
            {"eggs": "0 to 500, or empty"},
        ),
        (
            {"look_again_on": "2026-03-02"},
            409,
            {"look_again_on": "later than 2026-03-02"},
        ),
    ],
)
def test_what_does_not_fit_is_answered_with_what_would(
    changes: Json, status: int, fields: Json, rack: Rack, keeper: APIClient
) -> None:
    answer = keeper.post(OBSERVATIONS, {"animal": "V-1", **BRIGHT, **changes})

    assert (answer.status_code, answer.json()["fields"]) == (status, fields)
    assert not Observation.objects.exists()


def test_an_unknown_sign_is_answered_with_those_known(
    rack: Rack, keeper: APIClient
) -> None:
    answer = keeper.post(
        OBSERVATIONS,
        {"animal": "V-1", "kind": "sign", "sign": "sneeze", "observed": "present"},
    )

    assert answer.status_code == 409
    assert "'sneeze' is no warning sign of its profile" in answer.json()["detail"]
    assert "sign-eyes-closed" in answer.json()["fields"]["sign"]


def test_a_room_is_looked_at_at_once(rack: Rack, keeper: APIClient) -> None:
    body = {"room": "vescora/adults", "except": ["V-2"], **BRIGHT}

    answer, again = keeper.post(OBSERVATIONS, body), keeper.post(OBSERVATIONS, body)

    rows = list(Observation.objects.order_by("animal__code"))
    assert [(row.animal.code, row.observed) for row in rows] == [
        *(("V-1", "bright"), ("V-3", "bright"))
    ]
    assert answer.json() == {
        "stored": 2,
        "known": 0,
        "refused": [],
        "lines": [
            {"label": "V-1", "record": rows[0].pk, "remarks": []},
            {"label": "V-3", "record": rows[1].pk, "remarks": []},
        ],
        "empty": [],
    }
    assert (again.json()["stored"], again.json()["known"]) == (0, 2)


def test_thirty_take_as_many_queries_as_one(rack: Rack, keeper: APIClient) -> None:
    def post(body: Any) -> None:
        assert keeper.post(OBSERVATIONS, body).status_code == 200

    for _ in range(30):
        StayFactory.create(enclosure=EnclosureFactory.create(room=rack.room))

    one = queries_of(lambda: post({"enclosures": ["A-1"], **BRIGHT}))
    whole = queries_of(
        lambda: post({"room": "vescora/adults", "except": ["V-1"], **BRIGHT})
    )

    assert one == whole
    assert Observation.objects.count() == 33


def test_correct_and_strike_out(rack: Rack) -> None:
    client = ada()
    old = client.post(OBSERVATIONS, {"animal": "V-1", **BRIGHT}).json()["id"]
    right = {"animal": "V-1", **BRIGHT, "observed": "weak", "note": "It was not."}

    new = client.post(OBSERVATIONS, {**right, "corrects": old}).json()
    struck = client.post(
        f"{OBSERVATIONS}{new['id']}/strike/", {"reason": "It was V-2."}
    )

    assert new["corrects"] == old
    assert client.get(f"{OBSERVATIONS}{old}/").json()["corrected_by"] == new["id"]
    assert (struck.status_code, struck.json()["struck_reason"]) == (200, "It was V-2.")


def test_read_and_filter(rack: Rack, viewer: APIClient) -> None:
    shed = ObservationFactory.create(
        animal=rack.animals["V-1"], kind="shed", observed="whole", at=WHEN
    )
    sign = ObservationFactory.create(
        animal=AnimalFactory.create(),
        kind="sign",
        sign="sign-dark",
        observed="gone",
        at=WHEN - timedelta(days=1),
        struck_at=WHEN,
        struck_reason="A slip.",
    )

    assert ids(viewer, OBSERVATIONS, "") == [shed.pk, sign.pk]
    assert ids(viewer, OBSERVATIONS, "kind=shed") == [shed.pk]
    assert ids(viewer, OBSERVATIONS, "sign=sign-dark") == [sign.pk]
    assert ids(viewer, OBSERVATIONS, "enclosure=A-1") == [shed.pk]
    assert ids(viewer, OBSERVATIONS, "room=vescora/adults") == [shed.pk]
    assert ids(viewer, OBSERVATIONS, "in_force=true") == [shed.pk]
    assert viewer.get(f"{OBSERVATIONS}?kind=mood").status_code == 400
