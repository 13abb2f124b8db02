"""How a home's enclosure, its readings and its reviews are told."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from core.units import LengthUnit, from_centimetres
from husbandry.rules.sentences import names
from husbandry.rules.vocabulary import EnclosureKind, Quantity, Zone
from placements.actions.home_readings import Taken
from placements.models import HomeEnclosure, ReadinessReview
from placements.queries.home_enclosures import judged_now
from placements.rules.readiness.files import HomeFile
from placements.rules.readiness.judging import to_document
from placements.rules.readiness.sentences import (
    STATES,
    MatterWords,
    matter_words,
    summary,
)
from placements.rules.readiness.telling import LAMPS
from placements.rules.readiness.values import AnimalNeeds
from placements.rules.vocabulary import Readiness, UnitSystem, UvbLamp
from staff.home_forms import KINDS, length_unit
from staff.units import count, day


@dataclass(frozen=True, slots=True)
class Fact:
    """One thing about an enclosure."""

    what: str
    value: str


@dataclass(frozen=True, slots=True)
class Judged:
    """How an enclosure compares: what is still to be done, and what is as wanted."""

    summary: str
    open: tuple[MatterWords, ...]
    settled: tuple[MatterWords, ...]


@dataclass(frozen=True, slots=True)
class Spot:
    """One quantity that was measured at one spot."""

    zone: str
    quantity: str
    about: str


@dataclass(frozen=True, slots=True)
class ReviewTold:
    """One review as it is listed; `stale`: the enclosure was described anew since."""

    on: str
    about: str
    outcome: str
    by: str
    stale: bool
    matters: tuple[str, ...]


def judged_words(
    enclosure: HomeEnclosure, needs: AnimalNeeds, system: UnitSystem, *, at: datetime
) -> Judged:
    """Return how an enclosure compares now, what is not as wanted first."""
    states = judged_now(enclosure=enclosure, needs=needs, at=at)
    words = [matter_words(m, system) for m in to_document(states, stage=needs.stage)]
    order = (Readiness.NOT_AS_WANTED, Readiness.NOT_KNOWN, Readiness.AS_WANTED)
    words.sort(key=lambda word: order.index(word.state))
    return Judged(
        summary=summary(words),
        open=tuple(w for w in words if w.state is not Readiness.AS_WANTED),
        settled=tuple(w for w in words if w.state is Readiness.AS_WANTED),
    )


def enclosure_facts(enclosure: HomeEnclosure, system: UnitSystem) -> tuple[Fact, ...]:
    """Return how a home describes its enclosure."""
    unit = length_unit(system)
    size = " × ".join(
        _length(side, unit)
        for side in (enclosure.width_cm, enclosure.depth_cm, enclosure.height_cm)
    )
    lamp = LAMPS[UvbLamp(enclosure.uvb_lamp)]
    if enclosure.uvb_percent is not None:
        lamp += f", {enclosure.uvb_percent.normalize():f} %"
    if enclosure.uvb_distance_cm is not None:
        lamp += (
            f", {_length(enclosure.uvb_distance_cm, unit)} {unit.value} to the perch"
        )
    kind = EnclosureKind(enclosure.kind)
    return (
        Fact("Size inside", f"{size} {unit.value} wide, deep, high"),
        Fact("Made of", KINDS.get(kind, kind.value)),
        Fact(
            "Lights",
            f"{enclosure.lights_on:%H:%M} to {enclosure.lights_off:%H:%M}, "
            f"{enclosure.time_zone}",
        ),
        Fact("UVB light", lamp),
        Fact("Laying bin", "there" if enclosure.laying_bin else "none"),
        Fact("Animals in it", str(enclosure.other_animals)),
        *((Fact("Note", enclosure.note),) if enclosure.note else ()),
    )


def _length(value_cm: Decimal, unit: LengthUnit) -> str:
    return f"{from_centimetres(value_cm, unit):.1f}".removesuffix(".0")


def measured_spots(enclosure: HomeEnclosure) -> tuple[Spot, ...]:
    """Return what was measured where in an enclosure; one query."""
    pairs = enclosure.readings.order_by("zone", "quantity").values_list(
        "zone", "quantity"
    )
    return tuple(
        Spot(
            zone,
            quantity,
            f"{names.QUANTITIES[Quantity(quantity)]} {names.ZONES[Zone(zone)]}",
        )
        for zone, quantity in pairs.distinct()
    )


def reviews_told(
    reviews: Iterable[ReadinessReview], enclosure: HomeEnclosure
) -> tuple[ReviewTold, ...]:
    """Return reviews as they are listed, with what kept each from being as wanted."""
    return tuple(
        ReviewTold(
            on=day(review.on),
            about=str(review.animal or review.species),
            outcome=STATES[Readiness(review.outcome)],
            by=str(review.judged_by or ""),
            stale=review.judged_at < enclosure.recorded_at,
            matters=tuple(
                f"{words.title}: {words.stands}"
                for words in (
                    matter_words(judged, UnitSystem.METRIC) for judged in review.result
                )
                if words.state is not Readiness.AS_WANTED
            ),
        )
        for review in reviews
    )


def taken_told(taken: Taken) -> str:
    """Return what became of readings, in a sentence."""
    told = f"Kept: {count(taken.stored, 'value')}."
    if taken.known:
        told += f" {count(taken.known, 'value')} had been kept before."
    if taken.conflicting:
        told += (
            f" {count(taken.conflicting, 'value')} left out: another value of the same "
            "time was kept before, and stays."
        )
    return told


def file_told(read: HomeFile, taken: Taken) -> tuple[str, ...]:
    """Return what became of a file, sentence by sentence."""
    told = [f"{read.name}, {count(read.rows_read, 'row')}. {taken_told(taken)}"]
    if read.too_old:
        told.append(
            f"{count(read.too_old, 'value')} from more than 30 days ago were left out."
        )
    if read.rows_refused:
        told.append(f"{count(read.rows_refused, 'row')} could not be read.")
    return (*told, *read.told[:5])
