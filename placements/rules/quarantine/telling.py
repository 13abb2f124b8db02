"""The criteria of quarantine, told in words."""

from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any

from husbandry.rules.sentences.numbers import METRIC, Units, mass, percent
from placements.rules.quarantine.values import CriterionState, Exposure
from placements.rules.vocabulary import Criterion

DAYS_ALONE = (
    "Days alone are weaker than tests: they clear nobody of what does not show. Agree "
    "with a licensed reptile vet on which tests to ask for."
)


def tell(state: CriterionState, *, units: Units = METRIC) -> str:
    """Return a criterion with its evidence in a sentence or two.

    Args:
        state: met, not met or not known.
        units: in which masses are told.
    """
    match state.criterion:
        case Criterion.DAYS:
            return _days(state)
        case Criterion.TESTS:
            return _tests(state)
        case Criterion.WEIGHT:
            return _weight(state, units)
        case Criterion.HEALTH:
            return _health(state)


def tell_exposure(exposure: Exposure) -> str:
    """Return in a sentence what restarted a clock."""
    return (
        f"{exposure.on:%d %b %Y}: it met {exposure.code} in {exposure.room}; both were "
        "in quarantine."
    )


def _days(state: CriterionState) -> str:
    said = state.evidence
    passed, wanted = said["days"], said["days_wanted"]
    counted = f"{_number(passed, 'day')} since {_day(said['clock_from'])}"
    if not state.asked:
        return f"{counted}; the policy asks for none."
    if state.met:
        return f"{counted}; at least {wanted} are asked for."
    return (
        f"{counted} of at least {wanted}; the earliest day is "
        f"{_day(said['earliest_on'])}."
    )


def _tests(state: CriterionState) -> str:
    said = state.evidence
    if not state.asked:
        return f"No tests are asked for by the policy. {DAYS_ALONE}"
    clear, wanted = said["without_findings"], said["wanted"]
    kind = said["kind"]
    parts = [
        f"{len(clear)} of {wanted} {kind} tests without findings, one after the other, "
        f"taken since {_day(said['since'])}{_apart(said)}{_list(clear)}."
    ]
    if said["found"]:
        parts.append(f"Something was found on {_days_of(said['found'])}.")
    if said["awaited"]:
        parts.append(
            f"The result of {_days_of(said['awaited'])} is awaited: not known yet."
        )
    return " ".join(parts)


def _apart(said: Mapping[str, Any]) -> str:
    days = said["apart_days"]
    return f" and at least {_number(days, 'day')} apart" if days else ""


def _weight(state: CriterionState, units: Units) -> str:
    said = state.evidence
    if not state.asked:
        return "A steady weight is not asked for by the policy."
    if said["change_pct"] is None:
        return (
            f"Not known: {_number(said['weighings'], 'weighing')} in the last "
            f"{said['days']} days; two at least are needed."
        )
    compared = (
        f"{percent(said['change_pct'])} against the heaviest before, from "
        f"{_mass(said['from'], units)} to {_mass(said['to'], units)}"
    )
    if state.met is None:
        return (
            f"Not known: {_number(said['weighings'], 'weighing')} reach over "
            f"{_number(said['reach_days'], 'day')} only ({compared}); half of "
            f"{said['days']} days is needed."
        )
    return (
        f"{compared}; asked for over the last {said['days']} days, at most "
        f"{said['most_loss_pct']:g} % of loss."
    )


def _health(state: CriterionState) -> str:
    said = state.evidence
    findings = said["findings"]
    if findings:
        return f"Findings about its health stand open: {_findings(findings)}."
    if state.met is None:
        last = f"the last was {_day(said['night'])}" if said["night"] else "none was"
        return f"Not known: no recent night was reviewed where it lives; {last}."
    return (
        "No finding about its health stood open after the night of "
        f"{_day(said['night'])}."
    )


def _findings(findings: Iterable[Mapping[str, Any]]) -> str:
    return ", ".join(
        f"{f['kind'].replace('_', ' ')} since {_day(f['opened_on'])}" for f in findings
    )


def _mass(weighing: Mapping[str, Any], units: Units) -> str:
    told = mass(weighing["mass_g"], units)
    return f"{told} on {_day(weighing['on'])}"


def _list(days: list[str]) -> str:
    return f" ({_days_of(days)})" if days else ""


def _days_of(days: Iterable[str]) -> str:
    return ", ".join(_day(day) for day in days)


def _day(iso: str) -> str:
    return f"{date.fromisoformat(iso):%d %b %Y}"


def _number(count: int, noun: str) -> str:
    return f"{count} {noun}" if count == 1 else f"{count} {noun}s"
