"""Breeding figures in words: shares with their intervals, and what is open apart."""

from collections.abc import Iterator
from dataclasses import dataclass

from clutches.rules.figures.comparing import LEAST, Survivals
from clutches.rules.figures.counting import (
    LEAST_SEXED,
    SURVIVAL_DAYS,
    Figures,
    Span,
    figures_of,
)
from clutches.rules.figures.facts import BreedingRows
from clutches.rules.statistics import Course, Share, Step
from husbandry.rules.sentences import numbers
from husbandry.rules.sentences.numbers import Units
from staff.units import count


@dataclass(frozen=True, slots=True)
class GroupRow:
    """One group in words; "" where there is nothing to tell."""

    name: str
    eggs: str
    fertility: str
    hatched: str
    days: str
    mass: str
    survival: str
    sexes: str


@dataclass(frozen=True, slots=True)
class StepRow:
    """One day on which hatchlings died."""

    day: str
    watched: int
    died: int
    alive: str


def figure_sentences(rows: BreedingRows, units: Units) -> Iterator[str]:
    """Tell what all that was asked for adds up to, the surest first."""
    found = figures_of(rows)
    laid = [count(found.eggs_set, "egg") + " set"] if found.eggs_set else []
    born = [f"{found.born_alive} born alive"] if found.born_alive else []
    yield f"{count(found.clutches, 'clutch', 'clutches')}, {', '.join([*laid, *born])}."
    if found.hatch_rate.of:
        yield (
            f"Of the eggs that have hatched or failed, {share_words(found.hatch_rate)} "
            f"hatched; {_open(found)}."
        )
    elif found.eggs_set:
        yield f"No egg has hatched or failed yet; {found.open} incubate."
    if found.days.count:
        yield f"They took {_span(found.days, 'days')}."
    if found.hatchlings:
        yield f"Of {count(found.hatchlings, 'hatchling')}: {_survival(found.survival)}."
        yield f"Sexes: {_sexes(found)}."
    if found.undated:
        yield (
            f"{count(found.undated, 'hatchling')} without an exact hatch date "
            "stand in no survival."
        )
    if found.mass_g.count:
        yield f"Hatchlings weighed {_masses(found.mass_g, units)}."


def _open(found: Figures) -> str:
    """Return how many incubate, and what that means for a rate of those that ended."""
    if not found.open:
        return "none incubates any more"
    return (
        f"{found.open} still incubate, and what fails mostly ends sooner: at most "
        f"{found.at_most} of {found.kept} will have hatched"
    )


def group_row(name: str, found: Figures, units: Units) -> GroupRow:
    """Tell the figures of one group."""
    eggs = f"{found.eggs_set} set in {count(found.clutches, 'clutch', 'clutches')}"
    if found.infertile_at_laying or found.broken_at_laying:
        eggs += (
            f"; {found.infertile_at_laying} infertile and {found.broken_at_laying} "
            "broken when laid"
        )
    if found.born_alive or found.born_dead:
        eggs = f"{found.born_alive} born alive, {found.born_dead} dead"
    undecided = f"; {found.undecided} not known" if found.undecided else ""
    still = f"; {found.open} still incubate" if found.open else ""
    return GroupRow(
        name=name,
        eggs=eggs,
        fertility=f"{share_words(found.fertility)}{undecided}",
        hatched=f"{share_words(found.hatch_rate)}{still}",
        days=_span(found.days, "days") if found.days.count else "",
        mass=_masses(found.mass_g, units) if found.mass_g.count else "",
        survival=_survival(found.survival) if found.hatchlings else "",
        sexes=_sexes(found) if found.hatchlings else "",
    )


def share_words(share: Share) -> str:
    """Return `13 of 16 (81 %, 57–93 %)`; of nothing a dash."""
    if share.value is None:
        return "–"
    ends = f"{100 * share.low:.0f}–{100 * share.high:.0f} %"
    return f"{share.count} of {share.of} ({100 * share.value:.0f} %, {ends})"


def _span(span: Span, unit: str) -> str:
    assert span.median is not None  # noqa: S101 - asked where there is one
    if span.least == span.most:
        return f"{span.median:g} {unit} (n = {span.count})"
    return (
        f"{span.median:g} {unit} in the middle, {span.least:g} to {span.most:g} "
        f"(n = {span.count})"
    )


def _masses(span: Span, units: Units) -> str:
    low, middle, high = (
        numbers.mass(f"{value:.2f}", units)
        for value in (span.least or 0, span.median or 0, span.most or 0)
    )
    if low == high:
        return f"{middle} (n = {span.count})"
    return f"{middle} in the middle, {low} to {high} (n = {span.count})"


def _survival(course: Course) -> str:
    told = []
    for days in SURVIVAL_DAYS:
        known = course.at(days)
        if known is None:
            told.append(f"day {days}: nobody was watched so long")
        else:
            ends = f"{100 * known.low:.0f}–{100 * known.high:.0f} %"
            alive = f"{100 * known.surviving:.0f} % alive"
            told.append(f"day {days}: {alive} ({ends}, {known.at_risk} watched)")
    return ", ".join(told)


def step_row(step: Step) -> StepRow:
    """Tell one day on which hatchlings died."""
    ends = f"{100 * step.low:.0f}–{100 * step.high:.0f} %"
    alive = f"{100 * step.surviving:.0f} % ({ends})"
    return StepRow(f"{step.at:.0f}", step.at_risk, step.ended, alive)


def _sexes(found: Figures) -> str:
    sexes = found.sexes
    likely = f", {sexes.likely} of them likely only" if sexes.likely else ""
    told = (
        f"{sexes.female} female, {sexes.male} male{likely}, {sexes.unclear} not settled"
    )
    if not sexes.females.of:
        return told
    ends = f"{100 * sexes.females.low:.0f}–{100 * sexes.females.high:.0f} %"
    if sexes.p is not None:
        return f"{told}; females {ends}, against 1:1 p = {_p(sexes.p)}"
    few = sexes.females.of < LEAST_SEXED
    why = "too few" if few else "warmth decides the sex, so not"
    return f"{told}; females {ends}, {why} to be tested against 1:1"


def _p(p: float) -> str:
    return "under 0.001" if p < 0.001 else f"{p:.3f}"


def comparison(found: Survivals) -> str:
    """Tell how the survival of groups compares, or that too few were watched."""
    small = (
        f" Left out, with fewer than {LEAST} hatchlings: {', '.join(found.left_out)}."
        if found.left_out
        else ""
    )
    if found.comparison is None:
        return (
            f"Not enough to compare survival: at least two groups need {LEAST} "
            "hatchlings or more."
        )
    told = found.comparison
    return (
        f"Survival of {' and '.join(found.groups)} compared (log-rank test): "
        f"χ² = {told.chi_square:.2f} with "
        f"{count(told.freedom, 'degree')} of freedom, "
        f"p = {_p(told.p)}. A small p says that so large a difference is rare by "
        "chance, not why there is one; who compares many things finds one such by "
        f"chance alone; and clutch-mates are more alike than the test assumes.{small}"
    )
