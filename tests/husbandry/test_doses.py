"""Doses: computed from a weighing, recorded once, never doubled; drugs are invented."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest

from core.models import AuditEntry
from husbandry.actions.care_records import strike_out
from husbandry.actions.doses import give_dose, note_dose_not_given
from husbandry.models import Dose, Prescription
from husbandry.rules.care.dosing import DoseRefusedError
from husbandry.rules.care_entries import CareEntryError
from husbandry.rules.health.giving import DoseError
from tests.factories import (
    NOW,
    TODAY,
    CareProfileFactory,
    PrescriptionFactory,
    ReviewRunFactory,
    StayFactory,
    UserFactory,
    WeighingFactory,
)

pytestmark = pytest.mark.django_db
D = Decimal
HOUR = timedelta(hours=1)


def at(day: int, hour: int = 9) -> datetime:
    return datetime(2026, 3, day, hour, tzinfo=UTC)


def prescribed(
    *, mass_g: str = "120", weighed: int = 1, **changes: Any
) -> Prescription:
    """Once a day at 09:00 UTC, 1 to 7 March; 10 mg/kg of 10 mg/mL."""
    animal = StayFactory.create().animal
    WeighingFactory.create(animal=animal, at=at(weighed, 8), mass_g=D(mass_g))
    return PrescriptionFactory.create(animal=animal, **changes)


DUE = at(2)


def give(row: Prescription, due_at: datetime = DUE, **changes: Any) -> Dose:
    asked: dict[str, Any] = {"given_at": at(2, 10), "by": None, "recorded_at": NOW}
    return give_dose(prescription=row, due_at=due_at, **(asked | changes))


def leave_out(row: Prescription, due_at: datetime = DUE, **changes: Any) -> Dose:
    asked: dict[str, Any] = {"why": "It slept.", "by": None, "recorded_at": NOW}
    return note_dose_not_given(prescription=row, due_at=due_at, **(asked | changes))


def test_dose_is_computed_and_kept_with_its_weighing() -> None:
    keeper = UserFactory.create()
    # 0.1234 kg × 10 mg/kg at 10 mg/mL is 0.1234 mL; in steps of 0.01 mL 0.12 mL.
    row = prescribed(mass_g="123.4")

    dose = give(row, by=keeper, note=" Took it well. ")

    dose.refresh_from_db()
    weighing = row.animal.weighings.get()
    assert (dose.prescription, dose.due_at, dose.at) == (row, at(2), at(2, 10))
    assert (dose.outcome, dose.note) == ("given", "Took it well.")
    assert (dose.volume_ml, dose.computed_ml) == (D("0.12"), D("0.1234"))
    assert (dose.weighing, dose.recorded_by) == (weighing, keeper)
    assert dose.recorded_at == NOW
    entry = AuditEntry.objects.get()
    assert (entry.verb, entry.by) == ("give_dose", keeper)
    assert (entry.after["volume_ml"], entry.after["weighing"]) == (
        "0.12",
        weighing.pk,
    )


def test_newest_weighing_in_force_at_the_time_counts() -> None:
    row = prescribed(mass_g="100")
    wrong = WeighingFactory.create(animal=row.animal, at=at(2, 8), mass_g=D(900))
    WeighingFactory.create(animal=row.animal, at=at(2, 8), mass_g=D(90), corrects=wrong)
    WeighingFactory.create(animal=row.animal, at=at(2, 11), mass_g=D(300))

    assert give(row).volume_ml == D("0.09")


@pytest.mark.parametrize(
    ("changes", "code"),
    [
        # The shipped profile computes from a weighing of the last 7 days (convention).
        ({"mass_g": "120000"}, "weight_out_of_band"),
        ({"dose_per_kg": D("0.2"), "concentration_mg_per_ml": D(5)}, "dose_too_small"),
        ({"dose_per_kg": D("1.2")}, "dose_rounding_too_coarse"),
    ],
)
def test_dose_that_cannot_be_computed_is_refused(
    changes: dict[str, Any], code: str
) -> None:
    CareProfileFactory.create()
    row = prescribed(**changes)

    with pytest.raises(DoseRefusedError) as refused:
        give(row)

    assert refused.value.code == code
    assert not Dose.objects.exists()
    assert not AuditEntry.objects.exists()


def test_weighing_that_is_too_old_or_missing_gives_no_dose() -> None:
    CareProfileFactory.create()
    row = prescribed(until_on=date(2026, 3, 20))
    soon = {"given_at": at(8), "recorded_at": at(8)}
    late = {"given_at": at(9), "recorded_at": at(9)}
    bare = PrescriptionFactory.create(animal=StayFactory.create().animal)

    # Seven days are accepted, eight are not.
    assert give(row, at(8), **soon).volume_ml == D("0.12")
    with pytest.raises(DoseRefusedError, match="8 days old"):
        give(row, at(9), **late)
    with pytest.raises(DoseRefusedError, match="No weighing is on record"):
        give(bare)


@pytest.mark.parametrize(
    ("due_at", "sentence"),
    [
        (at(2, 10), "No dose of Invented syrup is due at 2026-03-02 10:00 UTC: due that day: 2026-03-02 09:00"),
        (at(8), "none is due on that day"),
        (datetime(2026, 2, 27, 9, tzinfo=UTC), "none is due on that day"),
        (datetime(1, 1, 1, tzinfo=UTC), "none is due on that day"),
        (datetime(9999, 12, 31, 23, tzinfo=UTC), "none is due on that day"),
    ],
)  # fmt: skip
def test_only_what_is_due_is_given_or_left_out(due_at: datetime, sentence: str) -> None:
    row = prescribed()

    for say in (give, leave_out):
        with pytest.raises(DoseError) as refused:
            say(row, due_at)
        assert sentence in refused.value.sentence
        assert refused.value.fields
    assert not Dose.objects.exists()


def test_dose_is_recorded_once() -> None:
    row = prescribed()
    dose = give(row)

    # Sent in again, the same is known; anything else is refused.
    assert give(row) == dose
    for change in ({"given_at": at(2, 11)}, {"note": "Half of it."}):
        with pytest.raises(DoseError, match="is on record already: given"):
            give(row, **change)
    with pytest.raises(DoseError, match="Strike that entry out first"):
        leave_out(row)
    assert Dose.objects.count() == AuditEntry.objects.count() == 1


def test_dose_left_out_is_recorded_once_with_its_reason() -> None:
    keeper = UserFactory.create()
    row = prescribed()
    dose = leave_out(row, by=keeper)

    assert leave_out(row, recorded_at=NOW + HOUR) == dose
    with pytest.raises(DoseError, match="is on record already: not given"):
        leave_out(row, why="Another reason.")
    with pytest.raises(DoseError, match="is on record already: not given"):
        give(row)

    dose.refresh_from_db()
    assert (dose.outcome, dose.note, dose.at) == ("not_given", "It slept.", NOW)
    assert (dose.volume_ml, dose.computed_ml, dose.weighing) == (None, None, None)
    entry = AuditEntry.objects.get()
    assert (entry.verb, entry.reason) == ("note_dose_not_given", "It slept.")


@pytest.mark.parametrize(
    ("why", "sentence"), [(" ", "Say why"), ("x" * 301, "has 301 characters")]
)
def test_dose_is_not_left_out_without_a_word(why: str, sentence: str) -> None:
    with pytest.raises(DoseError, match=sentence):
        leave_out(prescribed(), why=why)


def test_note_of_a_dose_is_kept_whole_or_refused() -> None:
    with pytest.raises(DoseError, match="The note has 301 characters"):
        give(prescribed(), note="x" * 301)


def test_struck_out_dose_can_be_recorded_anew() -> None:
    row = prescribed()
    wrong = give(row)
    strike_out(record=wrong, reason="It spat it out.", by=None, at=NOW)

    right = leave_out(row, why="Spat out; the vet was asked.")

    assert right.pk != wrong.pk
    assert Dose.objects.filter(struck_at__isnull=True).get() == right


def test_dose_waits_until_an_interval_before_it_is_due() -> None:
    row = prescribed()

    # Now is 2 March, 12:00: the dose of 3 March 09:00 is near, that of the 4th not.
    assert leave_out(row, at(3)).due_at == at(3)
    with pytest.raises(DoseError, match="From 2026-03-03 09:00 on it can be recorded"):
        leave_out(row, at(4))
    with pytest.raises(DoseError, match="more than 24 hours away"):
        give(row, at(4))


@pytest.mark.parametrize(
    ("hours", "refused"),
    [(0, True), (11, True), (12, False), (-11, True), (-12, False)],
)
def test_nobody_doubles_up(hours: int, refused: bool) -> None:
    row = prescribed(weighed=1, first_at=at(2, 0), every_hours=24)
    now = {"recorded_at": at(4)}
    give(row, at(3, 0), given_at=at(3, 0), **now)
    other = {"given_at": at(3, 0) + hours * HOUR, **now}

    if refused:
        with pytest.raises(DoseError, match="Never double up") as error:
            give(row, at(2, 0) if hours < 0 else at(4, 0), **other)
        assert "licensed reptile vet" in error.value.sentence
    else:
        assert give(row, at(2, 0) if hours < 0 else at(4, 0), **other).pk


@pytest.mark.parametrize(
    ("every_hours", "hours", "refused"),
    [(24, 11, True), (24, 12, False), (8, 3, True), (8, 4, False)],
)
def test_nobody_doubles_up_by_a_new_prescription(
    every_hours: int, hours: int, refused: bool
) -> None:
    """A wrong prescription is stopped and written anew; the dose given is in it."""
    old = prescribed()
    given = give(old, at(2), given_at=at(2))
    old.stopped_at, old.stopped_reason = at(2, 10), "A digit was wrong."
    old.save()
    new = PrescriptionFactory.create(
        animal=old.animal,
        drug="Invented SYRUP ",
        first_at=at(2),
        every_hours=every_hours,
    )
    asked = {"given_at": at(2) + hours * HOUR, "recorded_at": at(3)}

    if not refused:
        assert give(new, **asked).pk
        return
    with pytest.raises(DoseError, match="on record at 2026-03-02 09:00"):
        give(new, **asked)
    strike_out(record=given, reason="It was not given.", by=None, at=NOW)
    assert give(new, **asked).pk


def test_dose_of_another_drug_keeps_no_dose_from_being_given() -> None:
    old = prescribed()
    give(old)
    new = PrescriptionFactory.create(animal=old.animal, drug="Invented drops")

    assert give(new).outcome == "given"


def test_dose_left_out_does_not_keep_the_next_from_being_given() -> None:
    row = prescribed()
    leave_out(row, at(1))

    assert give(row).outcome == "given"


def test_nothing_is_given_once_it_was_stopped() -> None:
    row = prescribed(
        stopped_at=at(2, 10), stopped_reason="On the vet's word.", until_on=TODAY
    )

    with pytest.raises(DoseError, match="was stopped at 2026-03-02 10:00"):
        give(row, given_at=at(2, 10))
    assert give(row, given_at=at(2, 9)).at == at(2, 9)
    # What was due before it was stopped may still be said of.
    assert leave_out(row, at(1)).due_at == at(1)


def test_dose_is_given_now_or_earlier_and_while_it_is_here() -> None:
    row = prescribed()
    gone = prescribed()
    gone.animal.status, gone.animal.left_on = "placed", date(2026, 3, 1)
    gone.animal.save()

    with pytest.raises(CareEntryError, match="has not come yet"):
        give(row, given_at=NOW + HOUR)
    with pytest.raises(CareEntryError, match="left on 01 Mar 2026"):
        give(gone)
    assert not Dose.objects.exists()


def test_reviews_from_the_day_it_was_due_are_stale() -> None:
    row = prescribed()
    site = row.animal.stays.get().enclosure.room.site
    runs = {
        day: ReviewRunFactory.create(site=site, on=date(2026, 2, 28) + day * 24 * HOUR)
        for day in range(3)
    }

    give(row, at(1), given_at=at(2, 8))

    for run in runs.values():
        run.refresh_from_db()
    assert {day for day, run in runs.items() if run.stale_since} == {1, 2}
