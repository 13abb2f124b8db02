"""What was seen of animals, and how long these are."""

from collections.abc import Sequence
from datetime import datetime

from django import forms
from django.contrib import admin

from core.admin import DayField, Given, RecordForm, at_zone
from core.models import User
from husbandry.actions.care_records import CareResult
from husbandry.actions.measurings import MeasuringRow, record_measurings
from husbandry.actions.observations import ObservationRow, record_observations
from husbandry.admin.animals import IN_CARE
from husbandry.admin.care_records import BookDesk, StrikeOutForm, signs, when_field
from husbandry.admin.clocks import clock_of
from husbandry.models import Measuring, Observation
from husbandry.rules.vocabulary import ObservationKind, Observed, Urates


class ObservationForm(RecordForm[Observation]):
    """One thing seen: never a diagnosis. A sign ends at a licensed reptile vet."""

    seen_at = when_field()
    sign = forms.ChoiceField(
        choices=signs, required=False, help_text="With the kind sign only."
    )
    look_again_on = DayField(
        required=False, help_text="Day on which somebody must look again."
    )

    class Meta:
        model = Observation
        fields = (
            *("animal", "seen_at", "kind", "sign", "observed"),
            *("urates", "eggs", "look_again_on", "note"),
        )


class StrikeObservationForm(StrikeOutForm[Observation]):
    class Meta:
        model = Observation
        fields = ()


@admin.register(Observation)
class ObservationDesk(BookDesk[Observation]):
    adding, changing = ObservationForm, StrikeObservationForm
    offers = {"animal": IN_CARE}
    list_display = (
        *("animal", "at", "kind", "sign", "observed", "urates", "eggs"),
        *("look_again_on", "recorded_by", "struck_at"),
    )
    list_select_related = ("animal", "recorded_by")
    list_filter = ("kind", "observed", "urates")
    search_fields = ("animal__code", "animal__name", "sign", "note")

    def enter(self, given: Given, *, by: User, at: datetime) -> Sequence[CareResult]:
        animal, shown = given["animal"], given["seen_at"]
        row = ObservationRow(
            animal=animal.code,
            at=at_zone(shown, clock_of(animal, at)) if shown else at,
            kind=ObservationKind(given["kind"]),
            sign=given["sign"],
            observed=Observed(given["observed"]) if given["observed"] else None,
            urates=Urates(given["urates"]) if given["urates"] else None,
            eggs=given["eggs"],
            look_again_on=given["look_again_on"],
            note=given["note"],
        )
        return record_observations(rows=[row], by=by, recorded_at=at)


class MeasuringForm(RecordForm[Measuring]):
    measured_at = when_field()

    class Meta:
        model = Measuring
        fields = ("animal", "measured_at", "snout_vent_cm", "total_cm", "note")


class StrikeMeasuringForm(StrikeOutForm[Measuring]):
    class Meta:
        model = Measuring
        fields = ()


@admin.register(Measuring)
class MeasuringDesk(BookDesk[Measuring]):
    adding, changing = MeasuringForm, StrikeMeasuringForm
    offers = {"animal": IN_CARE}
    list_display = (
        *("animal", "at", "snout_vent_cm", "total_cm", "recorded_by", "struck_at"),
    )
    list_select_related = ("animal", "recorded_by")
    search_fields = ("animal__code", "animal__name")

    def enter(self, given: Given, *, by: User, at: datetime) -> Sequence[CareResult]:
        animal, shown = given["animal"], given["measured_at"]
        row = MeasuringRow(
            animal=animal.code,
            at=at_zone(shown, clock_of(animal, at)) if shown else at,
            snout_vent_cm=given["snout_vent_cm"],
            total_cm=given["total_cm"],
            note=given["note"],
        )
        return record_measurings(rows=[row], by=by, recorded_at=at)
