"""The numbers that made a finding, as a table that can be checked on paper."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from core.units import from_kelvin_difference
from husbandry.rules.sentences import names, numbers
from husbandry.rules.sentences.numbers import Units
from husbandry.rules.vocabulary import FindingKind, Quantity, Standing, Zone
from staff import breeding_evidence, care_evidence, rescue_evidence
from staff.units import day

# Said by the sentence itself, or by the lines around it.
UNSAID = frozenset(
    {"animal", "room", "enclosure", "basis", "past_hard", "rule", "policy", "low"}
)


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the table."""

    label: str
    value: str


@dataclass(frozen=True, slots=True)
class _Reader:
    """How the numbers of one finding are read."""

    evidence: Mapping[str, Any]
    units: Units

    def measured(self, value: float) -> str:
        return numbers.value(value, Quantity(self.evidence["quantity"]), self.units)

    def mass(self, value: str) -> str:
        return numbers.mass(value, self.units)

    def slope(self, value: float) -> str:
        sign = "+" if value > 0 else ""
        return f"{sign}{numbers.mass(f'{value:.4f}', self.units)} a day"

    def band(self, high: float | None) -> str:
        low = self.evidence["low"]
        quantity = Quantity(self.evidence["quantity"])
        return numbers.band(low, high, quantity, self.units)

    def depth(self, value: float) -> str:
        quantity = Quantity(self.evidence["quantity"])
        if quantity is Quantity.TEMPERATURE_C:
            unit = self.units.temperature
            shown = from_kelvin_difference(Decimal(str(value)), unit)
            return f"{shown:.0f} °{unit.value} × min"
        if quantity is Quantity.HUMIDITY_PCT:
            return f"{value:.0f} points of % × min"
        return f"{value:.0f} UV index × min"

    def missing(self, value: list[dict[str, str]]) -> str:
        return "; ".join(
            f"{names.QUANTITIES[Quantity(m['quantity'])]} {names.ZONES[Zone(m['zone'])]}"
            for m in value
        )

    def failed(self, value: list[dict[str, Any]]) -> str:
        return "; ".join(
            f"{f['dimension']} {f['is_cm']:g} cm, at least {f['min_cm']:g} cm wanted"
            for f in value
        )


Tell = Callable[[_Reader, Any], str]


def _plain(_: _Reader, value: Any) -> str:
    return str(value)


def _duration(_: _Reader, value: float) -> str:
    return numbers.duration(value)


def _day(_: _Reader, value: str) -> str:
    return day(date.fromisoformat(value))


def _moment(_: _Reader, value: str) -> str:
    at = datetime.fromisoformat(value)
    return f"{day(at.date())}, {at:%H:%M}"


def _percent(_: _Reader, value: float) -> str:
    return f"{value:g} %"


def _hours(_: _Reader, value: float) -> str:
    return f"{value:g} h"


def _days(_: _Reader, value: int) -> str:
    return numbers.days(value)


