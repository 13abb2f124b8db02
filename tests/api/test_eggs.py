"""Boxes and eggs over the API: bodies, refusals, many at once."""

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.utils import timezone
from rest_framework.test import APIClient

from clutches.models import BoxCheck, BoxStay, Egg, EggBox, EggCheck, EggPlace
from tests.api.racks import Json, ada, entry
from tests.clutches.nest import PUT, Nest, make_nest
from tests.factories import EggCheckFactory, EnclosureFactory

BOXES, EGGS = "/api/v1/egg-boxes/", "/api/v1/eggs/"
EGG_CHECKS, BOX_CHECKS = "/api/v1/egg-checks/", "/api/v1/box-checks/"
AT = "2026-03-02T09:00:00Z"


@pytest.fixture
def nest(db: None) -> Nest:
    return make_nest(eggs=4)


def named(*numbers: int, **more: Any) -> list[Json]:
    return [{"clutch": "C-mill", "number": number, **more} for number in numbers]


# Boxes


def test_a_box_is_made_up_and_shown_with_its_ratio(nest: Nest) -> None:
    body = {
        "code": "BX-1",
        "rows": 5,
        "columns": 8,
        "substrate": "vermiculite",
        "substrate_g": 200,
        "water_g": 160,
        "made_on": "2026-02-10",
        "incubator": "I-mill",
        "at": "2026-02-10T12:00:00Z",
    }

    answer = ada().post(BOXES, body)

    row = EggBox.objects.get(code="BX-1")
    assert (answer.status_code, answer.json()) == (
        201,
        {
            "id": row.pk,
            "code": "BX-1",
            "rows": 5,
            "columns": 8,
            "substrate": "vermiculite",
            "substrate_g": 200.0,
            "water_g": 160.0,
            "mass_ratio": 0.8,
            "made_on": "2026-02-10",
            "retired_on": None,
            "note": "",
            "incubator": {"id": nest.incubator.pk, "code": "I-mill"},
            "since_at": "2026-02-10T12:00:00Z",
            "eggs": 0,
        },
    )
    assert EggBox.objects.get(code="BX-1").stays.get().moved_by is not None


def test_a_box_made_up_unweighed_today_stands_nowhere(keeper: APIClient) -> None:
    body = {"code": "BX-1", "rows": 5, "columns": 8, "substrate": "moss"}

    found = keeper.post(BOXES, body).json()

    assert (found["mass_ratio"], found["incubator"]) == (None, None)
    assert found["made_on"] == str(timezone.localdate())


@pytest.mark.parametrize(
    ("change", "status", "fields"),
    [
        ({"rows": 27}, 400, {"rows": "int <= 26"}),
        (
            {"substrate": "mud"},
            400,
            {"substrate": "vermiculite, perlite, coconut_fibre, moss, sand, other"},
        ),
        ({"code": "BX-mill"}, 409, {"code": "one that no box ever had"}),
        ({"incubator": "I-9"}, 400, {"incubator": "the code of an incubator"}),
        ({"water_g": -1}, 409, {"water_g": "0.1 to 999999.9, or empty"}),
    ],
)
def test_a_box_that_cannot_be_is_refused(
    change: Json, status: int, fields: Json, nest: Nest, keeper: APIClient
) -> None:
    usual = {"code": "BX-1", "rows": 5, "columns": 8, "substrate": "moss"}

    answer = keeper.post(BOXES, {**usual, **change})

    assert (answer.status_code, answer.json()["fields"]) == (status, fields)
    assert EggBox.objects.count() == 1


def test_a_box_is_moved_late_taken_out_and_retired(
    nest: Nest, keeper: APIClient
) -> None:
    EnclosureFactory.create(code="I-2", kind="incubator")
    address = f"{BOXES}{nest.box.pk}/"

    moved = keeper.post(
        f"{address}move/", {"incubator": "I-2", "at": AT, "reason": "Too cool."}
    )
    assert (moved.status_code, moved.json()["incubator"]["code"]) == (200, "I-2")
    assert moved.json()["eggs"] == 4
    assert BoxStay.objects.get(until_at=None).reason == "Too cool."
    out = keeper.post(f"{address}move/", {"incubator": None})
    assert out.json()["incubator"] is None
    refused = keeper.post(f"{address}retire/")
    assert refused.status_code == 409
    assert "4 eggs lie in box BX-mill" in refused.json()["detail"]
    EggPlace.objects.update(until_at=PUT + timedelta(days=1))
    retired = keeper.post(f"{address}retire/", {"on": "2026-03-02"})
    assert retired.json()["retired_on"] == "2026-03-02"


