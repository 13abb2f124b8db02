"""Feedings: one, a list, a whole rack; known again, corrected, struck out."""

from datetime import timedelta
from typing import Any

import pytest
from rest_framework.test import APIClient

from husbandry.models import Animal, Feeding, FeedingOrder
from tests.api.racks import AT, WHEN, Json, Rack, ada, entry, ids, make_rack
from tests.factories import (
    AnimalFactory,
    EnclosureFactory,
    FeedingFactory,
    FeedingOrderFactory,
    StayFactory,
)
from tests.husbandry.care_lists import queries_of

FEEDINGS = "/api/v1/feedings/"
CONTENT: Json = {"at": AT, "feeder": "feeder-crickets", "offered": 5, "eaten": 4}
ONE: Json = {"animal": "V-1", **CONTENT}


@pytest.fixture
def rack(db: None) -> Rack:
    return make_rack()


def test_record_one(rack: Rack) -> None:
    answer = ada().post(
        FEEDINGS,
        {**ONE, "supplements": ["plain-calcium"], "note": "By the lamp."},
    )

    assert answer.status_code == 201
    row = Feeding.objects.get()
    found = answer.json()
    assert found.pop("recorded_at").endswith("Z")
    assert found == entry(
        row.pk,
        note="By the lamp.",
        animal={"id": rack.pk("V-1"), "code": "V-1"},
        feeder="feeder-crickets",
        offered=5,
        eaten=4,
        supplements=["plain-calcium"],
        assisted=False,
        remarks=[],
    )


def test_what_was_unwise_is_remarked(rack: Rack, keeper: APIClient) -> None:
    FeedingOrderFactory.create(animal=rack.animals["V-1"])

    answer = keeper.post(FEEDINGS, ONE)

    assert answer.status_code == 201
    assert answer.json()["remarks"] == [
        "A fast is ordered from 01 Mar 2026 to 02 Mar 2026: Nothing before surgery, on "
        "the vet's word. Tell whoever ordered it that it was fed."
    ]


def test_the_same_again_is_known(rack: Rack, keeper: APIClient) -> None:
    first = keeper.post(FEEDINGS, ONE)
    again = keeper.post(FEEDINGS, ONE)
    listed = keeper.post(FEEDINGS, [ONE])

    number = first.json()["id"]
    assert (again.status_code, again.json()) == (201, first.json())
    assert listed.json() == {
        "stored": 0,
        "known": 1,
        "refused": [],
        "lines": [{"label": "V-1", "record": number, "remarks": []}],
        "empty": [],
    }
    assert Feeding.objects.count() == 1


def test_without_an_instant_it_is_now(rack: Rack, keeper: APIClient) -> None:
    answer = keeper.post(
        FEEDINGS, {"animal": "V-1", "feeder": "feeder-crickets", "offered": 5}
    )

    assert answer.status_code == 201
    assert Feeding.objects.get().at == Feeding.objects.get().recorded_at


@pytest.mark.parametrize(
    ("changes", "fields"),
    [
        ({"offered": "5"}, {"offered": "int"}),
        ({"offered": True}, {"offered": "int"}),
        ({"offered": 10**30}, {"offered": "int <= 32767"}),
        ({"offered": -1}, {"offered": "int >= 0"}),
        ({"corrects": 2**63}, {"corrects": "int <= 9223372036854775807"}),
        ({"supplements": "plain-calcium"}, {"supplements": "array"}),
        ({"assisted": "no"}, {"assisted": "true, false"}),
        ({"at": "2026-03-02"}, {"at": "an instant as 2026-03-01T06:00:00+01:00"}),
        ({"at": "1026-03-02T09:00:00Z"}, {"at": "1970-01-01 to 2199-12-31"}),
        ({"note": "x" * 301}, {"note": "str of length <= 300"}),
        (
            {"except": ["V-2"]},
            {
                "except": "none of that name; known are: at, note, feeder, offered, "
                "eaten, supplements, assisted, animal, corrects"
            },
        ),
    ],
)
def test_what_cannot_be_read_is_refused(
    changes: Json, fields: dict[str, str], rack: Rack, keeper: APIClient
) -> None:
    answer = keeper.post(FEEDINGS, {**ONE, **changes})

    assert (answer.status_code, answer.json()["fields"]) == (400, fields)
    assert not Feeding.objects.exists()


