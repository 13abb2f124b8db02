"""Findings: one thing that is wrong, with its evidence and the first step."""

from collections.abc import Iterable, Sequence
from datetime import date
from typing import Annotated, Any

from django.db.models import Prefetch, Q, QuerySet, prefetch_related_objects
from django.utils import timezone
from msgspec import Meta
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from api.filters import (
    BooleanFilter,
    CharFilter,
    DayFilter,
    FilterSet,
    WordFilter,
)
from api.finding_nights import FindingNightsOut, shown_nights
from api.inputs import read_body, sent
from api.structs import In, Instant, Out, Ref, ref
from api.views import Rows
from core.models import User
from core.roles import Permission
from core.units import MassUnit, TemperatureUnit
from husbandry.actions.findings import acknowledge_finding
from husbandry.models import Acknowledgement, Finding
from husbandry.rules.sentences.findings import (
    UNREADABLE,
    Words,
    describe,
    describe_unreadable,
)
from husbandry.rules.sentences.numbers import Units
from husbandry.rules.vocabulary import FindingKind, Urgency


class FindingFilter(FilterSet):
    """Which findings."""

    open = BooleanFilter(
        method="not_closed", help_text="true: not closed yet; false: closed."
    )
    night = DayFilter(
        method="open_after",
        help_text="Those that stood open in the morning after this local day.",
    )
    urgency = WordFilter(Urgency)
    kind = WordFilter(FindingKind)
    site = CharFilter("site__code", help_text="Code of the site.")
    animal = CharFilter("animal__code", help_text="Code of the animal.")
    enclosure = CharFilter("enclosure__code", help_text="Code of the enclosure.")
    probe = CharFilter("probe__code", help_text="Code of the probe.")
    opened_from = DayFilter(
        "opened_on", "gte", help_text="First seen in this night or later."
    )
    seen_from = DayFilter(
        "last_seen_on", "gte", help_text="Last seen in this night or later."
    )

    class Meta:
        model = Finding
        fields = [
            "open",
            "night",
            "urgency",
            "kind",
            "site",
            "animal",
            "enclosure",
            *("probe", "opened_from", "seen_from"),
        ]

    def not_closed(
        self,
        rows: QuerySet[Finding],
        name: str,
        value: bool,  # noqa: FBT001 - django-filter gives it by place
    ) -> QuerySet[Finding]:
        """Return those that are still so, or those that are not."""
        is_open = Q(closed_on__isnull=True, withdrawn_on__isnull=True)
        return rows.filter(is_open if value else ~is_open)

    def open_after(
        self, rows: QuerySet[Finding], name: str, value: date
    ) -> QuerySet[Finding]:
        """Return those that a person saw on the morning's page."""
        return rows.filter(
            Q(closed_on__isnull=True) | Q(closed_on__gt=value),
            withdrawn_on__isnull=True,
            opened_on__lte=value,
        )


class AcknowledgementIn(In, frozen=True):
    """That somebody has seen it."""

    note: Annotated[str, Meta(max_length=300)] = ""
    quiet_until: Annotated[
        date | None, Meta(description="Shown below the others until this day.")
    ] = None


class AcknowledgementOut(Out, frozen=True):
    """Who has seen a finding, and what they said of it."""

    about = Acknowledgement
    id: int
    by: Annotated[str, Meta(description="Who.")]
    at: Instant
    note: str
    quiet_until: date | None


class FindingOut(Out, frozen=True):
    """One thing that is wrong, over the nights it lasts."""

    about = Finding
    id: int
    kind: FindingKind
    urgency: Urgency
    open: bool
    site: Ref | None
    animal: Ref | None
    enclosure: Ref | None
    probe: Ref | None
    sentence: Annotated[
        str,
        Meta(
            description="Who and where, what was measured against what was wanted; in "
            "the units that the reader chose."
        ),
    ]
    first_step: Annotated[str, Meta(description="What to do first.")]
    why: Annotated[str, Meta(description="Why it matters, with the key of a source.")]
    basis: Annotated[
        str,
        Meta(description="On whose word the wanted value stands, and who disagrees."),
    ]
    opened_on: date
    last_seen_on: date
    closed_on: date | None
    withdrawn_on: date | None
    nights_seen: int
    evidence: Annotated[
        dict[str, Any],
        Meta(
            description="The numbers of the last night seen; units are in the names "
            "(`_g` grams, `_s` seconds, `_pct` percent), conditions by `quantity`."
        ),
    ]
    acknowledgements: tuple[AcknowledgementOut, ...]


