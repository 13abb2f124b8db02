"""How animals in quarantine stand on a day: clock, criteria, where and with whom."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

from core.models import Site
from husbandry.models import Animal
from husbandry.queries.quarantine import OpenQuarantine, open_quarantines
from husbandry.rules.quarantine import is_kept_apart
from placements.models import Clearance
from placements.queries.quarantine_evidence import (
    open_findings,
    reviewed_nights,
    samples,
    weighings,
)
from placements.queries.quarantine_policies import quarantine_rules
from placements.queries.quarantine_rooms import (
    kept_apart_since,
    lodgings_of,
    stays_of,
    visits_of,
)
from placements.rules.quarantine.clock import (
    clock_restarts_on,
    earliest_end_on,
    exposures_of,
)
from placements.rules.quarantine.criteria import judge_criteria
from placements.rules.quarantine.policies import QuarantineRule
from placements.rules.quarantine.values import (
    Lodging,
    QuarantineFacts,
    QuarantineState,
)


@dataclass(frozen=True, slots=True)
class _Known:
    """What is known of the animals asked about, by animal."""

    species: Mapping[int, int]
    rules: Mapping[int, QuarantineRule]
    facts: Mapping[int, QuarantineFacts]
    lodgings: Mapping[int, Lodging]


def quarantine_states(
    *,
    site: Site | None = None,
    animal_ids: Collection[int] | None = None,
    on: date,
) -> tuple[QuarantineState, ...]:
    """Return how animals in quarantine stand at the end of a local day, by code.

    Nine queries and one more for a site, however many animals there are; where none
    is in quarantine, one or two.

    Args:
        site: of those that are there; None: of all.
        animal_ids: of these animals; None: of all.
        on: the day; health is judged by the last night reviewed before it.

    Returns:
        Animals that are not in quarantine on that day are absent.
    """
    held = open_quarantines(animal_ids=animal_ids, site=site, on=on)
    if not held:
        return ()
    known = _known(held, on)
    return tuple(_state(quarantine, known, on) for quarantine in held)


def states_today(
    *, at: datetime, animal_ids: Collection[int] | None = None
) -> tuple[QuarantineState, ...]:
    """Return how animals in quarantine stand now, each by its site's clock, by code.

    As `quarantine_states`, once for each day that it is now at some site, of which
    there are three at most anywhere on earth, and one query more.

    Args:
        at: now.
        animal_ids: of these animals; None: of all.
    """
    zones = Site.objects.order_by("pk").values_list("pk", "time_zone")
    days = {pk: at.astimezone(ZoneInfo(name)).date() for pk, name in zones}
    # One that lives nowhere is told by the first site's clock.
    first = next(iter(days.values()), at.astimezone(UTC).date())
    found = [
        state
        for on in sorted({*days.values(), first})
        for state in quarantine_states(animal_ids=animal_ids, on=on)
        if (days[state.lodging.site] if state.lodging else first) == on
    ]
    return tuple(sorted(found, key=lambda state: (state.code, state.id)))


def clearances_of(*, quarantine_ids: Collection[int]) -> dict[int, Clearance]:
    """Return the clearances of quarantines that have one; one query."""
    rows = Clearance.objects.filter(quarantine__in=quarantine_ids)
    return {
        row.quarantine_id: row
        for row in rows.select_related("cleared_by").order_by("pk")
    }


def _known(held: Collection[OpenQuarantine], on: date) -> _Known:
    ids = [q.animal for q in held]
    since = min(q.began_on for q in held)
    species = dict(Animal.objects.filter(pk__in=ids).values_list("pk", "species_id"))
    by_species = quarantine_rules(species_ids=set(species.values()))
    rules = {animal: by_species[species[animal]] for animal in ids}
    everybody = kept_apart_since(since=since, on=on)
    stays = stays_of(animal_ids={k.animal for k in everybody}, since=since, on=on)
    visits = visits_of(stays)
    own = {animal: stays[animal] for animal in ids if animal in stays}
    kept = {
        k.animal
        for k in everybody
        if is_kept_apart(began_on=k.began_on, ended_on=k.ended_on, on=on)
    }
    sites = {animal: rows[-1].site for animal, rows in own.items()}
    zones = {
        animal: own[animal][-1].zone if animal in own else ZoneInfo("UTC")
        for animal in ids
    }
    tests = samples(kinds={a: rule.test_kind for a, rule in rules.items()}, on=on)
    weighed = weighings(zones=zones, on=on)
    nights = reviewed_nights(sites=set(sites.values()), before=on)
    findings = open_findings(animal_ids=ids, nights=nights)
    by_id = {k.id: k for k in everybody}
    facts = {
        q.animal: QuarantineFacts(
            began_on=q.began_on,
            exposures=exposures_of(by_id[q.id], everybody, visits=visits, on=on),
            tests=tests.get(q.animal, ()),
            weighings=weighed.get(q.animal, ()),
            reviewed_on=nights.get(sites[q.animal]) if q.animal in sites else None,
            findings=findings.get(q.animal, ()),
        )
        for q in held
    }
    return _Known(species, rules, facts, lodgings_of(own, kept=kept, on=on))


def _state(quarantine: OpenQuarantine, known: _Known, on: date) -> QuarantineState:
    animal = quarantine.animal
    rule, facts = known.rules[animal], known.facts[animal]
    clock_from = clock_restarts_on(quarantine.began_on, facts.exposures)
    return QuarantineState(
        id=quarantine.id,
        animal=animal,
        code=quarantine.code,
        label=quarantine.label,
        species=known.species[animal],
        on=on,
        began_on=quarantine.began_on,
        group=quarantine.group,
        reason=quarantine.reason,
        clock_from=clock_from,
        exposures=facts.exposures,
        earliest_on=earliest_end_on(clock_from, days=rule.days),
        rule=rule,
        criteria=judge_criteria(facts, rule, on=on),
        lodging=known.lodgings.get(animal),
    )
