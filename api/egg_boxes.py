"""Egg boxes: what they were made up with, where they stand, when they are retired."""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from http import HTTPStatus
from typing import Annotated

from django.db.models import Prefetch, Q, QuerySet
from django.utils import timezone
from msgspec import Meta
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from api.egg_grids import EggGridOut, shown_grid
from api.errors import RefusedError
from api.filters import BooleanFilter, CharFilter, FilterSet
from api.inputs import exact, read_body, sent
from api.structs import In, Instant, Out, Ref, ref
from api.views import Rows
from clutches.actions.boxes import make_box, move_box, retire_box
from clutches.models import BoxStay, EggBox
from clutches.queries.boxes import day_at, with_counts
from clutches.rules.boxes.water import mass_ratio
from clutches.rules.vocabulary import Substrate
from core.roles import Permission
from husbandry.models import Enclosure

Lines = Annotated[int, Meta(ge=1, le=26, description="1 to 26.")]
REASON = Annotated[str, Meta(max_length=200, description="Why.")]
INCUBATOR = Annotated[
    str | None, Meta(description="Code of the incubator; null: it stands in none.")
]


class EggBoxFilter(FilterSet):
    """Which boxes."""

    code = CharFilter("code", help_text="Code of the box.")
    incubator = CharFilter(
        method="by_incubator", help_text="Code of the incubator in which it stands."
    )
    in_use = BooleanFilter("retired_on", "isnull", help_text="true: not retired.")

    class Meta:
        model = EggBox
        fields = ["code", "incubator", "in_use"]

    def by_incubator(
        self, rows: QuerySet[EggBox], name: str, value: str
    ) -> QuerySet[EggBox]:
        """Return the boxes that stand in an incubator now."""
        here = Q(stays__incubator__code=value, stays__until_at__isnull=True)
        return rows.filter(here)


class EggBoxIn(In, frozen=True, kw_only=True):
    """A box that was made up."""

    code: Annotated[str, Meta(max_length=20, description="As on its label; no slash.")]
    rows: Lines
    columns: Lines
    substrate: Substrate
    substrate_g: Annotated[
        float | None, Meta(description="Dry mass, grams; null: not weighed.")
    ] = None
    water_g: Annotated[
        float | None, Meta(description="Water added, grams; null: not weighed.")
    ] = None
    made_on: Annotated[date | None, Meta(description="Today unless given.")] = None
    note: Annotated[str, Meta(max_length=300)] = ""
    incubator: INCUBATOR = None
    at: Annotated[
        Instant | None,
        Meta(description="Since when it stands there; now unless given."),
    ] = None


class BoxMoveIn(In, frozen=True, kw_only=True):
    """Where a box went."""

    incubator: INCUBATOR
    at: Annotated[Instant | None, Meta(description="When; now unless given.")] = None
    reason: REASON = ""


class BoxRetirementIn(In, frozen=True):
    """That a box was emptied for good."""

    on: Annotated[date | None, Meta(description="Local day; today unless given.")] = (
        None
    )
    reason: REASON = ""


class EggBoxOut(Out, frozen=True):
    """One egg box."""

    about = EggBox
    id: int
    code: str
    rows: int
    columns: int
    substrate: Substrate
    substrate_g: Decimal | None
    water_g: Decimal | None
    mass_ratio: Annotated[
        Decimal | None,
        Meta(
            description="Water by dry substrate, by mass, as it was made up. It is no "
            "water potential; null: not weighed."
        ),
    ]
    made_on: date
    retired_on: date | None
    note: str
    incubator: Annotated[Ref | None, Meta(description="null: it stands in none.")]
    since_at: Annotated[Instant | None, Meta(description="Since when it stands there.")]
    eggs: Annotated[int, Meta(description="How many lie in it.")]


