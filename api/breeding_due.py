"""Breeding due: what is to be done among the eggs of clutches, today and next."""

from datetime import date
from typing import Annotated

from django.utils import timezone
from msgspec import Meta
from rest_framework.request import Request
from rest_framework.response import Response

from api.clutch_structs import EggCountsOut
from api.named import clutch_named
from api.structs import Asked, Out, Ref, from_row
from api.views import Door
from clutches.queries.breeding import BreedingClutch, breeding_list
from clutches.rules.eggs.due import Due
from clutches.rules.vocabulary import EggDue, EggStage, EggState, ForecastBasis
from core.roles import Permission


class BreedingDueAsked(Asked, frozen=True):
    """Of which clutch."""

    clutch: Annotated[
        str | None, Meta(description="Code of one clutch; all unless given.")
    ] = None


class EggDueOut(Out, frozen=True):
    """One thing to do among the eggs of a clutch."""

    kind: EggDue
    on: Annotated[date, Meta(description="The first local day on which it is due.")]
    until_on: Annotated[
        date | None, Meta(description="Last day of a window; null: of no window.")
    ]
    is_due: Annotated[bool, Meta(description="By `today`; false: it comes later.")]
    eggs: Annotated[int, Meta(description="Of how many.")]
    box: Annotated[
        str | None, Meta(description="Code, where it is about one box; null.")
    ]


class AwaitedBoxOut(Out, frozen=True):
    """One box with eggs of a clutch."""

    code: str
    incubator: Annotated[str | None, Meta(description="Code; null: it stands in none.")]
    eggs: Annotated[int, Meta(description="Of the clutch, that have not ended.")]
    put_on: Annotated[
        date, Meta(description="Local day on which the first of them came into it.")
    ]
    checked_on: Annotated[
        date | None,
        Meta(description="Local day of the last look at it or an egg in it."),
    ]


class AwaitedWindowOut(Out, frozen=True):
    """Between which days eggs are expected to hatch; it is no promise."""

    earliest_on: date
    likely_on: date | None
    latest_on: date
    basis: Annotated[ForecastBasis, Meta(description="What it rests on.")]
    on: Annotated[
        date | None,
        Meta(description="The night of the forecast; null: the profile's window."),
    ]


class AwaitedClutchOut(Out, frozen=True):
    """One clutch of which eggs are awaited, with what is to be done."""

    clutch: Ref
    species: Annotated[str, Meta(description="Code of the species.")]
    dam: Annotated[Ref | None, Meta(description="The female; null: not known.")]
    site: Ref
    laid_on: date
    today: Annotated[date, Meta(description="The local day where it is.")]
    day: Annotated[int, Meta(description="Days since laying.")]
    eggs: EggCountsOut
    unplaced: Annotated[
        int, Meta(description="Of those that have not ended, in no box.")
    ]
    uncandled: Annotated[
        int, Meta(description="Of these, not candled since the day on which it tells.")
    ]
    stage: Annotated[
        EggStage,
        Meta(
            description="What is expected of an egg on this day; warmth may hurry it."
        ),
    ]
    stage_rule_id: Annotated[
        str, Meta(description="The care profile's row; empty: none says so.")
    ]
    boxes: tuple[AwaitedBoxOut, ...]
    windows: Annotated[
        tuple[AwaitedWindowOut, ...],
        Meta(
            description="Of each box with a forecast, or the profile's; empty: not said."
        ),
    ]
    due: Annotated[tuple[EggDueOut, ...], Meta(description="The earliest first.")]


class BreedingDueOut(Out, frozen=True):
    """Every clutch of which eggs are awaited."""

    clutches: Annotated[
        tuple[AwaitedClutchOut, ...],
        Meta(description="By the first day of the hatch window; those without last."),
    ]


class BreedingDue(Door):
    """What is due among the eggs."""

    permissions = {"retrieve": Permission.SEE_ANIMALS}
    asks = {"retrieve": BreedingDueAsked}
    gives = {"retrieve": BreedingDueOut}

    def retrieve(self, request: Request) -> Response:
        """Show which clutches are awaited, and what is to be done among their eggs.

        Computed from the care profile, the forecasts and what was recorded; nothing of
        it is stored. Open no egg because a window has passed and pull nothing out of
        one that pipped: forecasts run late as well as early.
        """
        asked = self.asked
        assert isinstance(asked, BreedingDueAsked)  # noqa: S101 - see `asks`
        found = breeding_list(at=timezone.now(), clutch=clutch_named(asked.clutch))
        return Response(BreedingDueOut(clutches=tuple(map(_shown, found))))


def _shown(found: BreedingClutch) -> AwaitedClutchOut:
    waiting, states = found.waiting, dict(found.states)
    return AwaitedClutchOut(
        clutch=Ref(id=found.id, code=found.code),
        species=found.species_code,
        dam=None if found.dam is None else Ref(id=found.dam, code=found.dam_code),
        site=Ref(id=found.site_id, code=found.site_code),
        laid_on=found.laid_on,
        today=found.today,
        day=found.day,
        eggs=EggCountsOut(
            incubating=states[EggState.INCUBATING],
            pipped=states[EggState.PIPPED],
            hatched=states[EggState.HATCHED],
            failed=states[EggState.FAILED],
        ),
        unplaced=waiting.unplaced,
        uncandled=waiting.uncandled,
        stage=found.expected.stage,
        stage_rule_id=found.expected.rule_id,
        boxes=tuple(
            AwaitedBoxOut(
                code=box.code,
                incubator=box.incubator or None,
                eggs=box.eggs,
                put_on=box.put_on,
                checked_on=box.checked_on,
            )
            for box in waiting.boxes
        ),
        windows=tuple(from_row(window, AwaitedWindowOut) for window in waiting.windows),
        due=tuple(_due(one, today=found.today) for one in found.due),
    )


def _due(one: Due, *, today: date) -> EggDueOut:
    return EggDueOut(
        kind=one.kind,
        on=one.on,
        until_on=one.until_on,
        is_due=one.on <= today,
        eggs=one.eggs,
        box=one.box or None,
    )
