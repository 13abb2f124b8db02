"""Animals on record: registered, mended, left; whom they descend from."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest

from core.models import AuditEntry
from husbandry.actions.animals import (
    correct_animal,
    mark_left,
    record_reproductive_state,
    register_animal,
)
from husbandry.actions.reproduction import ReproductionError
from husbandry.models import Animal, ReproductiveSpell, ReviewRun, Stay
from husbandry.queries.animals import (
    AnimalLine,
    Pedigree,
    animal_lines,
    care_by_animal,
    pedigree,
    reproduction_on,
)
from husbandry.rules.animals import AnimalError
from husbandry.rules.microchips import MicrochipError
from husbandry.rules.parents import ParentError
from husbandry.rules.sexes import SexError
from husbandry.rules.vocabulary import (
    AnimalStatus,
    Confidence,
    DatePrecision,
    Origin,
    Reproduction,
    Sex,
    SexBasis,
)
from tests.factories import (
    NOW,
    TODAY,
    AnimalFactory,
    CareProfileFactory,
    ReproductiveSpellFactory,
    ReviewRunFactory,
    SiteFactory,
    SpeciesFactory,
    StayFactory,
    UserFactory,
    WeighingFactory,
)

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)
MALE = {
    "sex": Sex.MALE,
    "sex_basis": SexBasis.HEEL_SPUR,
    "sex_confidence": Confidence.CONFIRMED,
}


def register(**details: Any) -> Animal:
    asked = {"code": "V-1", "arrived_on": TODAY, "by": None, "at": NOW} | details
    if "species" not in asked:
        asked["species"] = SpeciesFactory()
    return register_animal(**asked)


# Registering.


def test_an_animal_of_which_little_is_known() -> None:
    animal = register(code=" V-1 ")

    animal.refresh_from_db()
    assert (animal.code, animal.sex, animal.sex_basis) == (
        "V-1",
        "unknown",
        "not_sexed",
    )
    assert (animal.hatched_on, animal.hatched_precision) == (None, "unknown")
    assert (animal.status, animal.left_on, animal.microchip) == ("in_care", None, None)
    assert not Stay.objects.exists()


def test_an_animal_of_which_all_is_known() -> None:
    dam, sire, person = AnimalFactory(), AnimalFactory(male=True), UserFactory()

    animal = register(
        name="Pip",
        **MALE,
        hatched_on=date(2026, 2, 1),
        hatched_precision=DatePrecision.DAY,
        dam=dam,
        sire=sire,
        origin=Origin.BORN_HERE,
        origin_note="clutch 3",
        microchip="620 098-100.000 001",
        notes="calm",
        by=person,
    )

    animal.refresh_from_db()
    assert (animal.dam, animal.sire) == (dam, sire)
    assert animal.microchip == "620098100000001"
    entry = AuditEntry.objects.get()
    assert (entry.verb, entry.by, entry.at) == ("register_animal", person, NOW)
    assert (entry.subject, entry.subject_id) == ("husbandry.animal", str(animal.pk))
    assert entry.after == {
        "code": "V-1",
        "species": animal.species.pk,
        "arrived_on": "2026-03-02",
        "name": "Pip",
        "sex": "male",
        "sex_basis": "heel_spur",
        "sex_confidence": "confirmed",
        "hatched_on": "2026-02-01",
        "hatched_precision": "day",
        "dam": dam.pk,
        "sire": sire.pk,
        "origin": "born_here",
        "origin_note": "clutch 3",
        "microchip": "620098100000001",
        "notes": "calm",
    }


@pytest.mark.parametrize(
    ("changes", "error", "said"),
    [
        ({"code": ""}, AnimalError, "no code for an animal"),
        ({"code": "V" * 21}, AnimalError, "1 to 20 characters"),
        ({"code": "TAKEN"}, AnimalError, "There is an animal TAKEN already"),
        ({"arrived_on": TODAY + 2 * DAY}, AnimalError, "has not come yet"),
        ({"hatched_on": date(2026, 1, 1)}, AnimalError, "needs a precision"),
        ({"hatched_precision": DatePrecision.DAY}, AnimalError, "needs a date"),
        (
            {"hatched_on": TODAY + DAY, "hatched_precision": DatePrecision.DAY},
            AnimalError,
            "cannot have arrived",
        ),
        (
            {"hatched_on": TODAY + 9 * DAY, "hatched_precision": DatePrecision.MONTH},
            AnimalError,
            "has not come yet",
        ),
        ({"sex": Sex.MALE}, SexError, "needs a basis"),
        ({"microchip": "62009810000000"}, MicrochipError, "14 digits"),
        ({"microchip": "999123456789012"}, MicrochipError, "test number"),
        ({"microchip": "620098100000001"}, MicrochipError, "Another animal carries"),
        ({"dam": "male"}, ParentError, "is male"),
    ],
)
def test_an_animal_that_cannot_be_is_refused(
    changes: dict[str, Any], error: type[Exception], said: str
) -> None:
    AnimalFactory(code="TAKEN", microchip="620098100000001")
    if "dam" in changes:
        changes = {"dam": AnimalFactory(male=True)}
    count = Animal.objects.count()

    with pytest.raises(error, match=said):
        register(**changes)

    assert Animal.objects.count() == count
    assert not AuditEntry.objects.exists()


def test_a_day_that_has_begun_somewhere_on_earth_has_come() -> None:
    # 12:00 UTC is 02:00 of the next day in Kiribati (UTC+14).
    assert register(arrived_on=TODAY + DAY)


# Mending.


def test_what_is_mended_and_what_it_said_is_told() -> None:
    person, animal = UserFactory(), AnimalFactory(name="Juno", notes="shy")

    mended = correct_animal(
        animal=animal, by=person, at=NOW, reason="misread", name="Juna", notes="shy"
    )

    animal.refresh_from_db()
    assert animal.name == mended.name == "Juna"
    entry = AuditEntry.objects.get()
    assert (entry.verb, entry.by, entry.reason) == ("correct_animal", person, "misread")
    assert (entry.before, entry.after) == ({"name": "Juno"}, {"name": "Juna"})


def test_a_microchip_can_be_taken_off_and_put_on() -> None:
    animal = AnimalFactory(microchip="620098100000001")
    given = {"animal": animal, "by": None, "at": NOW, "reason": "read again"}

    assert correct_animal(**given, microchip="").microchip is None
    assert correct_animal(**given, microchip="0123456789").microchip == "0123456789"


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"reason": " "}, "what was wrong"),
        ({"name": "Juno"}, "Nothing would change"),
        ({"code": "TAKEN"}, "There is an animal TAKEN"),
        ({"arrived_on": date(2024, 8, 31)}, "before that"),
        ({"sex_basis": SexBasis.NOT_SEXED}, "needs a basis"),
    ],
)
def test_a_mend_that_cannot_be_is_refused(changes: dict[str, Any], said: str) -> None:
    AnimalFactory(code="TAKEN")
    animal = AnimalFactory(name="Juno", hatched_on=date(2024, 9, 1))

    with pytest.raises((AnimalError, SexError), match=said):
        correct_animal(**({"reason": "x"} | changes), animal=animal, by=None, at=NOW)

    assert Animal.objects.get(pk=animal.pk).name == "Juno"
    assert not AuditEntry.objects.exists()


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        (MALE, "is male and cannot be the dam of"),
        (
            {"hatched_on": date(2026, 2, 1), "hatched_precision": DatePrecision.DAY},
            "not before",
        ),
        ({"species": "other"}, "another species"),
    ],
)
def test_a_mother_must_stay_one_that_can_be(changes: dict[str, Any], said: str) -> None:
    dam = AnimalFactory(arrived_on=TODAY)
    AnimalFactory(dam=dam, hatched_on=date(2026, 1, 1), arrived_on=TODAY)
    if "species" in changes:
        changes = {"species": SpeciesFactory(code="panther_chameleon")}

    with pytest.raises(ParentError, match=said):
        correct_animal(animal=dam, by=None, at=NOW, reason="looked again", **changes)


def test_a_father_must_stay_one_too() -> None:
    sire = AnimalFactory(male=True)
    AnimalFactory(sire=sire, hatched_on=date(2026, 1, 1), arrived_on=TODAY)
    female = {"sex": Sex.FEMALE, "sex_basis": SexBasis.LAID_EGGS}

    with pytest.raises(ParentError, match="is female and cannot be the sire of"):
        correct_animal(animal=sire, by=None, at=NOW, reason="it laid", **female)


def test_an_animal_cannot_become_its_own_ancestor() -> None:
    undated = {"hatched_on": None, "hatched_precision": "unknown"}
    old = AnimalFactory(code="V-1", name="", **undated)
    middle = AnimalFactory(code="V-2", name="", dam=old, **undated)
    young = AnimalFactory(code="V-3", name="", dam=middle, **undated)

    with pytest.raises(ParentError, match="V-1 ← V-3 ← V-2 ← V-1"):
        correct_animal(animal=old, by=None, at=NOW, reason="x", dam=young)


# Leaving.


@pytest.mark.parametrize(
    "status", [AnimalStatus.PLACED, AnimalStatus.DEAD, AnimalStatus.LOST]
)
def test_an_animal_that_leaves_today_leaves_now(status: AnimalStatus) -> None:
    stay, person = StayFactory(enclosure__code="N-1"), UserFactory()

    mark_left(
        animal=stay.animal, status=status, on=TODAY, by=person, at=NOW, reason="why"
    )

    stay.refresh_from_db()
    animal = Animal.objects.get()
    assert (animal.status, animal.left_on, stay.until_at) == (status, TODAY, NOW)
    entry = AuditEntry.objects.get()
    assert (entry.verb, entry.by, entry.reason) == ("mark_left", person, "why")
    assert entry.before == {"status": "in_care", "enclosure": "N-1"}
    assert entry.after == {"status": status.value, "left_on": "2026-03-02"}


def test_one_that_left_earlier_left_by_the_end_of_that_local_day() -> None:
    stay = StayFactory(enclosure__room__site__time_zone="Asia/Tokyo")
    site = stay.enclosure.room.site
    for days in (1, 2, 3):
        ReviewRunFactory(site=site, on=TODAY - days * DAY)

    mark_left(
        animal=stay.animal,
        status=AnimalStatus.DEAD,
        on=TODAY - 2 * DAY,
        by=None,
        at=NOW,
    )

    stay.refresh_from_db()
    # The end of 28 February in Tokyo.
    assert stay.until_at == datetime(2026, 2, 28, 15, tzinfo=UTC)
    stale = ReviewRun.objects.filter(stale_since=NOW).values_list("on", flat=True)
    assert set(stale) == {TODAY - DAY, TODAY - 2 * DAY}


def test_one_without_an_enclosure_can_leave() -> None:
    animal = AnimalFactory()

    mark_left(animal=animal, status=AnimalStatus.LOST, on=TODAY, by=None, at=NOW)

    assert AuditEntry.objects.get().before == {"status": "in_care", "enclosure": None}


def test_one_that_was_taken_out_cannot_have_left_before() -> None:
    # Until 1 March, 00:30 in Tokyo, which is 28 February in UTC.
    stay = StayFactory(
        enclosure__code="N-1",
        enclosure__room__site__time_zone="Asia/Tokyo",
        until_at=datetime(2026, 2, 28, 15, 30, tzinfo=UTC),
    )
    dead = {"animal": stay.animal, "status": AnimalStatus.DEAD, "by": None, "at": NOW}

    with pytest.raises(AnimalError, match="was in N-1 until 01 Mar 2026"):
        mark_left(on=date(2026, 2, 28), **dead)

    assert mark_left(on=date(2026, 3, 1), **dead).left_on == date(2026, 3, 1)


def test_one_without_an_enclosure_was_judged_all_the_same() -> None:
    # Never in an enclosure: every night said so, until it is known to have left.
    animal, site = AnimalFactory(), SiteFactory()
    for days in (1, 2, 3):
        ReviewRunFactory(site=site, on=TODAY - days * DAY)

    mark_left(
        animal=animal, status=AnimalStatus.LOST, on=TODAY - 2 * DAY, by=None, at=NOW
    )

    stale = ReviewRun.objects.filter(stale_since=NOW).values_list("on", flat=True)
    assert set(stale) == {TODAY - DAY, TODAY - 2 * DAY}


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"status": AnimalStatus.IN_CARE}, "placed, released, dead or lost"),
        ({"on": TODAY + DAY}, "has not come yet"),
        ({"on": date(2024, 12, 31)}, "arrived on 01 Jan 2025"),
        ({"on": TODAY - 5 * DAY}, "Give that day or a later one"),
        ({"animal": "left"}, "left on 02 Mar 2026 already"),
    ],
)
def test_a_leave_that_cannot_be_is_refused(changes: dict[str, Any], said: str) -> None:
    stay = StayFactory(from_at=NOW - 2 * DAY)
    asked = {"animal": stay.animal, "status": AnimalStatus.DEAD, "on": TODAY}
    asked |= changes
    if asked["animal"] == "left":
        asked["animal"] = AnimalFactory(left=True)

    with pytest.raises(AnimalError, match=said):
        mark_left(**asked, by=None, at=NOW)

    stay.refresh_from_db()
    assert stay.until_at is None
    assert not AuditEntry.objects.exists()


# Reproductive state.


def tell(animal: Animal, state: Reproduction, on: date, **more: Any) -> Any:
    given = {"by": None, "at": NOW} | more
    return record_reproductive_state(animal=animal, state=state, on=on, **given)


def test_a_spell_begins_and_ends_the_day_before_resting() -> None:
    animal, person = AnimalFactory(), UserFactory()

    tell(animal, Reproduction.GRAVID, TODAY - 20 * DAY, basis="colours", by=person)
    tell(animal, Reproduction.RESTING, TODAY - DAY, basis="laid 38 eggs")

    spell = ReproductiveSpell.objects.get()
    assert (spell.state, spell.from_on, spell.until_on) == (
        "gravid",
        TODAY - 20 * DAY,
        TODAY - 2 * DAY,
    )
    assert spell.basis == "colours; laid 38 eggs"
    first, second = AuditEntry.objects.order_by("pk")
    assert (first.verb, first.by, first.before) == (
        "record_reproductive_state",
        person,
        {},
    )
    assert first.after == {"state": "gravid", "on": "2026-02-10", "basis": "colours"}
    assert second.before == {"state": "gravid", "from_on": "2026-02-10"}
    days = [TODAY - n * DAY for n in (21, 20, 2, 1)]
    assert [reproduction_on(animal=animal, on=on).value for on in days] == [
        "resting",
        "gravid",
        "gravid",
        "resting",
    ]


def test_a_spell_ended_on_its_first_day_is_one_day_long() -> None:
    animal = AnimalFactory()
    tell(animal, Reproduction.GRAVID, TODAY)

    spell = tell(animal, Reproduction.RESTING, TODAY)

    assert (spell.from_on, spell.until_on) == (TODAY, TODAY)


def test_one_that_laid_today_rests_from_tomorrow_on() -> None:
    animal = AnimalFactory()
    tell(animal, Reproduction.GRAVID, TODAY - DAY)

    with pytest.raises(ReproductionError, match="has not come yet"):
        tell(animal, Reproduction.RESTING, TODAY + 2 * DAY)
    spell = tell(animal, Reproduction.RESTING, TODAY + DAY)

    assert spell.until_on == TODAY


def test_reviews_since_are_stale() -> None:
    stay = StayFactory()
    site = stay.enclosure.room.site
    for days in (1, 2, 3):
        ReviewRunFactory(site=site, on=TODAY - days * DAY)

    tell(stay.animal, Reproduction.GRAVID, TODAY - 2 * DAY)

    stale = ReviewRun.objects.filter(stale_since=NOW).values_list("on", flat=True)
    assert set(stale) == {TODAY - DAY, TODAY - 2 * DAY}


@pytest.mark.parametrize(
    ("animal", "state", "on", "said"),
    [
        ({"male": True}, "gravid", TODAY, "male and cannot be gravid"),
        ({"left": True}, "gravid", TODAY, "not in care"),
        ({}, "gravid", TODAY + DAY, "has not come yet"),
        ({}, "gravid", TODAY - 30 * DAY, "only begin after that"),
        ({}, "resting", TODAY, "is resting already"),
    ],
)
def test_a_state_that_cannot_be_is_refused(
    animal: dict[str, Any], state: str, on: date, said: str
) -> None:
    female = AnimalFactory(**animal)
    ReproductiveSpellFactory(
        animal=female, from_on=TODAY - 40 * DAY, until_on=TODAY - 30 * DAY
    )

    with pytest.raises(ReproductionError, match=said):
        tell(female, Reproduction(state), on)

    assert ReproductiveSpell.objects.count() == 1
    assert not AuditEntry.objects.exists()


def test_an_open_spell_is_not_begun_again_nor_ended_before_it_began() -> None:
    animal = ReproductiveSpellFactory(from_on=TODAY - 5 * DAY).animal

    with pytest.raises(ReproductionError, match="is gravid since 25 Feb 2026 already"):
        tell(animal, Reproduction.GRAVID, TODAY)
    with pytest.raises(ReproductionError, match="cannot have rested on 24 Feb 2026"):
        tell(animal, Reproduction.RESTING, TODAY - 6 * DAY)
    with pytest.raises(ReproductionError, match="at most 200"):
        tell(animal, Reproduction.RESTING, TODAY, basis="x" * 201)


# Queries.


def test_animals_as_people_list_them(django_assert_num_queries: Any) -> None:
    CareProfileFactory()
    stay = StayFactory(
        animal=AnimalFactory(code="V-1", name="Juno", hatched_on=date(2024, 9, 1)),
        enclosure__code="N-1",
        enclosure__room__name="Nursery",
        enclosure__room__site__name="North",
    )
    unplaced = AnimalFactory(code="V-2", hatched_on=None, hatched_precision="unknown")
    AnimalFactory(code="V-3", left=True)
    WeighingFactory(animal=stay.animal, at=NOW - 2 * DAY, mass_g=99)
    WeighingFactory(animal=stay.animal, at=NOW - DAY, mass_g=101)
    WeighingFactory(animal=stay.animal, at=NOW + DAY, mass_g=300)

    with django_assert_num_queries(4):
        found = animal_lines(at=NOW, on=TODAY, site=None)

    assert [a.code for a in found] == ["V-1", "V-2"]
    assert found[0] == AnimalLine(
        id=stay.animal.pk,
        code="V-1",
        name="Juno",
        species="Veiled chameleon",
        sex=Sex.FEMALE,
        stage="Adult",
        hatched_on=date(2024, 9, 1),
        status=AnimalStatus.IN_CARE,
        enclosure="N-1",
        room="Nursery",
        site="North",
        mass_g=Decimal("101.00"),
        weighed_at=NOW - DAY,
    )
    assert (found[1].id, found[1].stage, found[1].enclosure) == (
        unplaced.pk,
        None,
        None,
    )
    here = animal_lines(at=NOW, on=TODAY, site=stay.enclosure.room.site)
    assert [a.code for a in here] == ["V-1"]
    gone = animal_lines(at=NOW, on=TODAY, site=None, statuses=(AnimalStatus.PLACED,))
    assert [a.code for a in gone] == ["V-3"]


def test_the_number_of_queries_does_not_grow(django_assert_num_queries: Any) -> None:
    CareProfileFactory()
    for _ in range(5):
        StayFactory()

    with django_assert_num_queries(4):
        animal_lines(at=NOW, on=TODAY, site=None)


def test_without_a_profile_no_stage_is_known() -> None:
    animal = AnimalFactory()

    found = care_by_animal(animals=[animal], on=TODAY)[animal.pk]

    assert (found.profile, found.stage, found.stage_code) == (None, None, None)


def test_a_pedigree_in_one_query(django_assert_num_queries: Any) -> None:
    founder = AnimalFactory(code="V-1", name="")
    dam = AnimalFactory(code="V-2", name="Juno", dam=founder)
    sire = AnimalFactory(code="V-3", name="", male=True, dam=founder)
    child = AnimalFactory(code="V-4", name="", dam=dam, sire=sire)
    AnimalFactory(code="V-5", dam=child)

    with django_assert_num_queries(1):
        found = pedigree(animal_ids=[child.pk])

    assert found == Pedigree(
        parents={
            child.pk: (dam.pk, sire.pk),
            dam.pk: (founder.pk, None),
            sire.pk: (founder.pk, None),
            founder.pk: (None, None),
        },
        labels={
            child.pk: "V-4",
            dam.pk: "V-2 Juno",
            sire.pk: "V-3",
            founder.pk: "V-1",
        },
    )
    with django_assert_num_queries(0):
        assert pedigree(animal_ids=[]) == Pedigree({}, {})


def test_a_pedigree_that_loops_comes_to_an_end() -> None:
    one = AnimalFactory()
    two = AnimalFactory(dam=one)
    Animal.objects.filter(pk=one.pk).update(dam=two)

    assert set(pedigree(animal_ids=[one.pk]).parents) == {one.pk, two.pk}