# In the order in which the table tells them.
LINES: dict[str, tuple[str, Tell]] = {
    "probe": ("Probe", _plain),
    "zone": ("Where", lambda _, v: names.sentence(names.ZONES[Zone(v)])),
    "quantity": (
        "What",
        lambda _, v: names.sentence(names.QUANTITIES[Quantity(v)]),
    ),
    "period": ("Part of the day", _plain),
    "high": ("Wanted", _Reader.band),
    "mean": ("Mean, weighted by time", _Reader.measured),
    "lowest": ("Lowest", _Reader.measured),
    "highest": ("Highest", _Reader.measured),
    "extreme_at": ("Extreme at", _moment),
    "hard": ("Limit past which to act at once", _Reader.measured),
    "outside_s": ("Outside the band, in all", _duration),
    "tolerated_s": ("Tolerated", _duration),
    "longest_s": ("Longest at a stretch", _duration),
    "longest_from": ("Beginning at", _moment),
    "unit_minutes": ("How far × how long", _Reader.depth),
    "readings": ("Readings", _plain),
    "covered_s": ("Measured", _duration),
    "expected_s": ("Of a whole", _duration),
    "stayed_s": ("It stayed there", _duration),
    "value": ("The one value reported", _Reader.measured),
    "stuck_s": ("Without any change for", _duration),
    "stuck_from": ("Beginning at", _moment),
    "impossible_s": ("Values that cannot be true for", _duration),
    "missing": ("Measured by nothing", _Reader.missing),
    "from_on": ("First weighing counted", _day),
    "from_g": ("It weighed then", _Reader.mass),
    "to_on": ("Last weighing", _day),
    "to_g": ("It weighs", _Reader.mass),
    "days": ("Days between", _plain),
    "change_pct": ("Change", lambda _, v: numbers.percent(v)),
    "limit_pct": ("Limit of loss", _percent),
    "window_days": ("Looked back", _days),
    "weighings": ("Weighings counted", _plain),
    "slope_g_per_day": ("Trend", _Reader.slope),
    "slope_low": ("Trend, at least", _Reader.slope),
    "slope_high": ("Trend, at most", _Reader.slope),
    "stage": ("Life stage", _plain),
    "mass_g": ("It weighs", _Reader.mass),
    "on": ("Weighed on", _day),
    "low_g": ("Plausible from", _Reader.mass),
    "high_g": ("Plausible up to", _Reader.mass),
    "last_on": ("Last weighed on", _day),
    "last_g": ("It weighed then", _Reader.mass),
    "arrived_on": ("Here since", _day),
    "every_days": ("To be weighed every", _days),
    "overdue_after_days": ("Overdue after", _days),
    "failed": ("Too small", _Reader.failed),
    "size_cm": (
        "Width × depth × height",
        lambda _, v: f"{' × '.join(f'{x:g}' for x in v)} cm",
    ),
    "gravid": ("Gravid", lambda _, v: "yes" if v else "no"),
    "with": ("Together with", lambda _, v: ", ".join(v)),
    "animals": ("Animals in the enclosure", _plain),
    "allowed": ("Allowed", _plain),
    "seen": (
        "In sight",
        lambda _, v: ", ".join(f"{s['animal']} ({s['enclosure']})" for s in v),
    ),
    "light_h": ("Lights burn", _hours),
    "hours_low": ("Wanted at least", _hours),
    "hours_high": ("Wanted at most", _hours),
    "error": ("Error", _plain),
}
OWN_LINES = care_evidence.LINES | breeding_evidence.LINES | rescue_evidence.LINES
_OWN_UNSAID = care_evidence.UNSAID | breeding_evidence.UNSAID | rescue_evidence.UNSAID
# A band stands in one line; where both ends are open there is none to tell.
_ALSO_NONE = frozenset({"high"})


def evidence_rows(
    evidence: Mapping[str, Any], *, units: Units, kind: FindingKind | None = None
) -> tuple[Row, ...]:
    """Return the numbers of a finding, one line each.

    Args:
        evidence: as the night's review wrote it.
        kind: of the finding; care, health, growth and breeding have tables of
            their own.
        units: the units the reader chose.

    Returns:
        What is known, in a fixed order; then whatever this table has no words for,
        under its own name, so that nothing is hidden. Values that are not there
        are left out.
    """
    if kind in OWN_LINES:
        own = _own_rows(evidence, OWN_LINES[kind], units)
        return (*own, *_basis_rows(evidence.get("basis")))
    reader = _Reader(evidence, units)
    rows = [
        Row(label, tell(reader, evidence[key]))
        for key, (label, tell) in LINES.items()
        if key in evidence and _is_told(key, evidence)
    ]
    rows += [
        Row(names.sentence(key.replace("_", " ")), str(value))
        for key, value in evidence.items()
        if key not in LINES and key not in UNSAID and key != "side"
    ]
    return (*rows, *_basis_rows(evidence.get("basis")))


def _own_rows(
    evidence: Mapping[str, Any], lines: care_evidence.Lines, units: Units
) -> list[Row]:
    """Return lines by a table, then what it has no words for; nothing empty."""
    told = lines.keys() | UNSAID | _OWN_UNSAID | {"site"}
    rest: care_evidence.Lines = {
        key: (names.sentence(key.replace("_", " ")), care_evidence.plain)
        for key in evidence
        if key not in told
    }
    return [
        Row(label, read(evidence[key], units))
        for key, (label, read) in (lines | rest).items()
        if evidence.get(key) not in (None, "")
    ]


def _is_told(key: str, evidence: Mapping[str, Any]) -> bool:
    if key in _ALSO_NONE:
        return "quantity" in evidence and "low" in evidence
    return evidence[key] is not None


def _basis_rows(basis: Mapping[str, Any] | None) -> tuple[Row, ...]:
    if not basis:
        return ()
    word = names.word(basis["source"], Standing(basis["standing"]))
    version = f"version {basis['version']}, " if basis["version"] else ""
    rows = [
        Row("Care profile", f"{version}row {basis['row'] or '–'}"),
        Row("Source of what is wanted", names.sentence(word)),
        Row("Source last looked at", day(date.fromisoformat(basis["reviewed_on"]))),
    ]
    if basis["note"]:
        rows.append(Row("Note on the source", basis["note"]))
    return tuple(rows)