class EggBoxes(Rows[EggBox]):
    """By code, retired ones too."""

    plural = "egg boxes"
    permissions = {
        "list": Permission.SEE_ANIMALS,
        "retrieve": Permission.SEE_ANIMALS,
        "create": Permission.RECORD_BREEDING,
        "move": Permission.RECORD_BREEDING,
        "retire": Permission.RECORD_BREEDING,
        "grid": Permission.SEE_ANIMALS,
    }
    filterset_class = EggBoxFilter
    takes = {"create": EggBoxIn, "move": BoxMoveIn, "retire": BoxRetirementIn}
    gives = {"create": {HTTPStatus.CREATED: EggBoxOut}, "grid": EggGridOut}
    optional_bodies = frozenset({"retire"})
    out = EggBoxOut
    ordering = ("code", "id")
    searched = ("code", "note")
    orderable = ("id", "code", "made_on", "retired_on")

    def get_queryset(self) -> QuerySet[EggBox]:
        """Return all boxes with their open stays."""
        still = BoxStay.objects.filter(until_at__isnull=True)
        here = Prefetch("stays", still.select_related("incubator"), "open_stays")
        return with_counts(EggBox.objects.all()).prefetch_related(here)

    def shown(self, rows: Sequence[EggBox]) -> list[EggBoxOut]:
        """Return boxes with where they stand."""
        return [_shown(row) for row in rows]

    def create(self, request: Request) -> Response:
        """Note that a box was made up, and where it was put."""
        given, now = read_body(sent(request), EggBoxIn), timezone.now()
        box = make_box(
            code=given.code,
            rows=given.rows,
            columns=given.columns,
            substrate=given.substrate,
            substrate_g=None if given.substrate_g is None else exact(given.substrate_g),
            water_g=None if given.water_g is None else exact(given.water_g),
            made_on=given.made_on or timezone.localdate(),
            note=given.note,
            incubator=_incubator(given.incubator),
            moved_at=given.at,
            by=self.person,
            at=now,
        )
        row = self.get_queryset().get(pk=box.pk)
        return Response(self.shown([row])[0], status=HTTPStatus.CREATED)

    @action(detail=True, methods=["post"])
    def move(self, request: Request, **kwargs: str) -> Response:
        """Move a box with all that lies in it to another incubator, or out of its own.

        A move that was done earlier is recorded with `at`; reviews since are redone.
        """
        row, now = self.one(), timezone.now()
        given = read_body(sent(request), BoxMoveIn)
        move_box(
            box=row,
            incubator=_incubator(given.incubator),
            moved_at=given.at or now,
            by=self.person,
            at=now,
            reason=given.reason,
        )
        return Response(self.shown([self.one()])[0])

    @action(detail=True, methods=["post"])
    def retire(self, request: Request, **kwargs: str) -> Response:
        """Take a box out of use for good; no egg may lie in it."""
        row, given, now = self.one(), BoxRetirementIn(), timezone.now()
        if request.data:
            given = read_body(sent(request), BoxRetirementIn)
        on = given.on or day_at(box=row, at=now)
        retire_box(box=row, on=on, by=self.person, at=now, reason=given.reason)
        return Response(self.shown([self.one()])[0])

    @action(detail=True)
    def grid(self, request: Request, **kwargs: str) -> Response:
        """Show a box place by place with its eggs, and what weighing tells of its water.

        What a box loses while nothing else changes is water; where eggs came or went
        between two weighings the loss is not known, and is counted as such.
        """
        return Response(shown_grid(self.one(), at=timezone.now()))


def _incubator(code: str | None) -> Enclosure | None:
    if code is None:
        return None
    enclosure = Enclosure.objects.filter(code=code).first()
    if enclosure is None:
        raise RefusedError(
            "unknown_enclosure",
            f"There is no incubator {code!r}. Give the code on its label.",
            fields={"incubator": "the code of an incubator"},
        )
    return enclosure


def _shown(row: EggBox) -> EggBoxOut:
    stays: list[BoxStay] = getattr(row, "open_stays", [])
    stay = stays[0] if stays else None
    return EggBoxOut(
        id=row.pk,
        code=row.code,
        rows=row.rows,
        columns=row.columns,
        substrate=Substrate(row.substrate),
        substrate_g=row.substrate_g,
        water_g=row.water_g,
        mass_ratio=mass_ratio(water_g=row.water_g, substrate_g=row.substrate_g),
        made_on=row.made_on,
        retired_on=row.retired_on,
        note=row.note,
        incubator=ref(stay.incubator) if stay else None,
        since_at=stay.from_at if stay else None,
        eggs=getattr(row, "eggs_in_it", 0),
    )
