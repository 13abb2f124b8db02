"""Readings under codes that no probe has: whose they are is said here."""

from datetime import datetime

from django import forms
from django.contrib import admin
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString

from core.admin import Desk, Given, Step, SteppedDesk
from core.models import User
from core.roles import Permission
from husbandry.actions.claimed_readings import claim_readings, discard_readings
from husbandry.models import Probe, UnclaimedBatch, UnclaimedReadings
from husbandry.rules.vocabulary import UnclaimedState


class ClaimForm(forms.Form):
    """Whose they are."""

    probe = forms.ModelChoiceField(
        Probe.objects.select_related("enclosure"),
        help_text="The probe that measured them. If it is not on record yet, add it "
        "first, in use since the day of the first reading.",
    )


class DiscardForm(forms.Form):
    """Why they are nobody's."""

    because = forms.CharField(
        label="Discard them, because",
        max_length=200,
        help_text="Such as: a probe on a bench, that never hung in an enclosure.",
    )


def _claim(row: UnclaimedReadings, given: Given, *, by: User, at: datetime) -> object:
    return claim_readings(unclaimed=row, probe=given["probe"], by=by, at=at)


def _discard(row: UnclaimedReadings, given: Given, *, by: User, at: datetime) -> object:
    return discard_readings(unclaimed=row, reason=given["because"], by=by, at=at)


def _waits(row: UnclaimedReadings) -> bool:
    return row.state == UnclaimedState.WAITING


CLAIM = Step(
    slug="claim",
    title="Say whose they are",
    form=ClaimForm,
    take=_claim,
    fits=_waits,
    done="has found its probe.",
    caution="They are stored as if that probe had sent them, and nights that they "
    "concern are reviewed again. What it cannot have measured goes on waiting. Mend "
    "the code at the sender too, or more will come.",
)
DISCARD = Step(
    slug="discard",
    title="Discard them",
    form=DiscardForm,
    take=_discard,
    fits=_waits,
    done="is discarded.",
    caution="They are deleted, and nobody can look at them again.",
)


@admin.register(UnclaimedReadings)
class UnclaimedReadingsDesk(SteppedDesk[UnclaimedReadings]):
    sees = Permission.SEE_CONDITIONS
    changes = Permission.EDIT_PLACES
    steps = (CLAIM, DISCARD)
    list_display = (
        *("code", "state", "readings", "first_at", "last_at"),
        *("last_arrived_at", "sent_by", "sent_with", "probe"),
    )
    list_select_related = ("sent_by", "probe")
    list_filter = ("state",)
    search_fields = ("code", "sent_with")

    def is_open(self, row: UnclaimedReadings) -> bool:
        return False

    def told(self) -> list[str]:
        return [*(name for name in super().told() if name != "report"), "outcome"]

    @admin.display(description="What became of them")
    def outcome(self, row: UnclaimedReadings) -> SafeString:
        counts = [
            f"{number:,} {name.replace('_', ' ')}"
            for name, number in row.report.items()
            if name != "refusals" and number
        ]
        lines = [*counts, *row.report.get("refusals", ())]
        listed = format_html_join("", "<li>{}</li>", ((line,) for line in lines))
        return format_html("<ul>{}</ul>", listed)


@admin.register(UnclaimedBatch)
class UnclaimedBatchDesk(Desk[UnclaimedBatch]):
    sees = Permission.SEE_CONDITIONS
    exclude = ("packed",)
    list_display = ("unclaimed", "arrived_at", "readings", "digest")
    list_select_related = ("unclaimed",)
    search_fields = ("unclaimed__code",)