# Eggs


def test_eggs_are_listed_with_where_they_lie(nest: Nest, viewer: APIClient) -> None:
    EggPlace.objects.filter(egg=nest.eggs[1]).update(until_at=PUT + timedelta(days=1))
    Egg.objects.filter(number=2).update(
        state="failed", cause="mould", ended_on="2026-01-02", note="Green."
    )

    found = viewer.get(EGGS, {"clutch": "C-mill"}).json()["results"]

    assert [(egg["number"], egg["box"], egg["place"]) for egg in found] == [
        (1, "BX-mill", "A1"),
        (2, None, None),
        (3, "BX-mill", "C1"),
        (4, "BX-mill", "A2"),
    ]
    assert found[1] == {
        "id": nest.eggs[1].pk,
        "clutch": {"id": nest.clutch.pk, "code": "C-mill"},
        "number": 2,
        "state": "failed",
        "pipped_on": None,
        "ended_on": "2026-01-02",
        "cause": "mould",
        "note": "Green.",
        "box": None,
        "place": None,
    }
    assert viewer.get(f"{EGGS}{nest.eggs[0].pk}/").json()["place"] == "A1"


def test_eggs_are_set_at_once(nest: Nest, keeper: APIClient) -> None:
    body = {
        "on": "2026-03-01",
        "eggs": [
            *named(3, state="pipped"),
            *named(1, state="failed", cause="mould", note="Green."),
        ],
    }

    answer = keeper.post(EGGS, body)

    assert answer.status_code == 200
    found = answer.json()
    assert [(e["number"], e["state"], e["place"]) for e in found["eggs"]] == [
        (3, "pipped", "C1"),
        (1, "failed", None),
    ]
    assert found["remarks"] == []
    assert Egg.objects.get(number=1).ended_on == Egg.objects.get(number=3).pipped_on


def test_eggs_are_set_all_or_none_and_each_refusal_names_its_egg(
    nest: Nest, keeper: APIClient
) -> None:
    body = {
        "on": "2026-03-01",
        "eggs": [*named(1, state="hatched"), *named(2, state="failed")],
    }

    answer = keeper.post(EGGS, body)

    assert (answer.status_code, answer.json()["code"]) == (409, "egg_refused")
    assert answer.json()["detail"].startswith("Say why egg 2 of C-mill (B1 of BX-mill)")
    assert set(Egg.objects.values_list("state", flat=True)) == {"incubating"}


def test_today_is_the_day_where_the_clutch_is(nest: Nest, keeper: APIClient) -> None:
    keeper.post(EGGS, {"eggs": named(1, state="hatched")})

    egg = Egg.objects.get(number=1)
    zone = timezone.get_default_timezone()
    assert egg.ended_on is not None
    assert abs((egg.ended_on - timezone.localdate(timezone=zone)).days) <= 1


@pytest.mark.parametrize(
    ("eggs", "status", "code"),
    [
        ([], 400, "no_rows"),
        (named(9, state="hatched"), 404, "not_found"),
        ([{"clutch": "C-9", "number": 1, "state": "hatched"}], 404, "not_found"),
        (named(1, state="gone"), 400, "invalid_body"),
        (named(-1, state="hatched"), 400, "invalid_body"),
    ],
)
def test_eggs_that_there_are_not_are_refused(
    eggs: Json, status: int, code: str, nest: Nest, keeper: APIClient
) -> None:
    answer = keeper.post(EGGS, {"eggs": eggs})

    assert (answer.status_code, answer.json()["code"]) == (status, code)


def test_eggs_are_placed_and_moved(nest: Nest, keeper: APIClient) -> None:
    EggPlace.objects.all().delete()
    body = {"eggs": named(2, 1), "box": "BX-mill", "places": "row 4", "at": AT}

    placed = keeper.post(f"{EGGS}place/", body)
    moved = keeper.post(
        f"{EGGS}move/",
        {"eggs": named(1, 2), "box": "BX-mill", "places": "A4-B4", "reason": "Turned."},
    )

    assert [e["place"] for e in placed.json()["eggs"]] == ["A4", "B4"]
    assert [(e["number"], e["place"]) for e in moved.json()["eggs"]] == [
        (1, "A4"),
        (2, "B4"),
    ]
    out = keeper.post(f"{EGGS}move/", {"eggs": named(1), "box": None})
    assert out.json()["eggs"][0]["box"] is None
    free = keeper.post(f"{EGGS}place/", {"eggs": named(3), "box": "BX-mill"})
    assert free.json()["eggs"][0]["place"] == "A1"


