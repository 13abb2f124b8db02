"""Pairs that there could be, with everything on record that speaks against them."""

from datetime import UTC, date, datetime
from decimal import Decimal
from typing import TYPE_CHECKING

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from clutches.queries.advice import PairAdvice, pair_advice
from clutches.queries.collections import animal_lineage, collection_members
from clutches.rules.vocabulary import AgainstPairing
from core.errors import NotFoundError
from husbandry.models import Animal, Species
from husbandry.rules.vocabulary import FindingKind, Origin, Sex, Urgency
from tests.factories import (
    TODAY,
    AnimalFactory,
    CareProfileFactory,
    ClutchFactory,
    EnclosureFactory,
    FindingFactory,
    ReproductiveSpellFactory,
    RoomFactory,
    SpeciesFactory,
    StayFactory,
    WeighingFactory,
)

if TYPE_CHECKING:
    from core.models import Site

pytestmark = pytest.mark.django_db
AT = datetime(2026, 3, 2, 12, tzinfo=UTC)
K = AgainstPairing


@pytest.fixture
def species() -> Species:
    return CareProfileFactory().species


def grown(sex: Sex = Sex.FEMALE, **given: object) -> Animal:
    """Return an animal with nothing against it."""
    animal = AnimalFactory(sex=sex.value, **given)
    WeighingFactory(animal=animal, mass_g=Decimal(100), at=datetime(2026, 2, 20, tzinfo=UTC))  # fmt: skip
    return animal


def advised(species: Species, **given: object) -> PairAdvice:
    return pair_advice(species=species, on=TODAY, at=AT, **given)


def against(found: PairAdvice) -> dict[tuple[str, str], list[AgainstPairing]]:
    pairs = found.advice.pairs(0, len(found.advice))
    return {
        (p.female.code, p.male.code): [reason.kind for reason in p.reasons]
        for p in pairs
    }


def test_every_female_with_every_male(species: Species) -> None:
    females = [grown(code=f"F-{n}") for n in (1, 2)]
    males = [grown(Sex.MALE, code=f"M-{n}") for n in (1, 2)]
    AnimalFactory(code="U-1", name="", sex=Sex.UNKNOWN.value)
    AnimalFactory(species=SpeciesFactory(code="other"))
    AnimalFactory(left=True)

    found = advised(species)

    assert against(found) == {(f.code, m.code): [] for f in females for m in males}
    assert found.unsexed == ("U-1",)
    assert found.collection.animals == 5
    # Five animals not related to one another: each ½ with itself, by 5.
    assert found.collection.mean_kinship == pytest.approx(0.1)
    assert found.collection.gene_diversity == pytest.approx(0.9)
    assert found.collection.founder_genome_equivalents == pytest.approx(5)
    assert found.collection.bounded == 5


def test_brother_and_sister_are_told_as_related(species: Species) -> None:
    wild = {"origin": Origin.WILD_CAUGHT.value, "left": True}
    dam, sire = AnimalFactory(**wild), AnimalFactory(sex=Sex.MALE.value, **wild)
    grown(code="F-1", dam=dam, sire=sire)
    grown(Sex.MALE, code="M-1", dam=dam, sire=sire)
    grown(Sex.MALE, code="M-2", origin=Origin.WILD_CAUGHT.value)

    best, worst = advised(species).advice.pairs(0, 2)

    assert (best.male.code, best.inbreeding, best.reasons) == ("M-2", 0, ())
    assert (worst.male.code, worst.inbreeding) == ("M-1", 0.25)
    assert [reason.figure for reason in worst.reasons] == [Decimal("0.25")]
    # Their parents were caught in the wild: nothing is missing.
    assert (best.lower_bound, worst.lower_bound) == (False, False)
    # Means to the three in care: F-1 (½ + ¼) / 3, M-2 ½ / 3.
    assert best.mean_kinship == pytest.approx((0.25 + 1 / 6) / 2)


def test_what_is_on_record_speaks_against_a_female(species: Species) -> None:
    male = grown(Sex.MALE, code="M-1")
    females = {
        "gravid": grown(code="gravid"),
        "tired": grown(code="tired"),
        "apart": grown(code="apart"),
        "unwell": grown(code="unwell"),
        "young": grown(code="young", hatched_on=date(2025, 9, 1)),
        "light": AnimalFactory(code="light"),
    }
    WeighingFactory(animal=females["light"], mass_g=Decimal(70), at=datetime(2026, 2, 20, tzinfo=UTC))  # fmt: skip
    ReproductiveSpellFactory(animal=females["gravid"], from_on=date(2026, 2, 1))
    for day in (
        date(2025, 3, 2),
        date(2025, 4, 1),
        date(2025, 8, 1),
        date(2025, 12, 1),
    ):
        ClutchFactory(dam=females["tired"], laid_on=day)
    quarantine = EnclosureFactory(room=RoomFactory(quarantine=True))
    StayFactory(animal=females["apart"], enclosure=quarantine)
    FindingFactory(
        animal=females["unwell"],
        kind=FindingKind.WEIGHT_LOSS.value,
        urgency=Urgency.NOW.value,
    )

    found = advised(species)

    assert against(found) == {
        ("apart", male.code): [K.IN_QUARANTINE],
        ("gravid", male.code): [K.GRAVID],
        ("light", male.code): [K.TOO_LIGHT],
        ("tired", male.code): [K.NOT_RESTED, K.TOO_MANY_CLUTCHES],
        ("unwell", male.code): [K.UNWELL],
        ("young", male.code): [K.TOO_YOUNG],
    }
    tired = found.advice.pairs(0, 6)[-1]
    # The clutch of a year ago to the day does not count any more.
    assert (tired.female.code, tired.female.clutches) == ("tired", 3)
    assert (tired.female.laid_on, tired.female_rest_days) == (date(2025, 12, 1), 91)