class Findings(Rows[Finding]):
    """The most urgent first, then the last seen."""

    plural = "findings"
    permissions = {
        "list": Permission.SEE_FINDINGS,
        "retrieve": Permission.SEE_FINDINGS,
        "acknowledge": Permission.ACKNOWLEDGE_FINDINGS,
        "nights": Permission.SEE_FINDINGS,
    }
    filterset_class = FindingFilter
    takes = {"acknowledge": AcknowledgementIn}
    gives = {"nights": FindingNightsOut}
    optional_bodies = frozenset({"acknowledge"})
    out = FindingOut
    # The three words of urgency sort by the alphabet as they do by haste.
    ordering = ("urgency", "-last_seen_on", "id")
    searched = ("site__code", "animal__code", "enclosure__code", "probe__code")
    orderable = ("id", "urgency", "opened_on", "last_seen_on")

    def get_queryset(self) -> QuerySet[Finding]:
        """Return all findings."""
        return Finding.objects.all()

    def shown(self, rows: Sequence[Finding]) -> list[FindingOut]:
        """Return findings in words."""
        return shown_findings(rows, reader=self.person)

    @action(detail=True, methods=["post"])
    def acknowledge(self, request: Request, **kwargs: str) -> Response:
        """Note that you have seen a finding.

        It stays open until it is no longer so; only its place in the list changes.
        """
        finding = self.one()
        given = AcknowledgementIn()
        if request.data:
            given = read_body(sent(request), AcknowledgementIn)
        acknowledge_finding(
            finding=finding,
            by=self.person,
            at=timezone.now(),
            note=given.note,
            quiet_until=given.quiet_until,
        )
        return Response(self.shown([finding])[0])

    @action(detail=True)
    def nights(self, request: Request, **kwargs: str) -> Response:
        """Show what each night said of a finding, with the numbers it said it by.

        So it can be checked on paper, and what was wrong before stands beside it.
        """
        return Response(shown_nights(self.one(), reader=self.person))


def shown_findings(rows: Sequence[Finding], *, reader: User) -> list[FindingOut]:
    """Return findings in a reader's units; six queries, however many there are."""
    said = Acknowledgement.objects.select_related("by").order_by("-at", "-pk")
    prefetch_related_objects(
        list(rows),
        "site",
        "animal",
        "enclosure",
        "probe",
        Prefetch("acknowledgements", said),
    )
    units = Units(TemperatureUnit(reader.temperature_unit), MassUnit(reader.mass_unit))
    return [_shown(row, units) for row in rows]


def _words(row: Finding, units: Units) -> Words:
    """Put a finding into words; one that cannot be read must not hide the others."""
    kind = FindingKind(row.kind)
    try:
        return describe(kind, row.evidence, units=units)
    except UNREADABLE:
        who = str(row.animal or row.enclosure or row.probe or row.key)
        return describe_unreadable(kind, who=who)


def _shown(row: Finding, units: Units) -> FindingOut:
    words = _words(row, units)
    return FindingOut(
        id=row.pk,
        kind=FindingKind(row.kind),
        urgency=Urgency(row.urgency),
        open=row.closed_on is None and row.withdrawn_on is None,
        site=ref(row.site),
        animal=ref(row.animal),
        enclosure=ref(row.enclosure),
        probe=ref(row.probe),
        sentence=f"{words.who}: {words.what}",
        first_step=words.first_step,
        why=words.why,
        basis=words.basis,
        opened_on=row.opened_on,
        last_seen_on=row.last_seen_on,
        closed_on=row.closed_on,
        withdrawn_on=row.withdrawn_on,
        nights_seen=row.nights_seen,
        evidence=row.evidence,
        acknowledgements=_acknowledged(row.acknowledgements.all()),
    )


def _acknowledged(rows: Iterable[Acknowledgement]) -> tuple[AcknowledgementOut, ...]:
    return tuple(
        AcknowledgementOut(
            id=row.pk,
            by=str(row.by),
            at=row.at,
            note=row.note,
            quiet_until=row.quiet_until,
        )
        for row in rows
    )
