"""Findings with evidence as a review writes it."""

from datetime import date
from typing import Any

from core.models import Site
from husbandry.models import Animal, Finding
from husbandry.rules.vocabulary import FindingKind, Urgency
from tests.factories import AnimalFactory, FindingFactory, SightingFactory

PRACTICE = {
    "source": "common-practice",
    "standing": "common_practice",
    "reviewed_on": "2026-01-01",
    "note": "",
    "row": "a-row",
    "version": 1,
    "override": None,
    "others": [
        {
            "low": 29.4,
            "high": 32.2,
            "source": "willems-dvm",
            "standing": "published",
            "reviewed_on": "2026-01-01",
            "note": "",
        }
    ],
}
OVERDUE: dict[str, Any] = {
    "animal": "V-0417 Juno",
    "room": "Nursery rack",
    "enclosure": "N-12",
    "last_on": "2026-02-01",
    "last_g": "118.40",
    "arrived_on": "2025-01-01",
    "days": 28,
    "every_days": 14,
    "overdue_after_days": 21,
    "basis": {**PRACTICE, "others": []},
}
COLD: dict[str, Any] = {
    "animal": "V-0417 Juno",
    "room": "Nursery rack",
    "enclosure": "N-12",
    "probe": "P-1",
    "quantity": "temperature_c",
    "zone": "basking",
    "period": "day",
    "low": 28.0,
    "high": 31.0,
    "hard": 20.0,
    "tolerated_s": 3600,
    "outside_s": 8100,
    "covered_s": 43_200,
    "expected_s": 43_200,
    "longest_s": 8100,
    "longest_from": "2026-03-01 08:00",
    "extreme_at": "2026-03-01 08:40",
    "unit_minutes": 310.0,
    "mean": 27.125,
    "lowest": 22.0,
    "highest": 30.5,
    "readings": 144,
    "past_hard": False,
    "stayed_s": None,
    "basis": PRACTICE,
}
SILENT: dict[str, Any] = {
    "room": "Nursery rack",
    "enclosure": "N-12",
    "probe": "P-1",
    "zone": "ambient",
    "covered_s": 0,
    "expected_s": 86_400,
}


def overdue(
    site: Site,
    *,
    animal: Animal | None = None,
    urgency: Urgency = Urgency.WATCH,
    evidence: dict[str, Any] | None = None,
    **fields: Any,
) -> Finding:
    return FindingFactory.create(
        site=site,
        animal=animal or AnimalFactory.create(),
        urgency=urgency.value,
        evidence=evidence or OVERDUE,
        **fields,
    )


def seen(finding: Finding, on: date, *, said: bool = True, **fields: Any) -> None:
    SightingFactory.create(
        **{
            "site": finding.site,
            "on": on,
            "key": finding.key,
            "kind": FindingKind(finding.kind).value,
            "seen": said,
            "urgency": finding.urgency,
            "animal": finding.animal,
            "evidence": finding.evidence if said else {},
            **fields,
        }
    )
