"""The register: who came from where on what day, who left to whom."""

from collections.abc import Sequence
from datetime import date
from typing import Annotated

from django.db.models import QuerySet
from django.utils import timezone
from msgspec import Meta
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from api.errors import RefusedError
from api.filters import (
    BooleanFilter,
    CharFilter,
    DayFilter,
    FilterSet,
    HomeNumberFilter,
    InstantFilter,
    NumberFilter,
    WordFilter,
)
from api.structs import Asked, Instant, Out, Ref
from api.views import Rows
from core.roles import Permission
from placements.actions.register import write_register
from placements.models import RegisterEntry
from placements.queries.register import (
    STRUCK,
    numbers_are_whole,
    register_lines,
    register_rows,
)
from placements.rules.register.exporting import RegisterRow, register_as_csv
from placements.rules.vocabulary import Direction, RegisterHow

FILE = "attachment; filename=register.csv"
LINE = Annotated[int | None, Meta(description="Number of the line; null: none.")]
HOME = Annotated[
    int | None,
    Meta(
        description="Number of the home it came from or went to; null for those who "
        "may not see homes, and where nobody is known."
    ),
]


class RegisterEntryFilter(FilterSet):
    """Which lines."""

    animal = CharFilter("animal__code", help_text="Code of the animal, as it is now.")
    direction = WordFilter(Direction)
    how = WordFilter(RegisterHow)
    from_on = DayFilter("on", "gte", help_text="Came or left on this day or later.")
    until_on = DayFilter("on", "lte", help_text="Came or left on this day or earlier.")
    corrected = BooleanFilter(
        "corrected_by",
        "isnull",
        exclude=True,
        help_text="true: a later line puts it right.",
    )
    home = HomeNumberFilter()
    arrival = NumberFilter("arrival", help_text="Number of the delivery.")
    placement = NumberFilter("placement", help_text="Number of the placement.")
    entered_from = InstantFilter(
        "entered_at", "gte", help_text="Entered at this instant or later."
    )

    class Meta:
        model = RegisterEntry
        fields = [
            "animal",
            "direction",
            "how",
            "from_on",
            "until_on",
            "corrected",
            *("home", "arrival", "placement", "entered_from"),
        ]


class PeriodAsked(Asked, frozen=True):
    """Which lines, by the day on which the animal came or left."""

    from_on: Annotated[
        date | None, Meta(description="First day; from the beginning unless given.")
    ] = None
    until_on: Annotated[
        date | None, Meta(description="Last day; to the end unless given.")
    ] = None


class RegisterEntryOut(Out, frozen=True):
    """One line. It is never altered: what it says as of then stays."""

    about = RegisterEntry
    id: int
    number: int
    on: date
    direction: Direction
    how: RegisterHow
    animal: Ref
    animal_code: Annotated[str, Meta(description="Its label as of then.")]
    scientific_name: str
    sex: str
    hatched_on: Annotated[str, Meta(description="Empty: not known.")]
    microchip: str
    dam: Annotated[str, Meta(description="Code of the dam.")]
    sire: Annotated[str, Meta(description="Code of the sire.")]
    cites_sources: tuple[str, ...]
    papers: Annotated[tuple[str, ...], Meta(description="Kind and number of each.")]
    home: HOME
    arrival: Annotated[int | None, Meta(description="Number of its delivery.")]
    placement: Annotated[int | None, Meta(description="Number of its placement.")]
    corrects: LINE
    corrected_by: LINE
    strikes_out: LINE
    note: str
    entered_at: Instant
    entered_by: str | None


class WrittenOut(Out, frozen=True):
    """What was appended."""

    lines: Annotated[int, Meta(description="How many.")]
    numbers_whole: Annotated[
        bool, Meta(description="The lines are numbered from 1 on without a gap.")
    ]


class Register(Rows[RegisterEntry]):
    """By number. Lines are appended, never altered; a wrong one is put right by another."""

    plural = "register entries"
    permissions = {
        "list": Permission.SEE_REGISTER,
        "retrieve": Permission.SEE_REGISTER,
        "write": Permission.MANAGE_PLACEMENTS,
        "table": Permission.SEE_REGISTER,
    }
    asks = {"table": PeriodAsked}
    gives = {"write": WrittenOut, "table": bytes}
    filterset_class = RegisterEntryFilter
    out = RegisterEntryOut
    ordering = ("number", "id")
    searched = ("animal__code", "animal_code", "scientific_name")
    orderable = ("id", "number", "on", "entered_at")

    def get_queryset(self) -> QuerySet[RegisterEntry]:
        """Return all lines."""
        return register_lines()

    def shown(self, rows: Sequence[RegisterEntry]) -> list[RegisterEntryOut]:
        """Return lines; the home only to those who may see homes."""
        sees_homes = self.person.may(Permission.SEE_HOMES)
        told = register_rows(rows, names=False)
        return [
            _shown(row, line, row.home_id if sees_homes else None)
            for row, line in zip(rows, told, strict=True)
        ]

    @action(detail=False, methods=["post"])
    def write(self, request: Request) -> Response:
        """Append what is on record and not in the register yet.

        It happens by itself each hour, and at once where animals arrive or are handed
        over. Doing it again appends nothing.
        """
        lines = write_register(by=self.person, at=timezone.now())
        return Response(WrittenOut(lines=lines, numbers_whole=numbers_are_whole()))

    def table(self, request: Request) -> Response:
        """Write the lines of a period as a table, with whom they came from or went to.

        Names and contacts stand in it for those who may see homes: keep the file as
        carefully as the register itself.
        """
        asked = self.asked
        assert isinstance(asked, PeriodAsked)  # noqa: S101 - see `asks`
        first, last = asked.from_on, asked.until_on
        if first is not None and last is not None and first > last:
            raise RefusedError(
                "days_reversed",
                f"until_on={last} is before from_on={first}; give {first} or later.",
                fields={"until_on": f"{first} or later"},
            )
        lines = register_lines(from_on=first, until_on=last)
        names = self.person.may(Permission.SEE_HOMES)
        told = register_as_csv(register_rows(lines, names=names))
        return Response(told.encode(), headers={"Content-Disposition": FILE})


def _shown(row: RegisterEntry, line: RegisterRow, home: int | None) -> RegisterEntryOut:
    return RegisterEntryOut(
        id=row.pk,
        number=line.number,
        on=line.on,
        direction=line.direction,
        how=line.how,
        animal=Ref(id=row.animal.pk, code=row.animal.code),
        animal_code=line.code,
        scientific_name=line.scientific_name,
        sex=line.sex,
        hatched_on=line.hatched_on,
        microchip=line.microchip,
        dam=line.dam,
        sire=line.sire,
        cites_sources=line.cites_sources,
        papers=line.papers,
        home=home,
        arrival=row.arrival_id,
        placement=row.placement_id,
        corrects=line.corrects,
        corrected_by=line.corrected_by,
        strikes_out=row.facts.get(STRUCK),
        note=line.note,
        entered_at=line.entered_at,
        entered_by=line.entered_by or None,
    )
