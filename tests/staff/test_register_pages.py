"""The register and the figures as pages: words, names, files, drawings."""

from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone

from core.roles import Role
from placements.models import RegisterEntry
from placements.rules.vocabulary import Direction, RegisterHow
from tests import factories
from tests.staff.conftest import Visitor

pytestmark = pytest.mark.django_db


def text(client: Client, path: str) -> str:
    answer = client.get(path)
    assert answer.status_code == 200
    return " ".join(answer.content.decode().split())


def left() -> None:
    on = timezone.now().date() - timedelta(days=3)
    animal = factories.AnimalFactory.create(code="V-0901", arrived_on=on)
    factories.RegisterEntryFactory.create(
        number=1,
        animal=animal,
        on=on,
        direction=Direction.CAME.value,
        how=RegisterHow.SURRENDER.value,
        home=factories.HomeFactory.create(name="=Household Sorrel"),
    )


def test_lines_are_read_with_the_home_and_as_a_safe_file(visitor: Visitor) -> None:
    left()
    owner = visitor(Role.OWNER)

    told = text(owner, "/register/")
    assert "came: given up by their keepers" in told
    assert "=Household Sorrel" in told
    assert "without a gap" in told

    file = owner.get("/register.csv")
    assert file.headers["Content-Disposition"].endswith('"register.csv"')
    lines = file.content.decode().split("\r\n")
    assert len(lines) == 3
    assert "'=Household Sorrel" in lines[1]


def test_a_gap_is_told(visitor: Visitor) -> None:
    factories.RegisterEntryFactory.create(number=2)

    assert "The numbers have a gap" in text(visitor(Role.OWNER), "/register/")


def test_days_the_wrong_way_round_are_refused_beside_the_field(
    visitor: Visitor,
) -> None:
    told = text(
        visitor(Role.OWNER), "/register/?from_on=2026-03-02&until_on=2026-03-01"
    )

    assert "2026-03-01 is before 2026-03-02" in told


def test_what_is_missing_is_written_once(visitor: Visitor) -> None:
    factories.AnimalFactory.create(code="V-0902")
    owner = visitor(Role.OWNER)

    first = owner.post("/register/write/", follow=True)
    second = owner.post("/register/write/", follow=True)

    assert RegisterEntry.objects.count() == 1
    assert "1 line written." in first.content.decode()
    assert "Nothing was missing." in second.content.decode()


def test_figures_name_both_formulas_and_what_is_left_out(visitor: Visitor) -> None:
    left()

    told = text(visitor(Role.OWNER), "/placements/figures/")

    assert "by outcomes (Asilomar Accords 2004)" in told
    assert "Live release rate, by intakes" in told
    assert "Kaplan and Meier 1958" in told
    assert "Every record is counted." in told


@pytest.mark.parametrize("by", ["all", "species", "source", "month", "year"])
def test_figures_are_told_apart(by: str, visitor: Visitor) -> None:
    left()

    assert "Came" in text(visitor(Role.OWNER), f"/placements/figures/?by={by}")


@pytest.mark.parametrize("file", ["figures", "census", "left-out"])
def test_figures_are_files(file: str, visitor: Visitor) -> None:
    left()

    answer = visitor(Role.OWNER).get(f"/placements/figures/{file}.csv")

    assert (answer.status_code, answer.headers["Content-Type"]) == (
        200,
        "text/csv; charset=utf-8",
    )


@pytest.mark.parametrize("name", ["census", "stay"])
@pytest.mark.parametrize("asked", ["", "?size=narrow&light=dim"])
def test_figures_are_drawn(name: str, asked: str, visitor: Visitor) -> None:
    left()

    answer = visitor(Role.OWNER).get(f"/placements/figures/{name}.svg{asked}")

    assert answer.content.startswith(b"<svg")


def test_a_period_to_come_is_refused_beside_its_field(visitor: Visitor) -> None:
    told = text(visitor(Role.OWNER), "/placements/figures/?until_on=2199-01-01")

    assert "has not come yet" in told
