"""Whether each animal's enclosure is large enough, its own, out of sight and furnished.

Values in, assessments out, for a whole site at once. What is wanted comes resolved
from the animal's care profile; what nobody wants is not assessed.
"""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from husbandry.rules.enclosure_sizes import too_small
from husbandry.rules.profiles.values import (
    CompanyRule,
    HousingRule,
    LayingRule,
    LightHours,
    Provenance,
)
from husbandry.rules.vocabulary import FindingKind, Reproduction, Urgency


@dataclass(frozen=True, slots=True)
class HousedAnimal:
    """One animal in care, and what its profile wants of its enclosure.

    Attributes:
        id: its key.
        label: code and name, as people say them.
        enclosure: where it was at the end of the day; None: nowhere on record.
        reproduction: its state on that day.
        size, company, laying, light_hours: the profile's rows that hold for it;
            None where the profile says nothing.
    """

    id: int
    label: str
    enclosure: int | None
    reproduction: Reproduction
    size: HousingRule | None
    company: CompanyRule | None
    laying: LayingRule | None
    light_hours: LightHours | None


@dataclass(frozen=True, slots=True)
class EnclosureState:
    """How an enclosure stood on that day.

    Attributes:
        width_cm, depth_cm, height_cm: inner size; None: no set-up is on record.
        laying_bin: whether a place to dig and lay was there.
        light_h: how long its lights burned, hours.
    """

    id: int
    code: str
    width_cm: Decimal | None
    depth_cm: Decimal | None
    height_cm: Decimal | None
    laying_bin: bool
    light_h: float


@dataclass(frozen=True, slots=True)
class HousingAssessment:
    """One thing that is wrong with where an animal lives.

    Attributes:
        animal: the animal's key.
        enclosure: the enclosure's key; None: it has none.
        decided: False where nobody has described the enclosure, so that it cannot
            be said.
        facts: the numbers that made it, as plain JSON values.
        rule_id: the profile's row; "" where no row is behind it.
        provenance: of that row.
    """

    animal: int
    enclosure: int | None
    kind: FindingKind
    urgency: Urgency
    decided: bool
    facts: dict[str, Any]
    rule_id: str
    provenance: Provenance | None


@dataclass(frozen=True, slots=True)
class _Housed:
    """An animal in its enclosure, with those it shares it with or can see."""

    animal: HousedAnimal
    enclosure: EnclosureState
    sharing: tuple[HousedAnimal, ...]
    seen: tuple[tuple[HousedAnimal, str], ...]


def assess_housing(
    animals: Sequence[HousedAnimal],
    *,
    enclosures: Mapping[int, EnclosureState],
    sight_lines: Sequence[tuple[int, int]],
) -> tuple[HousingAssessment, ...]:
    """Assess where every animal of a site lived at the end of a local day.

    Args:
        animals: those in care, in any order, each once.
        enclosures: those of the site, by key. An animal in an enclosure that is
            not among them is taken to be elsewhere and is passed over.
        sight_lines: pairs of enclosures from each of which the other can be seen.

    Returns:
        What is wrong, animal by animal in the order given.

    Source:
        willems-dvm, ballen-2014 and common-practice, as the profile's rows name
        them; the urgencies are this project's convention.
    """
    occupants = _occupants(animals)
    neighbours = _neighbours(sight_lines)
    found: list[HousingAssessment] = []
    for animal in animals:
        if animal.enclosure is None:
            found.append(_no_enclosure(animal))
        elif animal.enclosure in enclosures:
            housed = _Housed(
                animal,
                enclosures[animal.enclosure],
                tuple(a for a in occupants[animal.enclosure] if a.id != animal.id),
                tuple(
                    (other, enclosures[key].code)
                    for key in sorted(neighbours[animal.enclosure])
                    if key in enclosures
                    for other in occupants.get(key, ())
                ),
            )
            found.extend(_assess(housed))
    return tuple(found)


def _occupants(animals: Sequence[HousedAnimal]) -> dict[int, list[HousedAnimal]]:
    found: dict[int, list[HousedAnimal]] = defaultdict(list)
    for animal in animals:
        if animal.enclosure is not None:
            found[animal.enclosure].append(animal)
    return found


def _neighbours(sight_lines: Sequence[tuple[int, int]]) -> dict[int, set[int]]:
    found: dict[int, set[int]] = defaultdict(set)
    for one, other in sight_lines:
        found[one].add(other)
        found[other].add(one)
    return found


