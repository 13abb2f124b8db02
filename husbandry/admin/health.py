"""Tests and their results, and how animals died."""

from datetime import datetime

from django import forms
from django.contrib import admin
from django.db.models import Q

from core.admin import DayField, Given, RecordForm, Step
from core.models import User
from core.roles import Permission
from husbandry.actions.deaths import record_death, record_necropsy
from husbandry.actions.health_tests import (
    note_seen_by_vet,
    record_test,
    record_test_result,
)
from husbandry.admin.cautions import CautionedSteps
from husbandry.models import Animal, Death, HealthTest
from husbandry.rules.health.cautions import DEATHS, TESTS
from husbandry.rules.vocabulary import (
    AnimalStatus,
    HealthTestKind,
    HealthTestResult,
)

WAS_HERE = Animal.objects.exclude(status=AnimalStatus.ELSEWHERE)
WITHOUT_DEATH = Animal.objects.filter(
    Q(status=AnimalStatus.IN_CARE) | Q(status=AnimalStatus.DEAD, death__isnull=True)
)


class TestForm(RecordForm[HealthTest]):
    class Meta:
        model = HealthTest
        fields = ("animal", "kind", "taken_on", "laboratory", "expected_on")


class ResultForm(forms.Form):
    """Say how a test came out."""

    result = forms.ChoiceField(
        choices=[
            ("", "—"),
            (HealthTestResult.NOTHING_FOUND, "nothing found"),
            (HealthTestResult.FOUND, "found"),
        ]
    )
    result_on = DayField(label="Result of", help_text="The local day.")
    finding = forms.CharField(
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="In the laboratory's or the vet's words; needed where something was "
        "found.",
    )
    because = forms.CharField(
        required=False,
        label="It was wrong, because",
        help_text="Only to mend a result that is on record already.",
    )


class SeenForm(forms.Form):
    """Note that a vet took over what was found."""

    on = DayField(label="A licensed vet took it over on", help_text="The local day.")


class DeathForm(RecordForm[Death]):
    class Meta:
        model = Death
        fields = ("animal", "on", "circumstances", "euthanised_by")


class NecropsyForm(forms.Form):
    """Record what a vet found after death."""

    on = DayField(label="Necropsy on", help_text="The local day.")
    necropsy_by = forms.CharField(
        label="Done by", max_length=160, help_text="Licensed vet or laboratory."
    )
    necropsy = forms.CharField(
        label="What was found",
        widget=forms.Textarea(attrs={"rows": 5}),
        help_text="In the vet's words.",
    )


def _result(row: HealthTest, given: Given, *, by: User, at: datetime) -> HealthTest:
    return record_test_result(
        test=row,
        result=HealthTestResult(given["result"]),
        result_on=given["result_on"],
        finding=given["finding"],
        by=by,
        at=at,
        reason=given["because"],
    )


def _seen(row: HealthTest, given: Given, *, by: User, at: datetime) -> HealthTest:
    return note_seen_by_vet(test=row, on=given["on"], by=by, at=at)


def _necropsy(row: Death, given: Given, *, by: User, at: datetime) -> Death:
    return record_necropsy(
        death=row,
        on=given["on"],
        necropsy_by=given["necropsy_by"],
        necropsy=given["necropsy"],
        by=by,
        at=at,
    )


RESULT = Step(
    slug="result",
    title="Result",
    form=ResultForm,
    take=_result,
    fits=lambda row: True,
    done="has its result.",
    caution=TESTS.text,
)
SEEN = Step(
    slug="seen-by-vet",
    title="Seen by a vet",
    form=SeenForm,
    take=_seen,
    fits=lambda row: row.result_on is not None and row.seen_by_vet_on is None,
    done="is noted as seen by a vet.",
    caution=TESTS.text,
)
NECROPSY = Step(
    slug="necropsy",
    title="Necropsy",
    form=NecropsyForm,
    take=_necropsy,
    fits=lambda row: row.necropsy_on is None,
    done="has its necropsy on record.",
    caution=DEATHS.text,
)


@admin.register(HealthTest)
class HealthTestDesk(CautionedSteps[HealthTest]):
    sees = Permission.SEE_ANIMALS
    adds = changes = Permission.RECORD_CARE
    caution = TESTS
    adding = TestForm
    steps = (RESULT, SEEN)
    offers = {"animal": WAS_HERE}
    list_display = (
        *("animal", "kind", "taken_on", "expected_on", "result", "result_on"),
        "seen_by_vet_on",
    )
    list_select_related = ("animal",)
    list_filter = ("result", "kind")
    search_fields = ("animal__code", "animal__name", "laboratory")
    date_hierarchy = "taken_on"
    ordering = ("-taken_on", "-pk")

    def add(self, given: Given, *, by: User, at: datetime) -> HealthTest:
        return record_test(
            animal=given["animal"],
            kind=HealthTestKind(given["kind"]),
            taken_on=given["taken_on"],
            laboratory=given["laboratory"],
            expected_on=given["expected_on"],
            by=by,
            at=at,
        )


@admin.register(Death)
class DeathDesk(CautionedSteps[Death]):
    sees = Permission.SEE_ANIMALS
    adds = changes = Permission.EDIT_ANIMALS
    caution = DEATHS
    adding = DeathForm
    steps = (NECROPSY,)
    offers = {"animal": WITHOUT_DEATH}
    list_display = ("animal", "on", "euthanised_by", "necropsy_on")
    list_select_related = ("animal",)
    search_fields = ("animal__code", "animal__name", "circumstances")
    date_hierarchy = "on"
    ordering = ("-on", "-pk")

    def add(self, given: Given, *, by: User, at: datetime) -> Death:
        return record_death(
            animal=given["animal"],
            on=given["on"],
            circumstances=given["circumstances"],
            euthanised_by=given["euthanised_by"],
            by=by,
            at=at,
        )
