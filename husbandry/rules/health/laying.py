"""Trouble of a female that carries or lays eggs: what to look at, no diagnosis."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal
from typing import Any

from husbandry.rules.assessments import Assessment
from husbandry.rules.care.facts import (
    CaredAnimal,
    CaredEnclosure,
    CareFacts,
    ObservationFact,
)
from husbandry.rules.health.appetite import (
    MEALS_IN_A_ROW,
    gravid_spell,
    refused_meals,
)
from husbandry.rules.profiles.resolving import incubation_for
from husbandry.rules.profiles.values import IncubationRule, Provenance
from husbandry.rules.profiles.vocabulary import IncubationMatter
from husbandry.rules.vocabulary import (
    FindingKind,
    ObservationKind,
    Observed,
    Sex,
    Standing,
    Urgency,
)

SEEN_WITHIN_DAYS = 3
STOPPED_HOURS = Decimal(48)
_REVIEWED_ON = date(2026, 11, 25)
FASTING = Provenance("vca-dystocia", Standing.PUBLISHED, _REVIEWED_ON)
NO_BIN = Provenance("common-practice", Standing.COMMON_PRACTICE, _REVIEWED_ON)
STOPPED = Provenance("wikivet", Standing.PUBLISHED, _REVIEWED_ON)


@dataclass(frozen=True, slots=True)
class Trouble:
    """One thing about laying that somebody must look at.

    Attributes:
        which: gravid_fasting, gravid_weak, digging_without_bin, laying_stopped or
            gravid_long.
    """

    which: str
    urgency: Urgency
    facts: dict[str, Any]
    provenance: Provenance
    rule_id: str = ""


def assess_laying(
    animal: CaredAnimal, facts: CareFacts, *, on: date
) -> Iterator[Assessment]:
    """Tell what is wrong about carrying and laying eggs at the end of a local day.

    Carries eggs and refuses food, but bright: watch; weak: now; not looked at for
    three days: today. Digs without a laying bin: now. Laying stopped: today, and now
    once as many hours have passed as the profile says (exactly as many do). Carries
    eggs for longer than the profile's days from mating to laying: today.

    Args:
        animal: with its gravid spells, feedings and observations.
        facts: the zone and the enclosures.
        on: the local day.

    Source:
        vca-dystocia (fasting but bright), wikivet (48 hours), common-practice (a
        bin), care-task-convention (three days, and today where nobody looked).
    """
    if animal.sex is Sex.MALE:
        return
    spell = gravid_spell(animal, on=on)
    # The last day of a spell is that of laying: then the eggs are out.
    carrying = spell is not None and spell.until_on != on
    found = (
        _off_food(animal, on=on) if carrying else None,
        _digging(animal, facts, on=on),
        _stopped(animal, facts, on=on),
        _long(animal, since_on=spell.from_on, on=on) if spell and carrying else None,
    )
    for trouble in found:
        if trouble is not None:
            yield Assessment(
                FindingKind.LAYING_TROUBLE,
                trouble.urgency,
                {"trouble": trouble.which, **trouble.facts},
                rule_id=trouble.rule_id,
                provenance=trouble.provenance,
                detail=(trouble.which,),
                animal=animal.id,
            )


def _off_food(animal: CaredAnimal, *, on: date) -> Trouble | None:
    seen = _newest(animal, ObservationKind.ALERTNESS, on=on)
    recent = seen is not None and (on - seen.on).days <= SEEN_WITHIN_DAYS
    alertness = seen.observed if seen and recent else None
    refused = refused_meals(animal, on=on)
    facts = {
        "meals": len(refused),
        "since_on": refused[0].on.isoformat() if refused else None,
        "alertness": alertness.value if alertness else None,
        "looked_on": seen.on.isoformat() if seen else None,
    }
    if alertness is Observed.WEAK:
        urgency = Urgency.NOW if refused else Urgency.TODAY
        which = "gravid_fasting" if refused else "gravid_weak"
        return Trouble(which, urgency, facts, FASTING)
    if len(refused) < MEALS_IN_A_ROW:
        return None
    bright = alertness is Observed.BRIGHT
    urgency = Urgency.WATCH if bright else Urgency.TODAY
    return Trouble("gravid_fasting", urgency, facts, FASTING)


def _digging(animal: CaredAnimal, facts: CareFacts, *, on: date) -> Trouble | None:
    seen = _newest(animal, ObservationKind.DIGGING, on=on)
    home = _home(animal, facts)
    if seen is None or home is None or home.laying_bin:
        return None
    old = (on - seen.on).days > SEEN_WITHIN_DAYS
    if old or seen.observed is Observed.FINISHED or _laid_since(animal, seen, on=on):
        return None
    told = {"seen_on": seen.on.isoformat(), "home": home.code, "note": seen.note}
    return Trouble("digging_without_bin", Urgency.NOW, told, NO_BIN)


def _laid_since(animal: CaredAnimal, seen: ObservationFact, *, on: date) -> bool:
    laying = _newest(animal, ObservationKind.LAYING, on=on)
    return (
        laying is not None
        and laying.at > seen.at
        and laying.observed is Observed.FINISHED
    )


def _stopped(animal: CaredAnimal, facts: CareFacts, *, on: date) -> Trouble | None:
    """Say since when laying has stopped, by the end of the local day."""
    seen = _newest(animal, ObservationKind.LAYING, on=on)
    if seen is None or seen.observed is not Observed.STOPPED:
        return None
    rule = _rule(animal, IncubationMatter.LAYING_STOPPED_HOURS)
    limit = rule.high if rule and rule.high is not None else STOPPED_HOURS
    next_day = datetime.combine(on + timedelta(days=1), time.min, tzinfo=facts.zone)
    passed = next_day.astimezone(UTC) - seen.at
    reached = passed >= timedelta(hours=float(limit))
    told = {
        "stopped_at": seen.at.astimezone(facts.zone).strftime("%Y-%m-%d %H:%M"),
        "hours": round(passed.total_seconds() / 3600, 1),
        "limit_hours": float(limit),
        "eggs": seen.eggs,
    }
    return Trouble(
        "laying_stopped",
        Urgency.NOW if reached else Urgency.TODAY,
        told,
        rule.provenance if rule else STOPPED,
        rule.id if rule else "",
    )


def _long(animal: CaredAnimal, *, since_on: date, on: date) -> Trouble | None:
    rule = _rule(animal, IncubationMatter.MATING_TO_LAYING_DAYS)
    days = (on - since_on).days
    if rule is None or rule.high is None or days <= rule.high:
        return None
    told = {
        "since_on": since_on.isoformat(),
        "days": days,
        "limit_days": float(rule.high),
    }
    return Trouble("gravid_long", Urgency.TODAY, told, rule.provenance, rule.id)


def _newest(
    animal: CaredAnimal, kind: ObservationKind, *, on: date
) -> ObservationFact | None:
    seen = (o for o in animal.observations if o.kind is kind and o.on <= on)
    return max(seen, key=lambda o: (o.at, o.id), default=None)


def _home(animal: CaredAnimal, facts: CareFacts) -> CaredEnclosure | None:
    return None if animal.enclosure is None else facts.enclosures.get(animal.enclosure)


def _rule(animal: CaredAnimal, matter: IncubationMatter) -> IncubationRule | None:
    return incubation_for(animal.profile, matter) if animal.profile else None
