"""Probes: one instrument at one spot; moved, it is a new one."""

from datetime import datetime

from django import forms
from django.contrib import admin

from core.admin import DayField, Given, RecordDesk, RecordForm
from core.models import User
from core.roles import Permission
from husbandry.actions.probes import add_probe, retire_probe
from husbandry.admin.enclosures import IN_USE
from husbandry.models import Probe
from husbandry.rules.vocabulary import Quantity, Zone

MEASURES = {
    "measures_temperature": Quantity.TEMPERATURE_C,
    "measures_humidity": Quantity.HUMIDITY_PCT,
    "measures_uv_index": Quantity.UV_INDEX,
}


class ProbeForm(RecordForm[Probe]):
    class Meta:
        model = Probe
        fields = ("code", "enclosure", "zone", *MEASURES, "interval_s", "from_on")
        help_texts = {"from_on": "First day in use at this spot."}


class RetireProbeForm(RecordForm[Probe]):
    """Take a probe out of use; its readings stay."""

    last_on = DayField(label="Retire it", help_text="Its last day in use.")
    because = forms.CharField(required=False)

    class Meta:
        model = Probe
        fields = ()


@admin.register(Probe)
class ProbeDesk(RecordDesk[Probe]):
    sees = Permission.SEE_CONDITIONS
    adds = changes = Permission.EDIT_PLACES
    adding, changing = ProbeForm, RetireProbeForm
    offers = {"enclosure": IN_USE}
    list_display = ("code", "enclosure", "zone", *MEASURES, "interval_s", "retired_on")
    list_select_related = ("enclosure",)
    list_filter = ("zone",)
    search_fields = ("code", "enclosure__code")

    def is_open(self, row: Probe) -> bool:
        return row.retired_on is None

    def add(self, given: Given, *, by: User, at: datetime) -> Probe:
        return add_probe(
            code=given["code"],
            enclosure=given["enclosure"],
            zone=Zone(given["zone"]),
            quantities=[word for name, word in MEASURES.items() if given[name]],
            interval_s=given["interval_s"],
            from_on=given["from_on"],
            by=by,
            at=at,
        )

    def change(self, row: Probe, given: Given, *, by: User, at: datetime) -> Probe:
        return retire_probe(
            probe=row, on=given["last_on"], reason=given["because"], by=by, at=at
        )
