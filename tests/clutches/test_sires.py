"""Candidate sires of clutches and animals, and what they put on record."""

from datetime import UTC, date, datetime
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from clutches.actions.sires import set_candidate_sires
from clutches.models import CandidateSire, Clutch
from clutches.rules.lineage.sires import SireError, SireShare
from clutches.rules.vocabulary import SireBasis
from core.models import AuditEntry
from husbandry.models import Animal
from husbandry.rules.parents import ParentError
from husbandry.rules.vocabulary import Sex
from tests.factories import AnimalFactory, ClutchFactory, HatchlingFactory, UserFactory

pytestmark = pytest.mark.django_db
AT = datetime(2026, 9, 1, 12, tzinfo=UTC)


def male(**given: object) -> Animal:
    return AnimalFactory(sex=Sex.MALE.value, **given)


def share(sire: Animal, probability: str = "1") -> SireShare[Animal]:
    return SireShare(sire, Decimal(probability), SireBasis.REPORTED)


def set_of(clutch: Clutch, *sires: SireShare[Animal]):
    return set_candidate_sires(clutch=clutch, sires=sires, by=UserFactory(), at=AT)


def sires_on_record(clutch: Clutch) -> list[int | None]:
    rows = clutch.hatchlings.order_by("animal").values_list("animal__sire", flat=True)
    return list(rows)


def test_certain_sire_goes_on_record_of_all_hatchlings() -> None:
    clutch, sire = ClutchFactory(), male()
    young = [HatchlingFactory(clutch=clutch).animal for _ in range(3)]
    person = UserFactory()

    result = set_candidate_sires(
        clutch=clutch, sires=[share(sire)], by=person, at=AT, reason=" Only male here. "
    )

    assert sires_on_record(clutch) == [sire.pk] * 3
    assert result.corrected == tuple(young)
    assert result.kept == ()
    entry = AuditEntry.objects.get(verb="set_candidate_sires")
    assert (entry.by, entry.at, entry.reason) == (person, AT, "Only male here.")
    assert entry.before == {"sires": {}}
    assert entry.after == {"sires": {sire.code: "1.00000 reported"}}
    mended = AuditEntry.objects.filter(verb="correct_animal").order_by("pk")
    assert [(e.subject_id, e.before, e.after) for e in mended] == [
        (str(one.pk), {"sire": None}, {"sire": sire.pk}) for one in young
    ]


def test_changed_set_corrects_the_hatchlings() -> None:
    clutch, first, second = ClutchFactory(), male(), male()
    HatchlingFactory(clutch=clutch)
    set_of(clutch, share(first))

    set_of(clutch, share(first, "0.5"), share(second, "0.5"))
    several = sires_on_record(clutch)
    set_of(clutch, share(second))

    assert several == [None]
    assert sires_on_record(clutch) == [second.pk]
    assert list(clutch.candidate_sires.values_list("sire", "probability")) == [
        (second.pk, Decimal(1))
    ]


def test_hatchlings_of_whom_more_is_known_are_left_alone() -> None:
    clutch, sire, other = ClutchFactory(), male(), male()
    tested, told, plain = (HatchlingFactory(clutch=clutch).animal for _ in range(3))
    set_candidate_sires(animal=tested, sires=[share(other, "0.9")], by=None, at=AT)
    Animal.objects.filter(pk=told.pk).update(sire=other)

    result = set_of(clutch, share(sire))

    assert sires_on_record(clutch) == [None, other.pk, sire.pk]
    assert result.corrected == (plain,)
    assert result.kept == (tested, told)


def test_same_set_again_changes_nothing() -> None:
    clutch, sire = ClutchFactory(), male()
    first = set_of(clutch, share(sire, "0.5"))

    again = set_of(clutch, share(sire, "0.50000"))

    assert [c.pk for c in again.candidates] == [c.pk for c in first.candidates]
    assert AuditEntry.objects.filter(verb="set_candidate_sires").count() == 1


def test_certain_sire_of_one_animal() -> None:
    animal, sire = AnimalFactory(), male(hatched_on=date(2023, 1, 1))

    set_candidate_sires(animal=animal, sires=[share(sire)], by=None, at=AT)

    animal.refresh_from_db()
    assert animal.sire == sire


def test_animal_without_its_own_set_has_its_clutchs_sire_again() -> None:
    clutch, sire, other = ClutchFactory(), male(), male()
    animal = HatchlingFactory(clutch=clutch).animal
    set_of(clutch, share(sire))
    set_candidate_sires(animal=animal, sires=[share(other, "0.4")], by=None, at=AT)

    set_candidate_sires(animal=animal, sires=[], by=None, at=AT, reason="Mixed up.")

    animal.refresh_from_db()
    assert animal.sire == sire
    assert not CandidateSire.objects.filter(animal=animal).exists()


def test_clutch_or_animal_is_needed() -> None:
    both = {"clutch": ClutchFactory(), "animal": AnimalFactory()}

    with pytest.raises(SireError, match="one of the two"):
        set_candidate_sires(**both, sires=[], by=None, at=AT)
    with pytest.raises(SireError, match="one of the two"):
        set_candidate_sires(sires=[], by=None, at=AT)


def test_sire_younger_than_the_clutch_is_refused() -> None:
    clutch = ClutchFactory(laid_on=date(2026, 2, 10))
    young = male(code="M-9", name="", hatched_on=date(2026, 2, 10))

    with pytest.raises(ParentError) as refused:
        set_of(clutch, share(young))

    assert refused.value.sentence == (
        f"M-9 hatched 10 Feb 2026, not before clutch {clutch.code} (10 Feb 2026), and "
        "cannot be its sire."
    )
    assert not CandidateSire.objects.exists()
    assert not AuditEntry.objects.exists()


def test_dam_herself_is_refused() -> None:
    clutch = ClutchFactory(dam__sex=Sex.UNKNOWN.value)

    with pytest.raises(ParentError, match="cannot be both dam and sire"):
        set_of(clutch, share(clutch.dam))


def test_sire_that_descends_from_the_clutch_is_refused() -> None:
    # When nobody knows when they hatched, only the descent can tell.
    unknown = {"hatched_on": None, "hatched_precision": "unknown"}
    clutch = ClutchFactory()
    child = HatchlingFactory(clutch=clutch, animal__name="").animal
    grandchild = male(code="M-9", name="", **unknown)
    CandidateSire.objects.create(
        animal=grandchild, sire=child, probability=Decimal("0.5"), basis="reported"
    )

    with pytest.raises(SireError) as refused:
        set_of(clutch, share(grandchild))

    assert refused.value.sentence == (
        f"M-9 descends from clutch {clutch.code} itself (M-9 ← {child.code}) and cannot "
        "be its sire."
    )


def test_many_hatchlings_take_no_more_queries() -> None:
    def queries(hatchlings: int) -> int:
        clutch, sire = ClutchFactory(), male()
        for _ in range(hatchlings):
            HatchlingFactory(clutch=clutch)
        with CaptureQueriesContext(
            connection,
        ) as caught:
            set_of(clutch, share(sire))
        return len(caught)

    assert queries(1) == queries(5)