@pytest.mark.parametrize(
    ("changes", "code", "fields"),
    [
        ({"animal": "V-9"}, "care_entry_refused", {"animal": "the code of an animal"}),
        ({"offered": 0}, "feeding_refused", {"offered": "1 to 1000"}),
        ({"eaten": 6}, "feeding_refused", {"eaten": "0 to 5, or empty"}),
        (
            {"at": "2190-01-01T00:00:00Z"},
            "care_entry_refused",
            {"at": "now or earlier"},
        ),
        (
            {"corrects": 2**63 - 1},
            "care_entry_refused",
            {"corrects": "the key of one on record"},
        ),
        (
            {"supplements": ["sugar"]},
            "feeding_refused",
            {"supplements": "some of plain-calcium, multivitamin-d3"},
        ),
    ],
)
def test_what_cannot_be_is_refused(
    changes: Json, code: str, fields: dict[str, str], rack: Rack, keeper: APIClient
) -> None:
    answer = keeper.post(FEEDINGS, {**ONE, **changes})

    problem = answer.json()
    assert (answer.status_code, problem["code"]) == (409, code)
    assert problem["fields"] == fields
    assert not Feeding.objects.exists()


def test_an_unknown_feeder_is_answered_with_those_known(
    rack: Rack, keeper: APIClient
) -> None:
    answer = keeper.post(FEEDINGS, {**ONE, "feeder": "cheese"})

    assert answer.status_code == 409
    assert answer.json()["detail"].startswith(
        "The profile of the veiled chameleon knows no feeder 'cheese'. It knows "
        "feeder-roaches, feeder-crickets, "
    )


def test_a_list_keeps_its_good_lines(rack: Rack, keeper: APIClient) -> None:
    answer = keeper.post(
        FEEDINGS,
        [
            ONE,
            {**ONE, "animal": "V-2", "offered": "many"},
            {**ONE, "animal": "V-9"},
            {**ONE, "animal": "V-3", "feeder": "feeder-waxworms"},
            ONE,
            None,
        ],
    )

    assert answer.status_code == 200
    report = answer.json()
    first, third = Feeding.objects.order_by("pk").values_list("pk", flat=True)
    assert (report["stored"], report["known"], report["empty"]) == (2, 1, [])
    assert [(row["index"], row["code"]) for row in report["refused"]] == [
        (1, "unreadable"),
        (2, "care_entry_refused"),
        (5, "unreadable"),
    ]
    assert report["refused"][1]["sentence"] == (
        "There is no animal 'V-9'. Give the code on its label."
    )
    assert [(line["label"], line["record"]) for line in report["lines"]] == [
        ("V-1", first),
        (None, None),
        ("V-9", None),
        ("V-3", third),
        ("V-1", first),
        (None, None),
    ]


def test_a_list_that_is_empty_or_too_long(rack: Rack, keeper: APIClient) -> None:
    empty = keeper.post(FEEDINGS, [])
    long = keeper.post(FEEDINGS, [ONE] * 1001)

    assert (empty.status_code, empty.json()["code"]) == (400, "no_rows")
    assert (long.status_code, long.json()["code"]) == (413, "too_many_rows")


# A whole rack.


def test_a_room_is_fed_at_once(rack: Rack, keeper: APIClient) -> None:
    body = {"room": "vescora/adults", "except": ["V-2"], **CONTENT}

    answer = keeper.post(FEEDINGS, body)
    again = keeper.post(FEEDINGS, body)

    rows = list(Feeding.objects.order_by("animal__code"))
    assert [row.animal.code for row in rows] == ["V-1", "V-3"]
    assert {(row.feeder, row.offered, row.eaten, row.at) for row in rows} == {
        ("feeder-crickets", 5, 4, WHEN)
    }
    assert (answer.status_code, answer.json()) == (
        200,
        {
            "stored": 2,
            "known": 0,
            "refused": [],
            "lines": [
                {"label": "V-1", "record": rows[0].pk, "remarks": []},
                {"label": "V-3", "record": rows[1].pk, "remarks": []},
            ],
            "empty": [],
        },
    )
    assert (again.json()["stored"], again.json()["known"]) == (0, 2)