def test_what_is_over_speaks_against_nobody(species: Species) -> None:
    grown(Sex.MALE)
    female = grown()
    ReproductiveSpellFactory(
        animal=female, from_on=date(2025, 6, 1), until_on=date(2025, 7, 1)
    )
    ClutchFactory(dam=female, laid_on=date(2026, 6, 1))
    for given in (
        {"urgency": Urgency.TODAY.value},
        {"closed_on": TODAY},
        {"withdrawn_on": TODAY},
    ):
        FindingFactory(animal=female, **{"urgency": Urgency.NOW.value, **given})

    assert list(against(advised(species)).values()) == [[]]


def test_pairs_of_one_animal(species: Species) -> None:
    female = grown(code="F-1")
    grown(code="F-2")
    grown(Sex.MALE, code="M-1")

    found = advised(species, animal=female)

    assert list(against(found)) == [("F-1", "M-1")]


def test_animal_of_unknown_sex_has_no_pairs(species: Species) -> None:
    animal = AnimalFactory(name="", sex=Sex.UNKNOWN.value)
    grown(Sex.MALE)

    found = advised(species, animal=animal)

    assert len(found.advice) == 0
    assert found.unsexed == (animal.code,)


def test_pairs_of_a_site_or_of_some_codes(species: Species) -> None:
    here, there = EnclosureFactory(), EnclosureFactory()
    for code, sex, place in (
        ("F-1", Sex.FEMALE, here),
        ("F-2", Sex.FEMALE, there),
        ("M-1", Sex.MALE, here),
        ("M-2", Sex.MALE, None),
    ):
        animal = grown(sex, code=code)
        if place:
            StayFactory(animal=animal, enclosure=EnclosureFactory(room=place.room))
    site: Site = here.room.site

    assert list(against(advised(species, site=site))) == [("F-1", "M-1")]
    far = Animal.objects.get(code="F-2")
    assert list(against(advised(species, site=site, animal=far))) == [("F-2", "M-1")]
    assert set(against(advised(species, codes=["F-2", "M-1", "M-2"]))) == {
        ("F-2", "M-1"),
        ("F-2", "M-2"),
    }


def test_animals_that_are_not_here_are_refused(species: Species) -> None:
    gone = AnimalFactory(code="G-1", left=True)

    with pytest.raises(NotFoundError, match="code X-1"):
        advised(species, codes=["X-1"])
    with pytest.raises(NotFoundError, match="code G-1"):
        advised(species, animal=gone)


def test_species_without_profile_is_judged_by_what_is_so() -> None:
    species = SpeciesFactory()
    AnimalFactory(code="F-1", hatched_on=TODAY)
    AnimalFactory(code="M-1", sex=Sex.MALE.value, sex_confidence="likely")

    found = advised(species)

    assert against(found) == {("F-1", "M-1"): [K.SEX_NOT_CONFIRMED]}
    assert found.version is None
    assert len(found.advice.unsaid) == 5


def test_advice_takes_the_same_queries_for_many(species: Species) -> None:
    def queries() -> int:
        with CaptureQueriesContext(connection) as caught:
            advised(species)
        return len(caught)

    grown()
    grown(Sex.MALE)
    few = queries()
    for _ in range(3):
        ClutchFactory(dam=grown(dam=grown(), sire=grown(Sex.MALE)))

    assert queries() == few == 10


def test_members_by_mean_kinship(species: Species) -> None:
    # A and B, their young C and D, and E of those two: MK .25 .25 .325 .325 .375.
    a, b = AnimalFactory(code="A"), AnimalFactory(code="B", sex=Sex.MALE.value)
    c = AnimalFactory(code="C", dam=a, sire=b)
    d = AnimalFactory(code="D", dam=a, sire=b, sex=Sex.MALE.value)
    AnimalFactory(code="E", dam=c, sire=d)

    found = collection_members(species=species)

    assert [m.code for m in found.members] == ["A", "B", "C", "D", "E"]
    assert [m.mean_kinship for m in found.members] == pytest.approx(
        [0.25, 0.25, 0.325, 0.325, 0.375]
    )
    assert [m.inbreeding for m in found.members] == [0, 0, 0, 0, 0.25]
    assert found.figures.gene_diversity == pytest.approx(0.695)
    assert found.contributions.founders == ((a.pk, 0.5), (b.pk, 0.5))
    assert found.founder_equivalents == 2
    assert found.labels == {a.pk: str(a), b.pk: str(b)}


def test_lineage_of_an_animal_that_left(species: Species) -> None:
    gone = AnimalFactory(left=True, species=species)
    AnimalFactory(dam=gone)

    found = animal_lineage(animal=gone)

    # ½ · ½ with its daughter, who is alone in care.
    assert found.figures.mean_kinship == 0.25
    assert (found.collection.animals, found.clutch, found.candidates) == (1, None, ())


def test_nobody_in_care_holds_nothing(species: Species) -> None:
    found = collection_members(species=species)

    assert found.members == ()
    assert (found.figures.animals, found.figures.gene_diversity) == (0, None)
    assert found.founder_equivalents is None
