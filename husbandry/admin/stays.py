"""Where animals stay; a move ends one stay and begins the next."""

from datetime import datetime
from zoneinfo import ZoneInfo

from django import forms
from django.contrib import admin

from core.admin import Given, LocalTimeField, RecordDesk, RecordForm, at_zone
from core.models import User
from core.roles import Permission
from husbandry.actions.stays import move_animal, record_move
from husbandry.admin.animals import IN_CARE
from husbandry.admin.enclosures import IN_USE
from husbandry.models import Stay
from husbandry.queries.stays import current_stays


class MoveForm(RecordForm[Stay]):
    """Move an animal into an enclosure, now or as it was done earlier."""

    moved_at = LocalTimeField(
        required=False,
        help_text="Empty: now. Otherwise day and time by the clock of the enclosure's "
        "site, for a move that is done already.",
    )

    class Meta:
        model = Stay
        fields = ("animal", "enclosure", "moved_at", "reason")
        labels = {"enclosure": "Into"}


class TakeOutForm(RecordForm[Stay]):
    """Take an animal out of its enclosure, now or as it was done earlier."""

    out_at = LocalTimeField(
        required=False,
        label="Take it out",
        help_text="Empty: now. Otherwise day and time by the clock of the enclosure's "
        "site. It stays in care, without an enclosure. One that died, was lost or "
        "goes to a home is noted there instead; none is let go outdoors.",
    )
    because = forms.CharField(required=False)

    class Meta:
        model = Stay
        fields = ()


@admin.register(Stay)
class StayDesk(RecordDesk[Stay]):
    sees = Permission.SEE_ANIMALS
    adds = changes = Permission.MOVE_ANIMALS
    adding, changing = MoveForm, TakeOutForm
    offers = {"animal": IN_CARE, "enclosure": IN_USE.select_related("room__site")}
    list_display = ("animal", "enclosure", "place", "from_at", "until_at", "moved_by")
    list_select_related = ("animal", "enclosure", "moved_by")
    list_filter = ("enclosure__room",)
    search_fields = ("animal__code", "animal__name", "enclosure__code")

    def is_open(self, row: Stay) -> bool:
        return row.until_at is None

    def add(self, given: Given, *, by: User, at: datetime) -> Stay:
        animal, to, reason = given["animal"], given["enclosure"], given["reason"]
        shown = given["moved_at"]
        if shown is None:
            move_animal(animal=animal, to=to, by=by, at=at, reason=reason)
        else:
            moved_at = at_zone(shown, ZoneInfo(to.room.site.time_zone))
            record_move(
                animal=animal, to=to, moved_at=moved_at, by=by, at=at, reason=reason
            )
        return current_stays(animal_ids=[animal.pk])[animal.pk]

    def change(self, row: Stay, given: Given, *, by: User, at: datetime) -> Stay:
        shown, zone = given["out_at"], ZoneInfo(row.enclosure.room.site.time_zone)
        record_move(
            animal=row.animal,
            to=None,
            moved_at=at_zone(shown, zone) if shown else at,
            by=by,
            at=at,
            reason=given["because"],
        )
        return row
