"""Ancestors as they are read from the records, with all who may be sires."""

from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from clutches.queries.lineage import candidate_sires, lineage_of
from clutches.rules.lineage.kinship import inbreeding_of, lower_bounds
from clutches.rules.lineage.lineages import Lineage, LineageError
from husbandry.models import Animal
from husbandry.rules.vocabulary import Origin
from tests.factories import (
    AnimalFactory,
    CandidateSireFactory,
    ClutchFactory,
    HatchlingFactory,
)

pytestmark = pytest.mark.django_db


def sires_of(lineage: Lineage, animal: Animal) -> dict[int, float]:
    """Return who may be the sire of an animal, and how likely."""
    place = lineage.places[animal.pk]
    pairs = zip(lineage.parents[place, 1:], lineage.weights[place, 1:], strict=True)
    return {lineage.ids[parent]: 2 * weight for parent, weight in pairs if weight}


def test_ancestors_of_both_sides_are_there() -> None:
    grandam = AnimalFactory(origin=Origin.WILD_CAUGHT.value)
    dam, sire = AnimalFactory(dam=grandam), AnimalFactory()
    animal = AnimalFactory(dam=dam, sire=sire)
    AnimalFactory(dam=dam)

    found = lineage_of(animal_ids=[animal.pk])

    assert set(found.ids) == {a.pk for a in (grandam, dam, sire, animal)}
    assert sires_of(found, animal) == {sire.pk: 1.0}
    assert found.labels[found.places[dam.pk]] == str(dam)
    assert found.wild[found.places[grandam.pk]]
    assert not lower_bounds(found)[found.places[grandam.pk]]
    assert lower_bounds(found)[found.places[animal.pk]]


def test_candidates_of_its_clutch_may_be_sires_of_a_hatchling() -> None:
    clutch = ClutchFactory()
    one = CandidateSireFactory(clutch=clutch, probability=Decimal("0.6")).sire
    other = CandidateSireFactory(clutch=clutch, probability=Decimal("0.4")).sire
    father = AnimalFactory()
    Animal.objects.filter(pk=other.pk).update(sire=father)
    young = HatchlingFactory(clutch=clutch).animal

    found = lineage_of(animal_ids=[young.pk])

    assert sires_of(found, young) == pytest.approx({one.pk: 0.6, other.pk: 0.4})
    assert father.pk in found.ids


def test_own_candidates_go_before_the_clutchs() -> None:
    clutch = ClutchFactory()
    CandidateSireFactory(clutch=clutch)
    young = HatchlingFactory(clutch=clutch).animal
    own = CandidateSireFactory(
        clutch=None, animal=young, sire=AnimalFactory(), probability=Decimal("0.25")
    ).sire

    assert sires_of(lineage_of(animal_ids=[young.pk]), young) == {own.pk: 0.25}


def test_sire_on_record_goes_before_all_candidates() -> None:
    clutch = ClutchFactory()
    CandidateSireFactory(clutch=clutch)
    sire = AnimalFactory()
    young = HatchlingFactory(clutch=clutch, animal__sire=sire).animal

    assert sires_of(lineage_of(animal_ids=[young.pk]), young) == {sire.pk: 1.0}


def test_daughter_back_to_a_likely_father() -> None:
    # Her sire is M by ½; her young by M are inbred by ½ · ¼.
    clutch = ClutchFactory()
    sire = CandidateSireFactory(clutch=clutch, probability=Decimal("0.5")).sire
    daughter = HatchlingFactory(clutch=clutch).animal
    young = AnimalFactory(dam=daughter, sire=sire)

    found = lineage_of(animal_ids=[young.pk])

    assert inbreeding_of(found)[found.places[young.pk]] == 0.125


def test_loop_on_record_is_refused() -> None:
    one, other = AnimalFactory(), AnimalFactory()
    Animal.objects.filter(pk=one.pk).update(dam=other)
    Animal.objects.filter(pk=other.pk).update(dam=one)

    with pytest.raises(LineageError, match=f"{one} ← {other} ← {one}"):
        lineage_of(animal_ids=[one.pk])


def test_lineage_takes_two_queries() -> None:
    animals = [
        AnimalFactory(dam=AnimalFactory(), sire=AnimalFactory()) for _ in range(3)
    ]

    with CaptureQueriesContext(connection) as caught:
        lineage_of(animal_ids=[a.pk for a in animals])

    assert len(caught) == 2
    assert len(lineage_of(animal_ids=[])) == 0


def test_candidates_as_people_read_them() -> None:
    rare = CandidateSireFactory(probability=Decimal("0.25"))
    likely = CandidateSireFactory(clutch=rare.clutch, probability=Decimal("0.75"))

    by_clutch, by_animal = candidate_sires(clutch_ids=[rare.clutch_id])

    assert by_animal == {}
    assert [(line.code, line.probability) for line in by_clutch[rare.clutch_id]] == [
        (likely.sire.code, Decimal("0.75000")),
        (rare.sire.code, Decimal("0.25000")),
    ]


def test_candidates_of_an_animal_itself() -> None:
    row = CandidateSireFactory(
        clutch=None, animal=AnimalFactory(), sire=AnimalFactory()
    )

    by_clutch, by_animal = candidate_sires(animal_ids=[row.animal_id])

    assert by_clutch == {}
    assert [line.sire for line in by_animal[row.animal_id]] == [row.sire_id]
