"""The back office of placements: homes and plans; placing goes over actions."""

from datetime import datetime

from django import forms
from django.contrib import admin, messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse

from core.admin import (
    DayField,
    Given,
    RecordDesk,
    RecordForm,
    Step,
    SteppedDesk,
    Way,
)
from core.models import User
from core.roles import Permission
from husbandry.models import Animal
from husbandry.rules.vocabulary import AnimalStatus
from placements.actions import (
    add_home,
    call_off,
    hand_over,
    make_packet,
    plan_placement,
)
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


class PackForm(RecordForm[Packet]):
    """Freeze, number and hash what goes home with an animal."""

    class Meta:
        model = Packet
        fields = ("placement",)
        help_texts = {
            "placement": "Planned; or handed over, where its packet has to be "
            "corrected. Nothing new to say: the packet on record is kept."
        }


@admin.register(Packet)
class PacketDesk(RecordDesk[Packet]):
    sees = Permission.SEE_PLACEMENTS
    adds = Permission.MANAGE_PLACEMENTS
    adding = PackForm
    offers = {
        "placement": Placement.objects.exclude(
            state=PlacementState.CALLED_OFF
        ).select_related("animal", "home")
    }
    list_display = ("number", "animal", "version", "made_at", "made_by")
    list_select_related = ("placement__animal", "made_by")
    search_fields = ("number", "placement__animal__code")

    @admin.display(description="animal")
    def animal(self, row: Packet) -> str:
        return str(row.placement.animal)

    def told(self) -> list[str]:
        """Return all but what the packet says; that is what is printed."""
        return [name for name in super().told() if name != "snapshot"]

    def add(self, given: Given, *, by: User, at: datetime) -> Packet:
        return make_packet(placement=given["placement"], by=by, at=at)

    def response_add(
        self,
        request: HttpRequest,
        obj: Packet,
        post_url_continue: str | None = None,
    ) -> HttpResponse:
        """Show the packet, which is where it is printed."""
        told = f"Packet {obj.number}, version {obj.version}: print it, it goes along."
        self.message_user(request, told, messages.SUCCESS)
        return redirect("admin:placements_packet_change", obj.pk)
