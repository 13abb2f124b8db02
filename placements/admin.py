"""The back office of placements: homes and plans; placing goes over actions."""

from datetime import datetime

from django import forms
from django.contrib import admin

from core.admin import Desk, Given, RecordDesk, RecordForm
from core.models import User
from core.roles import Permission
from husbandry.models import Animal
from husbandry.rules.vocabulary import AnimalStatus
from placements.actions import add_home, call_off, plan_placement
from placements.models import Home, Packet, Placement
from placements.rules.vocabulary import PlacementKind, PlacementState


class HomeForm(RecordForm[Home]):
    class Meta:
        model = Home
        fields = ("name", "contact", "notes")
        help_texts = {"contact": "Address, telephone, e-mail. Personal data."}


@admin.register(Home)
class HomeDesk(RecordDesk[Home]):
    sees = Permission.SEE_HOMES
    adds = Permission.MANAGE_PLACEMENTS
    adding = HomeForm
    list_display = ("name", "contact")
    search_fields = ("name", "contact")

    def add(self, given: Given, *, by: User, at: datetime) -> Home:
        return add_home(
            name=given["name"],
            contact=given["contact"],
            notes=given["notes"],
            by=by,
            at=at,
        )


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


@admin.register(Placement)
class PlacementDesk(RecordDesk[Placement]):
    sees = Permission.SEE_PLACEMENTS
    adds = changes = Permission.MANAGE_PLACEMENTS
    adding, changing = PlanForm, CallOffForm
    offers = {"animal": Animal.objects.filter(status=AnimalStatus.IN_CARE)}
    list_display = ("animal", "home", "kind", "state", "planned_on", "handed_over_on")
    list_select_related = ("animal", "home")
    list_filter = ("state", "kind")
    search_fields = ("animal__code", "animal__name", "home__name")

    def is_open(self, row: Placement) -> bool:
        return row.state == PlacementState.PLANNED

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


@admin.register(Packet)
class PacketDesk(Desk[Packet]):
    sees = Permission.SEE_PLACEMENTS
    list_display = ("number", "animal", "version", "made_at", "made_by")
    list_select_related = ("placement__animal", "made_by")
    search_fields = ("number", "placement__animal__code")

    @admin.display(description="animal")
    def animal(self, row: Packet) -> str:
        return str(row.placement.animal)
