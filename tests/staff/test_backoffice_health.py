"""The desks about health: cautions everywhere, volumes shown before they are given."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest
from django.test import Client
from django.utils import timezone

from core.models import AuditEntry
from core.roles import Role
from husbandry.models import Animal, Death, Dose, HealthTest, Prescription
from husbandry.rules.health.cautions import DEATHS, DOSES, TESTS
from tests.factories import (
    AnimalFactory,
    CareProfileFactory,
    DeathFactory,
    DoseFactory,
    HealthTestFactory,
    PrescriptionFactory,
    StayFactory,
    WeighingFactory,
)
from tests.staff.conftest import Visitor
from tests.staff.record_forms import (
    dose_typed,
    errors,
    prescription_typed,
    text,
    url,
)

pytestmark = pytest.mark.django_db
LISBON = ZoneInfo("Europe/Lisbon")
CAUTIONS = {
    "husbandry.prescription": (PrescriptionFactory, DOSES),
    "husbandry.dose": (DoseFactory, DOSES),
    "husbandry.healthtest": (HealthTestFactory, TESTS),
    "husbandry.death": (DeathFactory, DEATHS),
}


def _medicated(*, mass_g: str = "120", hours: int = 2) -> Prescription:
    """Once a day, first due some hours ago; weighed yesterday. An invented drug."""
    now = timezone.now()
    stay = StayFactory.create()
    WeighingFactory.create(
        animal=stay.animal, at=now - timedelta(days=1), mass_g=Decimal(mass_g)
    )
    return PrescriptionFactory.create(
        animal=stay.animal,
        first_at=(now - timedelta(hours=hours)).replace(second=0, microsecond=0),
        until_on=now.date() + timedelta(days=6),
    )


@pytest.mark.parametrize("label", CAUTIONS)
@pytest.mark.parametrize("rest", ["", "add/", "{}/change/"])
def test_every_page_about_health_carries_its_caution(
    label: str, rest: str, owner: Client
) -> None:
    factory, caution = CAUTIONS[label]
    row = factory.create()

    assert caution.text in text(owner.get(url(label, rest.format(row.pk))))


@pytest.mark.parametrize(
    ("label", "slug"),
    [
        ("husbandry.prescription", "give"),
        ("husbandry.prescription", "not-given"),
        ("husbandry.prescription", "stop"),
        ("husbandry.healthtest", "result"),
        ("husbandry.healthtest", "seen-by-vet"),
        ("husbandry.death", "necropsy"),
    ],
)
def test_every_step_about_health_carries_its_caution(
    label: str, slug: str, owner: Client
) -> None:
    factory, caution = CAUTIONS[label]
    row = factory.create()

    assert caution.text in text(owner.get(url(label, f"{row.pk}/{slug}/")))


def test_a_prescription_is_kept_as_the_vet_wrote_it(visitor: Visitor) -> None:
    vet = visitor(Role.VET)
    typed = prescription_typed() | {"first_dose_at_0": "2026-07-01"}
    typed |= {"until_on": "2026-07-03", "prescribed_on": "2026-06-30"}

    answer = vet.post(url("husbandry.prescription"), typed)

    assert (answer.status_code, errors(answer)) == (302, [])
    row = Prescription.objects.get()
    # Lisbon keeps UTC+1 in July.
    assert row.first_at == datetime(2026, 7, 1, 8, tzinfo=UTC)
    assert (row.dose_per_kg, row.concentration_mg_per_ml) == (10, 10)
    assert (row.every_hours, row.until_on) == (24, date(2026, 7, 3))
    assert (row.route, row.smallest_step_ml) == ("by_mouth", Decimal("0.01"))
    assert (row.vet, row.prescribed_on) == (
        "A licensed vet of the tests",
        date(2026, 6, 30),
    )


def test_a_volume_is_shown_before_a_dose_is_given(keeper: Client) -> None:
    row = _medicated()
    place = url("husbandry.prescription", f"{row.pk}/give/")
    form = text(keeper.get(place))
    due_at = row.first_at.isoformat()

    answer = keeper.post(place, {"due_at": due_at, "note": "Took it."}, follow=True)

    # By hand: 0.12 kg × 10 mg/kg = 1.2 mg; at 10 mg/mL 0.12 mL.
    assert "A dose given now is 0.12 mL of Invented syrup by mouth" in form
    assert "(exactly 0.12 mL, 1.2 mg), computed from 120.00 g weighed on " in form
    assert "No dosing policy stands" in form
    assert f'<option value="{due_at}" selected>' in form
    assert f"{row} has a dose more on record." in text(answer)
    dose = Dose.objects.get()
    assert (dose.due_at, dose.outcome, dose.note) == (row.first_at, "given", "Took it.")
    assert (dose.volume_ml, dose.computed_ml) == (Decimal("0.12"), Decimal("0.12"))
    assert AuditEntry.objects.get().verb == "give_dose"
    # What is on record is not offered again; tomorrow's is next.
    assert f'value="{due_at}"' not in text(keeper.get(place))


def test_dose_given_before_the_stop_is_recorded_after_it(keeper: Client) -> None:
    row = _medicated()
    now = timezone.now()
    row.stopped_at, row.stopped_reason = now - timedelta(minutes=30), "The vet rang."
    row.save()
    place = url("husbandry.prescription", f"{row.pk}/give/")
    given_at = (now - timedelta(minutes=50)).replace(second=0, microsecond=0)
    here = given_at.astimezone(LISBON)
    due = {"due_at": row.first_at.isoformat()}

    page = text(keeper.get(url("husbandry.prescription", f"{row.pk}/change/")))
    form = text(keeper.get(place))
    late = keeper.post(place, due)
    keeper.post(
        place,
        due | {"given_at_0": f"{here:%Y-%m-%d}", "given_at_1": f"{here:%H:%M}"},
    )

    assert place in page
    assert "Nothing is to be given now: Invented syrup was stopped at" in form
    assert "was stopped at" in str(errors(late))
    assert Dose.objects.get().at == given_at


def test_a_dose_that_cannot_be_computed_is_not_given(keeper: Client) -> None:
    CareProfileFactory.create()
    row = _medicated(mass_g="120000")
    place = url("husbandry.prescription", f"{row.pk}/give/")

    form = text(keeper.get(place))
    answer = keeper.post(place, {"due_at": row.first_at.isoformat()})

    assert "Nothing is to be given now: A mass of 120000 g is not plausible" in form
    assert "is not plausible for it" in str(errors(answer))
    assert not Dose.objects.exists()


def test_a_dose_is_given_by_the_sites_clock_or_said_why_not(keeper: Client) -> None:
    row = _medicated(hours=50)
    late, today = row.first_at, row.first_at + timedelta(days=2)
    given_at = timezone.now().replace(second=0, microsecond=0) - timedelta(minutes=30)
    here = given_at.astimezone(LISBON)

    keeper.post(
        url("husbandry.prescription", f"{row.pk}/give/"),
        {
            "due_at": today.isoformat(),
            "given_at_0": here.date().isoformat(),
            "given_at_1": f"{here:%H:%M}",
        },
    )
    silent = keeper.post(
        url("husbandry.prescription", f"{row.pk}/not-given/"),
        {"due_at": late.isoformat(), "because": ""},
    )
    keeper.post(
        url("husbandry.prescription", f"{row.pk}/not-given/"),
        {"due_at": late.isoformat(), "because": "It slept."},
    )

    assert "This field is required" in str(errors(silent))
    rows = Dose.objects.order_by("due_at").values_list("due_at", "outcome", "note")
    assert list(rows) == [
        (late, "not_given", "It slept."),
        (today, "given", ""),
    ]
    assert Dose.objects.get(outcome="given").at == given_at


def test_a_prescription_is_stopped_by_who_may_prescribe(visitor: Visitor) -> None:
    row = _medicated()
    place = url("husbandry.prescription", f"{row.pk}/stop/")
    change = url("husbandry.prescription", f"{row.pk}/change/")
    keeper, vet = visitor(Role.KEEPER), visitor(Role.VET)

    assert keeper.post(place, {"because": "Better."}).status_code == 403
    assert place not in text(keeper.get(change))
    assert place in text(vet.get(change))
    answer = vet.post(place, {"because": "Better, on my word."}, follow=True)

    row.refresh_from_db()
    assert row.stopped_at is not None
    assert row.stopped_reason == "Better, on my word."
    assert f"{row} is stopped." in text(answer)
    assert place not in text(answer)


def test_a_dose_is_typed_at_its_own_desk_too(keeper: Client) -> None:
    typed = dose_typed()
    row = Prescription.objects.get()

    answer = keeper.post(url("husbandry.dose"), typed)
    again = keeper.post(
        url("husbandry.dose"),
        typed | {"outcome": "not_given", "note": ""},
    )
    tomorrow = row.first_at + timedelta(days=1)
    here = tomorrow.astimezone(LISBON)
    keeper.post(
        url("husbandry.dose"),
        typed
        | {
            "outcome": "not_given",
            "note": "The vet said to leave it out.",
            "due_shown_0": here.date().isoformat(),
            "due_shown_1": f"{here:%H:%M}",
        },
    )

    assert (answer.status_code, errors(answer)) == (302, [])
    assert "Say why the dose was not given" in str(errors(again))
    assert list(Dose.objects.order_by("due_at").values_list("due_at", "outcome")) == [
        (row.first_at, "given"),
        (tomorrow, "not_given"),
    ]


def test_where_no_dose_waits_it_must_be_said_which(keeper: Client) -> None:
    typed = dose_typed()
    Prescription.objects.update(
        first_at=datetime(2026, 1, 1, 9, tzinfo=UTC), until_on=date(2026, 1, 1)
    )
    DoseFactory.create(
        prescription=Prescription.objects.get(),
        due_at=datetime(2026, 1, 1, 9, tzinfo=UTC),
    )

    answer = keeper.post(url("husbandry.dose"), typed)

    assert "is waiting: say which one is meant" in str(errors(answer))


def test_a_wrong_dose_is_struck_out_and_given_anew(keeper: Client) -> None:
    keeper.post(url("husbandry.dose"), dose_typed())
    dose = Dose.objects.get()
    place = url("husbandry.dose", f"{dose.pk}/change/")

    keeper.post(place, {"strike_out_because": "It spat it out at once."})
    keeper.post(
        url("husbandry.prescription", f"{dose.prescription_id}/not-given/"),
        {"due_at": dose.due_at.isoformat(), "because": "Spat out; asked the vet."},
    )

    dose.refresh_from_db()
    assert dose.struck_reason == "It spat it out at once."
    assert Dose.objects.get(struck_at__isnull=True).outcome == "not_given"


def test_a_test_gets_its_result_and_its_vet(keeper: Client) -> None:
    test = HealthTestFactory.create(animal=StayFactory.create().animal)
    result = url("husbandry.healthtest", f"{test.pk}/result/")
    seen = url("husbandry.healthtest", f"{test.pk}/seen-by-vet/")
    change = url("husbandry.healthtest", f"{test.pk}/change/")
    typed = {"result": "found", "result_on": "2026-02-24", "finding": "Oocysts, few"}

    awaited = keeper.post(seen, {"on": "2026-02-25"})
    wordless = keeper.post(result, typed | {"finding": ""})
    assert seen not in text(keeper.get(change))
    keeper.post(result, typed)
    assert seen in text(keeper.get(change))
    again = keeper.post(result, typed | {"finding": "Oocysts, many"})
    keeper.post(
        result, typed | {"finding": "Oocysts, many", "because": "Read wrongly."}
    )
    keeper.post(seen, {"on": "2026-02-25"})

    test.refresh_from_db()
    assert "still awaited" in str(errors(awaited))
    assert "Say what was found" in str(errors(wordless))
    assert "on record already" in str(errors(again))
    assert (test.finding, test.seen_by_vet_on) == ("Oocysts, many", date(2026, 2, 25))
    verbs = AuditEntry.objects.order_by("pk").values_list("verb", flat=True)
    assert list(verbs) == [
        "record_test_result",
        "correct_test_result",
        "note_seen_by_vet",
    ]
    assert seen not in text(keeper.get(change))


def test_who_dies_is_noted_once_with_how(owner: Client) -> None:
    animal: Animal = StayFactory.create().animal
    typed = {
        "animal": animal.pk,
        "on": "2026-03-01",
        "circumstances": "Found dead in the morning.",
        "euthanised_by": "",
    }
    place = url("husbandry.animal", f"{animal.pk}/left/")

    silent = owner.post(place, {"status": "dead", "on": "2026-03-01", "because": ""})
    offered = text(owner.get(url("husbandry.death")))
    answer = owner.post(url("husbandry.death"), typed)
    again = owner.post(url("husbandry.death"), typed)

    assert "Say how it died" in str(errors(silent))
    assert f'<option value="{animal.pk}"' in offered
    assert (answer.status_code, errors(answer)) == (302, [])
    assert "Select a valid choice" in str(errors(again))
    animal.refresh_from_db()
    assert (animal.status, animal.left_on) == ("dead", date(2026, 3, 1))
    verbs = AuditEntry.objects.order_by("pk").values_list("verb", flat=True)
    assert list(verbs) == ["mark_left", "record_death"]


def test_an_animal_marked_as_dead_has_an_account_of_it(owner: Client) -> None:
    animal = StayFactory.create().animal

    owner.post(
        url("husbandry.animal", f"{animal.pk}/left/"),
        {
            "status": "dead",
            "on": "2026-03-01",
            "because": "Put to sleep after a fall.",
            "euthanised_by": "A licensed vet of the tests",
        },
    )

    death = Death.objects.get()
    assert (death.animal, death.on) == (animal, date(2026, 3, 1))
    assert death.circumstances == "Put to sleep after a fall."
    assert death.euthanised_by == "A licensed vet of the tests"


def test_only_who_may_have_died_is_offered(owner: Client) -> None:
    AnimalFactory.create(name="Juno")
    AnimalFactory.create(name="Told", status="dead", left_on=date(2026, 3, 1))
    AnimalFactory.create(name="Gone", left=True)
    DeathFactory.create(animal__name="Known")

    shown = text(owner.get(url("husbandry.death")))

    names = ("Juno", "Told", "Gone", "Known")
    offered = {name for name in names if f" {name}</option>" in shown}
    assert offered == {"Juno", "Told"}


def test_a_necropsy_comes_later_and_once(owner: Client) -> None:
    death = DeathFactory.create()
    place = url("husbandry.death", f"{death.pk}/necropsy/")
    typed = {
        "on": "2026-03-04",
        "necropsy_by": "A licensed vet of the tests",
        "necropsy": "Retained eggs.",
    }

    early = owner.post(place, typed | {"on": "2026-03-01"})
    owner.post(place, typed)
    again = owner.post(place, typed)

    death.refresh_from_db()
    assert "A necropsy on 01 Mar 2026 cannot be" in str(errors(early))
    assert "on record already" in str(errors(again))
    assert (death.necropsy_on, death.necropsy) == (date(2026, 3, 4), "Retained eggs.")
    assert place not in text(owner.get(url("husbandry.death", f"{death.pk}/change/")))


def test_a_test_is_kept_with_its_days(keeper: Client) -> None:
    animal = StayFactory.create().animal
    keeper.post(
        url("husbandry.healthtest"),
        {
            "animal": animal.pk,
            "kind": "swab",
            "taken_on": "2026-01-05",
            "laboratory": "",
            "expected_on": "",
        },
    )

    test = HealthTest.objects.get()
    assert (test.animal, test.kind, test.taken_on) == (
        animal,
        "swab",
        date(2026, 1, 5),
    )
    assert (test.expected_on, test.result) == (None, "awaited")
