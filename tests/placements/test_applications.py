"""Applications: received, looked into, decided; by staff and by the public form."""

import json
from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

import pytest

from core.models import AuditEntry
from husbandry.models import Animal, Species
from placements.actions.applications import (
    ApplicationError,
    _move,
    decide,
    receive_application,
    receive_from_public,
    record_check,
)
from placements.actions.homes import HomeError
from placements.models import Application, ApplicationCheck, Home, PrivateAddress
from placements.queries.private_addresses import home_of
from placements.rules.applications.answers import AnswersError
from placements.rules.applications.moves import ApplicationStateError
from placements.rules.homes import HomeDetails
from placements.rules.vocabulary import (
    ApplicationState,
    CheckKind,
    CheckOutcome,
    HomeKind,
    PlacementKind,
)
from tests.factories import (
    NOW,
    TODAY,
    AnimalFactory,
    ApplicationFactory,
    HomeFactory,
    SpeciesFactory,
    UserFactory,
)

pytestmark = pytest.mark.django_db
ANSWERS = {
    "kept_before": "none",
    "enclosure": "ready",
    "uvb": "linear_t5",
    "measures": "yes",
    "people_at_risk": "yes",
    "dwelling": "own",
    "more": "Zebulon would love one.",
}
S = ApplicationState


def receive(**changed: Any) -> Application:
    given: dict[str, Any] = {
        "home": None,
        "kind": PlacementKind.ADOPTION,
        "species": None,
        "answers": ANSWERS,
        "by": None,
        "at": NOW,
        **changed,
    }
    given["home"] = given["home"] or HomeFactory.create()
    if given["species"] is None and "animal" not in changed:
        given["species"] = SpeciesFactory.create()
    return receive_application(**given)


def test_an_application_is_received() -> None:
    person, animal = UserFactory.create(), AnimalFactory.create()

    row = receive(animal=animal, by=person, answers={**ANSWERS, "vet": " "})

    row.refresh_from_db()
    assert (row.state, row.species, row.animal) == (S.RECEIVED, animal.species, animal)
    assert (row.received_at, row.recorded_by) == (NOW, person)
    assert (row.question_set, row.answers) == (1, ANSWERS)
    entry = AuditEntry.objects.get()
    assert (entry.verb, entry.by) == ("receive_application", person)
    assert "Zebulon" not in json.dumps(entry.after)


def test_somebody_at_risk_is_no_refusal() -> None:
    assert receive(answers={**ANSWERS, "people_at_risk": "yes"}).pk


@pytest.mark.parametrize("status", ["placed", "dead", "lost", "released", "elsewhere"])
def test_an_animal_that_is_not_in_care_is_not_asked_for(status: str) -> None:
    animal = AnimalFactory.create(code="V-1")
    Animal.objects.filter(pk=animal.pk).update(status=status, left_on=TODAY)

    with pytest.raises(ApplicationError) as refused:
        receive(animal=animal)

    assert refused.value.fields == {
        "animal": "V-1 is not in care; ask for the species."
    }


def test_what_is_asked_for_has_to_fit() -> None:
    animal = AnimalFactory.create(code="V-1")
    other = SpeciesFactory.create(code="other")
    home = HomeFactory.create()

    def refusal(**changed: Any) -> dict[str, str]:
        with pytest.raises(ApplicationError) as refused:
            receive(home=home, **changed)
        return refused.value.fields

    assert refusal(animal=None) == {"species": "Say which species, or which animal."}
    assert refusal(animal=animal, kind=PlacementKind.RELEASE) == {
        "kind": "A home asks to keep an animal, never to release it."
    }
    assert list(refusal(animal=animal, species=other)) == ["animal"]
    assert set(refusal(animal=animal, answers={"uvb": "sun"})) == {
        *("uvb", "kept_before", "enclosure", "measures", "people_at_risk", "dwelling"),
    }
    with pytest.raises(AnswersError, match="no set 7"):
        receive(home=home, question_set_version=7)
    assert not Application.objects.exists()


def test_an_erased_home_cannot_ask() -> None:
    with pytest.raises(HomeError, match="were erased"):
        receive(home=HomeFactory.create(name="(erased)", contact="", erased_at=NOW))


APPLICANT = HomeDetails("Zebulon Grey", "Telephone 0", "zebulon@example.org")


