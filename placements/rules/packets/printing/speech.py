"""In which words a packet is printed, and which of two units comes first.

Fixed words are written in English where they stand and looked up in the catalogue of
the home's language while the packet is laid out. What the document itself says (the
care profile's sentences, findings, a vet's words) is printed as it was frozen.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, time

from husbandry.rules.vocabulary import DatePrecision, Standing
from placements.rules.packets.plans import Basis
from placements.rules.vocabulary import UnitSystem


def word(text: str) -> str:
    """Mark a fixed word of a table for the catalogue; `Speech.say` looks it up."""
    return text


MONTHS = (
    *(word("Jan"), word("Feb"), word("Mar"), word("Apr"), word("May"), word("Jun")),
    *(word("Jul"), word("Aug"), word("Sep"), word("Oct"), word("Nov"), word("Dec")),
)
WEEKDAYS = (
    *(word("Monday"), word("Tuesday"), word("Wednesday"), word("Thursday")),
    *(word("Friday"), word("Saturday"), word("Sunday")),
)
STANDINGS = {
    Standing.PUBLISHED: word("published"),
    Standing.COMMON_PRACTICE: word("common practice, no source"),
    Standing.FROM_MEMORY: word("from memory, not verified"),
}
# This key stands for "no source"; the standing says so already.
UNSOURCED = "common-practice"
DAYS_A_MONTH = 30.44
NOON = 12


@dataclass(frozen=True, slots=True)
class Speech:
    """A language and a system of units.

    Attributes:
        gettext: from a fixed English text to the same in the home's language.
        ngettext: the same for one and for many of a thing.
        units: which come first; the others stand beside them.
    """

    gettext: Callable[[str], str]
    ngettext: Callable[[str, str, int], str]
    units: UnitSystem = UnitSystem.METRIC

    @property
    def imperial(self) -> bool:
        """Say whether °F, ounces and inches come first."""
        return self.units is UnitSystem.IMPERIAL

    def say(self, text: str, **values: object) -> str:
        """Return a fixed text in the home's language with values put in."""
        return self.gettext(text).format(**values) if text else ""

    def count(self, one: str, many: str, number: int) -> str:
        """Return a fixed text that counts, `{n}` being the number."""
        return self.ngettext(one, many, number).format(n=number)

    def day(self, on: date) -> str:
        """Return a day that nobody can misread: `12 Mar 2027`."""
        return self.say("{day} {month} {year}", **self._parts(on))

    def day_of_year(self, on: date) -> str:
        """Return a day without its year: `12 Mar`."""
        return self.say("{day} {month}", **self._parts(on))

    def month(self, on: date) -> str:
        """Return a month: `Mar 2027`."""
        return self.say("{month} {year}", **self._parts(on))

    def _parts(self, on: date) -> dict[str, object]:
        month = self.say(MONTHS[on.month - 1])
        return {"day": on.day, "month": month, "year": on.year}

    def span(self, first: date, last: date) -> str:
        """Return from when until when, both days included."""
        return self.say("{first} – {last}", first=self.day(first), last=self.day(last))

    def roughly(self, on: date | None, precision: DatePrecision) -> str:
        """Return a date as exactly as it is known."""
        if on is None or precision is DatePrecision.UNKNOWN:
            return self.say("not known")
        if precision is DatePrecision.YEAR:
            return self.say("in {year}", year=on.year)
        if precision is DatePrecision.MONTH:
            return self.say("in {month}", month=self.month(on))
        return self.day(on)

    def clock(self, at: time) -> str:
        """Return a time of day: `07:30`, or `7:30 am` where °F come first."""
        if not self.imperial:
            return f"{at:%H:%M}"
        half = self.say("am") if at.hour < NOON else self.say("pm")
        return f"{at.hour % NOON or NOON}:{at:%M} {half}"

    def days(self, number: int) -> str:
        """Return a number of days."""
        return self.count("{n} day", "{n} days", number)

    def age(self, hatched_on: date, on: date) -> str:
        """Return an age in days up to eight weeks, then weeks, months, years."""
        days = (on - hatched_on).days
        if days < 56:
            return self.days(days)
        if days < 183:
            return self.count("{n} week", "{n} weeks", days // 7)
        months = int(days / DAYS_A_MONTH)
        if months < 24:
            return self._months(months)
        years = self.count("{n} year", "{n} years", months // 12)
        return self.say(
            "{years} and {months}", years=years, months=self._months(months % 12)
        )

    def _months(self, number: int) -> str:
        return self.count("{n} month", "{n} months", number)

    def every(self, low: int, high: int) -> str:
        """Return a rhythm: `every day`, `every 2–3 days`."""
        if low != high:
            return self.say("every {low}–{high} days", low=low, high=high)
        if low == 1:
            return self.say("every day")
        if low == 2:
            return self.say("every other day")
        return self.say("every {n} days", n=low)

    def standing(self, basis: Basis) -> str:
        """Return on whose word a value rests: its standing and the source's key."""
        said = self.say(STANDINGS[basis.standing])
        return said if basis.source == UNSOURCED else f"{said} [{basis.source}]"


def mark(basis: Basis) -> str:
    """Return the short mark behind a sentence; the foot of each page explains it."""
    if basis.standing is Standing.PUBLISHED:
        return f"[{basis.source}]"
    return {Standing.COMMON_PRACTICE: "(C)", Standing.FROM_MEMORY: "(M)"}[
        basis.standing
    ]


def _one_or_many(one: str, many: str, number: int) -> str:
    return one if number == 1 else many


def english(units: UnitSystem = UnitSystem.METRIC) -> Speech:
    """Return the language that fixed words are written in."""
    return Speech(word, _one_or_many, units)
