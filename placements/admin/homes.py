"""The back office of homes: personal data."""

from datetime import datetime

from django.contrib import admin

from core.admin import Given, RecordDesk, RecordForm
from core.models import User
from core.roles import Permission
from placements.actions.homes import add_home
from placements.models import Home


class HomeForm(RecordForm[Home]):
    class Meta:
        model = Home
        fields = ("name", "contact", "notes")
        help_texts = {"contact": "Address, telephone, e-mail. Personal data."}


@admin.register(Home)
class HomeDesk(RecordDesk[Home]):
    sees = Permission.SEE_HOMES
    adds = Permission.MANAGE_PLACEMENTS
    adding = HomeForm
    list_display = ("name", "contact")
    search_fields = ("name", "contact")

    def add(self, given: Given, *, by: User, at: datetime) -> Home:
        return add_home(
            name=given["name"],
            contact=given["contact"],
            notes=given["notes"],
            by=by,
            at=at,
        )
