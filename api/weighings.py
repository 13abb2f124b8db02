"""Weighings: read, recorded, corrected, confirmed where one is unlikely but right."""

from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal
from http import HTTPStatus
from typing import Annotated

import msgspec
from django.db.models import QuerySet
from django.utils import timezone
from msgspec import Meta
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from api.animal_codes import LABEL, animal_named
from api.filters import (
    BooleanFilter,
    CharFilter,
    FilterSet,
    InstantFilter,
    on_record_by,
    on_record_from,
)
from api.inputs import exact, read_body, sent
from api.row_lists import ListAsked, RefusedRow, Taken, check_count, take_rows
from api.structs import In, Instant, Out, Ref, ref
from api.views import Rows
from core.roles import Permission
from husbandry.actions.weighing_lists import (
    WeighingResult,
    WeighingRow,
    record_all_weighings,
    record_weighings,
)
from husbandry.actions.weights import (
    confirm_weighing,
    correct_weighing,
    record_weighing,
)
from husbandry.models import Weighing
from husbandry.rules.vocabulary import RowOutcome

MOST_ROWS = 1_000
GRAMS = Annotated[float, Meta(description="Grams, above zero; kept to 0.01 g.")]


class WeighingFilter(FilterSet):
    """Which weighings."""

    animal = CharFilter("animal__code", help_text="Code of the animal.")
    from_at = InstantFilter("at", "gte", help_text="First instant.")
    until_at = InstantFilter("at", "lt", help_text="Up to which.")
    in_force = BooleanFilter(
        "corrected_by",
        "isnull",
        help_text="true: without those that were corrected.",
    )
    recorded_from = on_record_from()
    recorded_by = on_record_by()

    class Meta:
        model = Weighing
        fields = [
            "animal",
            "from_at",
            "until_at",
            "in_force",
            *("recorded_from", "recorded_by"),
        ]


class WeighingRowIn(In, frozen=True):
    """One line of a list."""

    animal: LABEL
    mass_g: GRAMS
    at: Annotated[Instant | None, Meta(description="When; now unless given.")] = None


class WeighingIn(WeighingRowIn, frozen=True):
    """What an animal weighed."""

    note: Annotated[str, Meta(max_length=200)] = ""


class ConfirmedWeighingIn(WeighingRowIn, frozen=True, kw_only=True):
    """A mass that is unlikely but right, as somebody says who weighed again."""

    reason: Annotated[
        str, Meta(min_length=1, max_length=200, description="Why it is right.")
    ]


class WeighingCorrectionIn(In, frozen=True, kw_only=True):
    """What a weighing should have said; however unlikely the mass, the reason holds."""

    mass_g: GRAMS
    at: Annotated[
        Instant | None, Meta(description="The right instant; as it was unless given.")
    ] = None
    reason: Annotated[
        str, Meta(min_length=1, max_length=200, description="What was wrong.")
    ]


class WeighingOut(Out, frozen=True):
    """One weighing; it is never altered."""

    about = Weighing
    id: int
    animal: Ref | None
    at: Instant
    mass_g: Decimal
    recorded_by: Annotated[str | None, Meta(description="null: the program itself.")]
    recorded_at: Instant
    note: str
    corrects: Annotated[
        int | None, Meta(description="Number of the weighing that it replaces.")
    ]
    corrected_by: Annotated[
        int | None, Meta(description="Number of the one that replaced it.")
    ]


class WeighingsReport(Out, frozen=True):
    """What became of each line of a list."""

    stored: int
    known: Annotated[int, Meta(description="On record before, the same.")]
    refused: tuple[RefusedRow, ...]
    weighings: Annotated[
        tuple[int | None, ...],
        Meta(description="Number of the weighing that stands for each line; or null."),
    ]


