"""Where an animal comes from is told with what is not known about it."""

from decimal import Decimal

import pytest

from clutches.queries.origins import Candidate, Origin, origin_of
from tests.factories import (
    AnimalFactory,
    CandidateSireFactory,
    ClutchFactory,
    HatchlingFactory,
)

pytestmark = pytest.mark.django_db


def test_nothing_is_on_record() -> None:
    assert origin_of(animal=AnimalFactory()) == Origin("", ())


def test_the_candidates_of_its_clutch_are_its_own() -> None:
    clutch = ClutchFactory(code="C-1")
    young = HatchlingFactory(clutch=clutch).animal
    CandidateSireFactory(
        clutch=clutch, sire__code="V-2", sire__name="", probability=Decimal("0.3")
    )
    CandidateSireFactory(
        clutch=clutch, sire__code="V-1", sire__name="Ju", probability=Decimal("0.5")
    )
    CandidateSireFactory()  # another clutch's

    origin = origin_of(animal=young)

    assert origin == Origin(
        "C-1",
        (
            Candidate("V-1", "Ju", Decimal("0.50000")),
            Candidate("V-2", "", Decimal("0.30000")),
        ),
    )
    assert origin.unknown == Decimal("0.2")


def test_what_is_known_of_the_animal_goes_first() -> None:
    clutch = ClutchFactory(code="C-1")
    CandidateSireFactory(clutch=clutch)
    young = HatchlingFactory(clutch=clutch).animal
    CandidateSireFactory(
        clutch=None,
        animal=young,
        sire=AnimalFactory(code="V-9", name=""),
        probability=1,
    )

    assert [c.code for c in origin_of(animal=young).candidates] == ["V-9"]


def test_a_sire_on_record_needs_no_candidates(
    django_assert_num_queries: object,
) -> None:
    clutch = ClutchFactory(code="C-1")
    CandidateSireFactory(clutch=clutch)
    young = HatchlingFactory(clutch=clutch, animal__sire=AnimalFactory()).animal

    with django_assert_num_queries(1):  # type: ignore[operator] - a fixture
        assert origin_of(animal=young) == Origin("C-1", ())
