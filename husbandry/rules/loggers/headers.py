"""What a column's heading says: quantity, unit, channel, stamp, zone, day order."""

import re
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache

from husbandry.rules.loggers import lexicon
from husbandry.rules.loggers.units import (
    names_relative_humidity,
    temperature_unit,
    without_units,
)
from husbandry.rules.loggers.vocabulary import DayOrder, Unit
from husbandry.rules.loggers.words import plain, squeezed, tokens
from husbandry.rules.loggers.zones import named_zone
from husbandry.rules.vocabulary import Quantity


class Role(StrEnum):
    """What a column is, going by its heading."""

    STAMP = "stamp"
    TEMPERATURE = "temperature"
    HUMIDITY = "humidity"
    UV_INDEX = "uv_index"
    CHANNEL = "channel"
    INDEX = "index"
    DERIVED = "derived"
    OTHER = "other"


QUANTITIES = {
    Role.TEMPERATURE: Quantity.TEMPERATURE_C,
    Role.HUMIDITY: Quantity.HUMIDITY_PCT,
    Role.UV_INDEX: Quantity.UV_INDEX,
}

_KELVIN = re.compile(r"[\[(]\s?K\s?[\])]|\bkelvin\b", re.IGNORECASE)
_NAME_ZONE = re.compile(r"\b([A-Z][A-Za-z]+(?:/[A-Z][A-Za-z_\-]+){1,2})\b")
_OFFSET_ZONE = re.compile(
    r"(?:\b(?:UTC|GMT)|(?<=[(\[\s]))\s?([+\-−])\s?(\d{1,2})(?::?(\d{2}))?(?=[)\]\s,]|$)"
)
_WORD_ZONE = re.compile(r"(?<![A-Za-z])[A-Z]{3,4}(?![A-Za-z])")
_PATTERN = re.compile(r"\b([dtjgmya]{1,4})([./\-])([dtjgmya]{1,4})\2([dtjgmya]{1,4})\b")


@dataclass(frozen=True, slots=True)
class Meaning:
    """What one heading says."""

    role: Role
    unit: Unit | None
    label: str
    """What is left of the heading without quantity and unit: the channel's name."""

    @property
    def is_known(self) -> bool:
        """Say whether the heading says anything we know."""
        return self.role is not Role.OTHER


@lru_cache(maxsize=1024)
def meaning(heading: str) -> Meaning:
    """Return what a heading says about its column.

    Args:
        heading: as written, in any of the languages of the lexicon. Units may be
            written `°C`, `(C)`, `degC`, `temp_c`; the unit may be missing.

    Returns:
        `derived` for figures about a quantity (dew point, daily maximum, ratio) and
        for kelvin, which are not readings in a unit we store from; `other` for what is not known.
    """
    words = tokens(heading)
    role = _role(heading, words)
    label = _label(tokens(without_units(heading)))
    if role is Role.TEMPERATURE:
        return Meaning(role, temperature_unit(heading), label)
    if role is Role.HUMIDITY:
        return Meaning(role, Unit.PERCENT if "%" in heading else None, label)
    if role is Role.UV_INDEX:
        return Meaning(role, Unit.INDEX, label)
    return Meaning(role, None, "")


def _role(heading: str, words: tuple[str, ...]) -> Role:
    known = set(words)
    joined = "".join(words)
    is_derived = any(stem in joined for stem in lexicon.DERIVED_STEMS)
    if is_derived or known & lexicon.DERIVED_WORDS or _KELVIN.search(heading):
        return Role.DERIVED if words else Role.OTHER
    if _is_uv_index(known, joined):
        return Role.UV_INDEX
    if _is_humidity(heading, known, joined):
        return Role.HUMIDITY
    if _is_temperature(heading, words, joined):
        return Role.TEMPERATURE
    return _plain_role(known, joined)


def _is_uv_index(known: set[str], joined: str) -> bool:
    return bool(known & lexicon.UV_WORDS) or (
        "uv" in joined and bool(known & lexicon.UV_INDEX_WORDS)
    )


def _is_humidity(heading: str, known: set[str], joined: str) -> bool:
    return (
        any(stem in joined for stem in lexicon.HUMIDITY_STEMS)
        or bool(known & lexicon.HUMIDITY_WORDS)
        or names_relative_humidity(plain(heading))
    )