@pytest.mark.parametrize(
    ("change", "status", "code", "said"),
    [
        ({"places": "D1"}, 409, "places_refused", "It has 4 rows and 3 columns"),
        ({"places": "A1"}, 409, "placing_refused", "At A1 of box BX-mill lies egg 2"),
        ({"box": "BX-9"}, 404, "not_found", "There is no box 'BX-9'"),
    ],
)
def test_a_wrong_place_is_refused_with_the_size_of_the_box(
    change: Json, status: int, code: str, said: str, nest: Nest, keeper: APIClient
) -> None:
    EggPlace.objects.exclude(egg__number=1).delete()
    EggPlace.objects.update(egg=nest.eggs[1])
    body = {"eggs": named(1), "box": "BX-mill", **change}

    answer = keeper.post(f"{EGGS}place/", body)

    assert (answer.status_code, answer.json()["code"]) == (status, code)
    assert said in answer.json()["detail"]


def test_an_egg_is_mended_with_a_reason(nest: Nest, keeper: APIClient) -> None:
    keeper.post(EGGS, {"on": "2026-03-01", "eggs": named(1, state="hatched")})
    address = f"{EGGS}{nest.eggs[0].pk}/mend/"

    answer = keeper.post(address, {"state": "incubating", "reason": "Another egg."})

    (egg,) = answer.json()["eggs"]
    assert (answer.status_code, egg["state"], egg["place"]) == (200, "incubating", "A1")
    again = keeper.post(address, {"state": "incubating", "reason": "Another egg."})
    assert (again.status_code, again.json()["code"]) == (409, "egg_refused")
    assert (
        keeper.post(address, {"state": "incubating", "reason": ""}).status_code == 400
    )


# Checks


def test_one_egg_is_candled(nest: Nest) -> None:
    body = {
        "clutch": "C-mill",
        "number": 2,
        "at": AT,
        "seen": "no_vessels",
        "mass_g": 1.45,
    }

    answer = ada().post(EGG_CHECKS, body)

    assert answer.status_code == 201
    row = EggCheck.objects.get()
    found = answer.json()
    assert found.pop("recorded_at").endswith("Z")
    assert found == entry(
        row.pk,
        clutch={"id": nest.clutch.pk, "code": "C-mill"},
        number=2,
        seen="no_vessels",
        mass_g=1.45,
        remarks=[
            "Egg 2 of C-mill (B1 of BX-mill): no vessels on day 60: resting, not "
            "infertile. From day 90 on it tells."
        ],
    )


def test_a_list_keeps_its_good_lines(nest: Nest, keeper: APIClient) -> None:
    lines = [
        {"clutch": "C-mill", "number": 1, "at": AT, "seen": "vessels"},
        {"clutch": "C-mill", "number": 9, "at": AT, "seen": "vessels"},
        {"clutch": "C-mill", "number": 1, "at": AT, "seen": "bright"},
    ]

    report = keeper.post(EGG_CHECKS, lines).json()

    assert (report["stored"], report["known"]) == (1, 0)
    assert [row["index"] for row in report["refused"]] == [1, 2]
    assert [line["label"] for line in report["lines"]] == ["C-mill 1", "C-mill 9", None]


def test_a_range_of_places_is_candled_at_once(nest: Nest, keeper: APIClient) -> None:
    body = {"box": "BX-mill", "places": "rows 1-2", "seen": "vessels", "at": AT}

    report = keeper.post(EGG_CHECKS, body).json()

    assert (report["stored"], len(report["lines"])) == (4, 4)
    assert keeper.post(EGG_CHECKS, body).json()["known"] == 4
    nobody = keeper.post(EGG_CHECKS, {**body, "places": "row 4"})
    assert (nobody.status_code, nobody.json()["code"]) == (409, "placing_refused")
    wrong = keeper.post(EGG_CHECKS, {**body, "places": "row 5"})
    assert (wrong.status_code, wrong.json()["code"]) == (409, "places_refused")


def test_a_wrong_candling_is_struck_out(nest: Nest, keeper: APIClient) -> None:
    row = EggCheckFactory.create(egg=nest.eggs[0])

    answer = keeper.post(f"{EGG_CHECKS}{row.pk}/strike/", {"reason": "Another egg."})

    assert answer.json()["struck_reason"] == "Another egg."


