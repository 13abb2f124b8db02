"""Figures of placements as CSV by RFC 4180, safe to be opened as a spreadsheet."""

from collections.abc import Iterable, Mapping

from clutches.rules.statistics import Course, Share
from core.csv_tables import Cell, as_csv
from placements.rules.figures.census import CensusDay
from placements.rules.figures.counting import Figures
from placements.rules.figures.facts import LeftOut, StayStage
from placements.rules.vocabulary import IntakeSource, PlacementKind, RegisterHow

INTAKES = (
    *(RegisterHow(source.value) for source in IntakeSource),
    RegisterHow.FOUND_AGAIN,
    RegisterHow.NOT_SAID,
)
OUTCOMES = (
    *(
        RegisterHow(kind.value)
        for kind in PlacementKind
        if kind not in (PlacementKind.LOAN, PlacementKind.FOSTER)
    ),
    RegisterHow.DEATH,
    RegisterHow.PUT_TO_SLEEP,
    RegisterHow.LOSS,
    RegisterHow.NOT_SAID,
)
FIGURE_HEADINGS = (
    *("group", "first_on", "last_on", "days"),
    *(f"intake_{how.value}" for how in INTAKES),
    *(f"outcome_{how.value}" for how in OUTCOMES),
    *("census_first", "census_last", "census_mean", "census_most"),
    *("live_outcomes", "accord_outcomes", "accord_low", "accord_high"),
    *("asked_at_most", "accord_at_most_outcomes", "live_by_intake"),
    *("animal_days", "exits", "stay_days", "left_days_mean", "left_days_median"),
    *("stay_median", "stay_watched", "intake_a_day", "intake_a_day_low"),
    *("intake_a_day_high", "capacity_needed"),
    *("placed_for_good", "came_back", "came_back_low", "came_back_high"),
    *(
        f"{stage.value}_{what}"
        for stage in StayStage
        for what in ("animal_days", "began", "median")
    ),
)


def figures_as_csv(groups: Mapping[str, Figures]) -> str:
    """Return the figures of each group, a line each; an empty cell is not known."""
    return as_csv(FIGURE_HEADINGS, (_line(name, f) for name, f in groups.items()))


def _line(name: str, f: Figures) -> list[Cell]:
    rates, stay, capacity = f.rates, f.stay, f.capacity
    intake = capacity.intake_a_day
    return [
        *(name, f.period.first_on, f.period.last_on, f.period.days),
        *(f.intakes.get(how, 0) for how in INTAKES),
        *(f.outcomes.get(how, 0) for how in OUTCOMES),
        *(f.census[0].charges, f.census[-1].charges, capacity.mean, capacity.most),
        *(rates.live, *_share(rates.by_accord)),
        *(rates.asked_at_most, rates.by_accord_at_most.of, rates.by_intake),
        *(stay.animal_days, stay.exits, stay.days, stay.left_mean, stay.left_median),
        *(*_median(stay.course), intake.value, intake.low, intake.high),
        *(capacity.needed, f.returns.share.of, f.returns.share.count),
        *_share(f.returns.share)[1:],
        *(
            cell
            for stage in f.stages
            for cell in (stage.animal_days, *_median(stage.course)[::-1])
        ),
    ]


def _share(share: Share) -> list[Cell]:
    """Return the whole and the interval; no interval of nothing."""
    ends: list[Cell] = [share.low, share.high] if share.of else [None, None]
    return [share.of, *ends]


def _median(course: Course) -> list[Cell]:
    return [course.median, course.watched]


def census_as_csv(days: Iterable[CensusDay]) -> str:
    """Return the census, a line a day."""
    headings = ("on", "in_charge", "here", "away")
    return as_csv(headings, ([d.on, d.charges, d.here, d.away] for d in days))


def left_out_as_csv(left_out: Iterable[LeftOut]) -> str:
    """Return the records that no figure counts, a line each."""
    headings = ("animal", "first_on", "last_on", "why")
    return as_csv(
        headings, ([one.code, one.first_on, one.last_on, one.why] for one in left_out)
    )
