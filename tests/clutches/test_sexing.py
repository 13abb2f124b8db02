"""Looks at heels on record, and the sexes that follow from them."""

from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from clutches.actions.sexing import (
    SpurCheckRow,
    record_spur_checks,
    set_sexing_policy,
)
from clutches.models import SpurCheck
from clutches.queries.sexing import (
    awaiting_look,
    second_look_asked,
    unsettled_animals,
)
from clutches.rules.sexing import SexingError
from clutches.rules.vocabulary import Heel
from core.models import AuditEntry, User
from husbandry.actions.care_records import CareResult, strike_out
from husbandry.actions.profiles import load_shipped_profiles
from husbandry.models import Animal, Species
from tests.factories import (
    AnimalFactory,
    SexingPolicyFactory,
    SpeciesFactory,
    StayFactory,
    UserFactory,
)

pytestmark = pytest.mark.django_db
P, A, U = Heel.PRESENT, Heel.ABSENT, Heel.UNCLEAR
AT = datetime(2026, 3, 1, 9, tzinfo=UTC)
NOW = datetime(2026, 3, 20, 12, tzinfo=UTC)


@pytest.fixture
def species() -> Species:
    load_shipped_profiles(by=None, at=datetime(2025, 1, 1, tzinfo=UTC))
    return Species.objects.get(code="veiled_chameleon")


@pytest.fixture
def young(species: Species) -> Animal:
    return AnimalFactory(
        code="C-1-01",
        name="",
        species=species,
        sex="unknown",
        sex_basis="not_sexed",
        sex_confidence="uncertain",
    )


def look(
    by: User, left: Heel = P, right: Heel = P, *, days: int = 0, **given: Any
) -> CareResult:
    row = SpurCheckRow(
        animal=given.pop("animal", "C-1-01"),
        at=AT + timedelta(days=days),
        left=left,
        right=right,
        **given,
    )
    [result] = record_spur_checks(rows=[row], by=by, recorded_at=NOW)
    return result


def sex_of(animal: Animal) -> tuple[str, str, str]:
    animal.refresh_from_db()
    return animal.sex, animal.sex_basis, animal.sex_confidence


def test_two_people_confirm_a_sex(young: Animal) -> None:
    first = look(UserFactory())
    assert sex_of(young) == ("male", "heel_spur", "likely")
    assert "once another person has looked" in first.remarks[0]

    second = look(UserFactory(), days=1)

    assert sex_of(young) == ("male", "heel_spur", "confirmed")
    assert second.remarks == ()
    verbs = AuditEntry.objects.filter(subject_id=str(young.pk), verb="sex_by_heels")
    assert verbs.count() == 2


def test_the_same_person_twice_is_no_second_person(young: Animal) -> None:
    anna = UserFactory()
    look(anna)
    look(anna, days=1)

    assert sex_of(young)[2] == "likely"


def test_disagreement_opens_the_sex_again(young: Animal) -> None:
    look(UserFactory())
    result = look(UserFactory(), A, A, days=1)

    assert sex_of(young) == ("unknown", "not_sexed", "uncertain")
    assert "disagree" in result.remarks[0]


def test_a_look_that_is_struck_out_settles_nothing_any_more(young: Animal) -> None:
    anna, ben = UserFactory(), UserFactory()
    look(anna)
    look(ben, A, A, days=1)

    wrong = SpurCheck.objects.get(looked_by=ben)
    strike_out(record=wrong, reason="Another animal.", by=anna, at=NOW)
    assert sex_of(young) == ("male", "heel_spur", "likely")

    only = SpurCheck.objects.get(looked_by=anna)
    strike_out(record=only, reason="That one, too.", by=anna, at=NOW)
    assert sex_of(young) == ("unknown", "not_sexed", "uncertain")


def test_what_was_registered_comes_back_when_the_only_look_goes(
    species: Species,
) -> None:
    animal = AnimalFactory(code="V-9", species=species, sex_confidence="confirmed")
    look(UserFactory(), animal="V-9")
    assert sex_of(animal) == ("male", "heel_spur", "likely")

    strike_out(
        record=SpurCheck.objects.get(), reason="Another animal.", by=None, at=NOW
    )

    assert sex_of(animal) == ("female", "heel_spur", "confirmed")


def test_a_correction_is_a_new_look_that_names_the_old(young: Animal) -> None:
    anna = UserFactory()
    old = look(anna)

    look(anna, A, A, corrects=old.record, note="Read the wrong tub.")

    assert sex_of(young) == ("female", "heel_spur", "likely")


def test_a_sex_known_by_something_else_stays(species: Species) -> None:
    animal = AnimalFactory(
        code="V-9", species=species, sex="female", sex_basis="laid_eggs"
    )

    result = look(UserFactory(), animal="V-9")

    assert sex_of(animal)[:2] == ("female", "laid_eggs")
    assert "by laid eggs; that stays. This look says otherwise" in result.remarks[0]


