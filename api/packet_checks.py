"""Whether a packet that somebody holds is what is on record; never what it says."""

from typing import Annotated

from msgspec import Meta
from rest_framework.exceptions import NotFound
from rest_framework.request import Request

from api.errors import RefusedError
from api.structs import Asked, Out, from_row
from api.throttles import check_misses, count_miss
from placements.queries.packet_checks import check_packet
from placements.rules.packets.checking import SHOWN_DIGITS

OF_PACKETS = "wrong-packet"
DIGITS = f"{SHOWN_DIGITS} hexadecimal digits"


class PacketCheckAsked(Asked, frozen=True):
    """What stands on the packet."""

    number: Annotated[
        str | None, Meta(description="As printed on the packet; needed.")
    ] = None
    digits: Annotated[
        Annotated[str, Meta(pattern=f"^[0-9A-Fa-f]{{{SHOWN_DIGITS}}}$")] | None,
        Meta(
            description=f"The first {DIGITS} of its SHA-256, as printed; needed.",
        ),
    ] = None


class PacketCheckOut(Out, frozen=True):
    """What may be told to whoever holds a packet."""

    number: str
    version: int
    intact: Annotated[
        bool,
        Meta(
            description="The copy on record is still what was hashed when it was made."
        ),
    ]
    is_newest: Annotated[bool, Meta(description="No later version was made.")]
    newest_number: Annotated[
        str, Meta(description="Of the newest version; its own where it is the newest.")
    ]
    newest_version: int


def shown_check(asked: PacketCheckAsked, request: Request) -> PacketCheckOut:
    """Compare what stands on a packet with what is on record.

    Args:
        asked: number and digits.
        request: as it came; misses are counted by the address that it came from.

    Raises:
        RefusedError: one of both was not given.
        TooManyError: too many misses came from this address lately.
        NotFound: no packet has this number, or its digits are others; not which.
    """
    if not asked.number or not asked.digits:
        missing = "digits" if asked.number else "number"
        accepted = {"number": "as printed on the packet", "digits": DIGITS}
        raise RefusedError(
            f"no_{missing}",
            "Say what stands on the packet: number=NUMBER&digits=DIGITS.",
            fields={missing: accepted[missing]},
        )
    check_misses(request, OF_PACKETS)
    found = check_packet(number=asked.number, digits=asked.digits.lower())
    if found is None:
        count_miss(request, OF_PACKETS)
        raise NotFound(
            "No packet with this number and these digits is on record. Compare both "
            "with what is printed on it."
        )
    return from_row(found, PacketCheckOut)
