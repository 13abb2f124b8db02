"""What was agreed about one animal's food instead of its profile's."""

from datetime import datetime

from django import forms
from django.contrib import admin

from core.admin import DayField, Given, RecordDesk, RecordForm
from core.models import User
from core.roles import Permission
from husbandry.actions.feeding_orders import order_feeding, withdraw_feeding_order
from husbandry.admin.animals import IN_CARE
from husbandry.models import FeedingOrder
from husbandry.rules.vocabulary import FeedingOrderKind


class FeedingOrderForm(RecordForm[FeedingOrder]):
    """A fast has no amounts; the other kinds say how much of what, and how often."""

    from_on = DayField(label="First day", help_text="Today or later.")
    until_on = DayField(label="Last day", help_text="At most 366 days in all.")

    class Meta:
        model = FeedingOrder
        fields = (
            *("animal", "kind", "from_on", "until_on"),
            *("every_days", "portion", "unit", "reason"),
        )
        help_texts = {
            "kind": "Fast: nothing is offered. Assist: fed by hand, as a vet advised. "
            "Rhythm: another portion or interval.",
            "portion": "How much at each feeding; not for a fast.",
            "reason": "Why, and on whose word. Local law and a licensed reptile vet "
            "come first.",
        }


class WithdrawOrderForm(RecordForm[FeedingOrder]):
    """Take an order back."""

    withdraw_reason = forms.CharField(
        label="Withdraw it, because",
        help_text="From today on the animal is fed by its profile again.",
    )

    class Meta:
        model = FeedingOrder
        fields = ()


@admin.register(FeedingOrder)
class FeedingOrderDesk(RecordDesk[FeedingOrder]):
    sees = Permission.SEE_ANIMALS
    adds = changes = Permission.OVERRIDE_TARGETS
    adding, changing = FeedingOrderForm, WithdrawOrderForm
    offers = {"animal": IN_CARE}
    list_display = (
        *("animal", "kind", "from_on", "until_on", "every_days", "portion", "unit"),
        *("made_by", "withdrawn_at"),
    )
    list_select_related = ("animal", "made_by")
    list_filter = ("kind",)
    search_fields = ("animal__code", "animal__name", "reason")

    def is_open(self, row: FeedingOrder) -> bool:
        return row.withdrawn_at is None

    def add(self, given: Given, *, by: User, at: datetime) -> FeedingOrder:
        return order_feeding(
            animal=given["animal"],
            kind=FeedingOrderKind(given["kind"]),
            from_on=given["from_on"],
            until_on=given["until_on"],
            every_days=given["every_days"],
            portion=given["portion"],
            unit=given["unit"],
            reason=given["reason"],
            by=by,
            at=at,
        )

    def change(
        self, row: FeedingOrder, given: Given, *, by: User, at: datetime
    ) -> FeedingOrder:
        return withdraw_feeding_order(
            order=row, reason=given["withdraw_reason"], by=by, at=at
        )
