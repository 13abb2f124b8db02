"""No page of a packet is left nearly empty, whatever the history is.

A page counts as filled down to its lowest line of text above the foot of the page;
drawings always have words below them.
"""

import io
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pikepdf
import pytest
from pypdf import PageObject, PdfReader

from husbandry.rules.profiles.reading import read_profile
from husbandry.rules.vocabulary import DatePrecision, FindingKind, Urgency
from placements import pdf
from placements.rules.packets.building import build_document
from placements.rules.packets.documents import PacketDocument, digest, plain
from placements.rules.packets.facts import FindingFacts, Leaving
from placements.rules.packets.leaving import PrintChoice
from placements.rules.packets.needs import ProfileVersion
from placements.rules.vocabulary import Paper, UnitSystem
from tests.factories import SHIPPED_PROFILE
from tests.placements.known import ANIMAL, HATCHED_ON, NEEDS, facts

MM = 72 / 25.4
TOP, FOOT = 15 * MM, 17 * MM
SHIPPED = ProfileVersion(
    1,
    "0" * 64,
    read_profile(SHIPPED_PROFILE.read_text(encoding="utf-8"), name="shipped"),
)
UNKNOWN: dict[str, Any] = {
    "animal": replace(ANIMAL, hatched_on=None, hatched_precision=DatePrecision.UNKNOWN),
    "needs": replace(NEEDS, hatched_on=None),
    "weighings": (),
}
GROWN: dict[str, Any] = {
    "animal": replace(ANIMAL, hatched_on=date(2024, 1, 1)),
    "needs": replace(NEEDS, hatched_on=date(2024, 1, 1)),
}


def findings(count: int) -> tuple[FindingFacts, ...]:
    """Return findings of the longer kind, every second one over by now."""
    evidence = {
        "quantity": "temperature_c",
        "zone": "basking",
        "period": "day",
        "low": 28.3,
        "high": 30.6,
        "hard": 20.0,
        "tolerated_s": 3600,
        "outside_s": 43_200,
        "covered_s": 43_200,
        "longest_s": 43_200,
        "longest_from": "2026-03-01 08:00",
        "mean": 22.4,
        "lowest": 17.7,
        "highest": 24.0,
        "past_hard": True,
        "stayed_s": None,
    }
    first = date(2026, 3, 1)
    return tuple(
        FindingFacts(
            kind=FindingKind.BELOW_TARGET,
            urgency=Urgency.TODAY,
            opened_on=first + timedelta(days=n),
            last_seen_on=first + timedelta(days=n),
            closed_on=first + timedelta(days=n + 1) if n % 2 else None,
            nights=1,
            evidence=evidence,
        )
        for n in range(count)
    )


def draw(**more: Any) -> bytes:
    document = build_document(facts(**more))
    return pdf.draw(
        PacketDocument(
            "P-2026-0001", 1, digest(plain(document)), date(2026, 3, 18), document
        )
    )


def on(paper: Paper) -> Leaving:
    """Return the choice of a home that reads its packet on a paper."""
    units = UnitSystem.METRIC if paper is Paper.A4 else UnitSystem.IMPERIAL
    return Leaving(print=PrintChoice(units=units, paper=paper))


def filled_pct(page: PageObject) -> int:
    """Return down to where a page is filled, in percent of its inner height."""
    whole, heights = float(page.mediabox.height), []

    def visit(text: str, cm: list[float], tm: list[float], *_: Any) -> None:
        if text.strip():
            heights.append(cm[1] * tm[4] + cm[3] * tm[5] + cm[5])

    page.extract_text(visitor_text=visit)
    lowest = min(height for height in heights if height > FOOT)
    return round(100 * (whole - TOP - lowest) / (whole - TOP - FOOT))


def pages(drawn: bytes) -> list[int]:
    return [filled_pct(page) for page in PdfReader(io.BytesIO(drawn)).pages]


@pytest.mark.parametrize("paper", Paper)
@pytest.mark.parametrize(
    ("told", "count"),
    [
        ({"findings": ()}, 12),
        ({"findings": findings(2)}, 12),
        ({"findings": findings(5)}, 12),
        ({"findings": findings(24)}, 13),
        ({**GROWN, "findings": findings(2)}, 12),
        ({**UNKNOWN, "findings": ()}, 12),
        ({**UNKNOWN, "findings": (), "stays": (), "conditions": ()}, 11),
        ({"keeper_contact": "One line of an address\n" * 6}, 12),
    ],
    ids=[
        *("no finding", "two", "five", "many", "grown", "unknown", "nothing at all"),
        "long address",
    ],
)
def test_no_page_is_left_nearly_empty(
    told: dict[str, Any], count: int, paper: Paper
) -> None:
    found = pages(draw(profile=SHIPPED, leaving=on(paper), **told))

    assert min(found) >= 20, found
    assert len(found) == count, found


@pytest.mark.parametrize("days", [1, 340])
@pytest.mark.parametrize("paper", Paper)
def test_no_page_is_left_nearly_empty_at_any_age(days: int, paper: Paper) -> None:
    leaves_on = HATCHED_ON + timedelta(days=days)

    found = pages(draw(profile=SHIPPED, on=leaves_on, leaving=on(paper)))

    assert min(found) >= 20, found


def test_second_reader_finds_no_fault(tmp_path: Path) -> None:
    path = tmp_path / "packet.pdf"
    path.write_bytes(draw(profile=SHIPPED, findings=findings(24)))

    with pikepdf.open(path) as pdf:
        assert pdf.check_pdf_syntax() == []
