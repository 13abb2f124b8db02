"""Rows of figures read from the database, and counted once more in plain Python."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from clutches.models import Clutch
from clutches.queries.figures import Asked, breeding_rows
from clutches.rules.figures.counting import figures_of
from husbandry.models import Animal
from husbandry.rules.vocabulary import EnclosureKind, Zone
from tests.factories import (
    AnimalFactory,
    BoxStayFactory,
    CandidateSireFactory,
    ClutchFactory,
    EggBoxFactory,
    EggCheckFactory,
    EggFactory,
    EggPlaceFactory,
    EnclosureFactory,
    HatchlingFactory,
    IncubatorDayFactory,
    ProbeFactory,
    WeighingFactory,
)

pytestmark = pytest.mark.django_db
LAID = date(2026, 1, 1)
HATCHED = date(2026, 7, 20)
NOW = datetime(2026, 10, 1, 12, tzinfo=UTC)
ALL = Asked()


def make_clutch(code: str = "C-1") -> Clutch:
    clutch = ClutchFactory(
        code=code, laid_on=LAID, eggs_set=3, eggs_infertile=1, site__time_zone="UTC"
    )
    incubator = EnclosureFactory(code=f"I-{code}", kind=EnclosureKind.INCUBATOR.value)
    probe = ProbeFactory(enclosure=incubator, zone=Zone.EGGS.value)
    for n in range(10):
        on = LAID + timedelta(days=n)
        IncubatorDayFactory(
            probe=probe,
            on=on,
            start_s=int(datetime(on.year, on.month, on.day, tzinfo=UTC).timestamp()),
            hours_milli_c=[26_000 + 100 * n] * 24,
        )
    box = EggBoxFactory(code=f"B-{code}")
    laid_at = datetime(2026, 1, 1, tzinfo=UTC)
    BoxStayFactory(box=box, incubator=incubator, from_at=laid_at)
    for number in (1, 2, 3):
        egg = EggFactory(clutch=clutch, number=number)
        EggPlaceFactory(egg=egg, box=box, column=number, from_at=laid_at)
    egg = clutch.eggs.get(number=1)
    type(egg).objects.filter(pk=egg.pk).update(state="hatched", ended_on=HATCHED)
    EggCheckFactory(egg=clutch.eggs.get(number=2))
    EggCheckFactory(
        egg=clutch.eggs.get(number=3), struck_at=NOW, struck_reason="Another egg."
    )
    young = HatchlingFactory(
        clutch=clutch,
        egg=egg,
        animal=AnimalFactory(
            code=f"Y-{code}",
            species=clutch.species,
            hatched_on=HATCHED,
            arrived_on=HATCHED,
        ),
    ).animal
    at = datetime(2026, 7, 21, 9, tzinfo=UTC)
    WeighingFactory(animal=young, at=at, mass_g=Decimal("1.20"))
    WeighingFactory(animal=young, at=at + timedelta(days=9), mass_g=Decimal("1.80"))
    CandidateSireFactory(clutch=clutch, sire__code=f"S-{code}")
    return clutch


def test_every_row_says_what_is_on_record() -> None:
    clutch = make_clutch()

    rows = breeding_rows(asked=ALL, at=NOW)

    [told] = rows.clutches
    assert (told.code, told.dam, told.sires) == ("C-1", clutch.dam.code, ("S-C-1",))
    first, second, third = rows.eggs
    assert (first.box, first.incubator) == ("B-C-1", "I-C-1")
    # Ten days of 26.0, 26.1 … 26.9 °C, and nothing measured after them.
    assert first.mean_c == pytest.approx(26.45)
    assert first.measured == pytest.approx(10 / 201)
    assert (first.vessels, second.vessels, third.vessels) == (False, True, False)
    [young] = rows.hatchlings
    assert (young.mass_g, young.watched_days) == (Decimal("1.20"), 73)
    assert young.mean_c == first.mean_c
    assert first.hatchling == young.id


def test_eggs_that_left_and_eggs_that_stay_lay_in_the_same_box() -> None:
    clutch = make_clutch()
    left = clutch.eggs.get(number=1).places.get()
    type(left).objects.filter(pk=left.pk).update(
        until_at=datetime(2026, 7, 20, tzinfo=UTC)
    )

    rows = breeding_rows(asked=ALL, at=NOW)

    assert {egg.incubator for egg in rows.eggs} == {"I-C-1"}


def test_a_hatch_date_that_is_not_exact_is_no_date_to_count_from() -> None:
    clutch = make_clutch()
    Animal.objects.filter(hatchling__clutch=clutch).update(hatched_precision="month")

    [row] = breeding_rows(asked=ALL, at=NOW).hatchlings

    assert row.watched_days is None


def test_a_mass_of_later_is_no_mass_of_a_hatchling() -> None:
    clutch = make_clutch()
    young = clutch.hatchlings.get().animal
    young.weighings.filter(mass_g=Decimal("1.20")).delete()

    [row] = breeding_rows(asked=ALL, at=NOW).hatchlings

    assert row.mass_g is None


def test_only_what_is_asked_for_is_counted() -> None:
    clutch = make_clutch()
    make_clutch("C-2")
    Clutch.objects.filter(code="C-2").update(laid_on=date(2025, 1, 1))

    for asked in (
        Asked(site=clutch.site.code),
        Asked(from_year=2026),
        Asked(from_year=2026, until_year=2026),
    ):
        found = breeding_rows(asked=asked, at=NOW)
        assert [c.code for c in found.clutches] == ["C-1"], asked
        assert len(found.eggs) == 3
    for nothing in (Asked(until_year=2024), Asked(species="panther_chameleon")):
        assert breeding_rows(asked=nothing, at=NOW).clutches == ()
    assert (
        len(breeding_rows(asked=Asked(species=clutch.species.code), at=NOW).eggs) == 6
    )


def test_the_figures_agree_with_a_plain_count() -> None:
    for number in range(3):
        make_clutch(f"C-{number}")

    found = figures_of(breeding_rows(asked=ALL, at=NOW))

    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT count(*), sum(CASE WHEN state = 'hatched' THEN 1 ELSE 0 END) "
            "FROM clutches_egg"
        )
        eggs, hatched = cursor.fetchone()
    assert (found.eggs_set, found.hatch_rate.count) == (eggs, hatched)
    # One hatched and one with vessels in each; one infertile at laying.
    assert (found.fertility.count, found.fertility.of) == (6, 9)


def test_no_more_queries_for_many() -> None:
    counts = []
    for number in range(3):
        make_clutch(f"C-{number}")
        with CaptureQueriesContext(connection) as asked:
            breeding_rows(asked=ALL, at=NOW)
        counts.append(len(asked))

    assert counts[0] == counts[1] == counts[2] <= 12
