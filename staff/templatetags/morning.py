"""Dates and codes in the templates, in the words of the pages."""

import re
from datetime import date

from django import template

from staff import units

register = template.Library()
_BEFORE_UNIT = re.compile(r"(?<=\d) (?=(?:g|kg|oz|lb|h|min|cm)\b|°[CF]|%)")


@register.filter
def weekday(on: date) -> str:
    """Return `Fri 12 Mar 2027`."""
    return units.weekday(on)


@register.filter
def iso(on: date) -> str:
    """Return `2027-03-12`, as addresses carry it."""
    return on.isoformat()


@register.filter
def plain(code: str) -> str:
    """Return a code without its underscores."""
    return code.replace("_", " ")


@register.filter
def unbroken(words: str) -> str:
    """Return words in which no line breaks between a number and its unit."""
    return _BEFORE_UNIT.sub("\u00a0", words)
