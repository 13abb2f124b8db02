"""Sex ratios: how many of each sex hatched, by clutch, pair, incubator or year."""

from decimal import Decimal
from typing import Annotated

from django.utils import timezone
from msgspec import Meta
from rest_framework.request import Request
from rest_framework.response import Response

from api.breeding_figures import RowsAsked, ShareOut
from api.structs import Out, from_row
from api.views import Door
from clutches.queries.figures import Asked as Wanted
from clutches.queries.sex_ratios import sex_ratios
from clutches.rules.figures.grouping import GroupBy
from clutches.rules.sexing.ratios import GroupSexes
from clutches.rules.sexing.temperatures import RatioTold
from core.roles import Permission


class SexRatiosAsked(RowsAsked, frozen=True):
    """Of which clutches, told apart by what."""

    by: Annotated[GroupBy, Meta(description="What tells groups apart.")] = (
        GroupBy.CLUTCH
    )


class PublishedRatioOut(Out, frozen=True):
    """What is published at the mean temperature of a group's eggs."""

    temperature_c: Annotated[
        Decimal, Meta(description="Mean of the measured hours, °C, to a tenth.")
    ]
    female_pct: Annotated[
        Decimal | None,
        Meta(description="Females, %; null: nothing is published at that point."),
    ]
    told: Annotated[str, Meta(description="The same in words.")]


class SexRatioOut(Out, frozen=True):
    """Sexes of the hatchlings of one group."""

    group: str
    female: int
    male: int
    confirmed: Annotated[int, Meta(description="How many of these are confirmed.")]
    unclear: Annotated[int, Meta(description="Not settled; they are part of no share.")]
    females: Annotated[ShareOut, Meta(description="Exact interval.")]
    p: Annotated[
        float | None,
        Meta(
            description="Exact two-sided binomial test against as many of each; null: "
            "fewer than five are known, or warmth decides the sex."
        ),
    ]
    by_warmth: Annotated[
        bool,
        Meta(description="As many of each is not expected: warmth decides the sex."),
    ]
    published: PublishedRatioOut | None


class SexRatiosOut(Out, frozen=True):
    """Sex ratios of all groups in which anything hatched."""

    by: GroupBy
    groups: tuple[SexRatioOut, ...]


class SexRatios(Door):
    """How many of each sex hatched."""

    permissions = {"retrieve": Permission.SEE_ANIMALS}
    asks = {"retrieve": SexRatiosAsked}
    gives = {"retrieve": SexRatiosOut}

    def retrieve(self, request: Request) -> Response:
        """Show how many of each sex hatched, with interval and test.

        Counted is what was seen: no animal gets a sex from a temperature. Whoever
        compares twenty groups finds one with a p under 0.05 by chance alone.
        """
        asked = self.asked
        assert isinstance(asked, SexRatiosAsked)  # noqa: S101 - see `asks`
        wanted = Wanted(
            species=asked.species,
            site=asked.site,
            from_year=asked.from_year,
            until_year=asked.until_year,
        )
        found = sex_ratios(asked=wanted, by=asked.by, at=timezone.now())
        return Response(SexRatiosOut(by=asked.by, groups=tuple(map(_group, found))))


def _group(found: GroupSexes) -> SexRatioOut:
    sexes = found.sexes
    return SexRatioOut(
        group=found.group,
        female=sexes.female,
        male=sexes.male,
        confirmed=sexes.confirmed,
        unclear=sexes.unclear,
        females=from_row(sexes.females, ShareOut),
        p=found.p,
        by_warmth=found.by_warmth,
        published=None if found.published is None else _published(found.published),
    )


def _published(told: RatioTold) -> PublishedRatioOut:
    return PublishedRatioOut(
        temperature_c=told.temperature_c,
        female_pct=told.exact.female_pct if told.exact else None,
        told=told.sentence,
    )
