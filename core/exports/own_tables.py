"""What core itself exports, and what it never does."""

from collections.abc import Mapping

from django.db.models import Model, Q, QuerySet

from core.exports.tables import FEW, Table
from core.models import (
    ApiToken,
    Attempt,
    AuditEntry,
    CalendarAddress,
    Delivery,
    KeptAnswer,
    Notice,
    Organisation,
    Room,
    Site,
    User,
    Webhook,
)
from core.roles import Permission

ORGANISATION = Table(
    name="organisation",
    rows=Organisation,
    columns=("name", "contact"),
    needs=Permission.SEE_ANIMALS,
    left_out={"id": "There is one row, always number 1."},
)
SITES = Table(
    name="sites",
    rows=Site,
    columns=("id", "code", "name", "time_zone", "latitude_deg", "longitude_deg"),
    needs=Permission.SEE_ANIMALS,
)
ROOMS = Table(
    name="rooms",
    rows=Room,
    columns=(
        *("id", "site_id", "site__code", "code", "name", "position"),
        "quarantine",
    ),
    needs=Permission.SEE_ANIMALS,
)
PEOPLE = Table(
    name="people",
    rows=User,
    columns=(
        *("id", "username", "first_name", "last_name", "email", "role"),
        *("is_active", "date_joined", "temperature_unit", "mass_unit"),
    ),
    needs=Permission.MANAGE_PEOPLE,
    left_out={
        "password": "Secrets are not exported, nor are their digests.",
        "last_login": "It is about the person, not about the work.",
        "is_staff": "The role says what a person may.",
        "is_superuser": "The role says what a person may.",
    },
)
AUDIT = Table(
    name="audit_entries",
    rows=AuditEntry,
    columns=(
        *("id", "at", "by__username", "verb", "subject", "subject_id"),
        *("before", "after", "reason"),
    ),
    needs=Permission.SEE_AUDIT,
    chunk_rows=10 * FEW,
)
TABLES = (ORGANISATION, SITES, ROOMS, PEOPLE, AUDIT)
NOT_EXPORTED: Mapping[type[Model], str] = {
    ApiToken: "A key: whoever leaves makes new ones.",
    CalendarAddress: "A key: whoever leaves makes new ones.",
    KeptAnswer: "An answer kept for a day, of what stands in other tables.",
    Webhook: "Where messages go; whoever leaves sets new ones, with new secrets.",
    Notice: "A message, kept for ninety days, of what stands in other tables.",
    Delivery: "A message on its way, kept for ninety days.",
    Attempt: "A try to send a message, kept for ninety days.",
}


def audit_entries(*, keys: Mapping[str, QuerySet[Model, str]]) -> QuerySet[AuditEntry]:
    """Return the entries about some records.

    Args:
        keys: of those records, as text, by their kind as `app.model`; of no kind:
            no entries.
    """
    wanted = Q(pk__in=())
    for subject, some in keys.items():
        wanted |= Q(subject=subject, subject_id__in=some)
    return AuditEntry.objects.filter(wanted)
