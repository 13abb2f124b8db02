"""Times of day as written, with the halves of the day and offsets from UTC."""

import re
from typing import NamedTuple

from husbandry.rules.loggers.lexicon import (
    AM_WORDS,
    CLOCK_FILLERS,
    PM_WORDS,
    ZONE_OFFSETS,
)
from husbandry.rules.loggers.words import squeezed

SECOND_US = 1_000_000
DAY_US = 86_400 * SECOND_US
NO_OFFSET = 1_000_000
"""Stands for an offset that the stamp does not give; no offset is so large."""

_CLOCK = re.compile(
    r"""(?P<before>[^\W\d][^\d:]{0,14}?)?\s*
        (?P<h>\d{1,2})
        (?:\s?[:.h時시点时]\s?(?P<m>\d{2})
           (?:\s?[:.m分분]\s?(?P<s>\d{2})(?:[.,:](?P<f>\d{1,9}))?\s?[秒초s]?)?\s?[分분]?)?
        (?P<after>[^\d.,:][^:]{0,20}(?::\d\d)?)?""",
    re.VERBOSE | re.IGNORECASE,
)
_USUAL = re.compile(r"(?P<h>\d{1,2}):(?P<m>\d{2})(?::(?P<s>\d{2}))?")
_COMPACT = re.compile(r"(?P<h>\d{2})(?P<m>\d{2})(?P<s>\d{2})?(?P<after>\D.{0,12})?")
_OFFSET = re.compile(
    r"(?:UTC|GMT|Z)?\s?(?P<sign>[+\-−])\s?(?P<h>\d{1,2})(?::?(?P<m>\d{2}))?$",
    re.IGNORECASE,
)
_ABBREVIATION = re.compile(r"(?<![^\W\d_])(?P<name>Z|[A-Z]{3,4})$")


class Clock(NamedTuple):
    """A time of day."""

    us: int
    """Microseconds since midnight; a whole day for 24:00."""
    offset_s: int
    """Seconds ahead of UTC, or `NO_OFFSET`."""


def read_offset(text: str) -> tuple[int, str] | None:
    """Return the offset from UTC (seconds) that a text ends with, and the text before.

    Args:
        text: such as `+01:00`, `-0500`, `PM UTC+2`, `Z` or `CET`.
    """
    match = _OFFSET.search(text)
    if match:
        size = int(match["h"]) * 3600 + int(match["m"] or 0) * 60
        if int(match["h"]) > 14 or int(match["m"] or 0) > 59:
            return None
        offset = size if match["sign"] == "+" else -size
        return offset, text[: match.start()].strip()
    match = _ABBREVIATION.search(text)
    known = match and (
        "+00:00" if match["name"] == "Z" else ZONE_OFFSETS.get(match["name"])
    )
    if match and known:
        return offset_seconds(known), text[: match.start()].strip()
    return None


def offset_seconds(text: str) -> int:
    """Return the seconds that `+01:00` is ahead of UTC."""
    size = int(text[1:3]) * 3600 + int(text[4:6]) * 60
    return -size if text[0] == "-" else size


def read_clock(text: str) -> Clock | None:
    """Return the time of day that a text says, or None when it says none.

    Args:
        text: a stripped text, such as `18:00`, `18.00.00`, `6:05:07.5 p. m.`,
            `下午6:00`, `24:00` or `180000Z`. Twelve o'clock am is midnight.

    Source:
        iso-8601 for 24:00 and offsets; unicode-cldr for the halves of the day.
    """
    usual = _USUAL.fullmatch(text)
    if usual:
        us = _microseconds(usual.groupdict(), "")
        return None if us is None else Clock(us, NO_OFFSET)
    match = _CLOCK.fullmatch(text) or _COMPACT.fullmatch(text)
    if match is None:
        return None
    parts = match.groupdict()
    words = f"{parts.get('before') or ''} {parts.get('after') or ''}".strip()
    offset_s = NO_OFFSET
    if words:
        found = read_offset(words)
        if found:
            offset_s, words = found
    half = _half_of_day(words)
    if half is None or (parts["m"] is None and not half):
        return None
    us = _microseconds(parts, half)
    return None if us is None else Clock(us, offset_s)


def _half_of_day(words: str) -> str | None:
    """Return am, pm, empty for neither, or None for words that are not known."""
    word = squeezed(words)
    if word in AM_WORDS:
        return "am"
    if word in PM_WORDS:
        return "pm"
    return "" if not word or word in CLOCK_FILLERS else None


def _microseconds(parts: dict[str, str | None], half: str) -> int | None:
    hour, minute = int(parts["h"] or 0), int(parts["m"] or 0)
    second = int(parts["s"] or 0)
    us = int((parts.get("f") or "0").ljust(6, "0")[:6])
    if minute > 59 or second > 59:
        return None
    whole = _hour_of_day(hour, half)
    if whole is None:
        return None
    total = ((whole * 60 + minute) * 60 + second) * SECOND_US + us
    return total if total <= DAY_US else None


def _hour_of_day(hour: int, half: str) -> int | None:
    if not half:
        return hour if hour <= 24 else None
    # Some clocks write 13:05 PM or 0:05 AM: said twice, and the same.
    if half == "pm":
        return hour % 12 + 12 if 1 <= hour <= 23 else None
    return hour % 12 if hour <= 12 else None


def is_half_of_day(text: str) -> bool:
    """Say whether a text is only a word for a half of the day."""
    return bool(_half_of_day(text))
