"""Instants and masses as whole numbers are exactly those that are stored."""

from datetime import UTC, datetime
from decimal import Decimal

import pytest

from husbandry.models import Weighing
from husbandry.queries.expressions import (
    EpochMicroseconds,
    Hundredths,
    decimal_of,
    instant_of,
)
from tests.factories import AnimalFactory, WeighingFactory

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    "at",
    [
        datetime(1970, 1, 1, tzinfo=UTC),
        datetime(1969, 12, 31, 23, 59, 59, 500_000, tzinfo=UTC),
        datetime(2026, 3, 2, 11, 0, tzinfo=UTC),
        datetime(2026, 3, 2, 11, 0, 0, 1, tzinfo=UTC),
        datetime(2026, 3, 29, 1, 30, 59, 999_999, tzinfo=UTC),
        datetime(2099, 12, 31, 23, 59, 59, 123_456, tzinfo=UTC),
    ],
)
def test_an_instant_comes_back_to_the_microsecond(at: datetime) -> None:
    WeighingFactory(animal=AnimalFactory(), at=at)

    (found_us,) = Weighing.objects.values_list(EpochMicroseconds("at"), flat=True)

    assert isinstance(found_us, int)
    assert instant_of(found_us) == at


@pytest.mark.parametrize(
    "mass_g", ["0.01", "0.29", "1.15", "12.29", "23.90", "113.40", "9999999.99"]
)
def test_a_mass_comes_back_to_the_digit(mass_g: str) -> None:
    WeighingFactory(animal=AnimalFactory(), mass_g=Decimal(mass_g))

    (found,) = Weighing.objects.values_list(Hundredths("mass_g"), flat=True)

    assert isinstance(found, int)
    assert str(decimal_of(found)) == mass_g