def _is_temperature(heading: str, words: tuple[str, ...], joined: str) -> bool:
    return (
        any(stem in joined for stem in lexicon.TEMPERATURE_STEMS)
        or bool(set(words) & lexicon.TEMPERATURE_WORDS)
        or words[:1] == ("t",)
        or any(word.startswith("temp") and word[4:].isdigit() for word in words)
        or (temperature_unit(heading) is not None and "°" in heading.replace("º", "°"))
    )


def _plain_role(known: set[str], joined: str) -> Role:
    is_stamp = bool(known & lexicon.STAMP_WORDS) or joined in lexicon.STAMP_WORDS
    if is_stamp and not known & lexicon.NOT_A_STAMP:
        return Role.STAMP
    if known & lexicon.CHANNEL_WORDS:
        return Role.CHANNEL
    if known and known <= lexicon.INDEX_WORDS:
        return Role.INDEX
    return Role.OTHER


def is_clock_heading(heading: str) -> bool:
    """Say whether a heading is that of a time of day."""
    return bool(set(tokens(heading)) & lexicon.CLOCK_WORDS)


def _label(words: tuple[str, ...]) -> str:
    return " ".join(word for word in words if not _is_quantity_word(word))


def _is_quantity_word(word: str) -> bool:
    stems = lexicon.TEMPERATURE_STEMS + lexicon.HUMIDITY_STEMS
    listed = lexicon.TEMPERATURE_WORDS | lexicon.HUMIDITY_WORDS | lexicon.UV_WORDS
    listed |= lexicon.NO_LABEL_WORDS | lexicon.UV_INDEX_WORDS
    return word in listed or word in ("t", "uv") or any(stem in word for stem in stems)


def is_units_row(cells: tuple[str, ...]) -> bool:
    """Say whether a row holds only units and date patterns, as under a heading."""
    filled = [cell for cell in cells if cell]
    return bool(filled) and all(_is_unit(cell) for cell in filled)


def _is_unit(cell: str) -> bool:
    bare = squeezed(cell).strip("[]()")
    named = bare in (
        "c",
        "f",
        "°c",
        "°f",
        "%",
        "%rh",
        "rh%",
        "rh",
        "%rf",
        "%hr",
        "uvi",
        "-",
    )
    return named or bool(_PATTERN.search(bare)) or bare in ("hh:mm", "hh:mm:ss")


@dataclass(frozen=True, slots=True)
class ZoneWord:
    """What a heading says about the zone of its clock."""

    zone: str
    """`+01:00` or an IANA name; empty when the word is not clear."""
    written: str


def zone_in(text: str) -> ZoneWord | None:
    """Return the zone that a heading or title line names, or None.

    Args:
        text: such as `Date Time, GMT-05:00`, `(UTC+1)`, `Time (CET)`,
            `Zone: Europe/Lisbon`. An abbreviation counts as its fixed offset;
            one that several countries use is returned as not clear.
    """
    for name in _NAME_ZONE.findall(text):
        if named_zone(name):
            return ZoneWord(name, name)
    match = _OFFSET_ZONE.search(text)
    if match and int(match[2]) <= 14:
        sign = "+" if match[1] == "+" else "-"
        return ZoneWord(
            f"{sign}{int(match[2]):02d}:{match[3] or '00'}", match[0].strip()
        )
    for word in _WORD_ZONE.findall(text):
        if word in lexicon.ZONE_OFFSETS:
            return ZoneWord(lexicon.ZONE_OFFSETS[word], word)
        if word in lexicon.UNCLEAR_ZONES:
            return ZoneWord("", word)
    return None


def day_order_in(text: str) -> DayOrder | None:
    """Return the day order that a pattern such as `dd/mm/yyyy` in a text states.

    Args:
        text: heading or title line; `TT.MM.JJJJ` and `jj/mm/aaaa` are known too. The
            month is `mm` in all of the languages; years are y, j (four) or a.
    """
    match = _PATTERN.search(plain(text))
    if match is None:
        return None
    first, second, third = match.group(1, 3, 4)
    if second.startswith("m") and not first.startswith("m"):
        is_year = len(first) == 4 or first[0] == "y"
        return DayOrder.YMD if is_year else DayOrder.DMY
    is_month_first = first.startswith("m") and third[0] in "yja"
    return DayOrder.MDY if is_month_first else None
