"""Papers over the API: recorded, withdrawn, photographed; what is refused, and why."""

from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from PIL import Image
from pytest_django import Settings
from rest_framework.test import APIClient

from core.roles import Role
from placements.models import AnimalPaper
from tests.api.conftest import Caller
from tests.factories import (
    NOW,
    AnimalFactory,
    AnimalPaperFactory,
    SpeciesFactory,
)

pytestmark = pytest.mark.django_db
ADDRESS = "/api/v1/papers/"


@pytest.fixture(autouse=True)
def media(settings: Settings, tmp_path: Path) -> None:
    settings.MEDIA_ROOT = tmp_path / "media"


def sent(**more: Any) -> dict[str, Any]:
    return {
        "kind": "cites_certificate",
        "animal": "V-7",
        "number": "CC-1",
        "cites_source": "F",
        "issued_by": "an invented office",
        "valid_until": "2026-12-31",
        "note": "from Quitéria Lumbrales",
    } | more


def test_a_paper_is_recorded_with_what_its_source_means(
    owner: APIClient, keeper: APIClient
) -> None:
    animal = AnimalFactory.create(code="V-7")

    answer = owner.post(ADDRESS, sent(), format="json")

    assert answer.status_code == 201
    told = answer.json()
    assert told["animal"] == {"id": animal.pk, "code": "V-7"}
    assert (told["cites_source"], told["treated_as_wild"]) == ("F", True)
    assert "born in captivity" in told["cites_source_means"]
    assert told["note"] == "from Quitéria Lumbrales"
    # Who may not see homes reads no note, which may name people.
    assert keeper.get(f"{ADDRESS}{told['id']}/").json()["note"] == ""


def test_a_permit_of_a_whole_species(keeper: APIClient) -> None:
    SpeciesFactory.create(code="veiled_chameleon")
    given = sent(kind="keeping_permit", animal="", species="veiled_chameleon")
    given |= {"cites_source": None, "valid_until": None}

    told = keeper.post(ADDRESS, given, format="json").json()

    assert (told["animal"], told["species"]["code"]) == (None, "veiled_chameleon")
    assert (told["cites_source_means"], told["treated_as_wild"]) == ("", False)


@pytest.mark.parametrize(
    ("wrong", "status", "code", "field"),
    [
        ({"species": "veiled_chameleon"}, 409, "paper_refused", "animal"),
        ({"animal": ""}, 409, "paper_refused", "animal"),
        ({"cites_source": "A"}, 409, "paper_refused", "cites_source"),
        ({"cites_source": "Z"}, 400, "invalid_body", "cites_source"),
        ({"valid_until": "2026-02-30"}, 400, "invalid_body", "valid_until"),
        ({"animal": "", "species": "none"}, 400, "unknown_species", "species"),
        ({"number": " "}, 409, "paper_refused", "number"),
    ],
)
def test_what_is_refused(
    wrong: dict[str, Any], status: int, code: str, field: str, owner: APIClient
) -> None:
    AnimalFactory.create(code="V-7")

    answer = owner.post(ADDRESS, sent(**wrong), format="json")

    assert (answer.status_code, answer.json()["code"]) == (status, code)
    assert list(answer.json()["fields"]) == [field]
    assert not AnimalPaper.objects.exists()


def test_a_paper_is_withdrawn_once(keeper: APIClient) -> None:
    paper = AnimalPaperFactory.create()
    address = f"{ADDRESS}{paper.pk}/withdraw/"

    told = keeper.post(address, {"reason": "read wrongly"}, format="json").json()

    assert (told["withdrawn_reason"], bool(told["withdrawn_at"])) == (
        "read wrongly",
        True,
    )
    again = keeper.post(address, {"reason": "again"}, format="json")
    assert (again.status_code, again.json()["code"]) == (409, "paper_refused")


def picture() -> bytes:
    file = BytesIO()
    Image.new("RGB", (8, 6), "green").save(file, "PNG")
    return file.getvalue()


@pytest.mark.django_db(transaction=True)
def test_a_photograph_is_kept_and_handed_to_who_may_see_homes(caller: Caller) -> None:
    paper = AnimalPaperFactory.create()
    address = f"{ADDRESS}{paper.pk}/photo/"

    kept = caller(Role.KEEPER).generic("POST", address, picture(), "image/png")

    assert (kept.status_code, kept.json()["has_photo"]) == (201, True)
    answer = caller(Role.OWNER).get(address)
    assert answer["Content-Type"] == "image/jpeg"
    assert answer.content.startswith(b"\xff\xd8")
    assert caller(Role.KEEPER).get(address).status_code == 403


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize(
    ("data", "kind"), [(b"%PDF-1.7", "image/jpeg"), (b"\xff\xd8broken", "image/jpeg")]
)
def test_what_is_no_photograph_is_refused(
    data: bytes, kind: str, owner: APIClient
) -> None:
    paper = AnimalPaperFactory.create()

    answer = owner.generic("POST", f"{ADDRESS}{paper.pk}/photo/", data, kind)

    assert (answer.status_code, answer.json()["code"]) == (409, "photograph_refused")
    paper.refresh_from_db()
    assert not paper.photo


def test_no_photograph_is_not_found(owner: APIClient) -> None:
    without = AnimalPaperFactory.create()
    taken_away = AnimalPaperFactory.create(photo="papers/gone.jpg", recorded_at=NOW)

    for paper in (without, taken_away):
        assert owner.get(f"{ADDRESS}{paper.pk}/photo/").status_code == 404
