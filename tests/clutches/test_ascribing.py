"""Animals on record are ascribed to the clutch they came from."""

from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from clutches.actions.ascribing import AscribedRow, ascribe_animals
from clutches.models import Clutch, EggPlace, Hatchling
from clutches.queries.lineage import lineage_of
from clutches.rules.ascribing import AscribingError
from core.models import AuditEntry
from husbandry.models import Animal
from tests.factories import (
    AnimalFactory,
    CandidateSireFactory,
    ClutchFactory,
    EggFactory,
    EggPlaceFactory,
    ReviewRunFactory,
    UserFactory,
)

pytestmark = pytest.mark.django_db
AT = datetime(2026, 9, 1, 12, tzinfo=UTC)


def clutch_of(eggs: int) -> Clutch:
    clutch = ClutchFactory(eggs_set=eggs)
    for number in range(1, eggs + 1):
        EggFactory(clutch=clutch, number=number)
    return clutch


def young_of(clutch: Clutch) -> Animal:
    return AnimalFactory(
        species=clutch.species,
        dam=None,
        hatched_on=date(2026, 8, 1),
        arrived_on=date(2026, 8, 1),
    )


def test_animal_egg_and_dam_are_tied_together() -> None:
    clutch = clutch_of(2)
    place = EggPlaceFactory(egg=clutch.eggs.get(number=1))
    young = young_of(clutch)

    [hatchling] = ascribe_animals(
        clutch=clutch, rows=[AscribedRow(young, 1)], by=UserFactory(), at=AT
    )

    egg = clutch.eggs.get(number=1)
    young.refresh_from_db()
    place.refresh_from_db()
    assert (hatchling.clutch, hatchling.egg) == (clutch, egg)
    assert (egg.state, egg.ended_on) == ("hatched", date(2026, 8, 1))
    assert young.dam == clutch.dam
    assert place.until_at == datetime(
        2026, 8, 2, tzinfo=ZoneInfo(clutch.site.time_zone)
    )
    assert AuditEntry.objects.filter(verb="ascribe_animals").count() == 1


def test_one_wrong_row_ascribes_nobody() -> None:
    clutch = clutch_of(2)
    rows = [AscribedRow(young_of(clutch), 1), AscribedRow(AnimalFactory(), 2)]

    with pytest.raises(AscribingError):
        ascribe_animals(clutch=clutch, rows=rows, by=None, at=AT)

    assert not Hatchling.objects.exists()
    assert not EggPlace.objects.filter(until_at__isnull=False).exists()


def test_a_second_time_is_refused() -> None:
    clutch = clutch_of(2)
    young = young_of(clutch)
    ascribe_animals(clutch=clutch, rows=[AscribedRow(young)], by=None, at=AT)

    with pytest.raises(AscribingError, match="already"):
        ascribe_animals(clutch=clutch, rows=[AscribedRow(young)], by=None, at=AT)


def test_an_animal_given_twice_is_refused() -> None:
    clutch = clutch_of(2)
    young = young_of(clutch)

    with pytest.raises(AscribingError, match="given more than once"):
        ascribe_animals(
            clutch=clutch,
            rows=[AscribedRow(young, 1), AscribedRow(young, 2)],
            by=None,
            at=AT,
        )


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"state": "pipped", "pipped_on": date(2026, 8, 5)}, "pipped on 05 Aug 2026"),
        ({"state": "hatched", "ended_on": date(2026, 7, 5)}, "hatched on 05 Jul 2026"),
    ],
)
def test_an_egg_with_another_day_is_refused(given: dict[str, Any], said: str) -> None:
    clutch = clutch_of(1)
    clutch.eggs.update(**given)

    with pytest.raises(AscribingError, match=said):
        ascribe_animals(
            clutch=clutch, rows=[AscribedRow(young_of(clutch), 1)], by=None, at=AT
        )


def test_an_ancestor_of_the_clutch_is_refused() -> None:
    clutch = clutch_of(1)
    young = young_of(clutch)
    clutch.dam.hatched_on, clutch.dam.hatched_precision = None, "unknown"
    clutch.dam.dam = young
    clutch.dam.save()

    with pytest.raises(AscribingError, match="descends from"):
        ascribe_animals(clutch=clutch, rows=[AscribedRow(young, 1)], by=None, at=AT)

    assert lineage_of(animal_ids=[young.pk]).ids == (young.pk,)


def test_a_certain_sire_goes_on_record_where_nobody_knew_more() -> None:
    clutch = clutch_of(3)
    sire = CandidateSireFactory(clutch=clutch, probability=Decimal(1)).sire
    without, doubtful, other = young_of(clutch), young_of(clutch), young_of(clutch)
    CandidateSireFactory(clutch=None, animal=doubtful, sire=sire)
    other.sire = AnimalFactory(male=True)
    other.save()

    ascribe_animals(
        clutch=clutch,
        rows=[AscribedRow(animal) for animal in (without, doubtful, other)],
        by=None,
        at=AT,
    )

    sires = [Animal.objects.get(pk=a.pk).sire for a in (without, doubtful, other)]
    assert sires == [sire, None, other.sire]


def test_nights_since_the_egg_hatched_are_reviewed_again() -> None:
    clutch = clutch_of(1)
    before = ReviewRunFactory(site=clutch.site, on=date(2026, 7, 31))
    since = ReviewRunFactory(site=clutch.site, on=date(2026, 8, 1))

    ascribe_animals(
        clutch=clutch, rows=[AscribedRow(young_of(clutch), 1)], by=None, at=AT
    )

    before.refresh_from_db()
    since.refresh_from_db()
    assert (before.stale_since, since.stale_since) == (None, AT)


def test_an_egg_of_today_lies_there_until_now() -> None:
    clutch = clutch_of(1)
    place = EggPlaceFactory(egg=clutch.eggs.get())
    young = young_of(clutch)
    young.hatched_on = young.arrived_on = AT.date()
    young.save()

    ascribe_animals(clutch=clutch, rows=[AscribedRow(young, 1)], by=None, at=AT)

    place.refresh_from_db()
    assert place.until_at == AT


def test_no_more_queries_for_many() -> None:
    counted = []
    for many in (2, 6):
        clutch = clutch_of(8)
        rows = [AscribedRow(young_of(clutch), n) for n in range(1, many + 1)]
        with CaptureQueriesContext(connection) as asked:
            ascribe_animals(clutch=clutch, rows=rows, by=None, at=AT)
        counted.append(len(asked))

    assert counted[0] == counted[1]
