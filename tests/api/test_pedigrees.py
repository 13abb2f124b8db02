"""Pedigree files sent in, and pedigrees as data."""

from decimal import Decimal
from io import BytesIO
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test.utils import CaptureQueriesContext
from openpyxl import Workbook
from rest_framework.test import APIClient

from core.models import AuditEntry
from core.roles import Role
from husbandry.models import Animal
from tests.api.conftest import Caller
from tests.clutches.test_pedigrees import MRODE
from tests.factories import (
    AnimalFactory,
    CandidateSireFactory,
    HatchlingFactory,
    SpeciesFactory,
)

ADDRESS = "/api/v1/pedigree-imports/"
LOOPED = "id,dam,sire,sex\nV-1,V-2,V-3,f\nV-2,V-1,,f\nV-4,?,?,both\n"


@pytest.fixture(autouse=True)
def _species(db: None) -> None:
    SpeciesFactory.create()


def send(client: APIClient, text: str, query: str = "") -> Any:
    return client.post(f"{ADDRESS}{query}", data=text, content_type="text/csv")


def test_a_file_is_taken_in_and_told_line_by_line(owner: APIClient) -> None:
    answer = send(owner, LOOPED)

    assert answer.status_code == 200
    loop = "would descend from itself"
    tail = "Mend one of these parents. It was left out; the animal stays."
    assert answer.json() == {
        "dry_run": False,
        "rows": 3,
        "registered": 3,
        "named_only": ["V-3"],
        "filled_in": 0,
        "known": 0,
        "refused": 0,
        "lines": [
            {
                "line": 2,
                "code": "V-1",
                "outcome": "registered",
                "said": [f"V-1 {loop}: V-1 ← V-2 ← V-1. {tail}"],
            },
            {
                "line": 3,
                "code": "V-2",
                "outcome": "registered",
                "said": [f"V-2 {loop}: V-2 ← V-1 ← V-2. {tail}"],
            },
            {
                "line": 4,
                "code": "V-4",
                "outcome": "registered",
                "said": [
                    "'both' is no sex; accepted are male, female, m, f, 1.0, 0.1 and "
                    "unknown. Its sex was left out."
                ],
            },
        ],
    }
    assert set(AuditEntry.objects.values_list("by__role", flat=True)) == {"owner"}


def test_a_dry_run_stores_nothing(owner: APIClient) -> None:
    tried = send(owner, MRODE, "?dry_run=true").json()

    assert (tried["dry_run"], tried["registered"]) == (True, 6)
    assert not Animal.objects.exists()
    assert {**send(owner, MRODE).json(), "dry_run": True} == tried
    assert send(owner, MRODE).json()["known"] == 6


def test_a_form_with_a_spreadsheet_is_taken_too(owner: APIClient) -> None:
    book, stream = Workbook(), BytesIO()
    for row in (("Code", "Dam", "Sire", "Sex"), ("V-1", "V-2", "wild", 1.0)):
        book.active.append(row)  # type: ignore[union-attr] # a new book has a sheet
    book.save(stream)

    answer = owner.post(
        ADDRESS,
        data={"file": SimpleUploadedFile("herd.xlsx", stream.getvalue())},
        format="multipart",
    )

    assert answer.status_code == 200, answer.json()
    assert set(Animal.objects.values_list("code", "sex", "dam__code")) == {
        ("V-1", "male", "V-2"),
        ("V-2", "female", None),
    }


@pytest.mark.parametrize(
    ("text", "query", "status", "code"),
    [
        ("", "", 400, "no_body"),
        ("id,mass\nV-1,3\n", "", 409, "pedigree_file_refused"),
        ("id,dam,born\nV-1,?,4/5/2024\n", "", 409, "pedigree_file_undecided"),
        (MRODE, "?species=gecko", 400, "unknown_species"),
        (MRODE, "?day_order=dym", 400, "invalid_parameter"),
        ("x" * 10_000_001, "", 413, "too_large"),
        ("x" * 21_000_000, "", 413, "too_large"),
    ],
)
def test_what_cannot_be_read_is_refused(
    text: str, query: str, status: int, code: str, owner: APIClient
) -> None:
    answer = send(owner, text, query)

    assert (answer.status_code, answer.json()["code"]) == (status, code)
    assert not Animal.objects.exists()


