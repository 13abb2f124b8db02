"""What a site decided about the review: which findings, how urgent, which limits."""

from collections.abc import Iterator
from datetime import datetime
from decimal import Decimal, InvalidOperation

from django import forms
from django.contrib import admin

from core.admin import DayField, Given, RecordDesk, RecordForm
from core.models import User
from core.roles import Permission
from husbandry.actions.policies import set_policy
from husbandry.models import ReviewPolicy
from husbandry.rules.policies import LIMITS
from husbandry.rules.vocabulary import FindingKind, Urgency


def _limits_told() -> str:
    """Return which limits there are, for the help beside the field."""
    told = (
        f"{kind.value}: "
        + ", ".join(f"{name} ({limit.unit})" for name, limit in limits.items())
        for kind, limits in LIMITS.items()
    )
    return "One a line, such as loss_watch_pct: 4. There are: " + "; ".join(told) + "."


class LimitsField(forms.CharField):
    """Limits in place of the profile's, one a line: a name, a colon, a number."""

    widget = forms.Textarea(attrs={"rows": 4})

    def clean(self, value: str) -> dict[str, Decimal]:
        """Return the limits by name.

        Raises:
            ValidationError: a line is no name and number, or a name stands twice.
        """
        lines = [line.strip() for line in (super().clean(value) or "").splitlines()]
        pairs = list(_pairs(line for line in lines if line))
        if len(dict(pairs)) < len(pairs):
            raise forms.ValidationError("A limit stands twice; give each once.")
        return dict(pairs)


def _pairs(lines: Iterator[str]) -> Iterator[tuple[str, Decimal]]:
    for line in lines:
        name, _, number = line.partition(":")
        try:
            yield name.strip(), Decimal(number.strip())
        except InvalidOperation:
            raise forms.ValidationError(
                f"{line!r} is no limit: give a name, a colon and a number, such as "
                "loss_watch_pct: 4."
            ) from None


class PolicyForm(RecordForm[ReviewPolicy]):
    """A decision about one kind of finding; it replaces the one before it."""

    from_on = DayField(
        label="From", help_text="First local day that is judged by it; today or later."
    )
    own_limits = LimitsField(
        label="Limits", required=False, help_text=_limits_told(), strip=False
    )

    class Meta:
        model = ReviewPolicy
        fields = ("site", "kind", "from_on", "switched_on", "urgency", "reason")
        help_texts = {
            "switched_on": "Off: it is not reported any more, and open ones close.",
            "urgency": "How urgent it is. Empty: as the review finds it. What can be an "
            "emergency, such as a sign or a dose, is never made less urgent.",
            "reason": "Why; whoever misses a finding later reads it here.",
        }


@admin.register(ReviewPolicy)
class ReviewPolicyDesk(RecordDesk[ReviewPolicy]):
    sees = Permission.SEE_FINDINGS
    adds = Permission.SET_POLICIES
    adding = PolicyForm
    list_display = (
        *("site", "kind", "from_on", "switched_on", "urgency", "limits"),
        *("made_by", "made_at"),
    )
    list_select_related = ("site", "made_by")
    list_filter = ("site", "kind", "switched_on")
    search_fields = ("kind", "reason")

    def add(self, given: Given, *, by: User, at: datetime) -> ReviewPolicy:
        return set_policy(
            site=given["site"],
            kind=FindingKind(given["kind"]),
            from_on=given["from_on"],
            switched_on=given["switched_on"],
            urgency=Urgency(given["urgency"]) if given["urgency"] else None,
            limits=given["own_limits"],
            reason=given["reason"],
            by=by,
            at=at,
        )
