"""Figures of intakes and outcomes: who came, stayed, left, and how long."""

from datetime import date
from typing import Annotated

from django.utils import timezone
from msgspec import Meta
from rest_framework.request import Request
from rest_framework.response import Response

from api.placement_figure_structs import (
    AllPlacementFiguresOut,
    NotCountedOut,
    figures_out,
)
from api.structs import Asked
from api.views import Door
from core.roles import Permission
from placements.queries.figures import ChargeRows, charge_rows, latest_day
from placements.rules.figures.asking import period_asked
from placements.rules.figures.census import census
from placements.rules.figures.exporting import (
    census_as_csv,
    figures_as_csv,
    left_out_as_csv,
)
from placements.rules.figures.facts import Period
from placements.rules.figures.grouping import FiguresBy, grouped_figures

CSV_FILE = "attachment; filename=placement-{}.csv"


class ChargesAsked(Asked, frozen=True):
    """Which animals, over which period."""

    species: Annotated[str, Meta(description="Code of the species.")] = ""
    from_on: Annotated[
        date | None, Meta(description="First day; 365 days unless given.")
    ] = None
    until_on: Annotated[
        date | None, Meta(description="Last day; today unless given.")
    ] = None


class PlacementFiguresAsked(ChargesAsked, frozen=True):
    """Which animals, over which period, told apart by what."""

    by: Annotated[FiguresBy, Meta(description="What tells groups apart.")] = (
        FiguresBy.ALL
    )


class PlacementFigures(Door):
    """What became of the animals that came."""

    permissions = {
        "retrieve": Permission.SEE_PLACEMENTS,
        "groups_csv": Permission.SEE_PLACEMENTS,
        "census_csv": Permission.SEE_PLACEMENTS,
        "left_out_csv": Permission.SEE_PLACEMENTS,
    }
    asks = {
        "retrieve": PlacementFiguresAsked,
        "groups_csv": PlacementFiguresAsked,
        "census_csv": ChargesAsked,
        "left_out_csv": ChargesAsked,
    }
    gives = {
        "retrieve": AllPlacementFiguresOut,
        "groups_csv": bytes,
        "census_csv": bytes,
        "left_out_csv": bytes,
    }

    def retrieve(self, request: Request) -> Response:
        """Show counts, census, live release, length of stay, capacity, returns, stages.

        Foster stays and loans are no outcomes: the animal is away, and still the
        organisation's own. Live release is told by both published formulas. Records
        that contradict each other or the calendar are left out and listed.
        """
        asked = self.asked
        assert isinstance(asked, PlacementFiguresAsked)  # noqa: S101 - see `asks`
        found, period, on = _rows(asked)
        groups = grouped_figures(found.charges, by=asked.by, period=period, on=on)
        return Response(
            AllPlacementFiguresOut(
                by=asked.by,
                groups=tuple(figures_out(name, one) for name, one in groups.items()),
                left_out=tuple(
                    NotCountedOut(
                        animal=one.code,
                        first_on=one.first_on,
                        last_on=one.last_on,
                        why=one.why,
                    )
                    for one in found.left_out
                ),
            )
        )

    def groups_csv(self, request: Request) -> Response:
        """Write the same figures as a table, a line for each group."""
        asked = self.asked
        assert isinstance(asked, PlacementFiguresAsked)  # noqa: S101 - see `asks`
        found, period, on = _rows(asked)
        groups = grouped_figures(found.charges, by=asked.by, period=period, on=on)
        return _file(figures_as_csv(groups), "figures")

    def census_csv(self, request: Request) -> Response:
        """Write how many animals were in charge on each day, a line each."""
        asked = self.asked
        assert isinstance(asked, ChargesAsked)  # noqa: S101 - see `asks`
        found, period, on = _rows(asked)
        return _file(
            census_as_csv(census(found.charges, period=period, on=on)), "census"
        )

    def left_out_csv(self, request: Request) -> Response:
        """Write the records that no figure counts, of any time, a line each."""
        asked = self.asked
        assert isinstance(asked, ChargesAsked)  # noqa: S101 - see `asks`
        found, _, _ = _rows(asked)
        return _file(left_out_as_csv(found.left_out), "left-out")


def _rows(asked: ChargesAsked) -> tuple[ChargeRows, Period, date]:
    on = latest_day(timezone.now())
    period = period_asked(asked.from_on, asked.until_on, on=on)
    return charge_rows(species=asked.species, on=on), period, on


def _file(text: str, name: str) -> Response:
    return Response(
        text.encode(), headers={"Content-Disposition": CSV_FILE.format(name)}
    )
