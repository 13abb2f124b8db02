"""Observations: entered in lists, known again, corrected; laying is remarked on."""

from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest

from core.models import AuditEntry
from husbandry.actions.care_records import CareResult
from husbandry.actions.observations import ObservationRow, record_observations
from husbandry.models import Animal, Observation, ReproductiveSpell
from husbandry.queries.open_signs import open_signs
from husbandry.rules.vocabulary import ObservationKind, Observed, Urates
from tests.factories import (
    NOW,
    TODAY,
    AnimalFactory,
    CareProfileFactory,
    ObservationFactory,
    ReproductiveSpellFactory,
    SiteFactory,
    StayFactory,
    UserFactory,
)
from tests.husbandry.care_lists import (
    KNOWN,
    REFUSED,
    STORED,
    judged,
    queries_of,
    stale_days,
)

pytestmark = pytest.mark.django_db
HOUR, DAY = timedelta(hours=1), timedelta(days=1)
K = ObservationKind


@pytest.fixture
def juno() -> Animal:
    CareProfileFactory.create()
    return AnimalFactory.create(code="V-1", name="Juno")


def row(**given: Any) -> ObservationRow:
    said = {"animal": "V-1", "at": NOW - HOUR, "kind": K.SHED}
    if "kind" not in given:
        said |= {"observed": Observed.WHOLE}
    return ObservationRow(**(said | given))


def see(*rows: ObservationRow, by: Any = None) -> tuple[CareResult, ...]:
    return record_observations(rows=rows, by=by, recorded_at=NOW)


def one(**given: Any) -> CareResult:
    (result,) = see(row(**given))
    return result


def test_sign_that_the_profile_names_no_more_can_be_gone(juno: Animal) -> None:
    """Profiles are revised; what was seen before must not stay open for ever."""
    ObservationFactory.create(
        animal=juno, at=NOW - DAY, kind="sign", sign="sign-old", observed="present"
    )
    AnimalFactory.create(code="V-2")

    def told(observed: Observed, animal: str = "V-1") -> CareResult:
        return one(kind=K.SIGN, sign="sign-old", observed=observed, animal=animal)

    assert told(Observed.GONE, "V-2").outcome is REFUSED
    assert told(Observed.PRESENT).outcome is REFUSED
    assert open_signs() == ("sign-old",)
    assert told(Observed.GONE).outcome is STORED
    assert open_signs() == ()


def test_every_field_is_kept_with_its_audit_entry(juno: Animal) -> None:
    keeper = UserFactory.create()
    droppings = row(
        kind=K.DROPPINGS,
        observed=Observed.LOOSE,
        urates=Urates.ORANGE,
        look_again_on=TODAY + DAY,
        note="Under the drain.",
    )
    laying = row(kind=K.LAYING, observed=Observed.BEGUN, eggs=3)
    sign = row(kind=K.SIGN, sign="sign-dark", observed=Observed.PRESENT)

    results = see(droppings, laying, sign, by=keeper)

    assert [r.outcome for r in results] == [STORED] * 3
    rows = [Observation.objects.get(pk=r.record) for r in results]
    said = [(r.kind, r.observed, r.urates, r.eggs, r.sign) for r in rows]
    assert said == [
        ("droppings", "loose", "orange", None, ""),
        ("laying", "begun", "", 3, ""),
        ("sign", "present", "", None, "sign-dark"),
    ]
    assert (rows[0].look_again_on, rows[0].note) == (TODAY + DAY, "Under the drain.")
    assert {(r.animal, r.at, r.recorded_by, r.recorded_at) for r in rows} == {
        (juno, NOW - HOUR, keeper, NOW)
    }
    entry = AuditEntry.objects.earliest("pk")
    assert (entry.verb, entry.subject) == (
        "record_observation",
        "husbandry.observation",
    )
    assert entry.after["look_again_on"] == "2026-03-03"
    assert AuditEntry.objects.count() == 3


def test_good_lines_beside_bad_ones_are_kept_in_their_order(juno: Animal) -> None:
    results = see(
        row(animal="V-9"),
        row(),
        row(kind=K.SIGN, sign="sign-dark"),
        row(kind=K.SIGN, sign="sign-dark", observed=Observed.PRESENT),
        row(kind=K.SIGN, sign="sign-urates", observed=Observed.PRESENT),
        row(),
        row(at=NOW + HOUR),
    )

    assert [r.outcome for r in results] == [
        *(REFUSED, STORED, REFUSED, STORED, STORED, KNOWN, REFUSED),
    ]
    assert [r.code for r in results if r.code] == [
        *("care_entry_refused", "observation_refused", "care_entry_refused"),
    ]
    assert Observation.objects.count() == 3


