"""Review policies: which findings a site wants, how urgent, from which limits on."""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from http import HTTPStatus
from typing import Annotated
from zoneinfo import ZoneInfo

from django.db.models import QuerySet
from django.utils import timezone
from msgspec import Meta
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from api.care_structs import Text
from api.filters import CharFilter, DayFilter, FilterSet, WordFilter
from api.inputs import exact, read_body, sent
from api.named import site_named
from api.structs import In, Instant, Out, Ref, ref
from api.views import Rows
from core.roles import Permission
from husbandry.actions.policies import set_policy
from husbandry.models import ReviewPolicy
from husbandry.queries.policies import policies_held
from husbandry.rules.policies import ALWAYS_ON, LIMITS
from husbandry.rules.vocabulary import FindingKind, Urgency

MOST_LIMITS = 20


class ReviewPolicyFilter(FilterSet):
    """Which decisions."""

    site = CharFilter("site__code", help_text="Code of the site.")
    kind = WordFilter(FindingKind)
    on = DayFilter(
        method="held_on", help_text="Those by which this local day is judged."
    )

    class Meta:
        model = ReviewPolicy
        fields = ["site", "kind", "on"]

    def held_on(
        self, rows: QuerySet[ReviewPolicy], name: str, value: date
    ) -> QuerySet[ReviewPolicy]:
        """Return the one of each site and kind that holds for a day."""
        return rows.filter(policies_held(on=value))


class LimitOut(Out, frozen=True):
    """A limit that a site can set in place of the profile's."""

    name: str
    unit: str
    low: Decimal
    high: Decimal
    whole: Annotated[bool, Meta(description="true: whole numbers only.")]


class KindLimitsOut(Out, frozen=True):
    """What a site can decide about one kind of finding."""

    kind: FindingKind
    can_be_switched_off: bool
    limits: tuple[LimitOut, ...]


class ReviewPolicyIn(In, frozen=True, kw_only=True):
    """What a site decides; it replaces the decision before it as a whole."""

    site: Annotated[str, Meta(description="Code of the site.")]
    kind: FindingKind
    from_on: Annotated[
        date | None,
        Meta(description="First local day judged by it; today unless given."),
    ] = None
    switched_on: Annotated[
        bool, Meta(description="false: it is not reported; open ones close.")
    ] = True
    urgency: Annotated[
        Urgency | None,
        Meta(
            description="null: as the review finds it. What can be an emergency is "
            "never made less urgent."
        ),
    ] = None
    limits: Annotated[
        dict[str, float],
        Meta(
            max_length=MOST_LIMITS,
            description="By name, in place of the profile's; see `known_limits`.",
        ),
    ] = {}
    reason: Annotated[Text, Meta(min_length=1, description="Why.")]


class ReviewPolicyOut(Out, frozen=True):
    """What a site decided about one kind of finding; it is never altered."""

    about = ReviewPolicy
    id: int
    site: Ref | None
    kind: FindingKind
    from_on: date
    switched_on: bool
    urgency: Urgency | None
    limits: dict[str, Decimal]
    known_limits: Annotated[
        tuple[LimitOut, ...], Meta(description="Which limits this kind has.")
    ]
    reason: str
    made_by: str | None
    made_at: Instant


class ReviewPolicies(Rows[ReviewPolicy]):
    """The newest first; `on` leaves those that hold."""

    plural = "review policies"
    permissions = {
        "list": Permission.SEE_FINDINGS,
        "retrieve": Permission.SEE_FINDINGS,
        "limits": Permission.SEE_FINDINGS,
        "create": Permission.SET_POLICIES,
    }
    filterset_class = ReviewPolicyFilter
    takes = {"create": ReviewPolicyIn}
    gives = {
        "create": {HTTPStatus.CREATED: ReviewPolicyOut},
        "limits": list[KindLimitsOut],
    }
    out = ReviewPolicyOut
    ordering = ("-made_at", "-id")
    searched = ("site__code", "reason")
    orderable = ("id", "from_on", "made_at")

    def get_queryset(self) -> QuerySet[ReviewPolicy]:
        """Return all decisions."""
        return ReviewPolicy.objects.select_related("site", "made_by")

    def shown(self, rows: Sequence[ReviewPolicy]) -> list[ReviewPolicyOut]:
        """Return decisions with the limits that there are."""
        return [_shown(row) for row in rows]

    def create(self, request: Request) -> Response:
        """Decide for a site about one kind of finding, from a local day on.

        Nights that ended before stay judged as they were. To go back to the profile's
        own limits, decide again without any.
        """
        given, now = read_body(sent(request), ReviewPolicyIn), timezone.now()
        site = site_named(given.site)
        row = set_policy(
            site=site,
            kind=given.kind,
            from_on=given.from_on or now.astimezone(ZoneInfo(site.time_zone)).date(),
            switched_on=given.switched_on,
            urgency=given.urgency,
            limits={name: exact(value) for name, value in given.limits.items()},
            reason=given.reason,
            by=self.person,
            at=now,
        )
        return Response(self.shown([row])[0], status=HTTPStatus.CREATED)

    @action(detail=False)
    def limits(self, request: Request) -> Response:
        """Show what can be decided about each kind of finding."""
        return Response(
            [
                KindLimitsOut(
                    kind=kind,
                    can_be_switched_off=kind not in ALWAYS_ON,
                    limits=_limits(kind),
                )
                for kind in FindingKind
            ]
        )


def _limits(kind: FindingKind) -> tuple[LimitOut, ...]:
    return tuple(
        LimitOut(name=name, unit=one.unit, low=one.low, high=one.high, whole=one.whole)
        for name, one in LIMITS.get(kind, {}).items()
    )


def _shown(row: ReviewPolicy) -> ReviewPolicyOut:
    kind = FindingKind(row.kind)
    return ReviewPolicyOut(
        id=row.pk,
        site=ref(row.site),
        kind=kind,
        from_on=row.from_on,
        switched_on=row.switched_on,
        urgency=Urgency(row.urgency) if row.urgency else None,
        limits={name: Decimal(text) for name, text in row.limits.items()},
        known_limits=_limits(kind),
        reason=row.reason,
        made_by=str(row.made_by) if row.made_by else None,
        made_at=row.made_at,
    )
