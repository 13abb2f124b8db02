"""From a cell's text to exact thousandths, or the reason why not."""

import re
from dataclasses import dataclass
from decimal import Decimal
from typing import NamedTuple

from husbandry.rules.loggers.lexicon import MISSING_WORDS
from husbandry.rules.loggers.vocabulary import MISSING, Noted, Refused, Unit
from husbandry.rules.loggers.words import plain
from husbandry.rules.vocabulary import Quantity

RANGE_MILLI = {
    Quantity.TEMPERATURE_C: (-60_000, 150_000),
    Quantity.HUMIDITY_PCT: (0, 105_000),
    Quantity.UV_INDEX: (0, 40_000),
}
"""What instruments of the trade can show at all; a value outside is a fault of the
file. House rule, no source."""
HUMIDITY_CAP_MILLI = 100_000
"""Sensors in saturated air overshoot a little: up to 105 % counts as 100 %."""

_NUMBER = re.compile(
    r"""(?P<sign>[+\-−–]?)\s?
        (?P<digits>\d+(?:[.,]\d+)?|[.,]\d+)
        (?P<exponent>[eE][+-]?\d{1,3})?
        \s?(?P<unit>%(?:\s?r\.?\s?[hf]\.?)?|(?:[°º˚]|deg\.?\s?)?\s?[CF]|℃|℉|UVI)?""",
    re.VERBOSE | re.IGNORECASE,
)
_SUFFIX_UNITS = {"c": Unit.C, "℃": Unit.C, "f": Unit.F, "℉": Unit.F, "i": Unit.INDEX}


class Written(NamedTuple):
    """A number as it stands in a cell."""

    value: Decimal
    mark: str
    """The decimal mark used: a full stop, a comma, or nothing."""
    unit: Unit | None
    """The unit written behind the number, if any."""


def read_number(text: str) -> Written | None:
    """Return the number that a cell holds, or None when it holds something else.

    Args:
        text: a stripped cell. One decimal mark, no grouping of thousands; a minus
            may be a typographic one; a unit may follow.
    """
    match = _NUMBER.fullmatch(text)
    if match is None:
        return None
    sign, digits, exponent, unit = match.group("sign", "digits", "exponent", "unit")
    mark = "," if "," in digits else "." if "." in digits else ""
    minus = "-" if sign in ("-", "−", "–") else ""
    value = Decimal(f"{minus}{digits.replace(',', '.')}{exponent or ''}")
    return Written(value, mark, _suffix_unit(unit))


def _suffix_unit(suffix: str | None) -> Unit | None:
    if not suffix:
        return None
    if suffix.startswith("%"):
        return Unit.PERCENT
    return _SUFFIX_UNITS[suffix[-1].casefold()]


def is_missing_word(text: str) -> bool:
    """Say whether a cell says in words or signs that nothing was measured."""
    return plain(text) in MISSING_WORDS


def to_milli(value: Decimal, unit: Unit) -> int:
    """Return a number in thousandths of °C, % or UV index.

    Args:
        value: as written, exact.
        unit: what it is written in. °F is converted exactly.

    Returns:
        Thousandths, rounded half to even once, at the very end.

    Source:
        nist-sp811: the Fahrenheit scale is 9/5 of the Celsius scale + 32.
    """
    numerator, denominator = value.as_integer_ratio()
    if unit is Unit.F:
        numerator, denominator = (numerator - 32 * denominator) * 5, denominator * 9
    elif unit is Unit.FRACTION:
        numerator *= 100
    # Whole-number division, not Fraction: ten times as fast, and as exact.
    whole, rest = divmod(numerator * 1000, denominator)
    above_half = rest * 2 - denominator
    return whole + (above_half > 0 or (above_half == 0 and whole % 2 == 1))


@dataclass(frozen=True, slots=True)
class Outcome:
    """What one cell of a mapped column comes to."""

    milli: int = MISSING
    refused: Refused | None = None
    noted: Noted | None = None
    event: bool = False
    """Words where a number should be: an event if nothing in the row is a number."""
    written: Written | None = None


BLANK = Outcome()


@dataclass(frozen=True, slots=True)
class CellRule:
    """How the cells of one column are to be read."""

    quantity: Quantity
    unit: Unit
    decimal_mark: str
    sentinels: frozenset[Decimal]

    def read(self, text: str) -> Outcome:
        """Return what a cell comes to: thousandths, missing, an event or a refusal."""
        if not text:
            return BLANK
        written = read_number(text)
        if written is None:
            return _words(text)
        if written.value in self.sentinels:
            return Outcome(noted=Noted.MARKED_MISSING)
        if written.mark not in ("", self.decimal_mark):
            return Outcome(refused=Refused.NOT_A_NUMBER, written=written)
        if written.unit not in (None, self.unit):
            return Outcome(refused=Refused.UNIT_DIFFERS, written=written)
        return self._within_range(written)

    def _within_range(self, written: Written) -> Outcome:
        # A number too long for any range is refused before arithmetic on it.
        if abs(written.value.adjusted()) > 12 and written.value:
            tiny = written.value.adjusted() < 0
            refused = None if tiny else Refused.OUT_OF_RANGE
            return Outcome(0 if tiny else MISSING, refused=refused, written=written)
        milli = to_milli(written.value, self.unit)
        low, high = RANGE_MILLI[self.quantity]
        if not low <= milli <= high:
            return Outcome(refused=Refused.OUT_OF_RANGE, written=written)
        if self.quantity is Quantity.HUMIDITY_PCT and milli > HUMIDITY_CAP_MILLI:
            capped = Noted.HUMIDITY_CAPPED
            return Outcome(HUMIDITY_CAP_MILLI, noted=capped, written=written)
        return Outcome(milli, written=written)


def _words(text: str) -> Outcome:
    if is_missing_word(text):
        return Outcome(noted=Noted.MARKED_MISSING)
    return Outcome(refused=Refused.NOT_A_NUMBER, event=text[0].isalpha())
