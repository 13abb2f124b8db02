"""Size, light hours, laying bin, company and sight, by the review's housing rules."""

from collections.abc import Iterator
from datetime import time
from typing import Any

from husbandry.rules.housing import (
    EnclosureState,
    HousedAnimal,
    HousingAssessment,
    assess_housing,
)
from husbandry.rules.night.evidence import row_basis
from husbandry.rules.profiles.resolving import (
    company_for,
    housing_for,
    laying_for,
    light_hours_for,
)
from husbandry.rules.profiles.values import (
    CompanyRule,
    HousingRule,
    LayingRule,
    LightHours,
    Profile,
)
from husbandry.rules.vocabulary import FindingKind, Sex
from placements.rules.readiness.values import AnimalNeeds, HomeSetup, Json, MatterState
from placements.rules.readiness.words import Why
from placements.rules.vocabulary import Readiness, ReadinessMatter

HOME, BESIDE = 1, 2
_NEWCOMER = 0
_WRONG = {
    ReadinessMatter.SIZE: (FindingKind.ENCLOSURE_TOO_SMALL, Why.TOO_SMALL),
    ReadinessMatter.LIGHT_HOURS: (FindingKind.LIGHT_HOURS, Why.LIGHT_HOURS),
    ReadinessMatter.LAYING_BIN: (FindingKind.NO_LAYING_BIN, Why.NO_LAYING_BIN),
    ReadinessMatter.COMPANY: (FindingKind.SHARED_ENCLOSURE, Why.SHARED),
    ReadinessMatter.SIGHT: (FindingKind.IN_SIGHT, Why.IN_SIGHT),
}
_Rule = HousingRule | LightHours | LayingRule | CompanyRule


def judge_housing(
    setup: HomeSetup, needs: AnimalNeeds, profile: Profile
) -> Iterator[MatterState]:
    """Judge where an animal is to live as the nightly review judges where it lives.

    Args:
        setup: the home's enclosure.
        needs: of the animal.
        profile: its care profile.

    Yields:
        One for each matter about which the profile says something; not known where
        it would depend on an age or sex that nobody knows.

    Source:
        willems-dvm, ballen-2014 and common-practice, as the profile's rows name
        them.
    """
    newcomer = _newcomer(needs, profile)
    found = {a.kind: a for a in _assessments(setup, newcomer)}
    rows = {
        ReadinessMatter.SIZE: (newcomer.size, profile.housing),
        ReadinessMatter.LIGHT_HOURS: (newcomer.light_hours, profile.light_hours),
        ReadinessMatter.COMPANY: (newcomer.company, profile.company),
    }
    for matter, (rule, others) in rows.items():
        if rule is not None:
            yield _compared(matter, rule, needs, setup, found)
        elif others and needs.stage is None:
            yield _unknown(matter, Why.AGE_NOT_KNOWN, setup)
    yield from _laying(setup, needs, profile, found)
    if newcomer.company is not None and newcomer.company.no_sight_of_others:
        yield _sight(newcomer.company, needs, setup, found)


def _newcomer(needs: AnimalNeeds, profile: Profile) -> HousedAnimal:
    return HousedAnimal(
        id=_NEWCOMER,
        label="the newcomer",
        enclosure=HOME,
        reproduction=needs.reproduction,
        size=housing_for(profile, needs.stage, needs.sex),
        company=company_for(profile, needs.stage),
        laying=laying_for(profile, needs.stage, needs.sex),
        light_hours=light_hours_for(profile, needs.stage),
    )


def _assessments(
    setup: HomeSetup, newcomer: HousedAnimal
) -> tuple[HousingAssessment, ...]:
    """Ask the review's rules about the newcomer, among those that live there."""
    others = [
        _other(newcomer, number + 1, HOME, None)
        for number in range(setup.other_animals)
    ]
    if setup.sees_others:
        others.append(_other(newcomer, len(others) + 1, BESIDE, newcomer.company))
    state = EnclosureState(
        id=HOME,
        code="the enclosure",
        width_cm=setup.width_cm,
        depth_cm=setup.depth_cm,
        height_cm=setup.height_cm,
        laying_bin=setup.laying_bin,
        light_h=light_hours(setup),
    )
    beside = EnclosureState(
        id=BESIDE,
        code="another",
        width_cm=None,
        depth_cm=None,
        height_cm=None,
        laying_bin=True,
        light_h=0,
    )
    assessed = assess_housing(
        [newcomer, *others],
        enclosures={HOME: state, BESIDE: beside},
        sight_lines=[(HOME, BESIDE)],
    )
    return tuple(a for a in assessed if a.animal == _NEWCOMER)


