"""Animals on record are ascribed to the clutch they came from."""

from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from clutches.actions.ascribing import AscribedRow, ascribe_animals
from clutches.models import Clutch, EggPlace, Hatchling
from clutches.rules.ascribing import AscribingError
from core.models import AuditEntry
from husbandry.models import Animal
from tests.factories import (
    AnimalFactory,
    ClutchFactory,
    EggFactory,
    EggPlaceFactory,
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


def test_no_more_queries_for_many() -> None:
    counted = []
    for many in (2, 6):
        clutch = clutch_of(8)
        rows = [AscribedRow(young_of(clutch), n) for n in range(1, many + 1)]
        with CaptureQueriesContext(connection) as asked:
            ascribe_animals(clutch=clutch, rows=rows, by=None, at=AT)
        counted.append(len(asked))

    assert counted[0] == counted[1]
