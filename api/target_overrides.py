"""Targets agreed for one animal instead of its profile's."""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from http import HTTPStatus
from typing import Annotated

from django.db.models import QuerySet
from django.utils import timezone
from msgspec import Meta
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from api.animal_codes import LABEL, animal_named
from api.care_structs import ReasonIn, Small, Text
from api.filters import BooleanFilter, CharFilter, DayFilter, FilterSet, WordFilter
from api.inputs import exact, read_body, sent
from api.structs import In, Instant, Out, Ref, ref
from api.views import Rows
from core.roles import Permission
from husbandry.actions.overrides import override_target, withdraw_override
from husbandry.models import TargetOverride
from husbandry.rules.vocabulary import Period, Quantity, Zone

# What the column holds; what can be measured is less, and the rules say how much.
Number = Annotated[float, Meta(ge=-99_999, le=99_999)]
LIMIT = Annotated[Number | None, Meta(description="°C, % or UV index; null: open.")]
HARD = Annotated[
    Number | None,
    Meta(description="Beyond it somebody must act at once; null: as in the profile."),
]


class TargetOverrideFilter(FilterSet):
    """Which agreements."""

    animal = CharFilter("animal__code", help_text="Code of the animal.")
    quantity = WordFilter(Quantity)
    zone = WordFilter(Zone)
    period = WordFilter(Period)
    on = DayFilter(method="on_day", help_text="Those whose days hold this one.")
    in_force = BooleanFilter("withdrawn_at", "isnull", help_text="true: not withdrawn.")

    class Meta:
        model = TargetOverride
        fields = ["animal", "quantity", "zone", "period", "on", "in_force"]

    def on_day(
        self, rows: QuerySet[TargetOverride], name: str, value: date
    ) -> QuerySet[TargetOverride]:
        """Return those that were agreed for a day."""
        return rows.filter(from_on__lte=value, until_on__gte=value)


class TargetOverrideIn(In, frozen=True, kw_only=True):
    """What is wanted for one animal on some days; one end at least is given."""

    animal: LABEL
    quantity: Quantity
    zone: Annotated[Zone, Meta(description="At which spot; not among eggs.")]
    period: Period
    low: LIMIT = None
    high: LIMIT = None
    hard_low: HARD = None
    hard_high: HARD = None
    tolerated_minutes: Annotated[
        Small, Meta(description="How long outside in one period is put up with.")
    ] = 60
    from_on: Annotated[date, Meta(description="First local day, today or later.")]
    until_on: Annotated[date, Meta(description="Last local day, 366 days in all.")]
    reason: Annotated[Text, Meta(min_length=1, description="Why, on whose word.")]


class TargetOverrideOut(Out, frozen=True):
    """One agreement; it always ends."""

    about = TargetOverride
    id: int
    animal: Ref | None
    quantity: Quantity
    zone: Zone
    period: Period
    low: Annotated[Decimal | None, Meta(description="°C, % or UV index; null: open.")]
    high: Annotated[Decimal | None, Meta(description="°C, % or UV index; null: open.")]
    hard_low: Annotated[
        Decimal | None, Meta(description="Act at once below; null: as in the profile.")
    ]
    hard_high: Annotated[
        Decimal | None, Meta(description="Act at once above; null: as in the profile.")
    ]
    tolerated_minutes: int
    from_on: date
    until_on: date
    reason: str
    made_by: str | None
    made_at: Instant
    withdrawn_at: Instant | None


class TargetOverrides(Rows[TargetOverride]):
    """The newest made first, withdrawn ones too."""

    plural = "target overrides"
    permissions = {
        "list": Permission.SEE_ANIMALS,
        "retrieve": Permission.SEE_ANIMALS,
        "create": Permission.OVERRIDE_TARGETS,
        "withdraw": Permission.OVERRIDE_TARGETS,
    }
    filterset_class = TargetOverrideFilter
    takes = {"create": TargetOverrideIn, "withdraw": ReasonIn}
    gives = {"create": {HTTPStatus.CREATED: TargetOverrideOut}}
    out = TargetOverrideOut
    ordering = ("-made_at", "-id")
    searched = ("animal__code", "reason")
    orderable = ("id", "made_at", "from_on")

    def get_queryset(self) -> QuerySet[TargetOverride]:
        """Return all agreements."""
        return TargetOverride.objects.select_related("animal", "made_by")

    def shown(self, rows: Sequence[TargetOverride]) -> list[TargetOverrideOut]:
        """Return agreements with the codes of their animals."""
        return [_shown(row) for row in rows]

    def create(self, request: Request) -> Response:
        """Agree on a target for one animal, instead of its profile's.

        What the profile wanted stands in the audit trail beside it. Another agreement
        for the same spot on some of the days is refused with 409, and so are limits
        that cannot be measured. What heat, humidity and light an ill animal needs, a
        licensed reptile vet says.
        """
        given = read_body(sent(request), TargetOverrideIn)
        row = override_target(
            animal=animal_named(given.animal),
            quantity=given.quantity,
            zone=given.zone,
            period=given.period,
            low=_exact(given.low),
            high=_exact(given.high),
            hard_low=_exact(given.hard_low),
            hard_high=_exact(given.hard_high),
            tolerated_minutes=given.tolerated_minutes,
            from_on=given.from_on,
            until_on=given.until_on,
            reason=given.reason,
            by=self.person,
            at=timezone.now(),
        )
        return Response(self.shown([row])[0], status=HTTPStatus.CREATED)

    @action(detail=True, methods=["post"])
    def withdraw(self, request: Request, **kwargs: str) -> Response:
        """Take an agreement back; tonight is judged by the profile again."""
        row, given = self.one(), read_body(sent(request), ReasonIn)
        withdraw_override(
            override=row, reason=given.reason, by=self.person, at=timezone.now()
        )
        return Response(self.shown([self.one()])[0])


def _exact(limit: float | None) -> Decimal | None:
    return None if limit is None else exact(limit)


def _shown(row: TargetOverride) -> TargetOverrideOut:
    return TargetOverrideOut(
        id=row.pk,
        animal=ref(row.animal),
        quantity=Quantity(row.quantity),
        zone=Zone(row.zone),
        period=Period(row.period),
        low=row.low,
        high=row.high,
        hard_low=row.hard_low,
        hard_high=row.hard_high,
        tolerated_minutes=row.tolerated_minutes,
        from_on=row.from_on,
        until_on=row.until_on,
        reason=row.reason,
        made_by=str(row.made_by) if row.made_by else None,
        made_at=row.made_at,
        withdrawn_at=row.withdrawn_at,
    )
