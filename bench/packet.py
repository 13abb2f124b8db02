"""Drawing a packet: layout, charts and templates beside what the PDF itself costs.

The floor is WeasyPrint on the finished page, fonts and all, in the same process.
"""

from collections.abc import Iterator
from datetime import timedelta
from decimal import Decimal

from bench.frame import Figure, progress, side_by_side
from core.printing import print_html
from placements import pdf
from placements.rules.packets.documents import PacketDocument
from placements.rules.packets.histories import MassPoint
from tests.placements.full import whole_document, whole_packet
from tests.placements.known import LEAVES_ON

REPEATS = 9
WEIGHINGS = 16
DRAW, FLOOR, WORDS = "draw", "floor", "words"


def figures(*, size: int | None) -> Iterator[Figure]:
    """Yield the figures of one packet; `size` is its number of weighings."""
    weighings = size or WEIGHINGS
    progress(f"a packet with all its parts and {weighings} weighings")
    packet = _packet(weighings)
    html = pdf.write_html(packet)
    taken = side_by_side(
        {
            FLOOR: lambda: print_html(html),
            DRAW: lambda: pdf.draw(packet),
            WORDS: lambda: pdf.write_html(packet),
        },
        repeats=REPEATS,
    )
    beneath = "WeasyPrint on the finished page"
    yield Figure("draw a packet", taken[DRAW], taken[FLOOR], 1.1, beneath)
    yield Figure("its page alone", taken[WORDS], taken[FLOOR], 0.1, beneath)


def _weighings(count: int) -> tuple[MassPoint, ...]:
    return tuple(
        MassPoint(LEAVES_ON - timedelta(days=count - n), Decimal(10 + n))
        for n in range(count)
    )


def _packet(weighings: int) -> PacketDocument:
    return whole_packet(whole_document(weighings=_weighings(weighings)))
