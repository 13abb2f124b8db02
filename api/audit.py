"""The audit trail: who did what to what."""

from collections.abc import Collection, Mapping, Sequence
from typing import Annotated, Any

from django.db.models import QuerySet
from msgspec import Meta

from api.filters import CharFilter, FilterSet, InstantFilter
from api.structs import Instant, Out
from api.views import Rows
from core.models import AuditEntry
from core.roles import Permission

# Entries about these are only for those who may see the records themselves.
GUARDED = {
    "placements.home": Permission.SEE_HOMES,
    "placements.application": Permission.SEE_HOMES,
    "placements.applicationcheck": Permission.SEE_HOMES,
    "placements.privateaddress": Permission.SEE_HOMES,
    "placements.arrival": Permission.SEE_HOMES,
    "placements.homeenclosure": Permission.SEE_HOMES,
    "placements.readinessreview": Permission.SEE_HOMES,
    "placements.homereport": Permission.SEE_HOMES,
    "placements.followup": Permission.SEE_HOMES,
    "placements.registerentry": Permission.SEE_REGISTER,
    "placements.placement": Permission.SEE_PLACEMENTS,
    "placements.gateopening": Permission.SEE_PLACEMENTS,
    "placements.packet": Permission.SEE_PLACEMENTS,
    "placements.packetjob": Permission.SEE_PLACEMENTS,
    "core.user": Permission.MANAGE_PEOPLE,
    "core.apitoken": Permission.MANAGE_PEOPLE,
    "core.webhook": Permission.SET_WEBHOOKS,
    "core.delivery": Permission.SET_WEBHOOKS,
}
# What entries about other records say of homes, by number, is for those only too.
OF_HOMES = frozenset({"home", "application", "home_enclosure"})


class AuditFilter(FilterSet):
    """Which entries."""

    subject = CharFilter(help_text="Kind of record, such as husbandry.animal.")
    subject_id = CharFilter(help_text="Number of the record.")
    verb = CharFilter(help_text="Name of the action.")
    by = CharFilter("by__username", help_text="Who, by the name to sign in.")
    from_at = InstantFilter("at", "gte", help_text="First instant.")
    until_at = InstantFilter("at", "lt", help_text="Up to which.")

    class Meta:
        model = AuditEntry
        fields = ["subject", "subject_id", "verb", "by", "from_at", "until_at"]


class AuditOut(Out, frozen=True):
    """One thing that was done."""

    about = AuditEntry
    id: int
    at: Instant
    by: Annotated[str | None, Meta(description="null: the program itself.")]
    verb: str
    subject: str
    subject_id: str
    before: Annotated[
        dict[str, Any],
        Meta(description="What of homes is in it, only for those who may see them."),
    ]
    after: Annotated[dict[str, Any], Meta(description="Likewise.")]
    reason: str


class Audit(Rows[AuditEntry]):
    """The newest first. Entries about records that you may not see are left out."""

    plural = "audit entries"
    permissions = {"list": Permission.SEE_AUDIT, "retrieve": Permission.SEE_AUDIT}
    filterset_class = AuditFilter
    # For whoever describes this list: `get_queryset` needs somebody who asks.
    queryset = AuditEntry.objects.none()
    out = AuditOut
    ordering = ("-at", "-id")
    searched = ("verb", "subject", "subject_id", "by__username", "reason")
    orderable = ("id", "at")

    def get_queryset(self) -> QuerySet[AuditEntry]:
        """Return the entries that this person may see."""
        hidden = [s for s, needed in GUARDED.items() if not self.person.may(needed)]
        return AuditEntry.objects.select_related("by").exclude(subject__in=hidden)

    def shown(self, rows: Sequence[AuditEntry]) -> list[AuditOut]:
        """Return entries with the name of who did it."""
        hidden = frozenset() if self.person.may(Permission.SEE_HOMES) else OF_HOMES
        return [
            AuditOut(
                id=row.pk,
                at=row.at,
                by=row.by.username if row.by else None,
                verb=row.verb,
                subject=row.subject,
                subject_id=row.subject_id,
                before=_without(row.before, hidden),
                after=_without(row.after, hidden),
                reason=row.reason,
            )
            for row in rows
        ]


def _without(values: Mapping[str, Any], hidden: Collection[str]) -> dict[str, Any]:
    return {name: value for name, value in values.items() if name not in hidden}