@pytest.mark.parametrize(
    ("basis", "confidence", "stays"),
    [
        ("reported", "likely", False),
        ("body_form", "uncertain", False),
        ("reported", "confirmed", True),
        ("laboratory", "likely", True),
    ],
)
def test_a_sex_that_nobody_was_sure_of_gives_way_to_a_look(
    species: Species, basis: str, confidence: str, stays: bool
) -> None:
    before = ("female", basis, confidence)
    animal = AnimalFactory(
        code="V-9",
        species=species,
        sex="female",
        sex_basis=basis,
        sex_confidence=confidence,
    )
    one_sided = look(UserFactory(), P, A, animal="V-9")
    assert sex_of(animal) == before
    assert "that stays" in one_sided.remarks[0]
    strike_out(record=SpurCheck.objects.get(), reason="Dark.", by=None, at=NOW)

    result = look(UserFactory(), animal="V-9", days=1)

    assert "This look says otherwise: look into it." in result.remarks[0]
    assert sex_of(animal) == (before if stays else ("male", "heel_spur", "likely"))
    only = SpurCheck.objects.get(struck_at=None)
    strike_out(record=only, reason="Another animal.", by=None, at=NOW)
    assert sex_of(animal) == before


def test_a_species_without_the_mark_is_refused() -> None:
    # Common practice, no source: panther chameleons carry no heel spur at hatching.
    panther = SpeciesFactory(code="panther_chameleon")
    AnimalFactory(code="P-1", species=panther)

    result = look(UserFactory(), animal="P-1")

    assert result.outcome == "refused"
    assert "cannot be sexed by heel spur" in result.sentence
    assert not SpurCheck.objects.exists()


def test_bad_lines_do_not_keep_good_ones_out(young: Animal) -> None:
    by = UserFactory()
    rows = [
        SpurCheckRow("nobody", AT, P, P),
        SpurCheckRow("C-1-01", NOW + timedelta(days=1), P, P),
        SpurCheckRow("C-1-01", AT, P, P),
    ]

    results = record_spur_checks(rows=rows, by=by, recorded_at=NOW)

    assert [r.outcome for r in results] == ["refused", "refused", "stored"]
    again = record_spur_checks(rows=rows, by=by, recorded_at=NOW)
    assert [r.outcome for r in again] == ["refused", "refused", "known"]
    assert SpurCheck.objects.count() == 1


def test_one_look_is_enough_where_the_policy_says_so(young: Animal) -> None:
    SexingPolicyFactory(second_look=False, from_on=date(2026, 3, 10))

    assert second_look_asked(on=date(2026, 3, 9)) is True
    assert second_look_asked(on=date(2026, 3, 10)) is False
    look(UserFactory())

    assert sex_of(young)[2] == "confirmed"


def test_a_policy_needs_a_reason_and_a_day_to_come() -> None:
    owner = UserFactory()
    policy = set_sexing_policy(
        second_look=False, from_on=NOW.date(), reason=" Few of us. ", by=owner, at=NOW
    )

    assert (policy.reason, policy.decided_by) == ("Few of us.", owner)
    for given in (
        {"reason": " ", "from_on": NOW.date()},
        {"reason": "x", "from_on": date(2026, 3, 19)},
    ):
        with pytest.raises(SexingError):
            set_sexing_policy(second_look=True, by=owner, at=NOW, **given)  # type: ignore[arg-type]


def test_the_night_knows_looks_until_its_end(young: Animal) -> None:
    here = StayFactory(animal=young, from_at=AT - timedelta(days=5))
    site = here.enclosure.room.site
    anna, ben = UserFactory(first_name="Anna"), UserFactory()
    look(anna)
    look(ben, days=5)

    [early] = unsettled_animals(site=site, on=AT.date())
    [late] = unsettled_animals(site=site, on=AT.date() + timedelta(days=5))

    assert [h.looked_by for h in early.looks] == [anna.pk]
    assert [h.looked_by for h in late.looks] == [anna.pk, ben.pk]
    assert unsettled_animals(site=site, on=AT.date() - timedelta(days=1)) == ()


def test_who_has_looked_is_not_asked_again(young: Animal) -> None:
    anna, ben = UserFactory(), UserFactory()
    assert awaiting_look(reader=anna.pk, at=NOW) == [young]

    look(anna)

    assert awaiting_look(reader=anna.pk, at=NOW) == []
    assert awaiting_look(reader=ben.pk, at=NOW) == [young]
    look(ben, days=1)
    assert awaiting_look(reader=UserFactory().pk, at=NOW) == []


def test_as_many_queries_for_many(species: Species) -> None:
    counts = []
    for many in (3, 30):
        codes = [
            AnimalFactory(
                species=species,
                sex="unknown",
                sex_basis="not_sexed",
                sex_confidence="uncertain",
            ).code
            for _ in range(many)
        ]
        by = UserFactory()
        with CaptureQueriesContext(connection) as asked:
            record_spur_checks(
                rows=[SpurCheckRow(code, AT, P, P) for code in codes],
                by=by,
                recorded_at=NOW,
            )
        counts.append(len(asked))

    assert counts[0] == counts[1]
