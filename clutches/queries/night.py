"""What the night of a site's eggs, females and hatchlings needs to know."""

from collections.abc import Mapping
from datetime import UTC, datetime

from clutches.queries.eggs import clutches_at, egg_groups, unplaced_eggs
from clutches.queries.layings import breeding_females
from clutches.queries.plans import phase_plans
from clutches.queries.sexing import second_look_asked, unsettled_animals
from clutches.queries.tracks import box_spells, past_clutches, tracks_of
from clutches.rules.facts import ClutchNight
from core.models import Site
from husbandry.queries.profiles import profiles_in_force
from husbandry.rules.night.facts import NightFacts
from husbandry.rules.policies import tuned
from husbandry.rules.profiles.values import Profile


def clutch_night(*, site: Site, facts: NightFacts) -> ClutchNight:
    """Gather what is known of one site's breeding for one local day.

    Args:
        site: where.
        facts: what the review gathered of the same night; its policies hold.

    Returns:
        Frozen values, as of the end of that day whenever it is asked. As many
        queries for many clutches as for one.
    """
    day, zone = facts.day, facts.zone
    ends_at = datetime.fromtimestamp(day.end_s, UTC)
    waiting = clutches_at(site=site, at=ends_at)
    females = breeding_females(site=site, on=day.on)
    species = set(waiting.values()) | {female.species for female in females}
    profiles = _profiles(species, facts)
    plans = phase_plans(clutch_ids=waiting.keys(), profiles=profiles)
    groups = egg_groups(site=site, at=ends_at, zone=zone, plans=plans)
    spells = box_spells(groups=groups, day=day, zone=zone)
    return ClutchNight(
        day=day,
        zone=zone,
        groups=groups,
        unplaced=unplaced_eggs(site=site, at=ends_at),
        spells=spells,
        tracks=tracks_of(groups=groups, spells=spells, until_s=day.start_s),
        past=past_clutches(
            species_ids={group.species for group in groups}, before=day.on
        ),
        females=females,
        unsettled=unsettled_animals(site=site, on=day.on),
        second_look=second_look_asked(on=day.on),
        profiles=profiles,
    )


def _profiles(
    species: set[int], facts: NightFacts
) -> Mapping[int, tuple[int, Profile]]:
    found = profiles_in_force(species_ids=species, on=facts.day.on)
    policies = tuple(facts.policies.values())
    return {
        key: (one.version, tuned(one.profile, policies)) for key, one in found.items()
    }
