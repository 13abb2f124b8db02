"""The back office of intake: what came, and how long it is held.

Animals are taken in on the pages, many at once; here one looks things up.
"""

from datetime import datetime

from django.contrib import admin

from core.admin import Desk, Given, RecordDesk, RecordForm
from core.models import User
from core.roles import Permission
from placements.actions.holds import set_hold_policy
from placements.models import (
    Arrival,
    Exam,
    ExamLine,
    HoldPolicy,
    Intake,
    IntakePhoto,
)
from placements.rules.holds import LOCAL_LAW
from placements.rules.vocabulary import IntakeSource


@admin.register(Arrival)
class ArrivalDesk(Desk[Arrival]):
    # From whom, and where a stray was found, are personal data.
    sees = Permission.SEE_HOMES
    list_display = ("arrived_at", "source", "home", "site", "hold_until", "recorded_by")
    list_select_related = ("home", "site", "recorded_by")
    list_filter = ("source", "site")
    search_fields = ("intakes__animal__code", "intakes__animal__name")


@admin.register(Intake)
class IntakeDesk(Desk[Intake]):
    sees = Permission.RECORD_INTAKE
    # A placement is called by its home, which not everybody sees who takes in animals.
    exclude = ("returns",)
    list_display = (
        *("animal", "arrival", "species_sure", "condition", "chip_scan"),
        "hold_ended_on",
    )
    list_select_related = ("animal", "arrival")
    list_filter = ("species_sure", "condition", "chip_scan")
    search_fields = ("animal__code", "animal__name")


@admin.register(Exam)
class ExamDesk(Desk[Exam]):
    sees = Permission.SEE_ANIMALS
    list_display = ("animal", "at", "examined_by", "recorded_by")
    list_select_related = ("animal", "recorded_by")
    search_fields = ("animal__code", "animal__name")


@admin.register(ExamLine)
class ExamLineDesk(Desk[ExamLine]):
    sees = Permission.SEE_ANIMALS
    list_display = ("exam", "system", "outcome", "note")
    list_select_related = ("exam__animal",)
    list_filter = ("system", "outcome")
    search_fields = ("exam__animal__code", "exam__animal__name")


@admin.register(IntakePhoto)
class IntakePhotoDesk(Desk[IntakePhoto]):
    sees = Permission.RECORD_INTAKE
    # It is looked at on the pages, behind the same door as everything else.
    exclude = ("photo",)
    list_display = ("intake", "caption", "recorded_by", "recorded_at")
    list_select_related = ("intake__animal", "intake__arrival", "recorded_by")
    search_fields = ("intake__animal__code", "caption")


class HoldPolicyForm(RecordForm[HoldPolicy]):
    """The newest decision of a source holds, for animals that come from then on."""

    class Meta:
        model = HoldPolicy
        fields = ("source", "days", "reason")
        help_texts = {
            "days": "After the day of arrival, which does not count. 0: no hold.",
            "reason": f"Which law or decision it follows. {LOCAL_LAW}",
        }


@admin.register(HoldPolicy)
class HoldPolicyDesk(RecordDesk[HoldPolicy]):
    sees = Permission.SEE_ANIMALS
    adds = Permission.SET_POLICIES
    adding = HoldPolicyForm
    list_display = ("source", "days", "reason", "made_by", "made_at")
    list_select_related = ("made_by",)
    list_filter = ("source",)

    def add(self, given: Given, *, by: User, at: datetime) -> HoldPolicy:
        return set_hold_policy(
            source=IntakeSource(given["source"]),
            days=given["days"],
            reason=given["reason"],
            by=by,
            at=at,
        )
