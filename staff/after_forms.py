"""What a home, or staff for it, answers when asked and tells by itself."""

from typing import Any

from django import forms

from core.admin import DayField
from core.errors import DomainError
from core.units import MassUnit
from placements.rules.follow_up_answers import LONGEST_ANSWER, questions_for
from placements.rules.home_reports import LONGEST_NOTE
from placements.rules.vocabulary import FollowUpKind, HomeReportKind, UnitSystem
from staff.egg_forms import MassField

REPORTS = {
    HomeReportKind.WEIGHT: "what it weighs",
    HomeReportKind.EGGS: "eggs that it laid",
    HomeReportKind.HEALTH: "something about its health",
    HomeReportKind.DEATH: "it has died",
    HomeReportKind.NOTE: "something else",
}


class AnswersForm(forms.Form):
    """The questions of one follow-up."""

    about = 0

    def __init__(self, *args: Any, kind: FollowUpKind, **kwargs: Any) -> None:
        """Ask what is asked at that time; which are needed, the action says."""
        super().__init__(*args, **kwargs)
        for question in questions_for(kind):
            self.fields[question.id] = (
                forms.ChoiceField(
                    choices=[("", "—"), *question.choices],
                    required=False,
                    label=question.text,
                    help_text=question.why,
                )
                if question.choices
                else forms.CharField(
                    required=False,
                    max_length=LONGEST_ANSWER,
                    label=question.text,
                    help_text=question.why,
                    widget=forms.Textarea(attrs={"rows": 3}),
                )
            )

    def refuse(self, error: DomainError) -> None:
        """Put what an action refuses beside the questions that it is about."""
        _refuse(self, error)


class DropForm(forms.Form):
    """Ask a home no more."""

    reason = forms.CharField(max_length=200, label="Why nobody asks any more")

    def refuse(self, error: DomainError) -> None:
        """Put what an action refuses beside the field."""
        _refuse(self, error)


class ReportForm(forms.Form):
    """What a home tells of its animal by itself."""

    about = 0
    kind = forms.ChoiceField(
        choices=[(kind.value, words) for kind, words in REPORTS.items()],
        label="You tell us",
    )
    on = DayField(
        label="Of which day",
    )
    eggs = forms.IntegerField(required=False, label="How many eggs, if it laid")
    note = forms.CharField(
        required=False,
        max_length=LONGEST_NOTE,
        label="In your words",
        widget=forms.Textarea(attrs={"rows": 3}),
    )

    def __init__(self, *args: Any, system: UnitSystem, **kwargs: Any) -> None:
        """Ask for the mass in the home's unit."""
        super().__init__(*args, **kwargs)
        unit = MassUnit.OZ if system is UnitSystem.IMPERIAL else MassUnit.G
        self.fields["mass_g"] = MassField(unit=unit, label="Weight, if you weighed it")
        self.order_fields(["kind", "on", "mass_g", "eggs", "note"])

    def told(self) -> dict[str, Any]:
        """Return what was typed, as the action takes it."""
        given = self.cleaned_data
        return {**given, "kind": HomeReportKind(given["kind"])}

    def refuse(self, error: DomainError) -> None:
        """Put what an action refuses beside the fields that it is about."""
        _refuse(self, error)


def _refuse(form: forms.Form, error: DomainError) -> None:
    for name, sentence in error.fields.items():
        form.add_error(name if name in form.fields else None, sentence)
    if not error.fields:
        form.add_error(None, error.sentence)
