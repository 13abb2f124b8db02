"""The back office of homes: personal data, put right, kept longer or erased.

Nobody is looked up by name here: what is searched for stands in the address, and
addresses are written into logs.
"""

from datetime import datetime

from django import forms
from django.contrib import admin

from core.admin import DayField, Desk, Given, RecordDesk, RecordForm, Step, SteppedDesk
from core.models import User
from core.roles import Permission
from placements.actions.homes import correct_home, keep_data_until, keep_home
from placements.actions.personal_data import erase_home, set_retention
from placements.models import Home, PersonalDataPolicy, PrivateAddress
from placements.queries.personal_data import local_day
from placements.rules.homes import HomeDetails
from placements.rules.personal_data import ErasureReason
from placements.rules.vocabulary import HomeKind, Paper, UnitSystem


class HomeForm(RecordForm[Home]):
    class Meta:
        model = Home
        fields = (
            *("name", "kind", "contact", "email", "notes"),
            *("units", "paper", "language"),
        )
        help_texts = {"contact": "Address, telephone. Personal data."}


def _details(given: Given) -> HomeDetails:
    return HomeDetails(
        name=given["name"],
        contact=given["contact"],
        email=given["email"],
        notes=given["notes"],
        kind=HomeKind(given["kind"]),
        units=UnitSystem(given["units"]),
        paper=Paper(given["paper"]),
        language=given["language"],
    )


class KeepForm(forms.Form):
    """Keep a home's data longer, or again as long as the policy says."""

    until = DayField(
        required=False,
        label="Keep them until",
        help_text="Empty: as long as the policy says.",
    )


class EraseForm(forms.Form):
    """Erase a home's personal data."""

    reason = forms.ChoiceField(
        label="Because",
        choices=[
            (ErasureReason.ASKED_FOR.value, "it was asked for"),
            (ErasureReason.PAST_ITS_TIME.value, "their time is over"),
            (ErasureReason.RECORDED_BY_MISTAKE.value, "they were recorded by mistake"),
        ],
    )


def _keep(row: Home, given: Given, *, by: User, at: datetime) -> Home:
    return keep_data_until(
        home=row, until=given["until"], on=local_day(at), by=by, at=at
    )


def _erase(row: Home, given: Given, *, by: User, at: datetime) -> Home:
    erase_home(home=row, reason=ErasureReason(given["reason"]), by=by, at=at)
    # What the page says next must not name it once more.
    row.refresh_from_db()
    return row


def _is_kept(row: Home) -> bool:
    return row.erased_at is None


KEEP = Step(
    slug="keep",
    title="Keep its data longer",
    form=KeepForm,
    take=_keep,
    fits=_is_kept,
    done="is kept as was said.",
    caution="Only where a law or a case asks for it. Until then nobody erases them, "
    "neither the night nor a person.",
)
ERASE = Step(
    slug="erase",
    title="Erase its personal data",
    form=EraseForm,
    take=_erase,
    fits=_is_kept,
    done="is what is left of a home.",
    caution="This cannot be taken back. Names, addresses, answers and notes are gone; "
    "what was counted stays counted. Look first whether local law asks you to keep a "
    "register of who has which animal.",
    asks=Permission.ERASE_PERSONAL_DATA,
)


@admin.register(Home)
class HomeDesk(SteppedDesk[Home]):
    sees = Permission.SEE_HOMES
    adds = changes = Permission.MANAGE_PLACEMENTS
    adding = changing = HomeForm
    steps = (KEEP, ERASE)
    list_display = ("name", "kind", "contact", "erased_at")
    list_filter = ("kind",)

    def is_open(self, row: Home) -> bool:
        return _is_kept(row)

    def add(self, given: Given, *, by: User, at: datetime) -> Home:
        return keep_home(details=_details(given), by=by, at=at)

    def change(self, row: Home, given: Given, *, by: User, at: datetime) -> Home:
        return correct_home(home=row, details=_details(given), by=by, at=at)


@admin.register(PrivateAddress)
class PrivateAddressDesk(Desk[PrivateAddress]):
    """Given and withdrawn on the page of its application or placement."""

    sees = Permission.SEE_HOMES
    fields = (
        *("prefix", "application", "placement", "created_at", "created_by"),
        *("expires_at", "revoked_at", "last_used_at"),
    )
    list_display = ("prefix", "created_at", "expires_at", "revoked_at", "last_used_at")


class PolicyForm(RecordForm[PersonalDataPolicy]):
    class Meta:
        model = PersonalDataPolicy
        fields = ("months_after_decline", "months_after_last_placement", "reason")
        help_texts = {"reason": "Which law or decision it follows."}


@admin.register(PersonalDataPolicy)
class PersonalDataPolicyDesk(RecordDesk[PersonalDataPolicy]):
    sees = Permission.SEE_HOMES
    adds = Permission.SET_POLICIES
    adding = PolicyForm
    list_display = (
        *("made_at", "months_after_decline", "months_after_last_placement"),
        "made_by",
    )
    list_select_related = ("made_by",)

    def add(self, given: Given, *, by: User, at: datetime) -> PersonalDataPolicy:
        return set_retention(
            months_after_decline=given["months_after_decline"],
            months_after_last_placement=given["months_after_last_placement"],
            reason=given["reason"],
            by=by,
            at=at,
        )
