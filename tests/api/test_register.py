"""The register over the API: lines as they were, corrections, and the file."""

import csv
from io import StringIO
from typing import Any

import pytest
from rest_framework.test import APIClient

from core.models import User
from core.roles import GRANTS, Permission, Role
from tests.api.conftest import Caller
from tests.factories import (
    NOW,
    TODAY,
    AnimalFactory,
    ArrivalFactory,
    HomeFactory,
    IntakeFactory,
    PlacementFactory,
    SpeciesFactory,
)

pytestmark = pytest.mark.django_db
ADDRESS = "/api/v1/register-entries/"


def write(client: APIClient) -> dict[str, Any]:
    answer = client.post(f"{ADDRESS}write/")
    assert answer.status_code == 200
    found: dict[str, Any] = answer.json()
    return found


def seized() -> Any:
    """Make an animal that came from a household by name, and left for another."""
    home = HomeFactory.create(
        name='Household "Sorrel", senior', contact="9 Hidden Lane"
    )
    animal = AnimalFactory.create(
        code="V-7", arrived_on=TODAY, microchip="968000001234567"
    )
    arrival = ArrivalFactory.create(source="seizure", home=home, found_at="=A ditch")
    IntakeFactory.create(animal=animal, arrival=arrival)
    return animal


def test_what_is_missing_is_written_once(owner: APIClient) -> None:
    seized()

    assert write(owner) == {"lines": 1, "numbers_whole": True}
    assert write(owner) == {"lines": 0, "numbers_whole": True}


def test_a_line_as_it_was_entered(owner: APIClient) -> None:
    animal = seized()
    write(owner)

    (line,) = owner.get(ADDRESS).json()["results"]

    assert line["animal"] == {"id": animal.pk, "code": "V-7"}
    assert line["home"] is not None
    assert {
        name: line[name]
        for name in ("number", "on", "direction", "how", "animal_code", "microchip")
    } == {
        "number": 1,
        "on": str(TODAY),
        "direction": "came",
        "how": "seizure",
        "animal_code": "V-7",
        "microchip": "968000001234567",
    }
    assert (line["corrects"], line["corrected_by"], line["strikes_out"]) == (None,) * 3
    assert line["entered_by"] == User.objects.get().username


def test_lines_name_no_home_but_by_number(owner: APIClient) -> None:
    seized()
    write(owner)

    assert b"Sorrel" not in owner.get(ADDRESS).content


def test_a_correction_is_told_at_both_lines(owner: APIClient) -> None:
    animal = AnimalFactory.create(species=SpeciesFactory(code="not-yet-known"))
    write(owner)
    animal.species = SpeciesFactory()
    animal.save()
    write(owner)

    first, second = owner.get(ADDRESS).json()["results"]

    assert (first["corrected_by"], second["corrects"]) == (2, 1)
    assert second["note"].startswith("Line 1: species")


def table(client: APIClient, **asked: str) -> list[list[str]]:
    answer = client.get(f"{ADDRESS}csv/", asked)
    assert answer.status_code == 200
    assert answer["Content-Type"].startswith("text/csv")
    assert answer["Content-Disposition"] == "attachment; filename=register.csv"
    text = answer.content.decode()
    assert text.endswith("\r\n")
    return list(csv.reader(StringIO(text, newline="")))


def test_the_file_says_from_whom_and_is_no_formula(owner: APIClient) -> None:
    seized()
    write(owner)

    headings, line = table(owner)

    told = dict(zip(headings, line, strict=True))
    assert told["from_or_to"] == 'Household "Sorrel", senior'
    assert told["contact"] == "9 Hidden Lane"
    assert told["place"] == "'=A ditch"
    assert (told["number"], told["came_or_left"], told["how"]) == (
        "1",
        "came",
        "seizure",
    )


def test_a_release_tells_its_place(owner: APIClient) -> None:
    animal = AnimalFactory.create(status="released", left_on=TODAY)
    PlacementFactory.create(
        animal=animal,
        home=None,
        kind="release",
        release_place="the south bank",
        state="handed_over",
        handed_over_on=TODAY,
        created_at=NOW,
    )
    write(owner)

    headings, line = table(owner, from_on=str(TODAY))

    assert dict(zip(headings, line, strict=True))["place"] == "the south bank"


def test_who_may_not_see_homes_reads_no_name(
    caller: Caller, owner: APIClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    """No role is so today; the rule holds for the one that will be."""
    seized()
    write(owner)
    fewer = GRANTS[Role.ADOPTION_COORDINATOR] - {Permission.SEE_HOMES}
    monkeypatch.setitem(GRANTS, Role.ADOPTION_COORDINATOR, fewer)
    client = caller(Role.ADOPTION_COORDINATOR)

    headings, line = table(client)

    told = dict(zip(headings, line, strict=True))
    assert (told["from_or_to"], told["contact"], told["place"]) == ("", "", "")
    assert client.get(ADDRESS).json()["results"][0]["home"] is None


def test_the_file_of_a_period_has_the_lines_of_its_days(owner: APIClient) -> None:
    AnimalFactory.create(left=True)
    write(owner)

    assert len(table(owner)) == 3
    assert len(table(owner, from_on=str(TODAY))) == 2
    assert len(table(owner, until_on="2020-01-01")) == 1


def test_days_the_wrong_way_round_are_refused(owner: APIClient) -> None:
    answer = owner.get(f"{ADDRESS}csv/?from_on=2026-03-02&until_on=2026-03-01")

    assert (answer.status_code, answer.json()["code"]) == (400, "days_reversed")
    assert answer.json()["fields"] == {"until_on": "2026-03-02 or later"}