def test_who_stayed_there_then_was_fed(rack: Rack, keeper: APIClient) -> None:
    body = {"room": "vescora/adults", **CONTENT, "at": "2026-03-01T08:59:59Z"}

    answer = keeper.post(FEEDINGS, body)

    # V-4 left at 09:00.
    assert [line["label"] for line in answer.json()["lines"]] == [
        *("V-1", "V-2", "V-3", "V-4")
    ]


def test_some_enclosures_are_fed_at_once(rack: Rack, keeper: APIClient) -> None:
    answer = keeper.post(
        FEEDINGS, {"enclosures": ["B-1", "A-4", "A-1", "A-1"], **CONTENT}
    )

    report = answer.json()
    assert sorted(line["label"] for line in report["lines"]) == ["V-1", "V-5"]
    assert (report["stored"], report["empty"]) == (2, ["A-4"])


def test_one_of_a_rack_is_refused_beside_the_others(
    rack: Rack, keeper: APIClient
) -> None:
    other = FeedingFactory.create(
        animal=rack.animals["V-2"], at=WHEN, feeder="feeder-crickets"
    )
    FeedingOrderFactory.create(animal=rack.animals["V-3"])

    answer = keeper.post(FEEDINGS, {"room": "vescora/adults", **CONTENT})

    report = answer.json()
    assert (report["stored"], report["known"]) == (2, 0)
    (refused,) = report["refused"]
    assert (refused["index"], refused["code"]) == (1, "care_entry_refused")
    assert "there is another feeding on record" in refused["sentence"]
    assert [len(line["remarks"]) for line in report["lines"]] == [0, 0, 1]
    assert Feeding.objects.get(animal__code="V-2") == other


@pytest.mark.parametrize(
    ("changes", "status", "code"),
    [
        ({"room": "vescora/attic"}, 400, "unknown_room"),
        ({"room": "adults"}, 400, "unknown_room"),
        ({"room": "vescora/adults", "enclosures": ["A-1"]}, 400, "no_rack"),
        ({"room": None}, 400, "no_rack"),
        ({"enclosures": []}, 400, "invalid_body"),
        ({"enclosures": ["A-1", "A-9"]}, 400, "unknown_enclosure"),
        ({"enclosures": ["A-4"]}, 409, "nobody_there"),
        ({"enclosures": ["A-1"], "except": ["V-1"]}, 409, "nobody_there"),
        ({"enclosures": ["A-1"], "except": ["V-2"]}, 400, "not_there"),
        ({"room": "vescora/adults", "animal": "V-1"}, 400, "invalid_body"),
        ({"room": "vescora/adults", "corrects": 1}, 400, "invalid_body"),
        ({"room": 7}, 400, "invalid_body"),
        ({"room": "vescora/adults", "offered": 10**30}, 400, "invalid_body"),
    ],
)
def test_a_rack_that_is_none_is_refused_whole(
    changes: Json, status: int, code: str, rack: Rack, keeper: APIClient
) -> None:
    answer = keeper.post(FEEDINGS, {**CONTENT, **changes})

    assert (answer.status_code, answer.json()["code"]) == (status, code)
    assert not Feeding.objects.exists()


def test_who_is_left_out_must_be_there(rack: Rack, keeper: APIClient) -> None:
    answer = keeper.post(
        FEEDINGS, {"room": "vescora/adults", "except": ["V-5", "V-1"], **CONTENT}
    )

    assert answer.json()["detail"] == (
        "Left out is V-5, but in vescora/adults stays V-1, V-2, V-3; nothing was "
        "recorded. Whoever is left out must be one of them."
    )
    assert answer.json()["fields"] == {"except": "some of V-1, V-2, V-3"}


def test_thirty_take_as_many_queries_as_one(rack: Rack, keeper: APIClient) -> None:
    def post(body: Any) -> None:
        assert keeper.post(FEEDINGS, body).status_code == 200

    codes = [f"W-{number}" for number in range(30)]
    for code in codes:
        animal = AnimalFactory.create(code=code)
        StayFactory.create(
            animal=animal, enclosure=EnclosureFactory.create(room=rack.room)
        )
    others = [{**ONE, "animal": code} for code in codes]
    earlier = {**CONTENT, "at": "2026-03-02T08:00:00Z"}

    one = queries_of(lambda: post([ONE]))
    thirty = queries_of(lambda: post(others))
    small = queries_of(lambda: post({"enclosures": ["A-1"], **earlier}))
    FeedingOrder.objects.all().delete()
    whole = queries_of(
        lambda: post({"room": "vescora/adults", "except": ["V-1"], **earlier})
    )

    assert one == thirty
    assert small == whole
    assert Feeding.objects.count() == 31 + 33


