"""The back office of placements: plans and handing over."""

from datetime import datetime

from django import forms
from django.contrib import admin
from django.urls import reverse

from core.admin import DayField, Given, RecordForm, Step, SteppedDesk, Way
from core.models import User
from core.roles import Permission
from husbandry.models import Animal
from husbandry.rules.vocabulary import AnimalStatus
from placements.actions.handing_over import hand_over
from placements.actions.placements import call_off, plan_placement
from placements.models import Placement
from placements.rules.vocabulary import PlacementKind, PlacementState


class PlanForm(RecordForm[Placement]):
    class Meta:
        model = Placement
        fields = ("animal", "home", "kind", "planned_on")


class CallOffForm(RecordForm[Placement]):
    """Call a planned placement off; the animal stays."""

    because = forms.CharField(label="Call it off, because")

    class Meta:
        model = Placement
        fields = ()


class HandOverForm(forms.Form):
    """Hand an animal over with its packet."""

    on = DayField(
        label="It left on", help_text="The local day. Its stay ends with that day."
    )


def _hand_over(row: Placement, given: Given, *, by: User, at: datetime) -> Placement:
    return hand_over(placement=row, on=given["on"], by=by, at=at)


HAND_OVER = Step(
    slug="hand-over",
    title="Hand over",
    form=HandOverForm,
    take=_hand_over,
    fits=lambda row: row.state == PlacementState.PLANNED,
    done="is handed over.",
    caution="This cannot be taken back here. Its packet goes with it. Local law decides "
    "on permits, papers and transport: move it only when it is well, in a ventilated "
    "box that keeps its temperature. It is never released; who cannot keep it brings "
    "it back.",
)


@admin.register(Placement)
class PlacementDesk(SteppedDesk[Placement]):
    sees = Permission.SEE_PLACEMENTS
    adds = changes = Permission.MANAGE_PLACEMENTS
    adding, changing = PlanForm, CallOffForm
    steps = (HAND_OVER,)
    offers = {"animal": Animal.objects.filter(status=AnimalStatus.IN_CARE)}
    list_display = ("animal", "home", "kind", "state", "planned_on", "handed_over_on")
    list_select_related = ("animal", "home")
    list_filter = ("state", "kind")
    search_fields = ("animal__code", "animal__name", "home__name")

    def is_open(self, row: Placement) -> bool:
        return row.state == PlacementState.PLANNED

    def ways(self, row: Placement) -> list[Way]:
        if row.state == PlacementState.CALLED_OFF:
            return super().ways(row)
        form = reverse("admin:placements_packet_add")
        return [("Make its packet", f"{form}?placement={row.pk}"), *super().ways(row)]

    def add(self, given: Given, *, by: User, at: datetime) -> Placement:
        return plan_placement(
            animal=given["animal"],
            home=given["home"],
            kind=PlacementKind(given["kind"]),
            planned_on=given["planned_on"],
            by=by,
            at=at,
        )

    def change(
        self, row: Placement, given: Given, *, by: User, at: datetime
    ) -> Placement:
        return call_off(placement=row, reason=given["because"], by=by, at=at)
