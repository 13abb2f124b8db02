"""Eggs as the rules about their states read them."""

from collections.abc import Mapping, Sequence
from datetime import date

from clutches.models import Egg
from clutches.queries.eggs import Lying, egg_name
from clutches.rules.eggs.stages import judged_from_days
from clutches.rules.eggs.states import EggStanding
from clutches.rules.vocabulary import EggState
from husbandry.queries.profiles import profiles_on_days


def standings(
    *, eggs: Sequence[Egg], lies: Mapping[int, Lying], on: date
) -> tuple[EggStanding, ...]:
    """Return eggs as they stand, with what their profiles say; two queries.

    Args:
        eggs: with their clutches.
        lies: where they lie, by egg.
        on: the local day for which a profile is to be in force.
    """
    wanted = {(egg.clutch.species_id, on) for egg in eggs}
    profiles = profiles_on_days(wanted=wanted)
    return tuple(
        EggStanding(
            label=label_of(egg, lies.get(egg.pk)),
            state=EggState(egg.state),
            laid_on=egg.clutch.laid_on,
            pipped_on=egg.pipped_on,
            ended_on=egg.ended_on,
            judged_from_days=judged_from_days(
                profiles.get((egg.clutch.species_id, on))
            ),
        )
        for egg in eggs
    )


def label_of(egg: Egg, spot: Lying | None) -> str:
    """Return how an egg is called, with where it lies: `egg 7 of C-1 (B3 of BX-1)`."""
    where = f" ({spot.at})" if spot and spot.at else ""
    return f"{egg_name(egg)}{where}"
