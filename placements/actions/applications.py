"""Applications: received, looked into, decided."""

from collections.abc import Mapping
from datetime import date, datetime

from django.db import transaction

from core import audit
from core.models import User
from husbandry.models import Animal, Species
from husbandry.rules.vocabulary import AnimalStatus
from placements.actions.homes import keep_home, locked
from placements.actions.private_addresses import give_address
from placements.models import Application, ApplicationCheck, Home
from placements.queries.applications import standing_of
from placements.rules.applications.answers import (
    AnswersError,
    checked_answers,
    question_set,
)
from placements.rules.applications.checks import (
    before_accepting,
    having,
)
from placements.rules.applications.moves import (
    OPEN,
    ApplicationStateError,
    check_move,
    check_settled,
)
from placements.rules.applications.questions import NEWEST_SET
from placements.rules.applications.texts import problem_with, tidy
from placements.rules.homes import (
    LONGEST_NOTES,
    HomeDetails,
    problems_of_applicant,
    tidied,
)
from placements.rules.vocabulary import (
    ApplicationState,
    CheckKind,
    CheckOutcome,
    PlacementKind,
)


class ApplicationError(AnswersError):
    """An application cannot be kept as given."""

    code = "application_refused"


@transaction.atomic
def receive_application(
    *,
    home: Home,
    kind: PlacementKind,
    species: Species | None = None,
    animal: Animal | None = None,
    answers: Mapping[str, str],
    question_set_version: int = NEWEST_SET,
    by: User | None,
    at: datetime,
) -> Application:
    """Record that a home asks for an animal.

    Args:
        home: who asks; not erased.
        kind: in what way it would take it; never a release.
        species: of which kind, or
        animal: which one; in care. Both may be named where they fit together.
        answers: by question, as typed.
        question_set_version: the version of the questions that were answered.
        by: the person; None: it came by the public form.
        at: when it came.

    Raises:
        ApplicationError: nothing or something that does not fit is asked for, or
            answers cannot be kept; a sentence for each.
        HomeError: the home's data were erased.
    """
    home = locked(home)
    kept, problems = checked_answers(question_set(question_set_version), answers)
    problems |= _problems_with_wish(kind, species, animal)
    _refuse(problems)
    row = Application.objects.create(
        home=home,
        species=animal.species if animal else species,
        animal=animal,
        kind=kind.value,
        received_at=at,
        recorded_by=by,
        question_set=question_set_version,
        answers=kept,
    )
    # What was answered is personal data: it stays out of the audit trail.
    after = audit.values(row, "home", "species", "animal", "kind", "question_set")
    audit.record(row, verb="receive_application", by=by, at=at, after=after)
    return row


@transaction.atomic
def receive_from_public(
    *,
    applicant: HomeDetails,
    kind: PlacementKind,
    species: Species | None,
    animal: Animal | None = None,
    answers: Mapping[str, str],
    at: datetime,
) -> tuple[Application, str]:
    """Record an application by the public form: its home, itself, its private address.

    A home of the same name is not looked for: a stranger must learn nothing of it, and
    must not write into it.

    Args:
        applicant: who asks, with a way to be reached.
        kind: in what way it would be taken.
        species: of which kind, or
        animal: which one; in care.
        answers: by question of the newest set, as typed.
        at: when it came.

    Returns:
        The application, and the secret part of its private address, shown once.

    Raises:
        ApplicationError: something cannot be kept as typed; all of it at once, a
            sentence for each field.
    """
    applicant = tidied(applicant)
    problems = problems_of_applicant(applicant)
    problems |= checked_answers(question_set(NEWEST_SET), answers)[1]
    problems |= _problems_with_wish(kind, species, animal)
    _refuse(problems)
    home = keep_home(details=applicant, by=None, at=at)
    row = receive_application(
        home=home,
        kind=kind,
        species=species,
        animal=animal,
        answers=answers,
        by=None,
        at=at,
    )
    return row, give_address(application=row, by=None, at=at)[1]