def _assess(housed: _Housed) -> Iterator[HousingAssessment]:
    for assess in (_size, _laying_bin, _company, _sight, _light_hours):
        assessment = assess(housed)
        if assessment is not None:
            yield assessment


def _no_enclosure(animal: HousedAnimal) -> HousingAssessment:
    return HousingAssessment(
        animal=animal.id,
        enclosure=None,
        kind=FindingKind.NO_ENCLOSURE,
        urgency=Urgency.TODAY,
        decided=True,
        facts={},
        rule_id="",
        provenance=None,
    )


def _assessment(
    housed: _Housed,
    kind: FindingKind,
    urgency: Urgency,
    rule: HousingRule | CompanyRule | LayingRule | LightHours,
    facts: dict[str, Any],
    *,
    decided: bool = True,
) -> HousingAssessment:
    return HousingAssessment(
        animal=housed.animal.id,
        enclosure=housed.enclosure.id,
        kind=kind,
        urgency=urgency,
        decided=decided,
        facts={"rule": rule.id, **facts},
        rule_id=rule.id,
        provenance=rule.provenance,
    )


def _size(housed: _Housed) -> HousingAssessment | None:
    rule, enclosure = housed.animal.size, housed.enclosure
    if rule is None:
        return None
    width_cm, depth_cm = enclosure.width_cm, enclosure.depth_cm
    height_cm = enclosure.height_cm
    kind = FindingKind.ENCLOSURE_TOO_SMALL
    facts: dict[str, Any] = {"failed": []}
    if width_cm is None or depth_cm is None or height_cm is None:
        return _assessment(housed, kind, Urgency.WATCH, rule, facts, decided=False)
    size_cm = (width_cm, depth_cm, height_cm)
    failed = too_small(rule, size_cm)
    if not failed:
        return None
    facts = {
        "failed": [
            {"dimension": name, "is_cm": float(is_cm), "min_cm": float(min_cm)}
            for name, is_cm, min_cm in failed
        ],
        "size_cm": [float(side) for side in size_cm],
    }
    return _assessment(housed, kind, Urgency.WATCH, rule, facts)


def _laying_bin(housed: _Housed) -> HousingAssessment | None:
    rule = housed.animal.laying
    if rule is None or housed.enclosure.laying_bin:
        return None
    gravid = housed.animal.reproduction is Reproduction.GRAVID
    return _assessment(
        housed,
        FindingKind.NO_LAYING_BIN,
        Urgency.NOW if gravid else Urgency.TODAY,
        rule,
        {"gravid": gravid},
        decided=housed.enclosure.width_cm is not None,
    )


def _company(housed: _Housed) -> HousingAssessment | None:
    rule = housed.animal.company
    if rule is None or not housed.sharing:
        return None
    allowed = 1 if rule.alone else rule.max_group
    if len(housed.sharing) + 1 <= allowed:
        return None
    facts = {
        "with": [a.label for a in housed.sharing],
        "animals": len(housed.sharing) + 1,
        "allowed": allowed,
    }
    return _assessment(housed, FindingKind.SHARED_ENCLOSURE, Urgency.TODAY, rule, facts)


def _sight(housed: _Housed) -> HousingAssessment | None:
    rule = housed.animal.company
    if rule is None or not rule.no_sight_of_others:
        return None
    seen = [
        {"animal": other.label, "enclosure": code}
        for other, code in housed.seen
        if other.company is not None and other.company.no_sight_of_others
    ]
    if not seen:
        return None
    return _assessment(
        housed, FindingKind.IN_SIGHT, Urgency.WATCH, rule, {"seen": seen}
    )


def _light_hours(housed: _Housed) -> HousingAssessment | None:
    rule, light_h = housed.animal.light_hours, housed.enclosure.light_h
    if rule is None or rule.hours_low <= Decimal(str(light_h)) <= rule.hours_high:
        return None
    facts = {
        "light_h": light_h,
        "hours_low": float(rule.hours_low),
        "hours_high": float(rule.hours_high),
    }
    return _assessment(
        housed,
        FindingKind.LIGHT_HOURS,
        Urgency.WATCH,
        rule,
        facts,
        # Without a set-up, that the sun lights it is only supposed.
        decided=housed.enclosure.width_cm is not None,
    )
