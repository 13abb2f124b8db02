"""Sexes of what hatched, as queries, page and API tell them."""

from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from rest_framework.test import APIClient

from clutches.models import Clutch, IncubatorDay
from clutches.queries.figures import Asked
from clutches.queries.sex_ratios import sex_ratios
from clutches.rules.figures.grouping import GroupBy
from core.roles import Role
from husbandry.models import Species
from tests.clutches.test_figures import LAID, make_clutch
from tests.factories import (
    SHIPPED_PROFILE,
    AnimalFactory,
    CareProfileFactory,
    ClutchFactory,
    HatchlingFactory,
    IncubatorDayFactory,
    SpeciesFactory,
    UserFactory,
)
from tests.husbandry.care_lists import queries_of
from tests.staff.conftest import client_of
from tests.staff.test_egg_pages import text

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 10, 1, 12, tzinfo=UTC)
HATCHED = date(2026, 7, 20)
PAGE, ADDRESS = "/breeding/sexing/", "/api/v1/sex-ratios/"
# Flores, Tousignant and Crews 1994, Physiol Behav 55:1067-1072: females among leopard
# geckos by incubation temperature.
FLORES = {"26": 100, "30": 70, "32.5": 25, "34": 95}


def hatch(clutch: Clutch, *, female: int = 0, male: int = 0, **given: Any) -> None:
    for sex, many in (("female", female), ("male", male)):
        for _ in range(many):
            animal = AnimalFactory.create(
                species=clutch.species,
                hatched_on=HATCHED,
                arrived_on=HATCHED,
                sex=sex,
                sex_basis="heel_spur",
                **{"sex_confidence": "confirmed"} | given,
            )
            HatchlingFactory.create(clutch=clutch, animal=animal)


def geckos() -> Species:
    rows = "".join(
        f"  - id: flores-{number}\n    temperature_c: {at}\n    female_pct: {pct}\n"
        "    source: flores-1994\n    standing: published\n"
        for number, (at, pct) in enumerate(FLORES.items())
    )
    source = (
        "sources:\n  - key: flores-1994\n    title: Flores, Tousignant, Crews 1994\n"
        "    kind: paper\n    where: Physiol Behav 55:1067-1072\n"
    )
    said = SHIPPED_PROFILE.read_text("utf-8").replace("sources:\n", source, 1)
    species: Species = SpeciesFactory.create(code="gecko", common_name="Gecko")
    CareProfileFactory.create(
        species=species, source_text=f"{said}\nsex_ratios:\n{rows}"
    )
    return species


def asked(by: GroupBy, **which: Any) -> dict[str, tuple[int, int]]:
    found = sex_ratios(asked=Asked(**which), by=by, at=NOW)
    return {one.group: (one.sexes.female, one.sexes.male) for one in found}


def test_groups_are_clutches_pairs_incubators_and_years() -> None:
    one, two = make_clutch("C-1"), make_clutch("C-2")
    Clutch.objects.filter(pk=two.pk).update(laid_on=date(2025, 12, 1))
    hatch(two, male=2)
    ClutchFactory.create(code="C-3")

    assert asked(GroupBy.CLUTCH) == {"C-1": (1, 0), "C-2": (1, 2)}
    pair = {
        f"{one.dam.code} × S-C-1": (1, 0),
        f"{two.dam.code} × S-C-2": (1, 2),
    }
    assert asked(GroupBy.PAIR) == pair
    # What came from no egg on record lay in no incubator that is known.
    assert asked(GroupBy.INCUBATOR) == {
        "I-C-1": (1, 0),
        "I-C-2": (1, 0),
        "not known": (0, 2),
    }
    assert asked(GroupBy.YEAR) == {"2025": (1, 2), "2026": (1, 0)}
    assert asked(GroupBy.CLUTCH, species="nothing") == {}


def test_it_takes_the_same_queries_for_many() -> None:
    CareProfileFactory.create()
    make_clutch("C-1")
    one = queries_of(lambda: asked(GroupBy.CLUTCH))
    for number in range(2, 5):
        hatch(make_clutch(f"C-{number}"), female=5, male=5)

    assert queries_of(lambda: asked(GroupBy.CLUTCH)) == one