def test_the_profile_of_that_day_says_which_signs_there_are(juno: Animal) -> None:
    result = one(kind=K.SIGN, sign="sign-hiccups", observed=Observed.PRESENT)

    assert "'sign-hiccups' is no warning sign of its profile" in result.sentence
    assert "sign-injury, sign-collapse" in result.sentence


@pytest.mark.parametrize(
    ("at", "said"),
    [
        (NOW + timedelta(seconds=1), "has not come yet"),
        (datetime(2024, 8, 31, 12, tzinfo=UTC), "hatched on 01 Sep 2024"),
        (NOW, "left on 01 Mar 2026"),
    ],
)
def test_an_instant_that_cannot_be_is_refused(
    at: datetime, said: str, juno: Animal
) -> None:
    Animal.objects.update(status="dead", left_on=TODAY - DAY)

    assert said in one(at=at).sentence
    assert not Observation.objects.exists()


def test_the_same_again_is_known_and_other_content_is_refused(juno: Animal) -> None:
    first = one()

    assert one() == CareResult(KNOWN, first.record, "", "", ())
    other = one(observed=Observed.STUCK)
    assert "there is another observation on record (V-1 Juno: shed whole)" in (
        other.sentence
    )
    # Another kind at the same instant is another observation.
    assert one(kind=K.ALERTNESS, observed=Observed.BRIGHT).outcome is STORED
    assert AuditEntry.objects.count() == 2


def test_a_correction_strikes_out_the_old_one(juno: Animal) -> None:
    old = one().record

    right = one(observed=Observed.STUCK, note="On the toes.", corrects=old)
    silent = one(observed=Observed.IN_PATCHES, corrects=right.record)

    assert right.outcome is STORED
    struck = Observation.objects.get(pk=old)
    assert (struck.observed, struck.struck_reason) == ("whole", "On the toes.")
    assert Observation.objects.get(pk=right.record).corrects == struck
    assert "Say what was wrong" in silent.sentence
    entry = AuditEntry.objects.latest("pk")
    assert entry.verb == "correct_observation"
    assert entry.before == {"observed": "whole", "note": ""}


# Laying.


def test_who_has_laid_is_still_gravid_until_somebody_says_so(juno: Animal) -> None:
    ReproductiveSpellFactory.create(animal=juno, from_on=date(2026, 2, 20))

    result = one(kind=K.LAYING, observed=Observed.FINISHED, eggs=31)

    assert result.remarks == (
        "V-1 Juno is on record as gravid since 20 Feb 2026. If she has laid all her "
        "eggs, record that she is resting again from the day after on.",
    )
    assert ReproductiveSpell.objects.get().until_on is None


@pytest.mark.parametrize(
    ("given", "spell"),
    [
        ({"observed": Observed.BEGUN}, {}),
        ({"observed": Observed.STOPPED}, {}),
        ({"observed": Observed.FINISHED}, {"until_on": TODAY - DAY}),
        ({"observed": Observed.FINISHED}, {"from_on": TODAY + DAY}),
    ],
)
def test_otherwise_laying_is_not_remarked_on(
    given: dict[str, Any], spell: dict[str, Any], juno: Animal
) -> None:
    ReproductiveSpellFactory.create(animal=juno, **spell)

    result = one(kind=K.LAYING, **given)

    assert (result.outcome, result.remarks) == (STORED, ())


def test_a_male_lays_no_eggs(juno: Animal) -> None:
    Animal.objects.update(sex="male")

    assert "on record as male" in one(kind=K.LAYING, observed=Observed.BEGUN).sentence


# Reviews, queries.


def test_a_late_observation_makes_reviews_stale(juno: Animal) -> None:
    elsewhere = SiteFactory.create()
    site = StayFactory.create(animal=juno).enclosure.room.site
    judged(site, 1, 2, 3)
    judged(elsewhere, 1)

    one(at=NOW - 2 * DAY)

    assert stale_days(site) == {1, 2}
    assert stale_days(elsewhere) == set()


def test_many_lines_take_as_many_queries_as_one(juno: Animal) -> None:
    animals = [StayFactory.create().animal for _ in range(30)]
    for animal in animals:
        ReproductiveSpellFactory.create(animal=animal)

    def work(some: list[Animal], day: int) -> None:
        laid = {"kind": K.LAYING, "observed": Observed.FINISHED}
        results = see(*(row(animal=a.code, at=NOW - day * DAY, **laid) for a in some))
        assert {(r.outcome, len(r.remarks)) for r in results} == {(STORED, 1)}

    work(animals[:1], 1)
    one_line = queries_of(lambda: work(animals[:1], 2))

    assert queries_of(lambda: work(animals, 3)) == one_line
