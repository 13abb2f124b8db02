"""The back office of what comes after an animal has left."""

from datetime import datetime

from django.contrib import admin

from core.admin import Desk, Given, RecordDesk, RecordForm
from core.models import User
from core.roles import Permission
from placements.actions.home_reports import report_from_home, see_report
from placements.models import FollowUp, HomeReport
from placements.rules.home_reports import CAUTION
from placements.rules.vocabulary import HomeReportKind


@admin.register(FollowUp)
class FollowUpDesk(Desk[FollowUp]):
    """Planned by handing over; answered and dropped on the placement's page."""

    sees = Permission.SEE_HOMES
    list_display = ("placement", "kind", "due_on", "answered_at", "dropped_at")
    list_select_related = ("placement__animal", "placement__home")
    list_filter = ("kind",)
    search_fields = ("placement__animal__code",)


class HomeReportForm(RecordForm[HomeReport]):
    """What a home told, such as by telephone."""

    class Meta:
        model = HomeReport
        fields = ("placement", "kind", "on", "mass_g", "eggs", "note")
        help_texts = {"note": CAUTION}


class SeenForm(RecordForm[HomeReport]):
    """Saving says that somebody has looked at it."""

    class Meta:
        model = HomeReport
        fields = ()


@admin.register(HomeReport)
class HomeReportDesk(RecordDesk[HomeReport]):
    sees = Permission.SEE_HOMES
    adds = changes = Permission.MANAGE_PLACEMENTS
    adding, changing = HomeReportForm, SeenForm
    list_display = (
        "placement",
        "kind",
        "on",
        "mass_g",
        "eggs",
        "received_at",
        "seen_at",
    )
    list_select_related = ("placement__animal", "placement__home")
    list_filter = ("kind",)
    search_fields = ("placement__animal__code",)

    def is_open(self, row: HomeReport) -> bool:
        return row.seen_at is None

    def add(self, given: Given, *, by: User, at: datetime) -> HomeReport:
        return report_from_home(
            placement=given["placement"],
            kind=HomeReportKind(given["kind"]),
            on=given["on"],
            mass_g=given["mass_g"],
            eggs=given["eggs"],
            note=given["note"],
            by=by,
            at=at,
        )

    def change(
        self, row: HomeReport, given: Given, *, by: User, at: datetime
    ) -> HomeReport:
        return see_report(report=row, by=by, at=at)
