"""Targets agreed for one animal instead of its profile's."""

from typing import Any

from django import forms
from django.contrib import admin
from django.http import HttpRequest
from django.utils import timezone

from core.admin import WritingDesk, person
from core.roles import Permission
from husbandry.actions.overrides import override_target, withdraw_override
from husbandry.models import Animal, TargetOverride
from husbandry.rules.vocabulary import AnimalStatus, Period, Quantity, Zone


class AgreementForm(forms.ModelForm[TargetOverride]):
    """A target agreed for one animal, in °C, % or UV index."""

    class Meta:
        model = TargetOverride
        fields = (
            *("animal", "quantity", "zone", "period"),
            *("low", "high", "hard_low", "hard_high", "tolerated_minutes"),
            *("from_on", "until_on", "reason"),
        )
        help_texts = {
            "low": "Low end of what is wanted: °C, % or UV index. Empty: open.",
            "high": "High end. Empty: open.",
            "hard_low": "Below it somebody must act at once. Empty: as in the profile.",
            "hard_high": "Above it somebody must act at once. Empty: as in the profile.",
            "tolerated_minutes": "How long outside is put up with.",
            "reason": "Why, and on whose word.",
        }


class WithdrawForm(forms.ModelForm[TargetOverride]):
    """Take an agreement back."""

    withdraw_reason = forms.CharField(
        label="Withdraw it, because",
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="Tonight is judged by the profile again.",
    )

    class Meta:
        model = TargetOverride
        fields = ()


@admin.register(TargetOverride)
class TargetOverrideDesk(WritingDesk[TargetOverride]):
    sees = Permission.SEE_ANIMALS
    adds = changes = Permission.OVERRIDE_TARGETS
    list_display = (
        *("animal", "quantity", "zone", "period", "low", "high"),
        *("from_on", "until_on", "withdrawn_at"),
    )
    list_select_related = ("animal",)
    list_filter = ("quantity", "zone", "period")
    search_fields = ("animal__code", "animal__name", "reason")

    def formfield_for_foreignkey(
        self, db_field: Any, request: HttpRequest, **kwargs: Any
    ) -> Any:
        """Offer the animals in care, in a list that any keyboard can search."""
        if db_field.name == "animal":
            kwargs["queryset"] = Animal.objects.filter(status=AnimalStatus.IN_CARE)
        return super().formfield_for_foreignkey(db_field, request, **kwargs)

    def has_change_permission(
        self, request: HttpRequest, obj: TargetOverride | None = None
    ) -> bool:
        withdrawn = obj is not None and obj.withdrawn_at is not None
        return not withdrawn and super().has_change_permission(request, obj)

    def get_fields(
        self, request: HttpRequest, obj: TargetOverride | None = None
    ) -> Any:
        if obj is None:
            return AgreementForm.Meta.fields
        made = (*AgreementForm.Meta.fields, "made_by", "made_at", "withdrawn_at")
        may = self.has_change_permission(request, obj)
        return (*made, "withdraw_reason") if may else made

    def get_readonly_fields(
        self, request: HttpRequest, obj: TargetOverride | None = None
    ) -> tuple[str, ...]:
        made = ("made_by", "made_at", "withdrawn_at")
        return () if obj is None else (*AgreementForm.Meta.fields, *made)

    def form_for(
        self, obj: TargetOverride | None
    ) -> type[forms.ModelForm[TargetOverride]]:
        return AgreementForm if obj is None else WithdrawForm

    def keep(
        self, request: HttpRequest, row: TargetOverride, form: Any
    ) -> TargetOverride:
        by, at, given = person(request), timezone.now(), form.cleaned_data
        if row.pk:
            return withdraw_override(
                override=row, reason=given["withdraw_reason"], by=by, at=at
            )
        return override_target(
            animal=given["animal"],
            quantity=Quantity(given["quantity"]),
            zone=Zone(given["zone"]),
            period=Period(given["period"]),
            low=given["low"],
            high=given["high"],
            hard_low=given["hard_low"],
            hard_high=given["hard_high"],
            tolerated_minutes=given["tolerated_minutes"],
            from_on=given["from_on"],
            until_on=given["until_on"],
            reason=given["reason"],
            by=by,
            at=at,
        )
