"""What stands on a home's private page beside where its application stands."""

from collections.abc import Callable

from django.http import HttpRequest

from placements.models import PrivateAddress
from staff.private_after_part import after_part
from staff.private_enclosure_part import enclosures_part
from staff.private_packets import packets_part
from staff.private_sections import Part

# Each returns its section, or None where it has nothing to say. `request` is for the
# secret part of the address, `request.resolver_match.kwargs["address"]`.
PARTS: tuple[Callable[[PrivateAddress, HttpRequest], Part | None], ...] = (
    after_part,
    packets_part,
    enclosures_part,
)