def _other(
    newcomer: HousedAnimal, number: int, where: int, company: CompanyRule | None
) -> HousedAnimal:
    return HousedAnimal(
        id=number,
        label=f"animal {number}",
        enclosure=where,
        reproduction=newcomer.reproduction,
        size=None,
        company=company,
        laying=None,
        light_hours=None,
    )


def light_hours(setup: HomeSetup) -> float:
    """Return how long the lights of a home's enclosure burn, in hours."""
    return (_seconds(setup.lights_off) - _seconds(setup.lights_on)) / 3600


def _seconds(at: time) -> int:
    return at.hour * 3600 + at.minute * 60 + at.second


def _laying(
    setup: HomeSetup,
    needs: AnimalNeeds,
    profile: Profile,
    found: dict[FindingKind, HousingAssessment],
) -> Iterator[MatterState]:
    matter = ReadinessMatter.LAYING_BIN
    rule = laying_for(profile, needs.stage, needs.sex)
    if rule is not None:
        yield _compared(matter, rule, needs, setup, found)
        return
    if needs.sex is Sex.MALE or not profile.laying or setup.laying_bin:
        return
    if needs.stage is None:
        yield _unknown(matter, Why.AGE_NOT_KNOWN, setup)
    elif laying_for(profile, needs.stage, Sex.FEMALE) is not None:
        yield _unknown(matter, Why.SEX_NOT_KNOWN, setup)


def _sight(
    rule: CompanyRule,
    needs: AnimalNeeds,
    setup: HomeSetup,
    found: dict[FindingKind, HousingAssessment],
) -> MatterState:
    if setup.sees_others is None:
        return _unknown(
            ReadinessMatter.SIGHT, Why.NOT_SAID, setup, basis=_basis(rule, needs)
        )
    return _compared(ReadinessMatter.SIGHT, rule, needs, setup, found)


def _compared(
    matter: ReadinessMatter,
    rule: _Rule,
    needs: AnimalNeeds,
    setup: HomeSetup,
    found: dict[FindingKind, HousingAssessment],
) -> MatterState:
    kind, why = _WRONG[matter]
    wrong = found.get(kind)
    return MatterState(
        matter=matter,
        state=Readiness.NOT_AS_WANTED if wrong else Readiness.AS_WANTED,
        why=why if wrong else Why.AS_WANTED,
        wanted=_wanted(matter, rule),
        found=_found(matter, setup),
        basis=_basis(rule, needs),
    )


def _unknown(
    matter: ReadinessMatter, why: Why, setup: HomeSetup, *, basis: Json | None = None
) -> MatterState:
    state = Readiness.NOT_KNOWN
    return MatterState(matter, state, why, {}, _found(matter, setup), basis)


def _basis(rule: _Rule, needs: AnimalNeeds) -> Json | None:
    return row_basis(rule.provenance, row=rule.id, version=needs.version)


def _wanted(matter: ReadinessMatter, rule: _Rule) -> Json:
    match rule:
        case HousingRule():
            return {
                "width_cm": float(rule.min_width_cm),
                "depth_cm": float(rule.min_depth_cm),
                "height_cm": float(rule.min_height_cm),
            }
        case LightHours():
            return {
                "hours_low": float(rule.hours_low),
                "hours_high": float(rule.hours_high),
            }
        case CompanyRule() if matter is ReadinessMatter.COMPANY:
            return {"animals": 1 if rule.alone else rule.max_group}
        case CompanyRule():
            return {"sees_others": False}
    return {"laying_bin": True}


def _found(matter: ReadinessMatter, setup: HomeSetup) -> dict[str, Any]:
    told: dict[ReadinessMatter, Json] = {
        ReadinessMatter.SIZE: {
            "width_cm": float(setup.width_cm),
            "depth_cm": float(setup.depth_cm),
            "height_cm": float(setup.height_cm),
        },
        ReadinessMatter.LIGHT_HOURS: {"light_h": light_hours(setup)},
        ReadinessMatter.COMPANY: {"animals": setup.other_animals + 1},
        ReadinessMatter.SIGHT: {"sees_others": setup.sees_others},
        ReadinessMatter.LAYING_BIN: {"laying_bin": setup.laying_bin},
    }
    return told[matter]
