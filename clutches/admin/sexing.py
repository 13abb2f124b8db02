"""Looks at heels, and whether one look is enough."""

from collections.abc import Sequence
from datetime import datetime

from django.contrib import admin

from clutches.actions.sexing import (
    SpurCheckRow,
    record_spur_checks,
    set_sexing_policy,
)
from clutches.models import SexingPolicy, SpurCheck
from clutches.rules.vocabulary import Heel
from core.admin import Given, RecordDesk, RecordForm, at_zone
from core.models import User
from core.roles import Permission
from husbandry.actions.care_records import CareResult
from husbandry.admin.animals import IN_CARE
from husbandry.admin.care_records import BookDesk, StrikeOutForm, when_field
from husbandry.admin.clocks import clock_of


class SpurCheckForm(RecordForm[SpurCheck]):
    """Look with a lens, at both hind feet; who has not looked yet looks alone."""

    looked_at = when_field()

    class Meta:
        model = SpurCheck
        fields = ("animal", "looked_at", "left", "right", "looked_by", "note")
        help_texts = {"looked_by": "Empty: you."}


class StrikeSpurCheckForm(StrikeOutForm[SpurCheck]):
    class Meta:
        model = SpurCheck
        fields = ()


@admin.register(SpurCheck)
class SpurCheckDesk(BookDesk[SpurCheck]):
    adds = changes = Permission.RECORD_BREEDING
    adding, changing = SpurCheckForm, StrikeSpurCheckForm
    # It is looked at on the pages, behind the same door as everything else.
    exclude = ("photo",)
    offers = {"animal": IN_CARE}
    list_display = (
        *("animal", "at", "left", "right", "looked_by", "recorded_by", "struck_at"),
    )
    list_select_related = ("animal", "looked_by", "recorded_by")
    list_filter = ("left", "right")
    search_fields = ("animal__code", "animal__name")

    def enter(self, given: Given, *, by: User, at: datetime) -> Sequence[CareResult]:
        animal, shown = given["animal"], given["looked_at"]
        row = SpurCheckRow(
            animal=animal.code,
            at=at_zone(shown, clock_of(animal, at)) if shown else at,
            left=Heel(given["left"]),
            right=Heel(given["right"]),
            looked_by=given["looked_by"],
            note=given["note"],
        )
        return record_spur_checks(rows=[row], by=by, recorded_at=at)


class SexingPolicyForm(RecordForm[SexingPolicy]):
    """Sexes that are settled stay settled; the newest decision holds."""

    class Meta:
        model = SexingPolicy
        fields = ("second_look", "from_on", "reason")


@admin.register(SexingPolicy)
class SexingPolicyDesk(RecordDesk[SexingPolicy]):
    sees = Permission.SEE_ANIMALS
    adds = Permission.SET_POLICIES
    adding = SexingPolicyForm
    list_display = ("from_on", "second_look", "reason", "decided_by", "decided_at")
    list_select_related = ("decided_by",)

    def add(self, given: Given, *, by: User, at: datetime) -> SexingPolicy:
        return set_sexing_policy(
            second_look=given["second_look"],
            from_on=given["from_on"],
            reason=given["reason"],
            by=by,
            at=at,
        )