# Wrong entries.


def test_a_correction_replaces_the_old_one(rack: Rack) -> None:
    client = ada()
    old = client.post(FEEDINGS, ONE).json()["id"]
    right = {**ONE, "offered": 6, "note": "Counted again.", "corrects": old}

    answer = client.post(FEEDINGS, right)

    new = answer.json()
    assert (answer.status_code, new["corrects"]) == (201, old)
    found = client.get(f"{FEEDINGS}{old}/").json()
    assert (found["corrected_by"], found["struck_by"]) == (new["id"], "Ada")
    assert found["struck_reason"] == "Counted again."
    assert found["struck_at"] == new["recorded_at"]


def test_strike_out(rack: Rack) -> None:
    client = ada()
    first = client.post(FEEDINGS, ONE).json()
    strike = f"{FEEDINGS}{first['id']}/strike/"

    answer = client.post(strike, {"reason": "It was V-2."})
    again = client.post(strike, {"reason": "It was V-2."})

    found = answer.json()
    assert answer.status_code == 200
    assert found.pop("struck_at").endswith("Z")
    del first["remarks"], first["struck_at"]
    assert found == first | {"struck_by": "Ada", "struck_reason": "It was V-2."}
    assert (again.status_code, again.json()["code"]) == (409, "care_entry_refused")


@pytest.mark.parametrize(
    ("body", "status"),
    [({}, 400), ({"reason": ""}, 400), ({"reason": " "}, 409)],
)
def test_striking_out_needs_a_reason(
    body: Json, status: int, keeper: APIClient
) -> None:
    row = FeedingFactory.create()

    answer = keeper.post(f"{FEEDINGS}{row.pk}/strike/", body)

    assert answer.status_code == status
    row.refresh_from_db()
    assert row.struck_at is None


def test_read_and_filter(rack: Rack, viewer: APIClient) -> None:
    animals: dict[str, Animal] = rack.animals
    day = timedelta(days=1)
    wrong = FeedingFactory.create(
        animal=animals["V-1"], at=WHEN, struck_at=WHEN, struck_reason="A slip."
    )
    right = FeedingFactory.create(animal=animals["V-1"], at=WHEN, corrects=wrong)
    gone = FeedingFactory.create(animal=animals["V-4"], at=WHEN - day)
    there = FeedingFactory.create(animal=animals["V-4"], at=WHEN - 2 * day)
    other = FeedingFactory.create(
        animal=animals["V-5"], at=WHEN - 3 * day, feeder="feeder-waxworms"
    )

    def found(query: str) -> list[int]:
        return ids(viewer, FEEDINGS, query)

    assert found("") == [row.pk for row in (right, wrong, gone, there, other)]
    assert found("animal=V-1") == [right.pk, wrong.pk]
    assert found("animal=V-1&in_force=true") == [right.pk]
    assert found("in_force=false") == [wrong.pk]
    # V-4 left A-4 at the instant of the later one.
    assert found("enclosure=A-4") == [there.pk]
    assert found("room=vescora/adults&in_force=true") == [right.pk, there.pk]
    assert found("feeder=feeder-waxworms") == [other.pk]
    assert found("from_at=2026-03-02T09:00:00Z") == [right.pk, wrong.pk]
    assert found("until_at=2026-02-28T09:00:00Z") == [other.pk]
    detail = viewer.get(f"{FEEDINGS}{wrong.pk}/").json()
    assert (detail["corrected_by"], detail["struck_reason"]) == (right.pk, "A slip.")


def test_a_room_in_an_address_is_a_site_and_a_room(viewer: APIClient) -> None:
    answer = viewer.get(f"{FEEDINGS}?room=adults")

    assert answer.status_code == 400
    assert answer.json()["fields"] == {"room": "site/room, by their codes"}
