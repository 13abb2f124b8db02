"""The lamps over enclosures, and what a UV-index meter shows under them."""

from datetime import datetime

from django.contrib import admin

from core.admin import DayField, Given, RecordDesk, RecordForm, at_zone
from core.models import User
from core.roles import Permission
from husbandry.actions.lamps import check_lamp, fit_lamp, remove_lamp
from husbandry.admin.care_records import CareDesk, StrikeOutForm, when_field
from husbandry.admin.clocks import clock_at
from husbandry.admin.enclosures import IN_USE
from husbandry.models import Lamp, LampCheck
from husbandry.rules.vocabulary import LampKind


class LampForm(RecordForm[Lamp]):
    """A new tube or bulb is a new lamp: its hours begin anew."""

    fitted_on = DayField(help_text="First day on which it burnt here.")

    class Meta:
        model = Lamp
        fields = ("enclosure", "kind", "label", "fitted_on")


class RemoveLampForm(RecordForm[Lamp]):
    """Note that a lamp was taken away."""

    last_on = DayField(
        label="Remove it",
        help_text="Last day on which it burnt here. A new one is a lamp of its own.",
    )

    class Meta:
        model = Lamp
        fields = ()


@admin.register(Lamp)
class LampDesk(RecordDesk[Lamp]):
    sees = Permission.SEE_CONDITIONS
    adds = changes = Permission.EDIT_PLACES
    adding, changing = LampForm, RemoveLampForm
    offers = {"enclosure": IN_USE}
    list_display = ("enclosure", "kind", "label", "fitted_on", "removed_on")
    list_select_related = ("enclosure",)
    list_filter = ("kind",)
    search_fields = ("enclosure__code", "label")

    def is_open(self, row: Lamp) -> bool:
        return row.removed_on is None

    def add(self, given: Given, *, by: User, at: datetime) -> Lamp:
        return fit_lamp(
            enclosure=given["enclosure"],
            kind=LampKind(given["kind"]),
            label=given["label"],
            fitted_on=given["fitted_on"],
            by=by,
            at=at,
        )

    def change(self, row: Lamp, given: Given, *, by: User, at: datetime) -> Lamp:
        return remove_lamp(lamp=row, on=given["last_on"], by=by, at=at)


class LampCheckForm(RecordForm[LampCheck]):
    """What the meter shows where the animal sits; look away from the lamp."""

    measured_at = when_field()

    class Meta:
        model = LampCheck
        fields = ("lamp", "measured_at", "uv_index", "distance_cm", "note")


class StrikeLampCheckForm(StrikeOutForm[LampCheck]):
    class Meta:
        model = LampCheck
        fields = ()


@admin.register(LampCheck)
class LampCheckDesk(CareDesk[LampCheck]):
    sees = Permission.SEE_CONDITIONS
    adding, changing = LampCheckForm, StrikeLampCheckForm
    offers = {
        "lamp": Lamp.objects.filter(removed_on__isnull=True).select_related("enclosure")
    }
    list_display = (
        *("lamp", "at", "uv_index", "distance_cm", "recorded_by", "struck_at"),
    )
    list_select_related = ("lamp__enclosure", "recorded_by")
    search_fields = ("lamp__enclosure__code", "lamp__label")

    def add(self, given: Given, *, by: User, at: datetime) -> LampCheck:
        lamp, shown = given["lamp"], given["measured_at"]
        site = lamp.enclosure.room.site
        return check_lamp(
            lamp=lamp,
            uv_index=given["uv_index"],
            distance_cm=given["distance_cm"],
            at=at_zone(shown, clock_at(site)) if shown else at,
            by=by,
            recorded_at=at,
            note=given["note"],
        )
