"""The back office of packets."""

from datetime import datetime

from django.contrib import admin, messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect

from core.admin import Desk, Given, RecordDesk, RecordForm
from core.models import User
from core.roles import Permission
from placements.actions.packets import make_packet
from placements.models import Packet, PacketJob, Placement
from placements.rules.vocabulary import PlacementState


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


@admin.register(PacketJob)
class PacketJobDesk(Desk[PacketJob]):
    """Packets that were asked for many at once; asked for on the page of packets."""

    sees = Permission.SEE_PLACEMENTS
    # Its file goes through a door of its own; the desk would link to nowhere.
    exclude = ("file",)
    list_display = ("animal", "state", "asked_at", "asked_by", "tries", "problem")
    list_select_related = ("placement__animal", "asked_by")
    list_filter = ("state",)
    search_fields = ("placement__animal__code", "batch")
    ordering = ("-asked_at", "-pk")

    @admin.display(description="animal")
    def animal(self, row: PacketJob) -> str:
        return str(row.placement.animal)
