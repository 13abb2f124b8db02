"""What stands on a home's private page beside where its application stands."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from django.forms import BaseForm
from django.http import HttpRequest

from placements.models import PrivateAddress

Kept = Mapping[str, BaseForm]
"""Forms with what was typed and what is wrong with it, by a name of their own."""


@dataclass(frozen=True, slots=True)
class Part:
    """A section of the page: its template reads `part`, `address` and `kept`."""

    template: str
    context: Mapping[str, Any]


# Each returns its section, or None where it has nothing to say. `request` is for the
# secret part of the address, `request.resolver_match.kwargs["address"]`.
PARTS: tuple[Callable[[PrivateAddress, HttpRequest], Part | None], ...] = ()