class Weighings(Rows[Weighing]):
    """The newest first."""

    plural = "weighings"
    permissions = {
        "list": Permission.SEE_ANIMALS,
        "retrieve": Permission.SEE_ANIMALS,
        "create": Permission.RECORD_CARE,
        "confirm": Permission.RECORD_CARE,
        "correct": Permission.RECORD_CARE,
    }
    filterset_class = WeighingFilter
    asks = {"create": ListAsked}
    takes = {
        "create": WeighingIn | list[WeighingRowIn],
        "confirm": ConfirmedWeighingIn,
        "correct": WeighingCorrectionIn,
    }
    gives = {
        "create": {
            HTTPStatus.CREATED: WeighingOut,
            HTTPStatus.OK: WeighingsReport,
        },
        "confirm": {HTTPStatus.CREATED: WeighingOut},
        "correct": {HTTPStatus.CREATED: WeighingOut},
    }
    confirmable = {"implausible_mass": "/api/v1/weighings/confirm/"}
    out = WeighingOut
    ordering = ("-at", "-id")
    searched = ("animal__code", "note")
    orderable = ("id", "at", "recorded_at")

    def get_queryset(self) -> QuerySet[Weighing]:
        """Return all weighings, corrected ones too."""
        return Weighing.objects.all()

    def shown(self, rows: Sequence[Weighing]) -> list[WeighingOut]:
        """Return weighings with what corrected them."""
        return shown_weighings(rows)

    def create(self, request: Request) -> Response:
        """Record what an animal weighed, or what several did.

        One weighing answers 201, or 409 where it looks like a slip: weigh again,
        and if it is right, send it with a reason to the address in `confirm`. A
        list answers 200 with what became of each line; a bad line does not keep the
        others out, unless `all_or_none` is asked. Recorded again, the same weighing
        changes nothing.
        """
        body = sent(request)
        if body.lstrip().startswith(b"["):
            return Response(self._record_list(body))
        given = read_body(body, WeighingIn)
        row = record_weighing(
            animal=animal_named(given.animal),
            mass_g=exact(given.mass_g),
            at=given.at or timezone.now(),
            by=self.person,
            recorded_at=timezone.now(),
            note=given.note,
        )
        return Response(self.shown([row])[0], status=HTTPStatus.CREATED)

    @action(detail=False, methods=["post"])
    def confirm(self, request: Request) -> Response:
        """Record a mass that is unlikely but right, with the reason."""
        given = read_body(sent(request), ConfirmedWeighingIn)
        row = confirm_weighing(
            animal=animal_named(given.animal),
            mass_g=exact(given.mass_g),
            at=given.at or timezone.now(),
            by=self.person,
            recorded_at=timezone.now(),
            reason=given.reason,
        )
        return Response(self.shown([row])[0], status=HTTPStatus.CREATED)

    @action(detail=True, methods=["post"])
    def correct(self, request: Request, **kwargs: str) -> Response:
        """Replace a weighing by what it should have said; the old one stays on record.

        The new one names it in `corrects`. Nights since the earlier of both instants
        are reviewed again.
        """
        old, given = self.one(), read_body(sent(request), WeighingCorrectionIn)
        row = correct_weighing(
            weighing=old,
            mass_g=exact(given.mass_g),
            at=given.at or old.at,
            by=self.person,
            recorded_at=timezone.now(),
            reason=given.reason,
        )
        return Response(self.shown([row])[0], status=HTTPStatus.CREATED)

    def _record_list(self, body: bytes) -> WeighingsReport:
        raw = read_body(body, list[msgspec.Raw])
        check_count(len(raw), most=MOST_ROWS)
        taken, now = take_rows(raw, WeighingRowIn), timezone.now()
        rows, by = [_row(given, now) for given in taken.rows], self.person
        asked = self.asked
        assert isinstance(asked, ListAsked)  # noqa: S101 - see `asks`
        if asked.all_or_none:
            results = record_all_weighings(
                rows=rows, unread=taken.unread, by=by, recorded_at=now
            )
        else:
            results = record_weighings(rows=rows, by=by, recorded_at=now)
        return _report(len(raw), taken, results)


def _row(given: WeighingRowIn, now: datetime) -> WeighingRow:
    return WeighingRow(
        animal=given.animal, at=given.at or now, mass_g=exact(given.mass_g)
    )


def _report(
    lines: int, taken: Taken[WeighingRowIn], results: Sequence[WeighingResult]
) -> WeighingsReport:
    weighings: list[int | None] = [None] * lines
    refused = list(taken.refused)
    for place, result in zip(taken.places, results, strict=True):
        weighings[place] = result.weighing
        if result.outcome is RowOutcome.REFUSED:
            sentence, code = result.sentence, result.code
            refused.append(RefusedRow(index=place, code=code, sentence=sentence))
    outcomes = [result.outcome for result in results]
    return WeighingsReport(
        stored=outcomes.count(RowOutcome.STORED),
        known=outcomes.count(RowOutcome.KNOWN),
        refused=tuple(sorted(refused, key=lambda row: row.index)),
        weighings=tuple(weighings),
    )


def shown_weighings(rows: Sequence[Weighing]) -> list[WeighingOut]:
    """Return weighings with what corrected them; one query more."""
    found = {
        row.pk: row
        for row in Weighing.objects.filter(
            pk__in=[row.pk for row in rows]
        ).select_related("animal", "recorded_by", "corrected_by")
    }
    return [_shown(found[row.pk]) for row in rows]


def _shown(row: Weighing) -> WeighingOut:
    replaced_by = getattr(row, "corrected_by", None)
    return WeighingOut(
        id=row.pk,
        animal=ref(row.animal),
        at=row.at,
        mass_g=row.mass_g,
        recorded_by=str(row.recorded_by) if row.recorded_by else None,
        recorded_at=row.recorded_at,
        note=row.note,
        corrects=row.corrects_id,
        corrected_by=replaced_by.pk if replaced_by else None,
    )
