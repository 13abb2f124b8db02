"""Pairs are planned and ended; that they were put together is recorded."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from django import forms
from django.contrib import admin, messages
from django.http import HttpRequest
from django.utils import timezone

from clutches.actions.introductions import IntroductionRow, record_introductions
from clutches.actions.pairings import end_pairing, plan_pairing
from clutches.models import Introduction, Pairing
from clutches.rules.pairings.introductions import CAUTION
from clutches.rules.vocabulary import IntroductionOutcome
from core.admin import DayField, Given, RecordDesk, RecordForm, at_zone, person
from core.models import User
from core.roles import Permission
from husbandry.actions.care_records import CareResult
from husbandry.admin.animals import IN_CARE
from husbandry.admin.care_records import BookDesk, StrikeOutForm, when_field
from husbandry.admin.clocks import clock_of
from husbandry.rules.vocabulary import Sex

OPEN = Pairing.objects.filter(ended_on__isnull=True).select_related("dam", "sire")


class PairingForm(RecordForm[Pairing]):
    """What speaks against the two is told and refuses nothing."""

    planned_on = DayField(label="Decided on", help_text="Today or earlier.")

    class Meta:
        model = Pairing
        fields = ("dam", "sire", "planned_on", "reason")
        help_texts = {
            "dam": "The female, in care here.",
            "sire": "The male, in care here.",
            "reason": "Why this pair, also against advice.",
        }


class EndPairingForm(RecordForm[Pairing]):
    """Note that a pair is not put together again."""

    not_after = DayField(
        label="Not put together from",
        help_text="Today or earlier, not before they met.",
    )
    because = forms.CharField(required=False, max_length=300)

    class Meta:
        model = Pairing
        fields = ()


@admin.register(Pairing)
class PairingDesk(RecordDesk[Pairing]):
    sees = Permission.SEE_ANIMALS
    adds = changes = Permission.RECORD_BREEDING
    adding, changing = PairingForm, EndPairingForm
    offers = {
        "dam": IN_CARE.exclude(sex=Sex.MALE.value),
        "sire": IN_CARE.exclude(sex=Sex.FEMALE.value),
    }
    list_display = ("dam", "sire", "planned_on", "ended_on", "reason")
    list_select_related = ("dam", "sire")
    search_fields = ("dam__code", "dam__name", "sire__code", "sire__name")
    ordering = ("-planned_on", "-pk")

    def is_open(self, row: Pairing) -> bool:
        return row.ended_on is None

    def keep(self, request: HttpRequest, row: Pairing, form: Any) -> Pairing:
        if row.pk:
            return super().keep(request, row, form)
        given = form.cleaned_data
        result = plan_pairing(
            dam=given["dam"],
            sire=given["sire"],
            planned_on=given["planned_on"],
            reason=given["reason"],
            by=person(request),
            at=timezone.now(),
        )
        for remark in (*result.remarks, CAUTION):
            self.message_user(request, remark, messages.WARNING)
        return result.pairing

    def change(self, row: Pairing, given: Given, *, by: User, at: datetime) -> Pairing:
        return end_pairing(
            pairing=row, on=given["not_after"], by=by, at=at, reason=given["because"]
        )


class IntroductionForm(RecordForm[Introduction]):
    """A pair was put together once."""

    together_at = when_field()

    class Meta:
        model = Introduction
        fields = ("pairing", "together_at", "outcome", "minutes", "note")
        help_texts = {"outcome": CAUTION}


class StrikeIntroductionForm(StrikeOutForm[Introduction]):
    class Meta:
        model = Introduction
        fields = ()


@admin.register(Introduction)
class IntroductionDesk(BookDesk[Introduction]):
    adds = changes = Permission.RECORD_BREEDING
    adding, changing = IntroductionForm, StrikeIntroductionForm
    offers = {"pairing": OPEN}
    list_display = ("pairing", "at", "outcome", "minutes", "recorded_by", "struck_at")
    list_select_related = ("pairing__dam", "pairing__sire", "recorded_by")
    list_filter = ("outcome",)
    search_fields = ("pairing__dam__code", "pairing__sire__code")

    def enter(self, given: Given, *, by: User, at: datetime) -> Sequence[CareResult]:
        pairing, shown = given["pairing"], given["together_at"]
        row = IntroductionRow(
            pairing=pairing.pk,
            at=at_zone(shown, clock_of(pairing.dam, at)) if shown else at,
            outcome=IntroductionOutcome(given["outcome"]),
            minutes=given["minutes"],
            note=given["note"],
        )
        return record_introductions(rows=[row], by=by, recorded_at=at)
