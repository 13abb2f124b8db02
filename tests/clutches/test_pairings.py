"""Pairs are planned, put together and ended; what was wrong is struck out."""

from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from pytest_django import DjangoAssertNumQueries

from clutches.actions.introductions import IntroductionRow, record_introductions
from clutches.actions.pairings import PairingResult, end_pairing, plan_pairing
from clutches.models import Introduction, Pairing
from clutches.queries.pairings import pairing_lines
from clutches.rules.layings.loads import BreedingLoad
from clutches.rules.pairings.pairs import PairingError
from clutches.rules.vocabulary import IntroductionOutcome, LayingSign
from core.models import AuditEntry
from husbandry.actions.care_records import CareResult, strike_out
from tests.factories import (
    NOW,
    TODAY,
    AnimalFactory,
    CareProfileFactory,
    ClutchFactory,
    IntroductionFactory,
    PairingFactory,
    ReproductiveSpellFactory,
    SpeciesFactory,
    StayFactory,
    UserFactory,
    WeighingFactory,
)
from tests.husbandry.care_lists import (
    KNOWN,
    REFUSED,
    STORED,
    judged,
    queries_of,
    stale_days,
    verbs,
)

pytestmark = pytest.mark.django_db
DAY, HOUR = timedelta(days=1), timedelta(hours=1)
Was = IntroductionOutcome


@pytest.fixture(autouse=True)
def profile() -> None:
    CareProfileFactory.create()


def plan(**given: Any) -> PairingResult:
    said: dict[str, Any] = {"planned_on": TODAY, "by": None, "at": NOW}
    return plan_pairing(**(said | given))


def grown(**given: Any) -> Any:
    """Return an animal against which nothing speaks."""
    animal = AnimalFactory.create(**given)
    WeighingFactory.create(animal=animal, at=NOW - DAY)
    return animal


def test_a_pair_is_planned_with_its_reason_and_audit_entry() -> None:
    dam, sire, person = grown(), grown(male=True), UserFactory.create()

    found = plan(dam=dam, sire=sire, by=person, reason=" Unrelated. ")

    pairing = Pairing.objects.get()
    assert found == PairingResult(pairing, ())
    assert (pairing.dam, pairing.sire, pairing.planned_on) == (dam, sire, TODAY)
    assert (pairing.reason, pairing.created_by, pairing.created_at) == (
        "Unrelated.",
        person,
        NOW,
    )
    entry = AuditEntry.objects.get()
    assert (entry.verb, entry.by, entry.reason) == (
        "plan_pairing",
        person,
        "Unrelated.",
    )
    assert entry.after == {
        "dam": dam.pk,
        "sire": sire.pk,
        "planned_on": "2026-03-02",
    }


def test_what_speaks_against_a_pair_is_remarked_and_refuses_nothing() -> None:
    dam = grown(code="V-1", name="Juno", hatched_on=TODAY - 200 * DAY)
    sire = grown(code="V-2", name="Bas", male=True)
    ClutchFactory.create(dam=dam, laid_on=TODAY - 20 * DAY, code="C-1")

    remarks = plan(dam=dam, sire=sire).remarks

    assert remarks == (
        "V-1 Juno is 200 days old; at least 270 days are wanted.",
        "V-1 Juno laid 20 days ago, on 10 Feb 2026; 120 days of rest are wanted.",
    )


def test_an_unknown_sex_is_remarked() -> None:
    unsure = grown(sex="unknown", sex_basis="not_sexed", sex_confidence="uncertain")

    (remark,) = plan(dam=grown(), sire=unsure).remarks

    assert "is paired as the sire" in remark


@pytest.mark.parametrize(
    ("dam", "sire", "given", "words"),
    [
        ({"male": True}, {"male": True}, {}, "on record as male"),
        ({}, {}, {}, "on record as female"),
        ({}, {"male": True, "left": True}, {}, "not in care"),
        ({}, {"male": True}, {"planned_on": TODAY + DAY}, "has not come yet"),
        ({}, {"male": True}, {"planned_on": date(2024, 12, 31)}, "arrived on"),
        ({}, {"male": True}, {"reason": "r" * 301}, "301 characters"),
    ],
)
def test_a_pair_that_cannot_be_is_refused(
    dam: dict[str, Any], sire: dict[str, Any], given: dict[str, Any], words: str
) -> None:
    with pytest.raises(PairingError, match=words):
        plan(
            dam=AnimalFactory.create(**dam), sire=AnimalFactory.create(**sire), **given
        )

    assert not Pairing.objects.exists()
    assert not AuditEntry.objects.exists()


def test_two_species_are_no_pair() -> None:
    other = AnimalFactory.create(male=True, species=SpeciesFactory.create(code="other"))

    with pytest.raises(PairingError, match="two species"):
        plan(dam=AnimalFactory.create(), sire=other)


