"""Figures of intakes and outcomes over the API: both formulas, tables, what is left out."""

import csv
from datetime import timedelta
from io import StringIO
from typing import Any

import pytest
from rest_framework.test import APIClient

from tests.factories import (
    TODAY,
    AnimalFactory,
    DeathFactory,
    PlacementFactory,
    SpeciesFactory,
)

pytestmark = pytest.mark.django_db
ADDRESS = "/api/v1/placement-figures/"
DAY = timedelta(days=1)
PERIOD = {"from_on": "2026-02-01", "until_on": "2026-03-02"}


@pytest.fixture
def house(db: None) -> None:
    """Ten days with four animals: one adopted, one put to sleep, one lent, one dirty."""
    came = TODAY - 10 * DAY
    adopted = AnimalFactory.create(arrived_on=came, left=True)
    PlacementFactory.create(
        animal=adopted, state="handed_over", handed_over_on=TODAY, kind="adoption"
    )
    lent = AnimalFactory.create(arrived_on=came, status="placed", left_on=TODAY - DAY)
    PlacementFactory.create(
        animal=lent, state="handed_over", handed_over_on=TODAY - DAY, kind="loan"
    )
    asleep = AnimalFactory.create(arrived_on=came, status="dead", left_on=TODAY)
    DeathFactory.create(animal=asleep, on=TODAY, euthanised_by="A licensed vet")
    AnimalFactory.create(
        code="D-1", arrived_on=TODAY, status="lost", left_on=TODAY - 5 * DAY
    )


def asked(client: APIClient, **more: str) -> dict[str, Any]:
    answer = client.get(ADDRESS, PERIOD | more)
    assert answer.status_code == 200
    found: dict[str, Any] = answer.json()
    return found


@pytest.mark.usefixtures("house")
def test_figures_of_all_in_one_group(owner: APIClient) -> None:
    told = asked(owner)

    (group,) = told["groups"]
    assert group["intakes"] == [{"how": "not_said", "count": 3}]
    assert group["outcomes"] == [
        {"how": "adoption", "count": 1},
        {"how": "put_to_sleep", "count": 1},
    ]
    assert (group["census_first"], group["census_last"], group["away_last"]) == (
        0,
        1,
        1,
    )
    rates = group["rates"]
    assert rates["asilomar_accords_2004"]["value"] == 0.5
    assert rates["live_by_intake"] == pytest.approx(1 / 3)
    stay = group["stay"]
    # Two for ten days each, the third for ten and today.
    assert (stay["animal_days"], stay["exits"], stay["days"]) == (31, 2, 15.5)
    assert [one["stage"] for one in group["stages"]] == [
        *("quarantine", "ready", "planned", "away")
    ]
    assert told["left_out"] == [
        {
            "animal": "D-1",
            "first_on": "2026-03-02",
            "last_on": "2026-02-25",
            "why": "negative",
        }
    ]


@pytest.mark.usefixtures("house")
@pytest.mark.parametrize(
    ("by", "names"),
    [
        ("species", ["veiled_chameleon"]),
        ("source", ["not_said"]),
        ("month", ["2026-02", "2026-03"]),
        ("year", ["2026"]),
    ],
)
def test_groups_are_told_apart(by: str, names: list[str], owner: APIClient) -> None:
    assert [group["group"] for group in asked(owner, by=by)["groups"]] == names


@pytest.mark.usefixtures("house")
def test_one_species_only(owner: APIClient) -> None:
    SpeciesFactory.create(code="other")

    told = asked(owner, species="other")

    assert (told["groups"][0]["intakes"], told["left_out"]) == ([], [])


@pytest.mark.parametrize(
    ("wrong", "status"),
    [
        ({"by": "moon"}, 400),
        ({"from_on": "soon"}, 400),
        ({"until_on": "2190-01-01"}, 409),
        ({"from_on": "2026-03-02", "until_on": "2026-03-01"}, 409),
        ({"from_on": "1990-01-01", "until_on": "2026-03-01"}, 409),
    ],
)
def test_what_cannot_be_asked_is_refused(
    wrong: dict[str, str], status: int, owner: APIClient
) -> None:
    answer = owner.get(ADDRESS, wrong)

    assert answer.status_code == status
    assert set(answer.json()["fields"]) <= set(wrong)
    assert answer.json()["fields"]


@pytest.mark.usefixtures("house")
@pytest.mark.parametrize(
    ("file", "lines"), [("groups-csv", 1), ("census-csv", 30), ("left-out-csv", 1)]
)
def test_tables_are_csv(owner: APIClient, file: str, lines: int) -> None:
    answer = owner.get(f"{ADDRESS}{file}/", PERIOD)

    assert answer["Content-Type"].startswith("text/csv")
    assert answer["Content-Disposition"].startswith("attachment")
    found = list(csv.reader(StringIO(answer.content.decode(), newline="")))
    assert len(found) == lines + 1
    assert {len(row) for row in found} == {len(found[0])}
