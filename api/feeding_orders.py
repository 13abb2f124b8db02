"""Feeding orders: what was agreed about one animal's food instead of its profile's."""

from collections.abc import Sequence
from datetime import date
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
from api.inputs import read_body, sent
from api.structs import In, Instant, Out, Ref, ref
from api.views import Rows
from core.roles import Permission
from husbandry.actions.feeding_orders import order_feeding, withdraw_feeding_order
from husbandry.models import FeedingOrder
from husbandry.rules.vocabulary import FeedingOrderKind


class FeedingOrderFilter(FilterSet):
    """Which orders about food."""

    animal = CharFilter("animal__code", help_text="Code of the animal.")
    kind = WordFilter(FeedingOrderKind)
    on = DayFilter(method="on_day", help_text="Those whose days hold this one.")
    in_force = BooleanFilter("withdrawn_at", "isnull", help_text="true: not withdrawn.")

    class Meta:
        model = FeedingOrder
        fields = ["animal", "kind", "on", "in_force"]

    def on_day(
        self, rows: QuerySet[FeedingOrder], name: str, value: date
    ) -> QuerySet[FeedingOrder]:
        """Return those that were ordered for a day."""
        return rows.filter(from_on__lte=value, until_on__gte=value)


class FeedingOrderIn(In, frozen=True, kw_only=True):
    """How one animal is fed on some days; a fast has no amounts."""

    animal: LABEL
    kind: FeedingOrderKind
    from_on: Annotated[date, Meta(description="First local day, today or later.")]
    until_on: Annotated[date, Meta(description="Last local day, 366 days in all.")]
    every_days: Annotated[
        Small | None, Meta(description="Days from feeding to feeding, 1 to 366.")
    ] = None
    portion: Annotated[
        Small | None, Meta(description="How much at each feeding, 1 to 1000.")
    ] = None
    unit: Annotated[
        str, Meta(max_length=40, description="Of the portion: insects, mL.")
    ] = ""
    reason: Annotated[Text, Meta(min_length=1, description="Why, on whose word.")]


class FeedingOrderOut(Out, frozen=True):
    """One order; it always ends."""

    about = FeedingOrder
    id: int
    animal: Ref | None
    kind: FeedingOrderKind
    from_on: date
    until_on: date
    every_days: int | None
    portion: int | None
    unit: str
    reason: str
    made_by: str | None
    made_at: Instant
    withdrawn_at: Instant | None


class FeedingOrders(Rows[FeedingOrder]):
    """The newest made first, withdrawn ones too."""

    plural = "feeding orders"
    permissions = {
        "list": Permission.SEE_ANIMALS,
        "retrieve": Permission.SEE_ANIMALS,
        "create": Permission.OVERRIDE_TARGETS,
        "withdraw": Permission.OVERRIDE_TARGETS,
    }
    filterset_class = FeedingOrderFilter
    takes = {"create": FeedingOrderIn, "withdraw": ReasonIn}
    gives = {"create": {HTTPStatus.CREATED: FeedingOrderOut}}
    out = FeedingOrderOut
    ordering = ("-made_at", "-id")
    searched = ("animal__code", "reason")
    orderable = ("id", "from_on", "until_on", "made_at")

    def get_queryset(self) -> QuerySet[FeedingOrder]:
        """Return all orders."""
        return FeedingOrder.objects.select_related("animal", "made_by")

    def shown(self, rows: Sequence[FeedingOrder]) -> list[FeedingOrderOut]:
        """Return orders with the codes of their animals."""
        return [_shown(row) for row in rows]

    def create(self, request: Request) -> Response:
        """Agree on how one animal is fed on some days, instead of by its profile.

        A fast offers nothing, assist feeds by hand as a vet advised, rhythm is another
        portion or interval. Another order on some of the days is refused with 409.
        """
        given = read_body(sent(request), FeedingOrderIn)
        row = order_feeding(
            animal=animal_named(given.animal),
            kind=given.kind,
            from_on=given.from_on,
            until_on=given.until_on,
            every_days=given.every_days,
            portion=given.portion,
            unit=given.unit,
            reason=given.reason,
            by=self.person,
            at=timezone.now(),
        )
        return Response(self.shown([row])[0], status=HTTPStatus.CREATED)

    @action(detail=True, methods=["post"])
    def withdraw(self, request: Request, **kwargs: str) -> Response:
        """Take an order back; from today on its profile holds again."""
        row = self.one()
        given = read_body(sent(request), ReasonIn)
        withdraw_feeding_order(
            order=row, reason=given.reason, by=self.person, at=timezone.now()
        )
        return Response(self.shown([self.one()])[0])


def _shown(row: FeedingOrder) -> FeedingOrderOut:
    return FeedingOrderOut(
        id=row.pk,
        animal=ref(row.animal),
        kind=FeedingOrderKind(row.kind),
        from_on=row.from_on,
        until_on=row.until_on,
        every_days=row.every_days,
        portion=row.portion,
        unit=row.unit,
        reason=row.reason,
        made_by=str(row.made_by) if row.made_by else None,
        made_at=row.made_at,
        withdrawn_at=row.withdrawn_at,
    )