def test_the_same_pair_is_planned_again_only_after_it_ended() -> None:
    known = PairingFactory.create()

    with pytest.raises(PairingError, match="since 10 Jan 2026 already"):
        plan(dam=known.dam, sire=known.sire)
    end_pairing(pairing=known, on=TODAY, by=None, at=NOW)
    plan(dam=known.dam, sire=known.sire)

    assert Pairing.objects.count() == 2


def test_a_pairing_ends_on_a_day_after_they_last_met() -> None:
    pairing, person = PairingFactory.create(), UserFactory.create()
    IntroductionFactory.create(pairing=pairing, at=NOW - 2 * DAY)
    IntroductionFactory.create(
        pairing=pairing, at=NOW, struck_at=NOW, struck_reason="No."
    )

    with pytest.raises(PairingError, match="met on 28 Feb 2026"):
        end_pairing(pairing=pairing, on=TODAY - 3 * DAY, by=None, at=NOW)
    end_pairing(
        pairing=pairing, on=TODAY - 2 * DAY, by=person, at=NOW, reason="She fights."
    )

    pairing.refresh_from_db()
    assert pairing.ended_on == TODAY - 2 * DAY
    entry = AuditEntry.objects.get()
    assert (entry.verb, entry.before, entry.after, entry.reason) == (
        "end_pairing",
        {"ended_on": None},
        {"ended_on": "2026-02-28"},
        "She fights.",
    )


# Introductions.


@pytest.fixture
def pair() -> Pairing:
    dam = AnimalFactory.create(code="V-1", name="Juno")
    sire = AnimalFactory.create(code="V-2", name="Bas", male=True)
    made: Pairing = PairingFactory.create(dam=dam, sire=sire)
    return made


def row(pair: Pairing, **given: Any) -> IntroductionRow:
    said = {"pairing": pair.pk, "at": NOW - HOUR, "outcome": Was.MATED}
    return IntroductionRow(**(said | given))


def meet(*rows: IntroductionRow, by: Any = None) -> tuple[CareResult, ...]:
    return record_introductions(rows=rows, by=by, recorded_at=NOW)


def test_an_introduction_is_kept_and_told_when_she_may_lay(pair: Pairing) -> None:
    person = UserFactory.create()

    (result,) = meet(row(pair, minutes=40, note="Calm."), by=person)

    kept = Introduction.objects.get()
    assert result == CareResult(
        STORED,
        kept.pk,
        "",
        "",
        (
            # 20 to 35 days after 2 March 2026 (zoo profile 2014, Kramer DVM).
            "V-1 Juno may lay between 22 Mar 2026 and 06 Apr 2026. Give her a bin to "
            "dig and lay in from now on, and look at her every day once she shows.",
        ),
    )
    assert (kept.outcome, kept.minutes, kept.note) == ("mated", 40, "Calm.")
    assert (kept.recorded_by, kept.recorded_at) == (person, NOW)
    assert verbs() == ["record_introduction"]


def test_the_same_list_again_changes_nothing(pair: Pairing) -> None:
    rows = [row(pair), row(pair, at=NOW - DAY, outcome=Was.IGNORED)]
    meet(*rows)

    assert [result.outcome for result in meet(*rows)] == [KNOWN, KNOWN]
    assert Introduction.objects.count() == 2


def test_a_wrong_one_is_corrected_and_stays_legible(pair: Pairing) -> None:
    (first,) = meet(row(pair))

    (result,) = meet(
        row(pair, outcome=Was.REFUSED, note="She turned black.", corrects=first.record)
    )

    old = Introduction.objects.get(pk=first.record)
    assert (old.struck_reason, old.struck_at) == ("She turned black.", NOW)
    assert result.outcome is STORED
    assert verbs() == ["record_introduction", "correct_introduction"]


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"at": NOW + HOUR}, "has not come yet"),
        ({"at": datetime(2026, 1, 9, 12, tzinfo=UTC)}, "was planned on 10 Jan 2026"),
        ({"minutes": 0}, "0 minutes"),
        ({"note": "n" * 301}, "301 characters"),
        ({"pairing": 0}, "no pairing 0"),
        ({"corrects": 0}, "no introduction 0 to correct"),
    ],
)
def test_a_bad_line_keeps_no_good_one_out(
    pair: Pairing, given: dict[str, Any], words: str
) -> None:
    bad, good = meet(row(pair, **given), row(pair, at=NOW - DAY))

    assert (bad.outcome, good.outcome) == (REFUSED, STORED)
    assert words in bad.sentence
    assert Introduction.objects.count() == 1


def test_another_outcome_at_the_same_instant_is_a_contradiction(pair: Pairing) -> None:
    _, other = meet(row(pair), row(pair, outcome=Was.FOUGHT))

    assert other.outcome is REFUSED
    assert "another introduction on record" in other.sentence