@transaction.atomic
def record_check(
    *,
    application: Application,
    kind: CheckKind,
    outcome: CheckOutcome,
    note: str = "",
    by: User | None,
    at: datetime,
) -> ApplicationCheck:
    """Record how something that was looked into came out; the newest row holds.

    The first check of an application that was only received moves it to checking.

    Args:
        application: open.
        kind: what was looked into.
        outcome: how it came out; open takes an earlier outcome back.
        note: in the person's words; erased with the home's data.
        by: the person.
        at: when.

    Raises:
        ApplicationStateError: the application is over.
        ApplicationError: the note cannot be kept.
    """
    note = tidy(note)
    if problem := problem_with(note, longest=LONGEST_NOTES):
        _refuse({"note": problem})
    row = _locked(application)
    if ApplicationState(row.state) not in OPEN:
        raise ApplicationStateError(
            f"The application is {row.state}; nothing is looked into any more."
        )
    if row.state == ApplicationState.RECEIVED:
        _move(row, ApplicationState.CHECKING)
    check = ApplicationCheck.objects.create(
        application=row,
        kind=kind.value,
        outcome=outcome.value,
        note=note,
        recorded_by=by,
        recorded_at=at,
    )
    after = audit.values(check, "application", "kind", "outcome")
    audit.record(check, verb="record_check", by=by, at=at, after=after)
    return check


@transaction.atomic
def decide(
    *,
    application: Application,
    to: ApplicationState,
    on: date,
    told: str = "",
    by: User | None,
    at: datetime,
) -> Application:
    """Move an application on: accept, put on the waiting list, decline, withdraw.

    Args:
        application: it has to stand where `APPLICATION_MOVES` lets it go on.
        to: where it goes. Placed is set by handing an animal over.
        on: the local day; on the waiting list it counts since then, or since the
            earlier day of an application that waited before without being placed.
        told: what the home reads on its private page; needed to decline.
        by: the person; None: the home itself, on its private page.
        at: when.

    Raises:
        ApplicationStateError: it does not go there from where it stands, or it is to
            be accepted while a check failed or is open.
        ApplicationError: it is declined without a word, or the words cannot be kept.
    """
    told = _checked_words(told, to)
    row = _locked(application)
    before = audit.values(row, "state", "waiting_since")
    check_move(ApplicationState(row.state), to)
    if to is ApplicationState.ACCEPTED and row.state == ApplicationState.CHECKING:
        _check_settled(row)
    if to is ApplicationState.WAITING:
        row.waiting_since = row.waiting_since or on
    if to is ApplicationState.PLACED:
        row.waiting_since = None
    row.decided_at, row.decided_by, row.told = at, by, told
    _move(row, to)
    row.save(update_fields=["waiting_since", "decided_at", "decided_by", "told"])
    # What the home is told is personal data: it stays out of the audit trail.
    after = audit.values(row, "state", "waiting_since")
    audit.record(row, verb="decide", by=by, at=at, before=before, after=after)
    return row


def _refuse(problems: Mapping[str, str]) -> None:
    if problems:
        told = " ".join(f"{name}: {text}" for name, text in problems.items())
        raise ApplicationError(f"This cannot be kept. {told}", fields=dict(problems))


def _problems_with_wish(
    kind: PlacementKind, species: Species | None, animal: Animal | None
) -> dict[str, str]:
    if kind is PlacementKind.RELEASE:
        return {"kind": "A home asks to keep an animal, never to release it."}
    if animal is None:
        return {} if species else {"species": "Say which species, or which animal."}
    if species is not None and species.pk != animal.species_id:
        return {"animal": f"{animal.code} is of another species: {animal.species}."}
    status = Animal.objects.values_list("status", flat=True).get(pk=animal.pk)
    if status != AnimalStatus.IN_CARE.value:
        return {"animal": f"{animal.code} is not in care; ask for the species."}
    return {}


def _checked_words(told: str, to: ApplicationState) -> str:
    told = tidy(told)
    if problem := problem_with(told, longest=LONGEST_NOTES):
        _refuse({"told": problem})
    if to is ApplicationState.DECLINED and not told:
        _refuse({"told": "Say why: the home reads it on its page."})
    return told


def _locked(application: Application) -> Application:
    locked(application.home)
    return Application.objects.select_for_update().get(pk=application.pk)


def _check_settled(row: Application) -> None:
    standing = standing_of(row)
    check_settled(
        having(standing, CheckOutcome.FAILED),
        before_accepting(having(standing, CheckOutcome.OPEN)),
    )


def _move(row: Application, to: ApplicationState) -> None:
    """Change the state, if nobody else did meanwhile."""
    rows = Application.objects.filter(pk=row.pk, state=row.state)
    values = {"state": to.value, "waiting_since": row.waiting_since}
    if not rows.update(**values):
        raise ApplicationStateError(
            "The application changed meanwhile. Look at it again."
        )
    row.state = to.value
