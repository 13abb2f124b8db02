"""A section of a home's private page."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.forms import BaseForm

Kept = Mapping[str, BaseForm]
"""Forms with what was typed and what is wrong with it, by a name of their own."""


@dataclass(frozen=True, slots=True)
class Part:
    """A section of the page: its template reads `part`, `address` and `kept`."""

    template: str
    context: Mapping[str, Any]