def test_an_ended_pair_is_not_put_together(pair: Pairing) -> None:
    end_pairing(pairing=pair, on=TODAY, by=None, at=NOW)

    on_the_day, before = meet(row(pair), row(pair, at=NOW - DAY))

    assert (on_the_day.outcome, before.outcome) == (REFUSED, STORED)


def test_who_has_left_met_nobody_since(pair: Pairing) -> None:
    pair.sire.status, pair.sire.left_on = "placed", TODAY - 2 * DAY
    pair.sire.save()

    after, before = meet(row(pair), row(pair, at=NOW - 2 * DAY))

    assert (after.outcome, before.outcome) == (REFUSED, STORED)
    assert "left on 28 Feb 2026" in after.sentence


def test_a_gravid_female_and_a_fight_are_remarked(pair: Pairing) -> None:
    ReproductiveSpellFactory.create(animal=pair.dam, from_on=TODAY - DAY)

    before, after = meet(
        row(pair, at=NOW - 2 * DAY, outcome=Was.IGNORED),
        row(pair, outcome=Was.FOUGHT),
    )

    assert before.remarks == ()
    gravid, fight = after.remarks
    assert "gravid since 01 Mar 2026" in gravid
    assert "licensed reptile vet" in fight


def test_a_window_that_is_over_is_not_told(pair: Pairing) -> None:
    (result,) = meet(row(pair, at=NOW - 40 * DAY))

    assert (result.outcome, result.remarks) == (STORED, ())


def test_the_nights_that_judged_her_since_are_stale(pair: Pairing) -> None:
    site = StayFactory.create(animal=pair.dam).enclosure.room.site
    judged(site, 1, 2, 3)

    meet(row(pair, at=NOW - 2 * DAY))

    assert stale_days(site) == {1, 2}


def test_striking_one_out_marks_them_too(pair: Pairing) -> None:
    site = StayFactory.create(animal=pair.dam).enclosure.room.site
    kept = IntroductionFactory.create(pairing=pair, at=NOW - 2 * DAY)
    judged(site, 1, 2, 3)

    strike_out(record=kept, reason="Another pair.", by=None, at=NOW)

    assert stale_days(site) == {1, 2}


def test_many_lines_take_as_many_queries_as_one() -> None:
    few, many = PairingFactory.create(), PairingFactory.create_batch(3)
    for pairing in (few, *many):
        StayFactory.create(animal=pairing.dam)

    one = queries_of(lambda: meet(row(few)))
    three = queries_of(
        lambda: meet(*(row(p, at=NOW - n * HOUR) for p in many for n in (1, 2)))
    )

    assert one == three


# What is told of pairs.


def test_a_pairing_is_told_with_its_last_introduction_and_what_is_expected(
    pair: Pairing,
) -> None:
    meet(
        row(pair, at=NOW - 3 * DAY),
        row(pair, at=NOW - DAY, outcome=Was.IGNORED),
    )
    wrong = IntroductionFactory.create(pairing=pair, at=NOW)
    strike_out(record=wrong, reason="Another pair.", by=None, at=NOW)
    ClutchFactory.create(dam=pair.dam, laid_on=TODAY - 100 * DAY, code="C-1")

    line = pairing_lines(pairings=[pair], at=NOW)[pair.pk]

    assert (line.introductions, line.last_at, line.last_outcome) == (
        2,
        NOW - DAY,
        Was.IGNORED,
    )
    assert line.expected is not None
    assert (line.expected.because, line.expected.since_on) == (
        LayingSign.MATED,
        TODAY - 3 * DAY,
    )
    assert line.next_clutch is not None
    # 90 days after laying, from stored sperm (encyclopaedic page).
    assert line.next_clutch.from_on == TODAY - 10 * DAY
    assert line.load == BreedingLoad(
        clutches=1,
        eggs=32,
        most_clutches=3,
        last_on=TODAY - 100 * DAY,
        rest_days=100,
        rest_wanted_days=120,
    )


def test_a_pair_that_never_met_expects_nothing() -> None:
    pairing = PairingFactory.create()

    line = pairing_lines(pairings=[pairing], at=NOW)[pairing.pk]

    assert (line.introductions, line.last_at, line.expected) == (0, None, None)
    assert pairing_lines(pairings=[], at=NOW) == {}


@pytest.mark.parametrize("number", [1, 4])
def test_pairs_are_told_in_eight_queries(
    number: int, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    pairings = [i.pairing for i in IntroductionFactory.create_batch(number)]
    for pairing in pairings:
        ClutchFactory.create(dam=pairing.dam)

    with django_assert_num_queries(8):
        assert len(pairing_lines(pairings=pairings, at=NOW)) == number