def test_the_page_counts_once_it_is_asked_to() -> None:
    keeper = client_of(UserFactory.create(role=Role.KEEPER.value))
    clutch = ClutchFactory.create(code="C-1")
    hatch(clutch, female=3, male=9)
    hatch(clutch, male=1, sex_confidence="likely")

    silent = text(keeper.get(PAGE))
    told = text(keeper.get(PAGE, {"ratios": "clutch"}))

    assert "How many of each sex" in silent
    assert "C-1" not in silent.partition("How many of each sex")[2]
    assert "3 female, 10 male; 1 of them likely only; 0 not settled" in told
    # scipy.stats.binomtest(3, 13): p = 0.0923, 5.0 to 53.8 %.
    assert "23 % (5–54 %)" in told
    assert "Against as many of each: p = 0.092." in told


@pytest.mark.parametrize(
    ("query", "said"),
    [
        ({"ratios": "moon"}, "Choose one of clutch, pair, incubator or year"),
        ({"ratios": "pair", "species": "moon"}, "There is no such species"),
        ({"ratios": "pair"}, "Nothing has hatched yet that fits."),
    ],
)
def test_what_cannot_be_counted_is_said(query: dict[str, str], said: str) -> None:
    keeper = client_of(UserFactory.create(role=Role.KEEPER.value))

    assert said in text(keeper.get(PAGE, query))


def test_where_warmth_decides_what_is_published_is_told(viewer: APIClient) -> None:
    clutch = make_clutch("G-1")
    species = geckos()
    Clutch.objects.filter(pk=clutch.pk).update(species=species)
    hatch(clutch, female=5)
    page = client_of(UserFactory.create(role=Role.VIEWER.value))

    [group] = viewer.get(ADDRESS, {"species": "gecko"}).json()["groups"]

    # Ten days of two hundred were measured: too few to say how warm the egg was.
    assert (group["by_warmth"], group["p"], group["published"]) == (True, None, None)
    told = text(page.get(PAGE, {"ratios": "clutch"}))
    assert "Warmth decides, and how warm they all were is not known" in told
    probe = IncubatorDay.objects.all()[0].probe
    for n in range(10, 110):
        on = LAID + timedelta(days=n)
        IncubatorDayFactory.create(
            probe=probe,
            on=on,
            start_s=int(datetime(on.year, on.month, on.day, tzinfo=UTC).timestamp()),
            hours_milli_c=[30_000] * 24,
        )
    IncubatorDay.objects.update(hours_milli_c=[30_000] * 24)

    [group] = viewer.get(ADDRESS).json()["groups"]

    assert group["published"] == {
        "temperature_c": 30.0,
        "female_pct": 70,
        "told": "70 % females published at 30.0 °C",
    }
    told = text(page.get(PAGE, {"ratios": "clutch"}))
    assert "70 % females published at 30.0 °C." in told
    assert "Against as many of each" not in told


def test_the_api_tells_the_same(viewer: APIClient) -> None:
    hatch(ClutchFactory.create(code="C-1", laid_on=date(2026, 1, 1)), female=3, male=10)

    answer = viewer.get(ADDRESS, {"by": "year"}).json()

    assert answer["by"] == "year"
    [group] = answer["groups"]
    assert (group["group"], group["female"], group["male"]) == ("2026", 3, 10)
    assert (group["confirmed"], group["unclear"]) == (13, 0)
    assert group["p"] == pytest.approx(0.09228515625)
    assert group["females"]["low"] == pytest.approx(0.0503811, abs=1e-6)
    assert (group["by_warmth"], group["published"]) == (False, None)


@pytest.mark.parametrize("wrong", [{"by": "moon"}, {"from_year": "1"}, {"who": "me"}])
def test_what_cannot_be_asked_is_refused(
    viewer: APIClient, wrong: dict[str, str]
) -> None:
    assert viewer.get(ADDRESS, wrong).status_code == 400


@pytest.fixture
def viewer() -> APIClient:
    client = APIClient()
    client.force_authenticate(UserFactory.create(role=Role.VIEWER.value))
    return client
