"""Weighings: read, recorded one by one and in lists, confirmed."""

from datetime import UTC, datetime
from decimal import Decimal

import pytest
from rest_framework.test import APIClient

from core.models import AuditEntry
from core.roles import Role
from husbandry.models import Weighing
from tests.api.conftest import Caller
from tests.factories import AnimalFactory, UserFactory, WeighingFactory

WEIGHINGS = "/api/v1/weighings/"
CONFIRM = f"{WEIGHINGS}confirm/"
FIRST = datetime(2026, 3, 1, 9, tzinfo=UTC)


@pytest.fixture
def _juno(db: None) -> None:
    WeighingFactory(
        animal=AnimalFactory(code="V-1"), at=FIRST, mass_g=Decimal("101.50")
    )


@pytest.mark.usefixtures("_juno")
def test_record_one(caller: Caller) -> None:
    who = UserFactory(first_name="Ada", role=Role.KEEPER.value)
    client = APIClient()
    client.force_authenticate(who)

    answer = client.post(
        WEIGHINGS,
        {
            "animal": "V-1",
            "mass_g": 102.346,
            "at": "2026-03-02T10:00:00+01:00",
            "note": "After a drink.",
        },
    )

    assert answer.status_code == 201
    row = Weighing.objects.latest("pk")
    assert row.mass_g == Decimal("102.35")  # kept to 0.01 g
    found = answer.json()
    assert found.pop("recorded_at").endswith("Z")
    assert found == {
        "id": row.pk,
        "animal": {"id": row.animal.pk, "code": "V-1"},
        "at": "2026-03-02T09:00:00Z",
        "mass_g": 102.35,
        "recorded_by": "Ada",
        "note": "After a drink.",
        "corrects": None,
        "corrected_by": None,
    }


@pytest.mark.usefixtures("_juno")
def test_the_same_again_changes_nothing(keeper: APIClient) -> None:
    body = {"animal": "V-1", "mass_g": 101.5, "at": "2026-03-01T09:00:00Z"}

    answer = keeper.post(WEIGHINGS, body)

    assert answer.status_code == 201
    assert Weighing.objects.count() == 1


@pytest.mark.usefixtures("_juno")
def test_without_an_instant_it_is_now(keeper: APIClient) -> None:
    answer = keeper.post(WEIGHINGS, {"animal": "V-1", "mass_g": 101})

    assert answer.status_code == 201
    assert Weighing.objects.latest("pk").at.year >= 2026


@pytest.mark.usefixtures("_juno")
def test_a_slip_is_refused_and_can_be_confirmed(keeper: APIClient) -> None:
    body = {"animal": "V-1", "mass_g": 1015, "at": "2026-03-02T09:00:00Z"}

    refused = keeper.post(WEIGHINGS, body)

    assert refused.status_code == 409
    problem = refused.json()
    assert (problem["code"], problem["confirm"]) == ("implausible_mass", CONFIRM)
    assert "1015 g is not plausible" in problem["detail"]
    assert set(problem["fields"]) == {"mass_g"}
    assert Weighing.objects.count() == 1

    confirmed = keeper.post(CONFIRM, {**body, "reason": "Two scales agree."})

    assert confirmed.status_code == 201
    assert confirmed.json()["note"] == "Two scales agree."
    assert AuditEntry.objects.get(verb="confirm_weighing").reason == "Two scales agree."


@pytest.mark.usefixtures("_juno")
def test_confirming_needs_a_reason(keeper: APIClient) -> None:
    body = {"animal": "V-1", "mass_g": 1015}

    assert keeper.post(CONFIRM, body).status_code == 400
    assert keeper.post(CONFIRM, {**body, "reason": ""}).status_code == 400
    assert keeper.post(CONFIRM, {**body, "reason": "  "}).status_code == 409
    assert Weighing.objects.count() == 1


@pytest.mark.parametrize(
    ("body", "fields"),
    [
        ({"animal": "V-1"}, {"mass_g": "needed"}),
        ({"animal": "V-1", "mass_g": "101"}, {"mass_g": "float"}),
        ({"animal": "V-1", "mass_g": True}, {"mass_g": "float"}),
        ({"animal": "V-1", "mass_g": None}, {"mass_g": "float"}),
        ({"animal": 1, "mass_g": 101}, {"animal": "str"}),
        (
            {"animal": "V-1", "mass_g": 101, "at": "2026-03-01T09:00:00"},
            {"at": "an instant as 2026-03-01T06:00:00+01:00"},
        ),
        (
            {"animal": "V-1", "mass_g": 101, "at": "1026-03-01T09:00:00Z"},
            {"at": "1970-01-01 to 2199-12-31"},
        ),
        (
            {"animal": "V-1", "mass_g": 101, "note": "x" * 201},
            {"note": "str of length <= 200"},
        ),
        (
            {"animal": "V-1", "mass_g": 101, "unit": "g"},
            {"unit": "none of that name; known are: animal, mass_g, at, note"},
        ),
        ({"animal": "V-9", "mass_g": 101}, {"animal": "the code of an animal"}),
        ("V-1", {}),
    ],
)
@pytest.mark.usefixtures("_juno")
def test_what_cannot_be_read_is_refused(
    keeper: APIClient, body: object, fields: dict[str, str]
) -> None:
    answer = keeper.post(WEIGHINGS, body)

    assert answer.status_code == 400
    assert answer.json()["fields"] == fields
    assert Weighing.objects.count() == 1


