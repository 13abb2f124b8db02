"""What a home can report of an animal that lives there."""

from dataclasses import dataclass, replace
from datetime import date
from decimal import ROUND_HALF_UP, Decimal

from core.errors import DomainError
from placements.rules.vocabulary import HomeReportKind

MOST_MASS_G = Decimal(100_000)
MOST_EGGS = 200
LONGEST_NOTE = 4_000
CAUTION = (
    "Nobody here has examined the animal. Whatever looks like illness belongs before a "
    "licensed reptile vet, at once if it is urgent; nothing that is read here stands in "
    "for that."
)
_HUNDREDTH = Decimal("0.01")
_NUMBERED = {HomeReportKind.WEIGHT: "mass_g", HomeReportKind.EGGS: "eggs"}


class HomeReportError(DomainError):
    """A report that cannot be so."""

    code = "home_report"


@dataclass(frozen=True, slots=True)
class HomeReportDetails:
    """What is told, of which day."""

    kind: HomeReportKind
    on: date
    mass_g: Decimal | None = None
    eggs: int | None = None
    note: str = ""


def check_report(
    details: HomeReportDetails, *, left_on: date, today: date
) -> HomeReportDetails:
    """Return what is told, rounded to hundredths of a gram.

    Args:
        details: as told.
        left_on: the local day on which the animal went there.
        today: the local day.

    Raises:
        HomeReportError: a day before the animal went there or to come, a weight
            without or beyond a possible mass, eggs likewise, a number where none
            belongs, or nothing told at all; a sentence for each.
    """
    problems = {
        name: sentence
        for name, sentence in (
            ("on", _day(details.on, left_on, today)),
            ("mass_g", _mass(details)),
            ("eggs", _eggs(details)),
            ("note", _note(details)),
        )
        if sentence
    }
    if problems:
        raise HomeReportError(" ".join(problems.values()), fields=problems)
    if details.mass_g is None:
        return details
    return replace(details, mass_g=details.mass_g.quantize(_HUNDREDTH, ROUND_HALF_UP))


def _day(on: date, left_on: date, today: date) -> str:
    if on < left_on:
        return (
            f"{on} lies before the animal left on {left_on}. Give a day from then on."
        )
    if on > today:
        return f"{on} is still to come. Give a day up to {today}."
    return ""


def _mass(details: HomeReportDetails) -> str:
    if details.kind is not HomeReportKind.WEIGHT:
        return "" if details.mass_g is None else "Only a weight has a mass."
    if details.mass_g is None:
        return "A weight needs its grams."
    if not (details.mass_g.is_finite() and _HUNDREDTH <= details.mass_g <= MOST_MASS_G):
        return f"{details.mass_g} g cannot be. Give {_HUNDREDTH} to {MOST_MASS_G} g."
    return ""


def _eggs(details: HomeReportDetails) -> str:
    if details.kind is not HomeReportKind.EGGS:
        return "" if details.eggs is None else "Only laid eggs are counted."
    if details.eggs is None or not 0 < details.eggs <= MOST_EGGS:
        return f"Say how many eggs were laid, 1 to {MOST_EGGS}."
    return ""


def _note(details: HomeReportDetails) -> str:
    if len(details.note) > LONGEST_NOTE:
        return (
            f"The note has {len(details.note)} characters; up to {LONGEST_NOTE} are "
            "kept."
        )
    if not details.note and details.kind not in _NUMBERED:
        return "Say in your words what you saw."
    return ""
