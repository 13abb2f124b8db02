"""The desks of the care book: entered by one action, struck out with a reason."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any, Generic, TypeVar

from django import forms
from django.contrib import messages
from django.http import HttpRequest
from django.utils import timezone

from core.admin import Given, LocalTimeField, RecordDesk, RecordForm, person
from core.models import User
from core.roles import Permission
from husbandry.actions.care_records import CareResult, strike_out
from husbandry.models.records import CareRecord
from husbandry.queries.care_choices import Choice, care_choices
from husbandry.queries.open_signs import open_signs
from husbandry.rules.care_entries import CareEntryError
from husbandry.rules.vocabulary import RowOutcome

C = TypeVar("C", bound=CareRecord)
NOTHING: Choice = ("", "—")


def when_field() -> LocalTimeField:
    """Return the field that asks when something was done or seen."""
    return LocalTimeField(
        required=False,
        help_text="Empty: now. Otherwise day and time by the clock of the site.",
    )


def feeders() -> list[Choice]:
    """Return the feeders to choose from today."""
    return [NOTHING, *care_choices(on=timezone.localdate()).feeders]


def supplements() -> list[Choice]:
    """Return the supplements to choose from today."""
    return list(care_choices(on=timezone.localdate()).supplements)


def signs() -> list[Choice]:
    """Return the warning signs to choose from today, and those that are not gone.

    One that the profiles name no more must still be there to be told as gone.
    """
    known = care_choices(on=timezone.localdate()).signs
    names = {sign for sign, _ in known}
    return [NOTHING, *known, *((s, s) for s in open_signs() if s not in names)]


class StrikeOutForm(RecordForm[C], Generic[C]):
    """Strike out a wrong entry; it stays legible and counts no more."""

    strike_out_because = forms.CharField(
        label="Strike it out, because",
        max_length=200,
        help_text="What was wrong. Then record the right one as a new entry.",
    )


class CareDesk(RecordDesk[C], Generic[C]):
    """A desk of entries that are struck out, not erased."""

    sees = Permission.SEE_ANIMALS
    adds = changes = Permission.RECORD_CARE
    ordering = ("-at", "-pk")
    date_hierarchy = "at"

    def is_open(self, row: C) -> bool:
        return row.struck_at is None

    def change(self, row: C, given: Given, *, by: User, at: datetime) -> C:
        strike_out(record=row, reason=given["strike_out_because"], by=by, at=at)
        return row


class BookDesk(CareDesk[C], Generic[C]):
    """A desk of entries that are recorded in lists; here it is a list of one."""

    def enter(self, given: Given, *, by: User, at: datetime) -> Sequence[CareResult]:
        """Record a list of one line by one action."""
        raise NotImplementedError

    def keep(self, request: HttpRequest, row: C, form: Any) -> C:
        if row.pk:
            return super().keep(request, row, form)
        given, by = form.cleaned_data, person(request)
        (result,) = self.enter(given, by=by, at=timezone.now())
        if result.outcome is RowOutcome.REFUSED:
            raise CareEntryError(result.sentence)
        if result.outcome is RowOutcome.KNOWN and result.remarks:
            # It stays struck out: nothing was added that could be shown.
            raise CareEntryError(" ".join(result.remarks))
        for remark in result.remarks:
            self.message_user(request, remark, messages.WARNING)
        return self.get_queryset(request).get(pk=result.record)
