"""Units as they stand in a heading: °C or °F, and the many ways to write % humidity."""

import re

from husbandry.rules.loggers.vocabulary import Unit

# No letter or digit beside it; an underscore parts words in headings.
_BEFORE, _AFTER = r"(?<![^\W_])", r"(?![^\W_])"
_TEMPERATURE_UNIT = re.compile(
    r"""[°º˚�]\s?(?P<sign>[CF])(?![a-z])|(?P<glyph>[℃℉])
      |\bdeg(?:rees?)?[.\s]*(?P<deg>[CF])\b
      |[\[(]\W?(?P<bracket>[CF])[\])]
      |(?P<word>celsius|fahrenheit)
      |(?:[_\s,]|temp)(?P<last>[CF])$""",
    re.VERBOSE | re.IGNORECASE,
)
_DEGREES = re.compile(r"[°º˚�]\s?[CF](?![a-z])|[℃℉]", re.IGNORECASE)
_RELATIVE = re.compile(
    rf"{_BEFORE}(?:r\.?\s?[fh]|[hu]\.\s?r|r\.\s?v){_AFTER}\.?", re.IGNORECASE
)
# `%rF` and, in languages that we do not know, `%WW`: joined to the sign.
_PERCENT = re.compile(rf"%(?:(?:[^\W\d_]\.?){{1,3}}{_AFTER})?")


def temperature_unit(text: str) -> Unit | None:
    """Return °C or °F when a text names exactly one of them; `% r. F` names none."""
    found = {
        (next(group for group in match.groups() if group))
        for match in _TEMPERATURE_UNIT.finditer(_RELATIVE.sub(" ", text))
    }
    units = {"℃": "C", "℉": "F"}
    letters = {units.get(group, group[0].upper()) for group in found}
    return Unit(letters.pop()) if len(letters) == 1 else None


def names_relative_humidity(text: str) -> bool:
    """Say whether relative humidity stands in a text in short: `rF`, `R.H.`, `h.r.`."""
    return bool(_RELATIVE.search(text))


def without_units(heading: str) -> str:
    """Return a heading without its units, so that none is taken for a channel's name.

    Args:
        heading: as written. Words beside a unit, as in `(°C, left)`, stay.
    """
    bare = _PERCENT.sub(" ", _DEGREES.sub(" ", heading))
    return _RELATIVE.sub(" ", bare)
