"""Drawing a packet: layout, charts and templates beside what the PDF itself costs.

The floor is WeasyPrint on the finished page, fonts and all, in the same process.
"""

from collections.abc import Iterator
from datetime import date, timedelta
from decimal import Decimal
from pathlib import Path

from django.conf import settings

from bench.frame import Figure, progress, side_by_side
from core.printing import print_html
from husbandry.rules.profiles.reading import read_profile
from placements import pdf
from placements.rules.packets.building import build_document
from placements.rules.packets.documents import PacketDocument, digest, plain
from placements.rules.packets.histories import MassPoint
from placements.rules.packets.needs import ProfileVersion
from tests.placements.known import LEAVES_ON, facts

PROFILE = Path("husbandry/profiles/veiled_chameleon.yaml")
REPEATS = 9
WEIGHINGS = 16
DRAW, FLOOR, WORDS = "draw", "floor", "words"


def figures(*, size: int | None) -> Iterator[Figure]:
    """Yield the figures of one packet; `size` is its number of weighings."""
    weighings = size or WEIGHINGS
    progress(f"a packet with the shipped care profile and {weighings} weighings")
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
    text = (settings.BASE_DIR / PROFILE).read_text(encoding="utf-8")
    profile = ProfileVersion(1, "0" * 64, read_profile(text, name=PROFILE.name))
    document = build_document(facts(profile=profile, weighings=_weighings(weighings)))
    return PacketDocument(
        "P-2026-0001", 1, digest(plain(document)), date(2026, 3, 18), document
    )
