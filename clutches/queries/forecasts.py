"""What nights forecast, how that moved, and how well it would have held before."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Exists, OuterRef, QuerySet

from clutches.models import Clutch, Egg, Forecast
from clutches.queries.tracks import past_clutches
from clutches.rules.forecasting.calibrating import Calibration, leave_one_out
from clutches.rules.vocabulary import EggState
from husbandry.models import Species
from husbandry.queries.profiles import profiles_in_force


@dataclass(frozen=True, slots=True)
class SpeciesCalibration:
    """How well forecasts of one species would have held.

    Attributes:
        version: of its care profile.
    """

    species: int
    code: str
    name: str
    version: int
    calibration: Calibration


def forecasts() -> QuerySet[Forecast]:
    """Return all forecasts with their clutches and boxes.

    They can be narrowed by `newest`: true of the newest of each clutch in its box.
    """
    return Forecast.objects.alias(newest=~_newer()).select_related("clutch", "box")


def open_forecasts(
    *, clutch_ids: Collection[int] | None = None
) -> tuple[Forecast, ...]:
    """Return the newest forecast of each clutch and box with eggs left; one query.

    Args:
        clutch_ids: of which clutches; None: of all.

    Returns:
        By the day from which they are expected, then by clutch and box.
    """
    left = Egg.objects.filter(
        clutch=OuterRef("clutch"),
        state__in=[EggState.INCUBATING.value, EggState.PIPPED.value],
        places__box=OuterRef("box"),
        places__until_at__isnull=True,
    )
    rows = forecasts().filter(~_newer(), Exists(left))
    if clutch_ids is not None:
        rows = rows.filter(clutch__in=clutch_ids)
    return tuple(rows.order_by("earliest_on", "clutch__code", "box__code"))


def forecasts_of_clutch(*, clutch: Clutch) -> tuple[Forecast, ...]:
    """Return how a clutch's forecasts moved, box by box, oldest first; one query."""
    return tuple(forecasts().filter(clutch=clutch).order_by("box__code", "on"))


def calibrations(
    *, on: date, species_code: str | None = None
) -> tuple[SpeciesCalibration, ...]:
    """Return how well forecasts would have held, species by species.

    Nine queries at most, however many clutches and species there are.

    Args:
        on: the local day up to whose end clutches count as hatched.
        species_code: of one species only; None: of all.

    Returns:
        In order of their names, the species of which a clutch of eggs is on record
        and a care profile is published.
    """
    rows = Species.objects.filter(
        Exists(Clutch.objects.filter(species=OuterRef("pk"), eggs_set__gt=0))
    )
    if species_code is not None:
        rows = rows.filter(code=species_code)
    species = list(rows.order_by("common_name", "pk"))
    keys = [one.pk for one in species]
    versions = profiles_in_force(species_ids=keys, on=on)
    hatched = past_clutches(species_ids=keys, before=on + timedelta(days=1))
    return tuple(
        SpeciesCalibration(
            species=one.pk,
            code=one.code,
            name=one.common_name,
            version=version.version,
            calibration=leave_one_out(
                [clutch for clutch in hatched if clutch.species == one.pk],
                version.profile,
            ),
        )
        for one in species
        if (version := versions.get(one.pk)) is not None
    )


def _newer() -> Exists:
    """Return whether there is a newer forecast of the same clutch and box."""
    return Exists(
        Forecast.objects.filter(
            clutch=OuterRef("clutch"), box=OuterRef("box"), on__gt=OuterRef("on")
        )
    )
