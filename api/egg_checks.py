"""Egg checks: candled, weighed; for a range of a box's places at once, too."""

from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal
from http import HTTPStatus
from typing import Annotated, Any

from django.db.models import QuerySet
from django.utils import timezone
from msgspec import Meta
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from api.care_entries import MOST_ROWS, Entries
from api.care_filters import EntryFilter
from api.care_structs import (
    CORRECTS,
    PEOPLE,
    CareReport,
    ContentIn,
    EntryOut,
    Id,
    ReasonIn,
    Small,
    entry_values,
    report_values,
)
from api.errors import RefusedError
from api.filters import (
    CharFilter,
    NumberFilter,
    WordFilter,
)
from api.inputs import exact, read_body, sent
from api.structs import Instant, Out, Ref, ref
from clutches.actions.egg_checks import (
    EggCheckRow,
    record_egg_checks,
    strike_egg_checks,
)
from clutches.models import EggCheck
from clutches.queries.boxes import box_of
from clutches.queries.grids import eggs_at
from clutches.rules.vocabulary import Candled
from core.roles import Permission
from husbandry.actions.care_records import CareResult

SEEN = Annotated[
    Candled | None,
    Meta(description="What was seen against the light; null: not candled."),
]


class EggCheckFilter(EntryFilter):
    """Which egg checks."""

    clutch = CharFilter("egg__clutch__code", help_text="Code of the clutch.")
    seen = WordFilter(Candled)
    egg = NumberFilter("egg", help_text="Number of the egg.")

    class Meta:
        model = EggCheck
        fields = [
            "clutch",
            "seen",
            "from_at",
            "until_at",
            "in_force",
            *("egg",),
            *("recorded_from", "recorded_by"),
        ]


class EggCheckIn(ContentIn, frozen=True, kw_only=True):
    """One look at one egg: candled, weighed, or both."""

    clutch: Annotated[str, Meta(description="Code of the clutch.")]
    number: Annotated[Small, Meta(description="Of the egg, from 1.")]
    seen: SEEN = None
    mass_g: Annotated[
        float | None, Meta(description="Grams, kept to 0.001 g; null: not weighed.")
    ] = None
    corrects: CORRECTS = None


class BoxCandledIn(ContentIn, frozen=True, kw_only=True):
    """The same for every egg that lies at some places of a box."""

    box: Annotated[str, Meta(description="Code of the box.")]
    places: Annotated[
        str,
        Meta(
            max_length=300,
            description="Such as `A1-C3`, `rows 1-3`, `column B` or `all`.",
        ),
    ]
    seen: Candled


class BoxStrikeIn(ReasonIn, frozen=True, kw_only=True):
    """Which checks were wrong: of every egg that lies at some places of a box."""

    box: Annotated[str, Meta(description="Code of the box.")]
    places: Annotated[
        str,
        Meta(
            max_length=300,
            description="Such as `A1-C3`, `rows 1-3`, `column B` or `all`.",
        ),
    ]
    at: Annotated[Instant, Meta(description="As the checks were recorded.")]


class ChecksStrikeIn(ReasonIn, frozen=True, kw_only=True):
    """Which checks were wrong: by their numbers."""

    checks: Annotated[tuple[Id, ...], Meta(min_length=1, max_length=MOST_ROWS)]


class EggCheckOut(EntryOut, frozen=True):
    """One look at one egg."""

    about = EggCheck
    clutch: Ref | None
    number: int
    seen: SEEN
    mass_g: Decimal | None


class ChecksStruckOut(Out, frozen=True):
    """Checks as they stand now; those struck out already are passed over."""

    struck: Annotated[int, Meta(description="How many were struck out by this.")]
    checks: tuple[EggCheckOut, ...]


class RecordedEggCheck(EggCheckOut, frozen=True):
    """An egg check that was just recorded."""

    remarks: Annotated[
        tuple[str, ...], Meta(description="Such as that the egg is still resting.")
    ]


