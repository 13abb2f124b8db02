"""What animals were offered and ate."""

from collections.abc import Sequence
from datetime import datetime

from django import forms
from django.contrib import admin

from core.admin import Given, RecordForm, at_zone
from core.models import User
from husbandry.actions.care_records import CareResult
from husbandry.actions.feedings import FeedingRow, record_feedings
from husbandry.admin.animals import IN_CARE
from husbandry.admin.care_records import (
    BookDesk,
    StrikeOutForm,
    feeders,
    supplements,
    when_field,
)
from husbandry.admin.clocks import clock_of
from husbandry.models import Feeding


class FeedingForm(RecordForm[Feeding]):
    fed_at = when_field()
    feeder = forms.ChoiceField(choices=feeders)
    supplements = forms.MultipleChoiceField(
        choices=supplements, required=False, widget=forms.CheckboxSelectMultiple
    )

    class Meta:
        model = Feeding
        fields = (
            *("animal", "fed_at", "feeder", "offered", "eaten"),
            *("supplements", "assisted", "note"),
        )


class StrikeFeedingForm(StrikeOutForm[Feeding]):
    class Meta:
        model = Feeding
        fields = ()


@admin.register(Feeding)
class FeedingDesk(BookDesk[Feeding]):
    adding, changing = FeedingForm, StrikeFeedingForm
    offers = {"animal": IN_CARE}
    list_display = (
        *("animal", "at", "feeder", "offered", "eaten", "assisted"),
        *("recorded_by", "struck_at"),
    )
    list_select_related = ("animal", "recorded_by")
    list_filter = ("assisted", "feeder")
    search_fields = ("animal__code", "animal__name", "feeder")

    def enter(self, given: Given, *, by: User, at: datetime) -> Sequence[CareResult]:
        animal, shown = given["animal"], given["fed_at"]
        row = FeedingRow(
            animal=animal.code,
            at=at_zone(shown, clock_of(animal, at)) if shown else at,
            feeder=given["feeder"],
            offered=given["offered"],
            eaten=given["eaten"],
            supplements=tuple(given["supplements"]),
            assisted=given["assisted"],
            note=given["note"],
        )
        return record_feedings(rows=[row], by=by, recorded_at=at)
