"""Chores: for one place, a list of them, a whole rack."""

from typing import Any

import pytest
from rest_framework.test import APIClient

from husbandry.models import Chore
from tests.api.racks import AT, WHEN, Json, Rack, ada, entry, ids, make_rack
from tests.factories import ChoreFactory, EnclosureFactory, StayFactory
from tests.husbandry.care_lists import queries_of

CHORES = "/api/v1/chores/"
MISTED: Json = {"kind": "misting", "at": AT}
FED: Json = {
    "kind": "gut_loading",
    "at": AT,
    "room": "vescora/adults",
    "feeder": "feeder-crickets",
}


@pytest.fixture
def rack(db: None) -> Rack:
    return make_rack()


def test_record_one_of_an_enclosure(rack: Rack) -> None:
    answer = ada().post(CHORES, {"enclosure": "A-4", **MISTED})

    assert answer.status_code == 201
    row = Chore.objects.select_related("enclosure").get()
    assert row.enclosure is not None
    found = answer.json()
    assert found.pop("recorded_at").endswith("Z")
    assert found == entry(
        row.pk,
        kind="misting",
        enclosure={"id": row.enclosure.pk, "code": "A-4"},
        room=None,
        feeder="",
        remarks=[],
    )


def test_record_one_of_a_room(rack: Rack, keeper: APIClient) -> None:
    answer = keeper.post(CHORES, FED)

    found = answer.json()
    assert answer.status_code == 201
    assert (found["room"], found["enclosure"]) == ("vescora/adults", None)
    assert found["feeder"] == "feeder-crickets"
    assert Chore.objects.get().room == rack.room


@pytest.mark.parametrize(
    ("body", "status", "fields"),
    [
        (
            {**MISTED, "kind": "sweeping", "enclosure": "A-1"},
            400,
            {"kind": "cleaning, misting, gut_loading"},
        ),
        (
            MISTED,
            409,
            {
                "enclosure": "the code of an enclosure",
                "room": "empty",
                "feeder": "empty",
            },
        ),
        (
            {**MISTED, "enclosure": "A-9"},
            409,
            {"enclosure": "the code of an enclosure"},
        ),
        ({**FED, "room": "adults"}, 409, {"room": "the codes of a site and a room"}),
        (
            {**FED, "enclosure": "A-1"},
            409,
            {
                "enclosure": "empty",
                "room": "a site's and a room's code",
                "feeder": "id of a feeder row",
            },
        ),
    ],
)
def test_what_cannot_be_is_refused(
    body: Json, status: int, fields: Json, rack: Rack, keeper: APIClient
) -> None:
    answer = keeper.post(CHORES, body)

    assert (answer.status_code, answer.json()["fields"]) == (status, fields)
    assert not Chore.objects.exists()


def test_a_list_keeps_its_good_lines(rack: Rack, keeper: APIClient) -> None:
    lines = [{**MISTED, "enclosure": "A-1"}, FED, {**MISTED, "enclosure": "A-9"}]

    report = keeper.post(CHORES, lines).json()
    again = keeper.post(CHORES, lines).json()

    first, second = Chore.objects.order_by("pk").values_list("pk", flat=True)
    assert (report["stored"], again["known"]) == (2, 2)
    assert [(row["index"], row["code"]) for row in report["refused"]] == [
        (2, "chore_refused")
    ]
    assert report["lines"] == [
        {"label": "A-1", "record": first, "remarks": []},
        {"label": "vescora/adults", "record": second, "remarks": []},
        {"label": "A-9", "record": None, "remarks": []},
    ]


def test_a_room_is_misted_at_once(rack: Rack, keeper: APIClient) -> None:
    body = {"room": "vescora/adults", "except": ["V-2"], **MISTED}

    answer, again = keeper.post(CHORES, body), keeper.post(CHORES, body)

    # Nobody lives in A-4 any more; V-2 in A-2 is left out.
    report = answer.json()
    assert [line["label"] for line in report["lines"]] == ["A-1", "A-3"]
    assert (report["stored"], report["empty"]) == (2, [])
    assert again.json()["known"] == 2
    assert {(c.kind, c.at) for c in Chore.objects.all()} == {("misting", WHEN)}


def test_named_enclosures_are_cleaned_whoever_lives_there(
    rack: Rack, keeper: APIClient
) -> None:
    named = {"enclosures": ["A-4", "A-1", "A-2", "A-1"], "except": ["V-2"]}

    report = keeper.post(CHORES, {**named, "kind": "cleaning", "at": AT}).json()

    assert [line["label"] for line in report["lines"]] == ["A-4", "A-1"]
    assert (report["stored"], report["empty"]) == (2, [])


def test_an_enclosure_with_two_is_misted_once(rack: Rack, keeper: APIClient) -> None:
    pair = EnclosureFactory.create(code="A-5", room=rack.room)
    StayFactory.create(enclosure=pair, place=1)
    StayFactory.create(enclosure=pair, place=2)

    report = keeper.post(CHORES, {"enclosures": ["A-5"], **MISTED}).json()

    assert [line["label"] for line in report["lines"]] == ["A-5"]


@pytest.mark.parametrize(
    ("body", "code"),
    [
        ({**FED, "enclosures": ["A-1"]}, "invalid_body"),
        ({**MISTED, "room": "vescora/attic"}, "unknown_room"),
        ({**MISTED, "enclosures": ["A-1"], "except": ["V-1"]}, "nobody_there"),
    ],
)
def test_a_rack_that_is_none_is_refused_whole(
    body: Json, code: str, rack: Rack, keeper: APIClient
) -> None:
    assert keeper.post(CHORES, body).json()["code"] == code
    assert not Chore.objects.exists()


def test_thirty_take_as_many_queries_as_one(rack: Rack, keeper: APIClient) -> None:
    def post(body: Any) -> None:
        assert keeper.post(CHORES, body).json()["refused"] == []

    for _ in range(30):
        StayFactory.create(enclosure=EnclosureFactory.create(room=rack.room))

    one = queries_of(lambda: post({"enclosures": ["A-1"], **MISTED}))
    whole = queries_of(
        lambda: post({"room": "vescora/adults", "except": ["V-1"], **MISTED})
    )

    assert one == whole
    assert Chore.objects.count() == 33


def test_correct_strike_out_read_and_filter(rack: Rack) -> None:
    client = ada()
    old = client.post(CHORES, {**MISTED, "enclosure": "A-1"}).json()["id"]
    right = {**MISTED, "enclosure": "A-2", "note": "It was A-2.", "corrects": old}
    new = client.post(CHORES, right).json()
    fed = client.post(CHORES, {**FED, "at": "2026-03-02T08:00:00Z"}).json()["id"]
    other = ChoreFactory.create(at=WHEN.replace(day=1))
    struck = client.post(f"{CHORES}{other.pk}/strike/", {"reason": "A slip."})

    assert (new["corrects"], struck.status_code) == (old, 200)
    assert ids(client, CHORES, "") == [new["id"], old, fed, other.pk]
    assert ids(client, CHORES, "in_force=true") == [new["id"], fed]
    assert ids(client, CHORES, "kind=gut_loading") == [fed]
    assert ids(client, CHORES, "enclosure=A-2") == [new["id"]]
    assert ids(client, CHORES, "room=vescora/adults") == [new["id"], old, fed]
    assert client.get(f"{CHORES}{old}/").json()["corrected_by"] == new["id"]