def apply(species: Species, **changed: Any) -> tuple[Application, str]:
    given: dict[str, Any] = {
        "applicant": APPLICANT,
        "kind": PlacementKind.ADOPTION,
        "species": species,
        "answers": ANSWERS,
        "at": NOW,
        **changed,
    }
    return receive_from_public(**given)


def test_the_public_form_records_home_application_and_address() -> None:
    row, text = apply(SpeciesFactory.create())

    assert (row.home.name, row.home.email) == ("Zebulon Grey", "zebulon@example.org")
    assert (row.recorded_by, row.state) == (None, S.RECEIVED)
    found = home_of(text, NOW)
    assert found is not None
    assert found.application == row
    assert list(AuditEntry.objects.values_list("verb", "by").order_by("pk")) == [
        ("add_home", None),
        ("receive_application", None),
        ("give_address", None),
    ]
    audited = AuditEntry.objects.values("before", "after", "reason")
    assert "ebulon" not in json.dumps(list(audited))


def test_the_public_form_never_writes_into_a_home_on_record() -> None:
    known = HomeFactory.create(name="Zebulon Grey", email="zebulon@example.org")

    row, _ = apply(SpeciesFactory.create())

    assert row.home != known
    assert Home.objects.count() == 2


def test_the_public_form_tells_all_that_is_wrong_and_keeps_nothing() -> None:
    with pytest.raises(ApplicationError) as refused:
        apply(
            SpeciesFactory.create(),
            applicant=HomeDetails(" ", "", "nobody"),
            kind=PlacementKind.RELEASE,
            answers={**ANSWERS, "uvb": "sun"},
        )

    assert set(refused.value.fields) == {"name", "email", "uvb", "kind"}
    assert not Home.objects.exists()
    assert not Application.objects.exists()
    assert not PrivateAddress.objects.exists()
    assert not AuditEntry.objects.exists()


def test_somebody_has_to_be_reachable() -> None:
    with pytest.raises(ApplicationError) as refused:
        apply(SpeciesFactory.create(), applicant=HomeDetails("Zebulon"))
    assert list(refused.value.fields) == ["contact"]


def checked(application: Application, **outcomes: str) -> None:
    for kind in CheckKind:
        outcome = outcomes.get(kind.value, "passed")
        if outcome:
            record_check(
                application=application,
                kind=kind,
                outcome=CheckOutcome(outcome),
                by=None,
                at=NOW,
            )


def test_the_first_check_moves_an_application_to_checking() -> None:
    row, person = ApplicationFactory.create(), UserFactory.create()

    check = record_check(
        application=row,
        kind=CheckKind.LANDLORD,
        outcome=CheckOutcome.PASSED,
        note=" Zebulon called. ",
        by=person,
        at=NOW,
    )

    row.refresh_from_db()
    assert row.state == S.CHECKING
    assert (check.note, check.recorded_by) == ("Zebulon called.", person)
    entry = AuditEntry.objects.get()
    assert entry.after == {
        "application": row.pk,
        "kind": "landlord",
        "outcome": "passed",
    }


@pytest.mark.parametrize("state", ["accepted", "waiting"])
def test_a_later_check_moves_nothing(state: str) -> None:
    row = ApplicationFactory.create(state=state, waiting_since=TODAY)

    checked(row, landlord="failed")

    row.refresh_from_db()
    assert row.state == state


@pytest.mark.parametrize("state", ["placed", "declined", "withdrawn"])
def test_nothing_is_looked_into_when_it_is_over(state: str) -> None:
    row = ApplicationFactory.create(state=state)

    with pytest.raises(ApplicationStateError, match="nothing is looked into"):
        checked(row)
    assert not ApplicationCheck.objects.exists()


def test_a_note_that_cannot_be_kept() -> None:
    row = ApplicationFactory.create()

    with pytest.raises(ApplicationError, match="U\\+0000"):
        record_check(
            application=row,
            kind=CheckKind.LANDLORD,
            outcome=CheckOutcome.OPEN,
            note="a\x00",
            by=None,
            at=NOW,
        )
    row.refresh_from_db()
    assert row.state == S.RECEIVED


def decided(row: Application, to: ApplicationState, **changed: Any) -> Application:
    given: dict[str, Any] = {"on": TODAY, "by": None, "at": NOW, **changed}
    return decide(application=row, to=to, **given)


