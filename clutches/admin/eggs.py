"""Eggs, where they lie, and looks at them. What became of them is said on the pages."""

from collections.abc import Sequence
from datetime import datetime
from zoneinfo import ZoneInfo

from django import forms
from django.contrib import admin

from clutches.actions.egg_checks import EggCheckRow, record_egg_checks
from clutches.actions.eggs import move_eggs, place_eggs
from clutches.admin.boxes import BOXES_IN_USE
from clutches.models import Egg, EggCheck, EggPlace
from clutches.rules.eggs.states import LIVING
from clutches.rules.vocabulary import Candled
from core.admin import Desk, Given, LocalTimeField, RecordDesk, RecordForm, at_zone
from core.models import User
from core.roles import Permission
from husbandry.actions.care_records import CareResult
from husbandry.admin.care_records import BookDesk, StrikeOutForm, when_field

LIVING_EGGS = (
    Egg.objects.filter(state__in=LIVING)
    .select_related("clutch__site")
    .order_by("clutch__code", "number")
)


@admin.register(Egg)
class EggDesk(Desk[Egg]):
    """Made with the laying; set and mended on the pages of boxes and eggs."""

    sees = Permission.SEE_ANIMALS
    list_display = ("clutch", "number", "state", "pipped_on", "ended_on", "cause")
    list_select_related = ("clutch",)
    list_filter = ("state", "cause")
    search_fields = ("clutch__code", "note")


class PlaceForm(RecordForm[EggPlace]):
    """Put an egg that lies nowhere yet into a box."""

    place = forms.CharField(
        required=False,
        max_length=20,
        help_text="Column letter and row number, such as B3; empty: a free one.",
    )
    placed_at = when_field()

    class Meta:
        model = EggPlace
        fields = ("egg", "box", "place", "placed_at")


class MoveForm(RecordForm[EggPlace]):
    """Move an egg to another place, of this box or of another."""

    to = forms.ModelChoiceField(BOXES_IN_USE, label="Move it into")
    place = PlaceForm.base_fields["place"]
    moved_at = LocalTimeField(
        required=False,
        help_text="Empty: now. Otherwise day and time by the clock of the site.",
    )
    because = forms.CharField(required=False, max_length=200)

    class Meta:
        model = EggPlace
        fields = ()


@admin.register(EggPlace)
class EggPlaceDesk(RecordDesk[EggPlace]):
    sees = Permission.SEE_ANIMALS
    adds = changes = Permission.RECORD_BREEDING
    adding, changing = PlaceForm, MoveForm
    offers = {"egg": LIVING_EGGS, "box": BOXES_IN_USE}
    list_display = ("egg", "box", "row", "column", "from_at", "until_at")
    list_select_related = ("egg__clutch", "box")
    search_fields = ("egg__clutch__code", "box__code")

    def is_open(self, row: EggPlace) -> bool:
        return row.until_at is None

    def add(self, given: Given, *, by: User, at: datetime) -> EggPlace:
        egg, shown = given["egg"], given["placed_at"]
        (row,) = place_eggs(
            eggs=[egg],
            box=given["box"],
            places=_named(given),
            placed_at=at_zone(shown, _zone(egg)) if shown else at,
            by=by,
            at=at,
        )
        return row

    def change(
        self, row: EggPlace, given: Given, *, by: User, at: datetime
    ) -> EggPlace:
        shown = given["moved_at"]
        move_eggs(
            eggs=[row.egg],
            box=given["to"],
            places=_named(given),
            moved_at=at_zone(shown, _zone(row.egg)) if shown else at,
            by=by,
            at=at,
            reason=given["because"],
        )
        return row


class EggCheckForm(RecordForm[EggCheck]):
    looked_at = when_field()

    class Meta:
        model = EggCheck
        fields = ("egg", "looked_at", "seen", "mass_g", "note")


class StrikeEggCheckForm(StrikeOutForm[EggCheck]):
    class Meta:
        model = EggCheck
        fields = ()


@admin.register(EggCheck)
class EggCheckDesk(BookDesk[EggCheck]):
    adds = changes = Permission.RECORD_BREEDING
    adding, changing = EggCheckForm, StrikeEggCheckForm
    offers = {"egg": LIVING_EGGS}
    list_display = ("egg", "at", "seen", "mass_g", "recorded_by", "struck_at")
    list_select_related = ("egg__clutch", "recorded_by")
    list_filter = ("seen",)
    search_fields = ("egg__clutch__code",)

    def enter(self, given: Given, *, by: User, at: datetime) -> Sequence[CareResult]:
        egg, shown = given["egg"], given["looked_at"]
        row = EggCheckRow(
            egg=(egg.clutch.code, egg.number),
            at=at_zone(shown, _zone(egg)) if shown else at,
            seen=Candled(given["seen"]) if given["seen"] else None,
            mass_g=given["mass_g"],
            note=given["note"],
        )
        return record_egg_checks(rows=[row], by=by, recorded_at=at)


def _named(given: Given) -> list[str] | None:
    return [given["place"]] if given["place"] else None


def _zone(egg: Egg) -> ZoneInfo:
    return ZoneInfo(egg.clutch.site.time_zone)