def test_a_box_is_looked_into(nest: Nest) -> None:
    body = {"box": "BX-mill", "at": AT, "mass_g": 402.5, "water_g": 6}

    answer = ada().post(BOX_CHECKS, body)

    row = BoxCheck.objects.get()
    found = answer.json()
    assert found.pop("recorded_at").endswith("Z")
    assert found == entry(
        row.pk,
        box={"id": nest.box.pk, "code": "BX-mill"},
        mass_g=402.5,
        water_g=6.0,
        remarks=[],
    )
    assert row.mass_g == Decimal("402.5")
    struck = ada().post(f"{BOX_CHECKS}{row.pk}/strike/", {"reason": "Another box."})
    assert struck.json()["struck_by"] == "Ada"


def test_boxes_that_there_are_not_are_refused(nest: Nest, keeper: APIClient) -> None:
    answer = keeper.post(BOX_CHECKS, {"box": "BX-9", "at": AT})

    assert (answer.status_code, answer.json()["fields"]) == (
        409,
        {"box": "the code of a box"},
    )


# Many at once


def test_a_range_that_was_candled_wrongly_is_struck_out(
    nest: Nest, keeper: APIClient, django_assert_num_queries: Any
) -> None:
    box = EggBox.objects.get()
    candled = {"box": box.code, "places": "all", "at": AT, "seen": "vessels"}
    assert keeper.post(EGG_CHECKS, candled).json()["stored"] == 4
    wrong = {"box": box.code, "places": "all", "at": AT, "reason": "Another box."}

    answer = keeper.post(f"{EGG_CHECKS}strike/", wrong)

    assert answer.status_code == 200
    found = answer.json()
    assert (found["struck"], len(found["checks"])) == (4, 4)
    assert {check["struck_reason"] for check in found["checks"]} == {"Another box."}
    assert not EggCheck.objects.filter(struck_at__isnull=True).exists()
    again = keeper.post(f"{EGG_CHECKS}strike/", wrong)
    assert (again.status_code, list(again.json()["fields"])) == (409, ["checks"])
    never = keeper.post(f"{EGG_CHECKS}strike/", {**wrong, "at": "2026-03-02T09:01:00Z"})
    assert (never.status_code, never.json()["code"]) == (400, "no_checks")


def test_checks_are_struck_out_by_number(nest: Nest, keeper: APIClient) -> None:
    rows = [EggCheckFactory(egg=egg) for egg in nest.eggs[:2]]
    kept = EggCheckFactory(egg=nest.eggs[2])
    numbers = [row.pk for row in rows]

    missing = keeper.post(
        f"{EGG_CHECKS}strike/", {"checks": [*numbers, 10**9], "reason": "A slip."}
    )
    answer = keeper.post(
        f"{EGG_CHECKS}strike/", {"checks": numbers, "reason": "A slip."}
    )

    assert (missing.status_code, missing.json()["code"]) == (400, "unknown_check")
    assert sorted(check["id"] for check in answer.json()["checks"]) == numbers
    kept.refresh_from_db()
    assert kept.struck_at is None


def test_eggs_are_mended_together_or_not_at_all(nest: Nest, keeper: APIClient) -> None:
    on = (timezone.now().date() - timedelta(days=1)).isoformat()
    ended = {"state": "failed", "cause": "mould"}
    set_ = keeper.post(EGGS, {"eggs": named(1, 2, **ended), "on": on})
    assert set_.status_code == 200
    back = named(1, 2, state="incubating")
    lone = [{**back[0], "number": 99}]

    nowhere = keeper.post(f"{EGGS}mend/", {"eggs": [*back, *lone], "reason": "Slip."})
    twice = keeper.post(f"{EGGS}mend/", {"eggs": [*back, back[0]], "reason": "Slip."})
    assert (nowhere.status_code, twice.status_code) == (404, 409)
    assert Egg.objects.filter(state="failed").count() == 2

    answer = keeper.post(f"{EGGS}mend/", {"eggs": back, "reason": "Slip."})

    assert answer.status_code == 200
    found = answer.json()
    assert [egg["state"] for egg in found["eggs"]] == ["incubating"] * 2
    assert [egg["box"] for egg in found["eggs"]] == [EggBox.objects.get().code] * 2
    assert found["remarks"] == []
    none = keeper.post(f"{EGGS}mend/", {"eggs": [], "reason": "Slip."})
    assert none.json()["code"] == "no_rows"
