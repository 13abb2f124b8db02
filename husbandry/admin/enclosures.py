"""Enclosures, how they stand, and which can be seen from one another."""

from datetime import datetime, time
from decimal import Decimal
from typing import TypedDict

from django import forms
from django.contrib import admin

from core.admin import DayField, Given, RecordDesk, RecordForm
from core.models import User
from core.roles import Permission
from husbandry.actions.enclosures import add_enclosure, retire_enclosure
from husbandry.actions.setups import correct_setup, set_up_enclosure
from husbandry.actions.sight_lines import note_sight_line, remove_sight_line
from husbandry.models import Enclosure, Setup, SightLine
from husbandry.rules.vocabulary import EnclosureKind, Lights, Misting

IN_USE = Enclosure.objects.filter(retired_on__isnull=True)


class EnclosureForm(RecordForm[Enclosure]):
    class Meta:
        model = Enclosure
        fields = ("code", "room", "kind", "position", "notes")


class RetireEnclosureForm(RecordForm[Enclosure]):
    """Take an enclosure out of use, and its probes with it."""

    unused_from_on = DayField(
        label="Retire it", help_text="First day on which it is not used any more."
    )
    because = forms.CharField(required=False)

    class Meta:
        model = Enclosure
        fields = ()


@admin.register(Enclosure)
class EnclosureDesk(RecordDesk[Enclosure]):
    sees = Permission.SEE_CONDITIONS
    adds = changes = Permission.EDIT_PLACES
    adding, changing = EnclosureForm, RetireEnclosureForm
    list_display = ("code", "room", "kind", "position", "retired_on")
    list_select_related = ("room",)
    list_filter = ("kind", "room")
    search_fields = ("code",)

    def is_open(self, row: Enclosure) -> bool:
        return row.retired_on is None

    def add(self, given: Given, *, by: User, at: datetime) -> Enclosure:
        return add_enclosure(
            code=given["code"],
            room=given["room"],
            kind=EnclosureKind(given["kind"]),
            position=given["position"],
            notes=given["notes"],
            by=by,
            at=at,
        )

    def change(
        self, row: Enclosure, given: Given, *, by: User, at: datetime
    ) -> Enclosure:
        return retire_enclosure(
            enclosure=row,
            on=given["unused_from_on"],
            reason=given["because"],
            by=by,
            at=at,
        )


class SetupForm(RecordForm[Setup]):
    """How an enclosure stands from a day on."""

    class Meta:
        model = Setup
        fields = (
            *("enclosure", "from_on", "width_cm", "depth_cm", "height_cm"),
            *("lights", "lights_on", "lights_off", "laying_bin", "misting", "notes"),
        )
        help_texts = {
            "from_on": "First day it stands so. A change is a new set-up.",
            "width_cm": "Inner width, cm.",
            "depth_cm": "Inner depth, cm.",
            "height_cm": "Inner height, cm.",
        }


class CorrectSetupForm(RecordForm[Setup]):
    """Mend what was recorded wrongly; a change of today is a new set-up."""

    because = forms.CharField(
        label="Correct it, because",
        help_text="What was recorded wrongly. If it was changed since, add a set-up "
        "from that day on instead.",
    )

    class Meta:
        model = Setup
        fields = SetupForm.Meta.fields[2:]
        help_texts = SetupForm.Meta.help_texts


@admin.register(Setup)
class SetupDesk(RecordDesk[Setup]):
    sees = Permission.SEE_CONDITIONS
    adds = changes = Permission.EDIT_PLACES
    adding, changing = SetupForm, CorrectSetupForm
    offers = {"enclosure": IN_USE}
    list_display = (
        *("enclosure", "from_on", "width_cm", "depth_cm", "height_cm"),
        *("lights", "lights_on", "lights_off", "laying_bin", "misting"),
    )
    list_select_related = ("enclosure",)
    list_filter = ("lights", "laying_bin", "misting")
    search_fields = ("enclosure__code",)

    def add(self, given: Given, *, by: User, at: datetime) -> Setup:
        return set_up_enclosure(
            enclosure=given["enclosure"],
            from_on=given["from_on"],
            by=by,
            at=at,
            **_stands(given),
        )

    def change(self, row: Setup, given: Given, *, by: User, at: datetime) -> Setup:
        return correct_setup(
            setup=row, by=by, at=at, reason=given["because"], **_stands(given)
        )


class _Stands(TypedDict):
    width_cm: Decimal
    depth_cm: Decimal
    height_cm: Decimal
    lights: Lights
    lights_on: time | None
    lights_off: time | None
    laying_bin: bool
    misting: Misting
    notes: str


def _stands(given: Given) -> _Stands:
    return {
        "width_cm": given["width_cm"],
        "depth_cm": given["depth_cm"],
        "height_cm": given["height_cm"],
        "lights": Lights(given["lights"]),
        "lights_on": given["lights_on"],
        "lights_off": given["lights_off"],
        "laying_bin": given["laying_bin"],
        "misting": Misting(given["misting"]),
        "notes": given["notes"],
    }


class SightLineForm(RecordForm[SightLine]):
    class Meta:
        model = SightLine
        fields = ("enclosure", "other", "from_on")
        help_texts = {"other": "Seen from the first one, and the other way round."}


class BlockSightForm(RecordForm[SightLine]):
    """Note that something stands between two enclosures now."""

    last_on = DayField(
        label="Something stands between",
        help_text="Last day on which they saw each other.",
    )

    class Meta:
        model = SightLine
        fields = ()


@admin.register(SightLine)
class SightLineDesk(RecordDesk[SightLine]):
    sees = Permission.SEE_CONDITIONS
    adds = changes = Permission.EDIT_PLACES
    adding, changing = SightLineForm, BlockSightForm
    offers = {"enclosure": IN_USE, "other": IN_USE}
    list_display = ("enclosure", "other", "from_on", "until_on")
    list_select_related = ("enclosure", "other")
    search_fields = ("enclosure__code", "other__code")

    def is_open(self, row: SightLine) -> bool:
        return row.until_on is None

    def add(self, given: Given, *, by: User, at: datetime) -> SightLine:
        return note_sight_line(
            enclosure=given["enclosure"],
            other=given["other"],
            from_on=given["from_on"],
            by=by,
            at=at,
        )

    def change(
        self, row: SightLine, given: Given, *, by: User, at: datetime
    ) -> SightLine:
        return remove_sight_line(
            enclosure=row.enclosure,
            other=row.other,
            until_on=given["last_on"],
            by=by,
            at=at,
        )
