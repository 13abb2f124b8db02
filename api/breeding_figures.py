"""Breeding figures: what became of eggs and hatchlings, by pair, incubator or year."""

from datetime import datetime
from typing import Annotated

from django.utils import timezone
from msgspec import Meta
from rest_framework.request import Request
from rest_framework.response import Response

from api.errors import RefusedError
from api.structs import Asked, Out, from_row
from api.views import Door
from clutches.queries.figures import Asked as Wanted
from clutches.queries.figures import breeding_rows
from clutches.rules.figures.comparing import Survivals, compare_survival
from clutches.rules.figures.counting import (
    SURVIVAL_DAYS,
    Figures,
    SexFigures,
    figures_of,
)
from clutches.rules.figures.exporting import eggs_as_csv, groups_as_csv
from clutches.rules.figures.facts import BreedingRows
from clutches.rules.figures.grouping import GroupBy, grouped
from clutches.rules.statistics import Course, Share
from core.roles import Permission

CSV_FILE = "attachment; filename=breeding-{}.csv"


class RowsAsked(Asked, frozen=True):
    """Which clutches."""

    species: Annotated[str, Meta(description="Code of the species.")] = ""
    site: Annotated[str, Meta(description="Code of the site.")] = ""
    from_year: Annotated[int, Meta(ge=1900, le=2200)] | None = None
    until_year: Annotated[int, Meta(ge=1900, le=2200)] | None = None


class FiguresAsked(RowsAsked, frozen=True):
    """Which clutches, told apart by what."""

    by: Annotated[GroupBy, Meta(description="What tells groups apart.")] = GroupBy.ALL


class ShareOut(Out, frozen=True):
    """So many of so many, with its interval."""

    count: int
    of: int
    value: Annotated[float | None, Meta(description="0 to 1; null of nothing.")]
    low: float
    high: float
    level: Annotated[float, Meta(description="Of the interval, 0 to 1.")]


class SpanOut(Out, frozen=True):
    """How many, the middle one, the least and the most; null where there is none."""

    count: int
    median: float | None
    least: float | None
    most: float | None


class SurvivalOut(Out, frozen=True):
    """The share that lives longer than so many days after hatching."""

    days: int
    watched: Annotated[int, Meta(description="How many were watched for so long.")]
    surviving: Annotated[
        float | None,
        Meta(description="0 to 1; null: nobody was watched for so long."),
    ]
    low: float | None
    high: float | None


class SexesOut(Out, frozen=True):
    """Sexes of hatchlings; what is not settled is apart."""

    female: int
    male: int
    confirmed: int
    unclear: int
    females: ShareOut
    p: Annotated[
        float | None,
        Meta(
            description="Exact test against as many of each; null: fewer than five are "
            "known, or warmth decides the sex in a species among them."
        ),
    ]


class FiguresOut(Out, frozen=True):
    """Figures of one group."""

    group: str
    clutches: int
    eggs_set: int
    infertile_at_laying: int
    broken_at_laying: int
    born_alive: int
    born_dead: int
    fertility: ShareOut
    undecided: Annotated[
        int, Meta(description="Eggs of which nobody can say whether they were fertile.")
    ]
    hatch_rate: Annotated[ShareOut, Meta(description="Of eggs that have ended.")]
    hatch_rate_fertile: Annotated[
        ShareOut, Meta(description="Of those that were shown to be fertile.")
    ]
    incubating: int
    days: Annotated[SpanOut, Meta(description="From laying to hatching, by egg.")]
    hatchlings: int
    mass_g: Annotated[
        SpanOut, Meta(description="Grams, within three days of hatching.")
    ]
    survival: tuple[SurvivalOut, ...]
    dead: int
    lost: int
    undated: Annotated[
        int, Meta(description="Hatchlings without a hatch date, in no survival.")
    ]
    sexes: SexesOut


class ComparisonOut(Out, frozen=True):
    """Whether the hatchlings of groups survive differently."""

    groups: tuple[str, ...]
    left_out: Annotated[
        tuple[str, ...], Meta(description="Groups with fewer than five hatchlings.")
    ]
    chi_square: float | None
    freedom: int | None
    p: Annotated[
        float | None,
        Meta(
            description="Of the log-rank test; null: fewer than two groups are large "
            "enough. A small one says that it is rare by chance, not why."
        ),
    ]


class BreedingFiguresOut(Out, frozen=True):
    """Figures of all groups, and how their hatchlings compare."""

    by: GroupBy
    groups: tuple[FiguresOut, ...]
    survival_compared: ComparisonOut


