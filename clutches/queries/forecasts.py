"""What nights forecast, how that moved, and how well it would have held before."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from django.db.models import Exists, OuterRef, QuerySet

from clutches.models import Clutch, Egg, Forecast
from clutches.queries.plans import phase_plans
from clutches.queries.tracks import clutch_track, past_clutches
from clutches.rules.facts import PhasePlan, Track
from clutches.rules.forecasting.calibrating import Calibration, leave_one_out
from clutches.rules.vocabulary import EggState
from core.zones import day_bounds
from husbandry.models import Species
from husbandry.queries.profiles import profiles_in_force
from husbandry.rules.profiles.values import Profile


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
    profile: Profile
    calibration: Calibration


@dataclass(frozen=True, slots=True)
class Course:
    """How a clutch went and what was forecast of it.

    Attributes:
        on: the local day of its site.
        forecasts: box by box, oldest first.
        hatched_on: local days of its eggs that hatched, in order.
        plan: how it is kept; None: nobody says.
    """

    on: date
    forecasts: tuple[Forecast, ...]
    hatched_on: tuple[date, ...]
    plan: PhasePlan | None
    track: Track


def course_of(*, clutch: Clutch, at: datetime) -> Course:
    """Return how a clutch went until an instant; twelve queries at most.

    Args:
        clutch: with its site fetched.
        at: now; of a clutch that is over, its track ends with its last egg.
    """
    zone = ZoneInfo(clutch.site.time_zone)
    on = at.astimezone(zone).date()
    hatched_on = _hatched_on(clutch)
    over = hatched_on and not _open_eggs().filter(clutch=clutch).exists()
    last_on = hatched_on[-1] if over else on
    versions = profiles_in_force(species_ids=[clutch.species_id], on=on)
    plans = phase_plans(
        clutch_ids=[clutch.pk],
        profiles={key: (v.version, v.profile) for key, v in versions.items()},
    )
    until_s = min(day_bounds(last_on, zone=zone)[1], int(at.timestamp()))
    return Course(
        on=on,
        forecasts=forecasts_of_clutch(clutch=clutch),
        hatched_on=hatched_on,
        plan=plans.get(clutch.pk),
        track=clutch_track(clutch=clutch, until_s=until_s),
    )


def _hatched_on(clutch: Clutch) -> tuple[date, ...]:
    rows = Egg.objects.filter(clutch=clutch, state=EggState.HATCHED.value)
    days = rows.order_by("ended_on").values_list("ended_on", flat=True)
    return tuple(day for day in days if day is not None)


def _open_eggs() -> QuerySet[Egg]:
    return Egg.objects.filter(
        state__in=[EggState.INCUBATING.value, EggState.PIPPED.value]
    )


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
    left = _open_eggs().filter(
        clutch=OuterRef("clutch"),
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
            profile=version.profile,
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