@pytest.mark.parametrize("mass_g", [0, -1, 1e9, 0.001])
@pytest.mark.usefixtures("_juno")
def test_no_animal_has_this_mass(keeper: APIClient, mass_g: float) -> None:
    answer = keeper.post(WEIGHINGS, {"animal": "V-1", "mass_g": mass_g})

    assert (answer.status_code, answer.json()["code"]) == (409, "impossible_mass")
    assert answer.json()["confirm"] is None


@pytest.mark.usefixtures("_juno")
def test_a_list_keeps_its_good_lines(keeper: APIClient) -> None:
    AnimalFactory(code="V-2")

    answer = keeper.post(
        WEIGHINGS,
        [
            {"animal": "V-2", "mass_g": 55.5, "at": "2026-03-02T09:00:00Z"},
            {"animal": "V-1", "mass_g": "heavy"},
            {"animal": "V-1", "mass_g": 1015, "at": "2026-03-02T09:00:00Z"},
            {"animal": "V-1", "mass_g": 101.5, "at": "2026-03-01T09:00:00Z"},
            {"animal": "V-9", "mass_g": 10},
            {"animal": "V-1", "mass_g": 99, "note": "x"},
        ],
    )

    assert answer.status_code == 200
    report = answer.json()
    assert (report["stored"], report["known"]) == (1, 1)
    assert [(row["index"], row["code"]) for row in report["refused"]] == [
        (1, "unreadable"),
        (2, "implausible_mass"),
        (4, "weighing_refused"),
        (5, "unreadable"),
    ]
    assert report["refused"][0]["sentence"] == (
        "mass_g cannot be read: expected float, got str."
    )
    stored, known = (Weighing.objects.get(animal__code=c) for c in ("V-2", "V-1"))
    assert report["weighings"] == [stored.pk, None, None, known.pk, None, None]


def test_a_list_of_which_nothing_can_be_read(keeper: APIClient) -> None:
    answer = keeper.post(WEIGHINGS, [None, {"animal": "V-1", "mass_g": "heavy"}])

    assert (answer.status_code, answer.json()["code"]) == (400, "invalid_body")
    assert answer.json()["detail"] == (
        "None of the 2 rows can be read. The first: the body cannot be read: expected "
        "object, got null."
    )


@pytest.mark.parametrize("instant", ["0.5", "1772409600", "2026-03-02", "null"])
def test_an_instant_in_an_address_is_written_out(
    viewer: APIClient, instant: str
) -> None:
    answer = viewer.get(f"{WEIGHINGS}?until_at={instant}")

    assert answer.status_code == 400
    assert answer.json()["detail"] == (
        f"until_at='{instant}' cannot be read; accepted is: an instant as "
        "2026-03-01T06:00:00+01:00."
    )


def test_a_list_that_is_empty_or_too_long(keeper: APIClient) -> None:
    empty = keeper.post(WEIGHINGS, [])
    long = keeper.post(WEIGHINGS, [{"animal": "V-1", "mass_g": 1}] * 1001)

    assert (empty.status_code, empty.json()["code"]) == (400, "no_rows")
    assert (long.status_code, long.json()["code"]) == (413, "too_many_rows")


def test_read_and_filter(viewer: APIClient) -> None:
    animal = AnimalFactory(code="V-1")
    wrong = WeighingFactory(animal=animal, at=FIRST, mass_g=Decimal(1015))
    right = WeighingFactory(animal=animal, at=FIRST, corrects=wrong)
    other = WeighingFactory(at=datetime(2026, 2, 1, tzinfo=UTC))

    def ids(query: str) -> list[int]:
        rows = viewer.get(f"{WEIGHINGS}?{query}").json()["results"]
        return [row["id"] for row in rows]

    assert ids("") == [right.pk, wrong.pk, other.pk]
    assert ids("animal=V-1") == [right.pk, wrong.pk]
    assert ids("in_force=true") == [right.pk, other.pk]
    assert ids("in_force=false") == [wrong.pk]
    assert ids("from_at=2026-03-01T09:00:00Z&in_force=true") == [right.pk]
    assert ids("until_at=2026-03-01T09:00:00Z") == [other.pk]
    found = viewer.get(f"{WEIGHINGS}{wrong.pk}/").json()
    assert (found["corrected_by"], found["corrects"]) == (right.pk, None)