def test_an_application_is_accepted_when_all_is_settled() -> None:
    row, person = ApplicationFactory.create(), UserFactory.create()
    checked(row, landlord="not_needed", home_ready="")

    found = decided(row, S.ACCEPTED, told="Welcome, Zebulon.", by=person)

    row.refresh_from_db()
    assert found == row
    assert (row.state, row.told) == (S.ACCEPTED, "Welcome, Zebulon.")
    assert (row.decided_at, row.decided_by) == (NOW, person)
    entry = AuditEntry.objects.order_by("pk").last()
    assert entry is not None
    assert (entry.verb, entry.before, entry.after) == (
        "decide",
        {"state": "checking", "waiting_since": None},
        {"state": "accepted", "waiting_since": None},
    )


@pytest.mark.parametrize(
    ("outcomes", "told"),
    [
        ({"landlord": "failed"}, "landlord failed"),
        ({"vet_nearby": "open"}, "vet nearby is open"),
        ({"vet_nearby": ""}, "vet nearby is open"),
        ({"home_ready": "failed"}, "home ready failed"),
    ],
)
def test_it_is_not_accepted_before(outcomes: dict[str, str], told: str) -> None:
    row = ApplicationFactory.create()
    checked(row, **outcomes)

    with pytest.raises(ApplicationStateError, match=told):
        decided(row, S.ACCEPTED)

    row.refresh_from_db()
    assert row.state == S.CHECKING


def test_of_an_organisation_less_is_looked_into() -> None:
    home = HomeFactory.create(kind=HomeKind.ORGANISATION.value)
    row = ApplicationFactory.create(home=home)
    others = set(CheckKind) - {CheckKind.REFERENCES, CheckKind.LOCAL_LAW}
    checked(row, **dict.fromkeys(others, ""))

    assert decided(row, S.ACCEPTED).state == S.ACCEPTED


def test_the_waiting_list_counts_from_the_first_day() -> None:
    row = ApplicationFactory.create(state="accepted")

    decided(row, S.WAITING, on=date(2026, 3, 2))
    decided(row, S.ACCEPTED)
    decided(row, S.WAITING, on=date(2026, 5, 5))

    row.refresh_from_db()
    assert row.waiting_since == date(2026, 3, 2)
    decided(row, S.PLACED)
    decided(row, S.ACCEPTED)
    assert decided(row, S.WAITING, on=date(2026, 8, 8)).waiting_since == date(
        2026, 8, 8
    )


def test_a_decline_is_told_in_words() -> None:
    row = ApplicationFactory.create()

    with pytest.raises(ApplicationError) as refused:
        decided(row, S.DECLINED, told=" ")
    assert list(refused.value.fields) == ["told"]
    with pytest.raises(ApplicationError, match="U\\+202E"):
        decided(row, S.DECLINED, told="\u202eNo.")

    assert decided(row, S.DECLINED, told="We placed all.").state == S.DECLINED
    with pytest.raises(ApplicationStateError, match="cannot become withdrawn"):
        decided(row, S.WITHDRAWN)


def test_what_changed_meanwhile_is_told() -> None:
    row = ApplicationFactory.create(state="accepted", waiting_since=None)
    late = Application.objects.get(pk=row.pk)

    decided(row, S.WITHDRAWN)

    # A page that was opened before asks for what was possible then.
    with pytest.raises(ApplicationStateError, match="is withdrawn"):
        decided(late, S.WAITING)


def test_a_move_that_another_overtook_is_refused() -> None:
    row = ApplicationFactory.create(state="accepted")
    late = Application.objects.get(pk=row.pk)
    Application.objects.filter(pk=row.pk).update(state="declined")

    with pytest.raises(ApplicationStateError, match="changed meanwhile"):
        _move(late, S.WITHDRAWN)

    row.refresh_from_db()
    assert row.state == "declined"


def test_decisions_about_erased_homes_are_refused() -> None:
    home = HomeFactory.create(name="(erased)", contact="", erased_at=NOW)
    row = ApplicationFactory.create(home=home)

    with pytest.raises(HomeError, match="were erased"):
        decided(row, S.WITHDRAWN)


def test_what_is_audited_names_nobody(
    django_assert_max_num_queries: Callable[[int], Any],
) -> None:
    row, _ = apply(SpeciesFactory.create())
    checked(row)
    with django_assert_max_num_queries(12):
        decided(row, S.ACCEPTED, told="Zebulon!", at=NOW + timedelta(hours=1))

    audited = AuditEntry.objects.values("before", "after", "reason")
    assert "ebulon" not in json.dumps(list(audited))
