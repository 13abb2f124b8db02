"""The audit trail: who did what to what."""

from collections.abc import Sequence
from typing import Annotated, Any

from django.db.models import QuerySet
from msgspec import Meta

from api.structs import Instant, Out, Paged
from api.views import Rows
from core.models import AuditEntry
from core.roles import Permission

# Entries about these are only for those who may see the records themselves.
GUARDED = {
    "placements.home": Permission.SEE_HOMES,
    "placements.placement": Permission.SEE_PLACEMENTS,
    "placements.packet": Permission.SEE_PLACEMENTS,
    "core.user": Permission.MANAGE_PEOPLE,
    "core.apitoken": Permission.MANAGE_PEOPLE,
}


class AuditAsked(Paged, frozen=True):
    """Which entries."""

    lookups = {"from_at": "at__gte", "until_at": "at__lt", "by": "by__username"}
    subject: Annotated[
        str | None, Meta(description="Kind of record, such as husbandry.animal.")
    ] = None
    subject_id: str | None = None
    verb: Annotated[str | None, Meta(description="Name of the action.")] = None
    by: Annotated[str | None, Meta(description="Who, by the name to sign in.")] = None
    from_at: Annotated[Instant | None, Meta(description="First instant.")] = None
    until_at: Annotated[Instant | None, Meta(description="Up to which.")] = None


class AuditOut(Out, frozen=True):
    """One thing that was done."""

    about = AuditEntry
    id: int
    at: Instant
    by: Annotated[str | None, Meta(description="null: the program itself.")]
    verb: str
    subject: str
    subject_id: str
    before: dict[str, Any]
    after: dict[str, Any]
    reason: str


class Audit(Rows[AuditEntry]):
    """The newest first. Entries about records that you may not see are left out."""

    plural = "audit entries"
    permissions = {"list": Permission.SEE_AUDIT, "retrieve": Permission.SEE_AUDIT}
    asks = {"list": AuditAsked}
    out = AuditOut
    ordering = ("-at", "-id")

    def rows(self) -> QuerySet[AuditEntry]:
        """Return the entries that this person may see."""
        hidden = [s for s, needed in GUARDED.items() if not self.person.may(needed)]
        return AuditEntry.objects.select_related("by").exclude(subject__in=hidden)

    def shown(self, rows: Sequence[AuditEntry]) -> list[AuditOut]:
        """Return entries with the name of who did it."""
        return [
            AuditOut(
                id=row.pk,
                at=row.at,
                by=row.by.username if row.by else None,
                verb=row.verb,
                subject=row.subject,
                subject_id=row.subject_id,
                before=row.before,
                after=row.after,
                reason=row.reason,
            )
            for row in rows
        ]