def test_forms_without_a_file_or_with_too_large_a_one_are_refused(
    owner: APIClient,
) -> None:
    large = SimpleUploadedFile("herd.csv", b"x" * 10_000_001)

    none = owner.post(ADDRESS, data={"file": "herd.csv"}, format="multipart")
    much = owner.post(ADDRESS, data={"file": large}, format="multipart")

    assert (none.status_code, none.json()["code"]) == (400, "no_body")
    assert (much.status_code, much.json()["code"]) == (413, "too_large")


def test_json_is_no_pedigree(owner: APIClient) -> None:
    answer = owner.post(ADDRESS, data={"file": "x"}, format="json")

    assert answer.status_code == 415


def test_a_day_order_is_asked_and_taken(owner: APIClient) -> None:
    text = "id,dam,born\nV-1,?,4/5/2024\n"

    asked = send(owner, text).json()
    told = "?day_order=mdy&species=veiled_chameleon"
    taken = send(owner, text, told).json()

    assert asked["fields"] == {"day_order": "dmy, mdy"}
    assert taken["registered"] == 1
    assert str(Animal.objects.get().hatched_on) == "2024-04-05"


@pytest.mark.parametrize("role", sorted(set(Role) - {Role.OWNER, Role.MANAGER}))
def test_who_may_not_mend_animals_sends_no_pedigree(role: Role, caller: Caller) -> None:
    assert send(caller(role), MRODE).status_code == 403
    assert not Animal.objects.exists()


def test_a_pedigree_is_told_place_by_place(owner: APIClient, viewer: APIClient) -> None:
    send(owner, MRODE)
    five = Animal.objects.get(code="5")
    ids = dict(Animal.objects.values_list("code", "pk"))

    found = viewer.get(f"/api/v1/animals/{five.pk}/pedigree/?generations=2").json()

    # Mrode, table 2.1: animal 5 has an inbreeding coefficient of 0.125.
    assert (found["inbreeding"], found["lower_bound"], found["expected"]) == (
        0.125,
        True,
        False,
    )
    told = [
        (".".join(p["path"]), p["animal"] and p["animal"]["code"], p["mark"])
        for p in found["places"]
    ]
    assert told == [
        ("", "5", ""),
        ("dam", "3", ""),
        ("dam.dam", "2", ""),
        ("dam.sire", "1", "A"),
        ("sire", "4", ""),
        ("sire.dam", None, ""),
        ("sire.sire", "1", "A"),
    ]
    assert found["places"][1]["animal"] == {"id": ids["3"], "code": "3"}
    assert [(y["id"], y["other_parent"], y["probability"]) for y in found["young"]] == [
        (ids["6"], "2", 1.0)
    ]
    assert found["young_in_all"] == 1


def test_candidates_stand_in_the_sires_place(viewer: APIClient) -> None:
    hatchling = HatchlingFactory.create(animal__sire=None)
    sire = AnimalFactory.create(male=True)
    CandidateSireFactory.create(
        clutch=hatchling.clutch, sire=sire, probability=Decimal("0.25")
    )

    address = f"/api/v1/animals/{hatchling.animal_id}/pedigree/"
    *_, place = viewer.get(f"{address}?generations=1").json()["places"]

    assert (place["path"], place["animal"], place["candidates"]) == (
        ["sire"],
        None,
        [{"sire": {"id": sire.pk, "code": sire.code}, "probability": 0.25}],
    )
    assert viewer.get(f"{address}?generations=7").status_code == 400


def test_a_deep_line_costs_no_more_queries(owner: APIClient) -> None:
    send(owner, MRODE)

    def queries(code: str) -> int:
        pk = Animal.objects.get(code=code).pk
        with CaptureQueriesContext(connection) as found:
            owner.get(f"/api/v1/animals/{pk}/pedigree/?generations=6")
        return len(found)

    assert queries("6") == queries("1")
