"""Set-ups: how enclosures stand, from a day on."""

from collections.abc import Sequence
from datetime import date, time
from http import HTTPStatus
from typing import Annotated

from django.db.models import QuerySet
from django.utils import timezone
from msgspec import UNSET, Meta, UnsetType
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from api.care_structs import Text
from api.enclosures import SetupOut
from api.filters import CharFilter, DayFilter, FilterSet
from api.inputs import exact, read_body, sent
from api.named import enclosure_named
from api.structs import In, Ref, from_row, ref
from api.views import Rows
from core.roles import Permission
from husbandry.actions.setups import SetupChanges, correct_setup, set_up_enclosure
from husbandry.models import Setup
from husbandry.rules.vocabulary import Lights, Misting

CM = Annotated[float, Meta(description="Inside, cm; kept to 0.1 cm.")]
CLOCK = Annotated[
    Annotated[time, Meta(tz=False)] | None,
    Meta(description="Local time as 08:00:00; with a timer only."),
]
LAYING_BIN = Annotated[bool, Meta(description="A place to dig and lay is there.")]


class SetupFilter(FilterSet):
    """Which set-ups."""

    enclosure = CharFilter("enclosure__code", help_text="Code of the enclosure.")
    from_on = DayFilter("from_on", "gte", help_text="First day, from this one on.")

    class Meta:
        model = Setup
        fields = ["enclosure", "from_on"]


class SetupIn(In, frozen=True, kw_only=True):
    """How an enclosure stands from a day on, until the next set-up."""

    enclosure: Annotated[str, Meta(description="Code of the enclosure.")]
    from_on: date
    width_cm: CM
    depth_cm: CM
    height_cm: CM
    lights: Lights
    lights_on: CLOCK = None
    lights_off: CLOCK = None
    laying_bin: LAYING_BIN = False
    misting: Misting = Misting.BY_HAND
    notes: Text = ""


class SetupCorrectionIn(In, frozen=True, kw_only=True):
    """What of a set-up was recorded wrongly; what is left out stays."""

    reason: Annotated[
        str, Meta(min_length=1, max_length=200, description="What was wrong.")
    ]
    width_cm: CM | UnsetType = UNSET
    depth_cm: CM | UnsetType = UNSET
    height_cm: CM | UnsetType = UNSET
    lights: Lights | UnsetType = UNSET
    lights_on: CLOCK | UnsetType = UNSET
    lights_off: CLOCK | UnsetType = UNSET
    laying_bin: LAYING_BIN | UnsetType = UNSET
    misting: Misting | UnsetType = UNSET
    notes: Text | UnsetType = UNSET


class SetupRowOut(SetupOut, frozen=True):
    """How an enclosure stands from a day on, until the next set-up."""

    id: int
    enclosure: Ref | None
    notes: str


class Setups(Rows[Setup]):
    """The newest first; one holds until the next of its enclosure."""

    plural = "set-ups"
    permissions = {
        "list": Permission.SEE_CONDITIONS,
        "retrieve": Permission.SEE_CONDITIONS,
        "create": Permission.EDIT_PLACES,
        "correct": Permission.EDIT_PLACES,
    }
    filterset_class = SetupFilter
    takes = {"create": SetupIn, "correct": SetupCorrectionIn}
    gives = {"create": {HTTPStatus.CREATED: SetupRowOut}}
    out = SetupRowOut
    ordering = ("-from_on", "-id")
    searched = ("enclosure__code",)
    orderable = ("id", "from_on")

    def get_queryset(self) -> QuerySet[Setup]:
        """Return all set-ups."""
        return Setup.objects.select_related("enclosure")

    def shown(self, rows: Sequence[Setup]) -> list[SetupRowOut]:
        """Return set-ups with the codes of their enclosures."""
        return [
            SetupRowOut(
                **{
                    name: getattr(from_row(row, SetupOut), name)
                    for name in SetupOut.__struct_fields__
                },
                id=row.pk,
                enclosure=ref(row.enclosure),
                notes=row.notes,
            )
            for row in rows
        ]

    def create(self, request: Request) -> Response:
        """Say how an enclosure stands from a day on; nights since are reviewed again.

        Said again, the same changes nothing. What was recorded wrongly is corrected;
        what was changed since is a new set-up.
        """
        given = read_body(sent(request), SetupIn)
        row = set_up_enclosure(
            enclosure=enclosure_named(given.enclosure),
            from_on=given.from_on,
            width_cm=exact(given.width_cm),
            depth_cm=exact(given.depth_cm),
            height_cm=exact(given.height_cm),
            lights=given.lights,
            lights_on=given.lights_on,
            lights_off=given.lights_off,
            laying_bin=given.laying_bin,
            misting=given.misting,
            notes=given.notes,
            by=self.person,
            at=timezone.now(),
        )
        return Response(self.shown([row])[0], status=HTTPStatus.CREATED)

    @action(detail=True, methods=["post"])
    def correct(self, request: Request, **kwargs: str) -> Response:
        """Mend a set-up that was recorded wrongly, with the reason."""
        row, given = self.one(), read_body(sent(request), SetupCorrectionIn)
        correct_setup(
            setup=row,
            reason=given.reason,
            by=self.person,
            at=timezone.now(),
            **_changes(given),
        )
        return Response(self.shown([self.one()])[0])


def _changes(given: SetupCorrectionIn) -> SetupChanges:
    """Return what is mended; sizes as they were sent, exactly."""
    changes = SetupChanges()
    for name in SetupChanges.__annotations__:
        value = getattr(given, name)
        if value is not UNSET:
            value = exact(value) if name.endswith("_cm") else value
            changes[name] = value  # type: ignore[literal-required] # its own names
    return changes
