"""Egg boxes, where they stand, and looks into them."""

from collections.abc import Sequence
from datetime import datetime
from zoneinfo import ZoneInfo

from django import forms
from django.contrib import admin

from clutches.actions.box_checks import BoxCheckRow, record_box_checks
from clutches.actions.boxes import make_box, move_box, retire_box
from clutches.models import BoxCheck, BoxStay, EggBox
from clutches.queries.boxes import zone_of
from clutches.rules.vocabulary import Substrate
from core.admin import (
    DayField,
    Given,
    LocalTimeField,
    RecordDesk,
    RecordForm,
    at_zone,
)
from core.models import User
from core.roles import Permission
from husbandry.actions.care_records import CareResult
from husbandry.admin.care_records import BookDesk, StrikeOutForm, when_field
from husbandry.models import Enclosure
from husbandry.rules.vocabulary import EnclosureKind

BOXES_IN_USE = EggBox.objects.filter(retired_on__isnull=True)
INCUBATORS = Enclosure.objects.filter(
    kind=EnclosureKind.INCUBATOR, retired_on__isnull=True
).select_related("room__site")


class EggBoxForm(RecordForm[EggBox]):
    stands_in = forms.ModelChoiceField(
        INCUBATORS, required=False, help_text="Since now; empty: in none yet."
    )

    class Meta:
        model = EggBox
        fields = (
            *("code", "rows", "columns", "substrate", "substrate_g", "water_g"),
            *("made_on", "note", "stands_in"),
        )


class RetireBoxForm(RecordForm[EggBox]):
    """Take an empty box out of use for good."""

    emptied_on = DayField(
        label="Retire it", help_text="Day on which it was emptied; no egg lies in it."
    )
    because = forms.CharField(required=False, max_length=200)

    class Meta:
        model = EggBox
        fields = ()


@admin.register(EggBox)
class EggBoxDesk(RecordDesk[EggBox]):
    sees = Permission.SEE_ANIMALS
    adds = changes = Permission.RECORD_BREEDING
    adding, changing = EggBoxForm, RetireBoxForm
    list_display = (
        *("code", "rows", "columns", "substrate", "substrate_g", "water_g"),
        *("made_on", "retired_on"),
    )
    list_filter = ("substrate",)
    search_fields = ("code", "note")

    def is_open(self, row: EggBox) -> bool:
        return row.retired_on is None

    def add(self, given: Given, *, by: User, at: datetime) -> EggBox:
        return make_box(
            code=given["code"],
            rows=given["rows"],
            columns=given["columns"],
            substrate=Substrate(given["substrate"]),
            substrate_g=given["substrate_g"],
            water_g=given["water_g"],
            made_on=given["made_on"],
            note=given["note"],
            incubator=given["stands_in"],
            by=by,
            at=at,
        )

    def change(self, row: EggBox, given: Given, *, by: User, at: datetime) -> EggBox:
        return retire_box(
            box=row, on=given["emptied_on"], by=by, at=at, reason=given["because"]
        )


class BoxMoveForm(RecordForm[BoxStay]):
    """Put a box with all that lies in it into another incubator."""

    moved_at = LocalTimeField(
        required=False,
        help_text="Empty: now. Otherwise day and time by the clock of the incubator's "
        "site, for a move that is done already.",
    )

    class Meta:
        model = BoxStay
        fields = ("box", "incubator", "moved_at", "reason")
        labels = {"incubator": "Into"}


class BoxOutForm(RecordForm[BoxStay]):
    """Take a box out of its incubator."""

    out_at = LocalTimeField(
        required=False,
        label="Take it out",
        help_text="Empty: now. Otherwise day and time by the clock of the incubator's "
        "site. Nobody knows how warm its eggs are from then on.",
    )
    because = forms.CharField(required=False, max_length=200)

    class Meta:
        model = BoxStay
        fields = ()


@admin.register(BoxStay)
class BoxStayDesk(RecordDesk[BoxStay]):
    sees = Permission.SEE_ANIMALS
    adds = changes = Permission.RECORD_BREEDING
    adding, changing = BoxMoveForm, BoxOutForm
    offers = {"box": BOXES_IN_USE, "incubator": INCUBATORS}
    list_display = ("box", "incubator", "from_at", "until_at", "moved_by", "reason")
    list_select_related = ("box", "incubator", "moved_by")
    list_filter = ("incubator",)
    search_fields = ("box__code", "incubator__code")

    def is_open(self, row: BoxStay) -> bool:
        return row.until_at is None

    def add(self, given: Given, *, by: User, at: datetime) -> BoxStay:
        incubator, shown = given["incubator"], given["moved_at"]
        zone = ZoneInfo(incubator.room.site.time_zone)
        move_box(
            box=given["box"],
            incubator=incubator,
            moved_at=at_zone(shown, zone) if shown else at,
            by=by,
            at=at,
            reason=given["reason"],
        )
        return BoxStay.objects.get(box=given["box"], until_at__isnull=True)

    def change(self, row: BoxStay, given: Given, *, by: User, at: datetime) -> BoxStay:
        shown, zone = given["out_at"], ZoneInfo(row.incubator.room.site.time_zone)
        move_box(
            box=row.box,
            incubator=None,
            moved_at=at_zone(shown, zone) if shown else at,
            by=by,
            at=at,
            reason=given["because"],
        )
        return row


class BoxCheckForm(RecordForm[BoxCheck]):
    looked_at = when_field()

    class Meta:
        model = BoxCheck
        fields = ("box", "looked_at", "mass_g", "water_g", "note")


class StrikeBoxCheckForm(StrikeOutForm[BoxCheck]):
    class Meta:
        model = BoxCheck
        fields = ()


@admin.register(BoxCheck)
class BoxCheckDesk(BookDesk[BoxCheck]):
    adds = changes = Permission.RECORD_BREEDING
    adding, changing = BoxCheckForm, StrikeBoxCheckForm
    offers = {"box": BOXES_IN_USE}
    list_display = ("box", "at", "mass_g", "water_g", "recorded_by", "struck_at")
    list_select_related = ("box", "recorded_by")
    search_fields = ("box__code",)

    def enter(self, given: Given, *, by: User, at: datetime) -> Sequence[CareResult]:
        box, shown = given["box"], given["looked_at"]
        row = BoxCheckRow(
            box=box.code,
            at=at_zone(shown, zone_of(box=box)) if shown else at,
            mass_g=given["mass_g"],
            water_g=given["water_g"],
            note=given["note"],
        )
        return record_box_checks(rows=[row], by=by, recorded_at=at)
