"""Words of the API's description, in which stars and backquotes mark a stress."""

import re

from django import template
from django.utils.html import escape
from django.utils.safestring import SafeString, mark_safe

register = template.Library()
_STRONG = re.compile(r"\*\*(.+?)\*\*")
_CODE = re.compile(r"`([^`]+)`")


@register.filter
def marked(words: str) -> SafeString:
    """Return words as HTML, escaped but for the stress."""
    html = _STRONG.sub(r"<strong>\1</strong>", escape(words))
    return mark_safe(_CODE.sub(r"<code>\1</code>", html))  # noqa: S308 - escaped above
