"""Eggs: where each lies, what became of it; set, placed and moved many at once."""

from collections.abc import Sequence
from datetime import date
from zoneinfo import ZoneInfo

from django.db.models import QuerySet
from django.utils import timezone
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from api.egg_structs import (
    EggMendedIn,
    EggMendIn,
    EggName,
    EggOut,
    EggsMendedIn,
    EggsMovedIn,
    EggsOut,
    EggsPlacedIn,
    EggsSetIn,
    mended,
)
from api.filters import BooleanFilter, CharFilter, FilterSet, WordFilter
from api.inputs import read_body, sent
from api.row_lists import check_count
from api.structs import ref
from api.views import Rows
from clutches.actions.eggs import EggChange, move_eggs, place_eggs, set_eggs
from clutches.actions.mending import EggMend, mend_egg, mend_eggs
from clutches.models import Egg
from clutches.queries.boxes import box_of
from clutches.queries.eggs import eggs_named, lying
from clutches.rules.vocabulary import EggState, FailureCause
from core.roles import Permission

MOST_EGGS = 1_000


class EggFilter(FilterSet):
    """Which eggs."""

    clutch = CharFilter("clutch__code", help_text="Code of the clutch.")
    box = CharFilter(method="by_box", help_text="Code of the box in which it lies now.")
    state = WordFilter(EggState)
    ended = BooleanFilter(
        "ended_on", "isnull", exclude=True, help_text="true: hatched or failed."
    )

    class Meta:
        model = Egg
        fields = ["clutch", "box", "state", "ended"]

    def by_box(self, rows: QuerySet[Egg], name: str, value: str) -> QuerySet[Egg]:
        """Return the eggs that lie in a box now."""
        return rows.filter(places__box__code=value, places__until_at__isnull=True)


class Eggs(Rows[Egg]):
    """The newest clutch first, by number; those that ended too."""

    plural = "eggs"
    permissions = {
        "list": Permission.SEE_ANIMALS,
        "retrieve": Permission.SEE_ANIMALS,
        "create": Permission.RECORD_BREEDING,
        "place": Permission.RECORD_BREEDING,
        "move": Permission.RECORD_BREEDING,
        "mend": Permission.RECORD_BREEDING,
        "mend_many": Permission.RECORD_BREEDING,
    }
    filterset_class = EggFilter
    takes = {
        "create": EggsSetIn,
        "place": EggsPlacedIn,
        "move": EggsMovedIn,
        "mend": EggMendIn,
        "mend_many": EggsMendedIn,
    }
    gives = dict.fromkeys(("create", "place", "move", "mend", "mend_many"), EggsOut)
    out = EggOut
    ordering = ("-clutch_id", "number", "id")
    searched = ("clutch__code", "note")
    orderable = ("id",)

    def get_queryset(self) -> QuerySet[Egg]:
        """Return all eggs."""
        return Egg.objects.select_related("clutch")

    def shown(self, rows: Sequence[Egg]) -> list[EggOut]:
        """Return eggs with where they lie; one query more."""
        spots = lying(egg_ids=[row.pk for row in rows])
        return [
            EggOut(
                id=row.pk,
                clutch=ref(row.clutch),
                number=row.number,
                state=EggState(row.state),
                pipped_on=row.pipped_on,
                ended_on=row.ended_on,
                cause=FailureCause(row.cause) if row.cause else None,
                note=row.note,
                box=spots[row.pk].box_code or None if row.pk in spots else None,
                place=spots[row.pk].label or None if row.pk in spots else None,
            )
            for row in rows
        ]

    def create(self, request: Request) -> Response:
        """Say what became of eggs on a day: pipped, hatched or failed.

        All of them or none: 409 names each egg that cannot be so. An egg that ended
        lies nowhere any more. Who wants animals registered from eggs that hatched
        records a hatching instead.
        """
        given, now = read_body(sent(request), EggsSetIn), timezone.now()
        check_count(len(given.eggs), most=MOST_EGGS)
        rows = _named(given.eggs)
        changes = [
            EggChange(row, one.state, one.cause, one.note)
            for row, one in zip(rows, given.eggs, strict=True)
        ]
        on = given.on or _today(rows)
        eggs = set_eggs(changes=changes, on=on, by=self.person, at=now)
        return self._answer(eggs)

    @action(detail=False, methods=["post"])
    def place(self, request: Request) -> Response:
        """Put eggs that lie nowhere yet into a box; all of them or none."""
        given, now = read_body(sent(request), EggsPlacedIn), timezone.now()
        check_count(len(given.eggs), most=MOST_EGGS)
        rows = _named(given.eggs)
        place_eggs(
            eggs=rows,
            box=box_of(code=given.box),
            places=None if given.places is None else [given.places],
            placed_at=given.at or now,
            by=self.person,
            at=now,
        )
        return self._answer(rows)

    @action(detail=False, methods=["post"])
    def move(self, request: Request) -> Response:
        """Move eggs to other places, of the same box or another; all of them or none.

        Eggs that change places with one another are sent in one go.
        """
        given, now = read_body(sent(request), EggsMovedIn), timezone.now()
        check_count(len(given.eggs), most=MOST_EGGS)
        rows = _named(given.eggs)
        move_eggs(
            eggs=rows,
            box=None if given.box is None else box_of(code=given.box),
            places=None if given.places is None else [given.places],
            moved_at=given.at or now,
            by=self.person,
            at=now,
            reason=given.reason,
        )
        return self._answer(rows)

    @action(detail=True, methods=["post"])
    def mend(self, request: Request, **kwargs: str) -> Response:
        """Mend what is on record of an egg where it was wrong, with the reason.

        An egg that had not ended after all lies again where it lay, unless another
        was put there since; then a remark says so.
        """
        row, given = self.one(), read_body(sent(request), EggMendIn)
        result = mend_egg(
            egg=row,
            mended=mended(given),
            reason=given.reason,
            by=self.person,
            at=timezone.now(),
        )
        return self._answer(result.eggs, result.remarks)

    @action(detail=False, methods=["post"], url_path="mend")
    def mend_many(self, request: Request) -> Response:
        """Mend what is on record of several eggs, wrong in one way; all or none."""
        given = read_body(sent(request), EggsMendedIn)
        check_count(len(given.eggs), most=MOST_EGGS)
        rows = _named(given.eggs)
        result = mend_eggs(
            mends=[
                EggMend(row, mended(one))
                for row, one in zip(rows, given.eggs, strict=True)
            ],
            reason=given.reason,
            by=self.person,
            at=timezone.now(),
        )
        return self._answer(result.eggs, result.remarks)

    def _answer(self, eggs: Sequence[Egg], remarks: Sequence[str] = ()) -> Response:
        found = self.get_queryset().in_bulk([egg.pk for egg in eggs])
        shown = self.shown([found[egg.pk] for egg in eggs])
        return Response(EggsOut(eggs=tuple(shown), remarks=tuple(remarks)))


def _today(eggs: Sequence[Egg]) -> date:
    """Return which day it is where the clutches are."""
    zone = ZoneInfo(eggs[0].clutch.site.time_zone)
    return timezone.localdate(timezone=zone)


def _named(names: Sequence[EggName | EggMendedIn]) -> list[Egg]:
    return eggs_named(names=[(one.clutch, one.number) for one in names])