class BreedingFigures(Door):
    """What became of eggs and hatchlings."""

    permissions = {
        "retrieve": Permission.SEE_ANIMALS,
        "groups_csv": Permission.SEE_ANIMALS,
        "eggs_csv": Permission.SEE_ANIMALS,
    }
    asks = {
        "retrieve": FiguresAsked,
        "groups_csv": FiguresAsked,
        "eggs_csv": RowsAsked,
    }
    gives = {"retrieve": BreedingFiguresOut, "groups_csv": bytes, "eggs_csv": bytes}

    def retrieve(self, request: Request) -> Response:
        """Show fertility, hatch rate, days, masses, survival and sexes, with intervals.

        What nobody knows yet is counted apart and is part of no share. Small groups
        and many comparisons mislead: look at the counts and the intervals first.
        """
        asked = self.asked
        assert isinstance(asked, FiguresAsked)  # noqa: S101 - see `asks`
        groups = grouped(_rows(asked, timezone.now()), asked.by)
        return Response(
            BreedingFiguresOut(
                by=asked.by,
                groups=tuple(_group(n, figures_of(r)) for n, r in groups.items()),
                survival_compared=_compared(compare_survival(groups)),
            )
        )

    def groups_csv(self, request: Request) -> Response:
        """Write the same figures as a table, a line for each group."""
        asked = self.asked
        assert isinstance(asked, FiguresAsked)  # noqa: S101 - see `asks`
        groups = grouped(_rows(asked, timezone.now()), asked.by)
        told = groups_as_csv({name: figures_of(r) for name, r in groups.items()})
        return _file(told, "figures")

    def eggs_csv(self, request: Request) -> Response:
        """Write every egg and hatchling as a table, a line each."""
        asked = self.asked
        assert isinstance(asked, RowsAsked)  # noqa: S101 - see `asks`
        return _file(eggs_as_csv(_rows(asked, timezone.now())), "eggs")


def _rows(asked: RowsAsked, at: datetime) -> BreedingRows:
    first, last = asked.from_year, asked.until_year
    if first is not None and last is not None and first > last:
        raise RefusedError(
            "years_reversed",
            f"until_year={last} is before from_year={first}; give {first} or later.",
            fields={"until_year": f"{first} or later"},
        )
    wanted = Wanted(
        species=asked.species,
        site=asked.site,
        from_year=asked.from_year,
        until_year=asked.until_year,
    )
    return breeding_rows(asked=wanted, at=at)


def _file(text: str, name: str) -> Response:
    return Response(
        text.encode(), headers={"Content-Disposition": CSV_FILE.format(name)}
    )


def _group(name: str, found: Figures) -> FiguresOut:
    return FiguresOut(
        group=name,
        clutches=found.clutches,
        eggs_set=found.eggs_set,
        infertile_at_laying=found.infertile_at_laying,
        broken_at_laying=found.broken_at_laying,
        born_alive=found.born_alive,
        born_dead=found.born_dead,
        fertility=_share(found.fertility),
        undecided=found.undecided,
        hatch_rate=_share(found.hatch_rate),
        hatch_rate_fertile=_share(found.hatch_rate_fertile),
        incubating=found.open,
        days=from_row(found.days, SpanOut),
        hatchlings=found.hatchlings,
        mass_g=from_row(found.mass_g, SpanOut),
        survival=tuple(_survival(found.survival, days) for days in SURVIVAL_DAYS),
        dead=found.dead,
        lost=found.lost,
        undated=found.undated,
        sexes=_sexes(found.sexes),
    )


def _share(share: Share) -> ShareOut:
    return from_row(share, ShareOut)


def _survival(course: Course, days: int) -> SurvivalOut:
    known = course.at(days)
    return SurvivalOut(
        days=days,
        watched=known.at_risk if known else 0,
        surviving=known.surviving if known else None,
        low=known.low if known else None,
        high=known.high if known else None,
    )


def _sexes(found: SexFigures) -> SexesOut:
    return SexesOut(
        female=found.female,
        male=found.male,
        confirmed=found.confirmed,
        unclear=found.unclear,
        females=_share(found.females),
        p=found.p,
    )


def _compared(found: Survivals) -> ComparisonOut:
    told = found.comparison
    return ComparisonOut(
        groups=found.groups,
        left_out=found.left_out,
        chi_square=told.chi_square if told else None,
        freedom=told.freedom if told else None,
        p=told.p if told else None,
    )
