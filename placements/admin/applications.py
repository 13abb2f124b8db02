"""The back office of applications: recorded, looked into, decided."""

from datetime import datetime

from django import forms
from django.contrib import admin
from django.db.models import Model

from core.admin import Given, RecordDesk, RecordForm
from core.models import User
from core.roles import Permission
from husbandry.models import Animal
from husbandry.rules.vocabulary import AnimalStatus
from placements.actions.applications import (
    decide,
    receive_application,
    record_check,
)
from placements.models import Application, ApplicationCheck, Home
from placements.queries.personal_data import local_day
from placements.rules.applications.answers import question_set
from placements.rules.applications.moves import OPEN
from placements.rules.applications.questions import NEWEST_SET, Question, options_of
from placements.rules.vocabulary import (
    APPLICATION_MOVES,
    ApplicationState,
    CheckKind,
    CheckOutcome,
    PlacementKind,
)

QUESTIONS = question_set(NEWEST_SET)
# Placed is set by handing an animal over, never by hand.
BY_HAND = (
    *(ApplicationState.CHECKING, ApplicationState.ACCEPTED, ApplicationState.WAITING),
    *(ApplicationState.DECLINED, ApplicationState.WITHDRAWN),
)


class ApplicationMeta:
    model: type[Model] = Application
    fields = ("home", "kind", "species", "animal")
    help_texts = {
        "kind": "In what way it would take an animal; never a release.",
        "animal": "A certain one, if it is asked for.",
    }


def _field(question: Question) -> forms.Field:
    if picks := options_of(question):
        return forms.ChoiceField(
            label=question.text,
            help_text=question.why,
            choices=[("", "—"), *picks],
            required=False,
        )
    return forms.CharField(
        label=question.text,
        help_text=question.why,
        required=False,
        widget=forms.Textarea({"rows": 2}),
    )


# A field for each question, so that a new set of questions needs no other form.
ReceiveForm: type[RecordForm[Application]] = type(
    "ReceiveForm",
    (RecordForm,),
    {"Meta": ApplicationMeta, **{one.id: _field(one) for one in QUESTIONS}},
)


class DecideForm(RecordForm[Application]):
    """Where an application goes on; what speaks for and against is on its page."""

    to = forms.ChoiceField(
        label="Decision", choices=[(state.value, state.value) for state in BY_HAND]
    )
    told = forms.CharField(
        label="What the home reads on its page",
        help_text="Needed to decline.",
        required=False,
        widget=forms.Textarea({"rows": 3}),
    )

    class Meta:
        model = Application
        fields = ()


@admin.register(Application)
class ApplicationDesk(RecordDesk[Application]):
    sees = Permission.SEE_HOMES
    adds = changes = Permission.MANAGE_PLACEMENTS
    adding, changing = ReceiveForm, DecideForm
    offers = {
        "home": Home.objects.filter(erased_at__isnull=True),
        "animal": Animal.objects.filter(status=AnimalStatus.IN_CARE),
    }
    list_display = ("home", "kind", "species", "animal", "state", "received_at")
    list_select_related = ("home", "species", "animal")
    list_filter = ("state", "kind", "species")

    def is_open(self, row: Application) -> bool:
        ways = APPLICATION_MOVES[ApplicationState(row.state)]
        return row.home.erased_at is None and bool(set(ways) & set(BY_HAND))

    def add(self, given: Given, *, by: User, at: datetime) -> Application:
        return receive_application(
            home=given["home"],
            kind=PlacementKind(given["kind"]),
            species=given["species"],
            animal=given["animal"],
            answers={one.id: given[one.id] for one in QUESTIONS},
            by=by,
            at=at,
        )

    def change(
        self, row: Application, given: Given, *, by: User, at: datetime
    ) -> Application:
        return decide(
            application=row,
            to=ApplicationState(given["to"]),
            on=local_day(at),
            told=given["told"],
            by=by,
            at=at,
        )


class CheckForm(RecordForm[ApplicationCheck]):
    class Meta:
        model = ApplicationCheck
        fields = ("application", "kind", "outcome", "note")
        help_texts = {"note": "Erased with the home's personal data."}


@admin.register(ApplicationCheck)
class ApplicationCheckDesk(RecordDesk[ApplicationCheck]):
    sees = Permission.SEE_HOMES
    adds = Permission.MANAGE_PLACEMENTS
    adding = CheckForm
    offers = {
        "application": Application.objects.filter(state__in=OPEN).select_related(
            "home", "species", "animal"
        )
    }
    list_display = ("application", "kind", "outcome", "recorded_at", "recorded_by")
    list_select_related = (
        *("application__home", "application__species", "application__animal"),
        "recorded_by",
    )
    list_filter = ("kind", "outcome")

    def add(self, given: Given, *, by: User, at: datetime) -> ApplicationCheck:
        return record_check(
            application=given["application"],
            kind=CheckKind(given["kind"]),
            outcome=CheckOutcome(given["outcome"]),
            note=given["note"],
            by=by,
            at=at,
        )
