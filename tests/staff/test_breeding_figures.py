"""The page of breeding figures, its picture and its files."""

import csv
import re
import xml.etree.ElementTree as ET
from datetime import timedelta
from io import StringIO

import pytest
from django.test import Client

from husbandry.models import Animal
from tests.clutches.test_figures import HATCHED, make_clutch

pytestmark = pytest.mark.django_db
PAGE = "/breeding/figures/"


def read(client: Client, query: str = "") -> str:
    answer = client.get(f"{PAGE}{query}")
    assert answer.status_code == 200
    return " ".join(answer.content.decode().replace("\u00a0", " ").split())


def test_without_a_clutch_it_says_so(keeper: Client) -> None:
    assert "No clutch is on record that fits." in read(keeper)


def test_sentences_say_counts_intervals_and_what_is_open(keeper: Client) -> None:
    make_clutch()

    page = read(keeper)

    assert "1 clutch, 3 eggs set." in page
    # Wilson's interval of 1 of 1 (0.2065 to 1).
    assert "have hatched or failed, 1 of 1 (100 %, 21–100 %) hatched" in page
    assert "2 still incubate" in page
    assert "2 of 3 (67 %, 21–94 %); 1 not known" in page
    # Clopper and Pearson's exact interval of 1 of 1: 0.025 to 1.
    assert "day 30: 100 % alive (3–100 %, 1 watched)" in page
    assert "1 female, 0 male, 0 not settled" in page


@pytest.mark.parametrize(
    ("by", "said"),
    [
        ("incubator", "I-C-1"),
        ("temperature", "measured for less than half the time"),
        ("year", "2026"),
        ("pair", "× S-C-1"),
    ],
)
def test_groups_are_named(keeper: Client, by: str, said: str) -> None:
    make_clutch()

    assert said in read(keeper, f"?by={by}")


def test_what_cannot_be_is_said_beside_the_field(keeper: Client) -> None:
    page = read(keeper, "?from_year=1")

    assert "1900" in page
    assert 'value="1"' in page


def test_the_picture_is_an_image_with_a_title(keeper: Client) -> None:
    make_clutch()

    for query in ("", "?size=narrow&light=dim", "?by=moon"):
        answer = keeper.get(f"/breeding/survival.svg{query}")
        assert answer["Content-Type"] == "image/svg+xml"
        title = ET.fromstring(answer.content).find("{http://www.w3.org/2000/svg}title")
        assert title is not None
        assert (title.text or "").startswith("Survival of hatchlings")


@pytest.mark.parametrize(("table", "lines"), [("groups", 1), ("eggs", 3)])
def test_files_are_tables(keeper: Client, table: str, lines: int) -> None:
    make_clutch()

    answer = keeper.get(f"/breeding/figures/{table}.csv?by=clutch")

    found = list(csv.reader(StringIO(answer.content.decode(), newline="")))
    assert len(found) == lines + 1


def test_no_such_file(keeper: Client) -> None:
    assert keeper.get("/breeding/figures/moons.csv").status_code == 404
    assert keeper.get("/breeding/figures/eggs.csv?by=moon").status_code == 404


def test_years_the_wrong_way_round_are_said_beside_the_field(keeper: Client) -> None:
    page = read(keeper, "?from_year=2026&until_year=2024")

    assert "2024 is before 2026, the first year; give 2026 or later." in page


def test_too_few_for_a_comparison_is_told(keeper: Client) -> None:
    make_clutch("C-1")
    make_clutch("C-2")

    page = read(keeper, "?by=clutch")

    assert "at least two groups need 5 hatchlings or more" in page
    assert "to be tested against 1:1" in page
    assert "Not enough to compare" not in read(keeper)


def test_each_day_on_which_any_died_is_a_row(keeper: Client) -> None:
    clutch = make_clutch()
    Animal.objects.filter(hatchling__clutch=clutch).update(
        status="dead", left_on=HATCHED + timedelta(days=12)
    )

    page = read(keeper)

    # Nobody is left of one; the exact interval of 0 of 1 ends at 0.975.
    assert re.search(r"0 % \(0–9[78] %\)", page)
    assert '<th scope="row">12</th>' in page
