"""What was done for enclosures and rooms."""

from collections.abc import Sequence
from datetime import datetime

from django import forms
from django.contrib import admin

from core.admin import Given, RecordForm, at_zone
from core.models import Room, Site, User
from husbandry.actions.care_records import CareResult
from husbandry.actions.chores import ChoreRow, record_chores
from husbandry.admin.care_records import BookDesk, StrikeOutForm, feeders, when_field
from husbandry.admin.clocks import clock_at
from husbandry.admin.enclosures import IN_USE
from husbandry.models import Chore
from husbandry.rules.vocabulary import ChoreKind


class ChoreForm(RecordForm[Chore]):
    """Cleaning and misting name an enclosure; gut-loading a room and a feeder."""

    done_at = when_field()
    feeder = forms.ChoiceField(
        choices=feeders, required=False, help_text="Which insects; gut-loading only."
    )

    class Meta:
        model = Chore
        fields = ("kind", "done_at", "enclosure", "room", "feeder", "note")
        help_texts = {
            "enclosure": "What was cleaned or misted.",
            "room": "Whose insects were fed; gut-loading only.",
        }


class StrikeChoreForm(StrikeOutForm[Chore]):
    class Meta:
        model = Chore
        fields = ()


@admin.register(Chore)
class ChoreDesk(BookDesk[Chore]):
    adding, changing = ChoreForm, StrikeChoreForm
    offers = {"enclosure": IN_USE, "room": Room.objects.select_related("site")}
    list_display = (
        *("kind", "at", "enclosure", "room", "feeder", "recorded_by", "struck_at"),
    )
    list_select_related = ("enclosure", "room__site", "recorded_by")
    list_filter = ("kind",)
    search_fields = ("enclosure__code", "room__code", "feeder")

    def enter(self, given: Given, *, by: User, at: datetime) -> Sequence[CareResult]:
        shown, enclosure, room = given["done_at"], given["enclosure"], given["room"]
        row = ChoreRow(
            kind=ChoreKind(given["kind"]),
            at=at_zone(shown, clock_at(_site(given))) if shown else at,
            enclosure=enclosure.code if enclosure else "",
            room=(room.site.code, room.code) if room else None,
            feeder=given["feeder"],
            note=given["note"],
        )
        return record_chores(rows=[row], by=by, recorded_at=at)


def _site(given: Given) -> Site | None:
    room = given["enclosure"].room if given["enclosure"] else given["room"]
    return room.site if room else None