@pytest.mark.usefixtures("_juno")
def test_all_or_none_stores_nothing_and_names_what_stands_against_it(
    keeper: APIClient,
) -> None:
    lines = [
        {"animal": "V-1", "mass_g": 102, "at": "2026-03-02T09:00:00Z"},
        {"animal": "V-1", "mass_g": "heavy"},
        {"animal": "V-1", "mass_g": 1015, "at": "2026-03-03T09:00:00Z"},
        {"animal": "V-9", "mass_g": 10},
    ]

    answer = keeper.post(f"{WEIGHINGS}?all_or_none=true", lines)

    assert answer.status_code == 409
    problem = answer.json()
    assert problem["code"] == "rows_refused"
    assert problem["detail"].startswith("Nothing was stored: 3 of 4 rows")
    assert [(row["index"], row["code"]) for row in problem["rows"]] == [
        (1, "unreadable"),
        (2, "implausible_mass"),
        (3, "weighing_refused"),
    ]
    assert Weighing.objects.count() == 1
    assert not AuditEntry.objects.exists()


@pytest.mark.usefixtures("_juno")
def test_all_or_none_stores_a_list_without_fault(keeper: APIClient) -> None:
    lines = [
        {"animal": "V-1", "mass_g": 101.5, "at": "2026-03-01T09:00:00Z"},
        {"animal": "V-1", "mass_g": 102, "at": "2026-03-02T09:00:00Z"},
    ]

    answer = keeper.post(f"{WEIGHINGS}?all_or_none=true", lines)

    report = answer.json()
    assert answer.status_code == 200
    assert (report["stored"], report["known"], report["refused"]) == (1, 1, [])


@pytest.mark.usefixtures("_juno")
def test_a_correction_names_what_it_replaces(keeper: APIClient) -> None:
    old = Weighing.objects.get()
    address = f"{WEIGHINGS}{old.pk}/correct/"

    answer = keeper.post(address, {"mass_g": 110.5, "reason": "Misread."})

    new = Weighing.objects.latest("pk")
    assert answer.status_code == 201
    found = answer.json()
    del found["recorded_at"], found["recorded_by"]
    assert found == {
        "id": new.pk,
        "animal": {"id": old.animal.pk, "code": "V-1"},
        "at": "2026-03-01T09:00:00Z",
        "mass_g": 110.5,
        "note": "Misread.",
        "corrects": old.pk,
        "corrected_by": None,
    }
    assert AuditEntry.objects.get().verb == "correct_weighing"

    again = keeper.post(address, {"mass_g": 111, "reason": "Misread."})

    assert (again.status_code, again.json()["code"]) == (409, "weighing_refused")


@pytest.mark.parametrize(
    ("body", "status", "code"),
    [
        ({"mass_g": 110}, 400, "invalid_body"),
        ({"mass_g": 110, "reason": ""}, 400, "invalid_body"),
        ({"mass_g": 110, "reason": " "}, 409, "weighing_refused"),
        ({"mass_g": 101.5, "reason": "x"}, 409, "weighing_refused"),
        ({"mass_g": 0, "reason": "x"}, 409, "impossible_mass"),
        ({"mass_g": 110, "at": "2199-01-01T00:00:00Z", "reason": "x"}, 409, None),
        ({"mass_g": 110, "animal": "V-2", "reason": "x"}, 400, "invalid_body"),
    ],
)
@pytest.mark.usefixtures("_juno")
def test_a_correction_that_cannot_be_is_refused(
    keeper: APIClient, body: dict[str, object], status: int, code: str | None
) -> None:
    old = Weighing.objects.get()

    answer = keeper.post(f"{WEIGHINGS}{old.pk}/correct/", body)

    assert answer.status_code == status
    assert answer.json()["code"] == (code or "weighing_refused")
    assert Weighing.objects.count() == 1


@pytest.mark.usefixtures("_juno")
def test_a_viewer_corrects_nothing(viewer: APIClient) -> None:
    old = Weighing.objects.get()

    answer = viewer.post(
        f"{WEIGHINGS}{old.pk}/correct/", {"mass_g": 110, "reason": "Misread."}
    )

    assert answer.status_code == 403
    assert Weighing.objects.count() == 1