class EggChecks(Entries[EggCheck, EggCheckIn]):
    """The newest first; struck-out ones too, unless asked otherwise."""

    plural = "egg checks"
    permissions = {
        "list": Permission.SEE_ANIMALS,
        "retrieve": Permission.SEE_ANIMALS,
        "create": Permission.RECORD_BREEDING,
        "strike": Permission.RECORD_BREEDING,
        "strike_many": Permission.RECORD_BREEDING,
    }
    filterset_class = EggCheckFilter
    takes = {
        **Entries.takes,
        "create": (EggCheckIn, BoxCandledIn, list[EggCheckIn]),
        "strike_many": (BoxStrikeIn, ChecksStrikeIn),
    }
    gives = {
        "create": {HTTPStatus.CREATED: RecordedEggCheck, HTTPStatus.OK: CareReport},
        "strike_many": ChecksStruckOut,
    }
    out = EggCheckOut
    searched = ("egg__clutch__code", "note", "struck_reason")
    orderable = ("id", "at", "recorded_at")
    line, recorded = EggCheckIn, RecordedEggCheck

    def get_queryset(self) -> QuerySet[EggCheck]:
        """Return all egg checks."""
        return EggCheck.objects.select_related("egg__clutch", *PEOPLE)

    def shown(self, rows: Sequence[EggCheck]) -> list[EggCheckOut]:
        """Return egg checks with the codes of their clutches."""
        return [
            EggCheckOut(
                **entry_values(row),
                clutch=ref(row.egg.clutch),
                number=row.egg.number,
                seen=Candled(row.seen) if row.seen else None,
                mass_g=row.mass_g,
            )
            for row in rows
        ]

    def create(self, request: Request) -> Response:
        """Record that an egg was candled or weighed, or several, or those of a box.

        One check answers 201, or 409 where it cannot be. A list answers 200 with what
        became of each line; a bad line does not keep the others out. A body that
        names a `box` and `places` is recorded for every egg that lies there, and
        answers like a list. No vessels while an egg rests are kept with a remark.
        Recorded again, the same changes nothing.
        """
        body = sent(request)
        given = read_body(body, Any)
        if isinstance(given, dict) and "box" in given:
            return self._record_box(read_body(body, BoxCandledIn))
        return self.recorded_as(body, timezone.now())

    @action(detail=False, methods=["post"], url_path="strike")
    def strike_many(self, request: Request) -> Response:
        """Strike out many wrong checks at once: of a box's places, or by number.

        They stay legible and count no more. Those struck out already are passed over;
        409 where that is all of them.
        """
        body = sent(request)
        rows, reason = _wrong(body)
        struck = strike_egg_checks(
            checks=rows, reason=reason, by=self.person, at=timezone.now()
        )
        fresh = self.get_queryset().filter(pk__in=[row.pk for row in rows])
        shown = self.shown(list(fresh.order_by("egg__clutch_id", "egg__number", "pk")))
        return Response(ChecksStruckOut(struck=struck, checks=tuple(shown)))

    def _record_box(self, given: BoxCandledIn) -> Response:
        now = timezone.now()
        eggs = eggs_at(box=box_of(code=given.box), places=given.places)
        lines = [
            EggCheckIn(
                clutch=egg.clutch.code,
                number=egg.number,
                at=given.at or now,
                seen=given.seen,
                note=given.note,
            )
            for egg in eggs
        ]
        labels = [self.label(line) for line in lines]
        results = self.record(lines, now)
        values = report_values(labels, results, places=range(len(lines)))
        return Response(CareReport(**values))

    def label(self, line: EggCheckIn) -> str:
        """Return which egg was looked at."""
        return f"{line.clutch} {line.number}"

    def record(
        self, lines: Sequence[EggCheckIn], now: datetime
    ) -> Sequence[CareResult]:
        """Record egg checks, and return what became of each."""
        rows = [
            EggCheckRow(
                egg=(line.clutch, line.number),
                at=line.at or now,
                seen=line.seen,
                mass_g=None if line.mass_g is None else exact(line.mass_g),
                note=line.note,
                corrects=line.corrects,
            )
            for line in lines
        ]
        return record_egg_checks(rows=rows, by=self.person, recorded_at=now)


def _wrong(body: bytes) -> tuple[list[EggCheck], str]:
    """Return which checks a body names, and why they are wrong.

    Raises:
        RefusedError: it names one that is not there, or none.
    """
    given = read_body(body, Any)
    if isinstance(given, dict) and "box" in given:
        ranged = read_body(body, BoxStrikeIn)
        eggs = eggs_at(box=box_of(code=ranged.box), places=ranged.places)
        found = list(EggCheck.objects.filter(egg__in=eggs, at=ranged.at))
        if not found:
            raise RefusedError(
                "no_checks",
                f"Nothing was recorded at {ranged.at.isoformat()} of the eggs at "
                f"{ranged.places} of box {ranged.box}; GET egg-checks/ says when.",
                fields={"at": "the instant of the checks, to the second as recorded"},
            )
        return found, ranged.reason
    named = read_body(body, ChecksStrikeIn)
    found = list(EggCheck.objects.filter(pk__in=named.checks))
    if missing := set(named.checks) - {check.pk for check in found}:
        numbers = ", ".join(map(str, sorted(missing)))
        raise RefusedError(
            "unknown_check",
            f"There is no egg check {numbers}; nothing was struck out.",
            fields={"checks": "numbers of egg checks on record"},
        )
    return found, named.reason
