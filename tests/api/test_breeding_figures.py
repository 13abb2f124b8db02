"""Breeding figures over the API: numbers with intervals, and tables as CSV."""

import csv
from io import StringIO
from typing import Any

import pytest
from rest_framework.test import APIClient

from tests.clutches.test_figures import make_clutch

pytestmark = pytest.mark.django_db
ADDRESS = "/api/v1/breeding-figures/"


def test_figures_of_all_in_one_group(viewer: APIClient) -> None:
    make_clutch()

    answer = viewer.get(ADDRESS).json()

    assert answer["by"] == "all"
    [group] = answer["groups"]
    assert group["group"] == "all"
    assert (group["eggs_set"], group["infertile_at_laying"]) == (3, 1)
    assert group["hatch_rate"]["count"] == group["hatch_rate"]["of"] == 1
    assert group["fertility"]["of"] == 3
    assert (group["undecided"], group["incubating"]) == (1, 2)
    assert group["days"] == {"count": 1, "median": 200, "least": 200, "most": 200}
    assert group["mass_g"]["median"] == 1.2
    assert [s["days"] for s in group["survival"]] == [30, 60, 90]
    assert group["sexes"]["female"] == 1
    assert answer["survival_compared"]["p"] is None


def test_groups_are_told_apart(viewer: APIClient) -> None:
    make_clutch("C-1")
    make_clutch("C-2")

    answer = viewer.get(ADDRESS, {"by": "clutch"}).json()

    assert [g["group"] for g in answer["groups"]] == ["C-1", "C-2"]


def test_nothing_on_record_is_no_error(viewer: APIClient) -> None:
    answer = viewer.get(ADDRESS, {"by": "pair"}).json()

    assert answer["groups"] == []


@pytest.mark.parametrize(
    "wrong", [{"by": "moon"}, {"from_year": "1"}, {"until_year": "x"}, {"who": "me"}]
)
def test_what_cannot_be_asked_is_refused(
    viewer: APIClient, wrong: dict[str, Any]
) -> None:
    answer = viewer.get(ADDRESS, wrong)

    assert answer.status_code == 400
    assert next(iter(wrong)) in str(answer.json())


@pytest.mark.parametrize(("file", "lines"), [("groups-csv", 1), ("eggs-csv", 3)])
def test_tables_are_csv(viewer: APIClient, file: str, lines: int) -> None:
    make_clutch()

    answer = viewer.get(f"{ADDRESS}{file}/")

    assert answer["Content-Type"].startswith("text/csv")
    assert answer["Content-Disposition"].startswith("attachment")
    found = list(csv.reader(StringIO(answer.content.decode(), newline="")))
    assert len(found) == lines + 1
    assert {len(row) for row in found} == {len(found[0])}


def test_a_refused_table_is_refused_in_words(viewer: APIClient) -> None:
    answer = viewer.get(f"{ADDRESS}groups-csv/", {"by": "moon"})

    assert answer.status_code == 400
    assert answer["Content-Type"] == "application/problem+json"


@pytest.mark.parametrize("file", ["", "groups-csv/", "eggs-csv/"])
def test_years_the_wrong_way_round_are_refused(viewer: APIClient, file: str) -> None:
    answer = viewer.get(f"{ADDRESS}{file}", {"from_year": 2026, "until_year": 2024})

    assert answer.status_code == 400
    assert answer.json()["fields"] == {"until_year": "2026 or later"}
