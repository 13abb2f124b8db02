"""Findings of breeding on the pages that people read in the morning."""

from typing import Any

import pytest
from django.test import Client

from husbandry.models import Finding
from husbandry.rules.vocabulary import FindingKind
from tests.factories import EnclosureFactory, FindingFactory
from tests.rules.test_breeding_sentences import SAMPLES, SILENT
from tests.staff.samples import PRACTICE
from tests.staff.test_morning import ON, reviewed, sheet

pytestmark = pytest.mark.django_db
K = FindingKind
PLACE = {"enclosure": "I-1", "room": "Egg room", "basis": {**PRACTICE, "others": []}}


def finding(kind: FindingKind, evidence: dict[str, Any]) -> Finding:
    return FindingFactory.create(
        site=reviewed(),
        key=f"{kind.value}:enclosure:1",
        kind=kind.value,
        animal=None,
        enclosure=EnclosureFactory.create(),
        urgency="today",
        opened_on=ON,
        last_seen_on=ON,
        evidence=evidence,
    )


@pytest.mark.parametrize("kind", SAMPLES)
def test_each_can_be_read_on_its_page_and_in_the_morning(
    kind: FindingKind, keeper: Client
) -> None:
    row = finding(kind, {**SAMPLES[kind], **PLACE})

    page = keeper.get(f"/findings/{row.pk}/").content.decode()
    morning = keeper.get(f"/?night={ON}").content.decode()

    for text in (page, morning):
        assert "cannot be read by this version" not in text
        assert "Egg room" in text
        assert "common practice, no source" in text.lower()


def test_silence_among_eggs_stands_on_top_with_the_other_silent_probes() -> None:
    finding(K.EGGS_UNMEASURED, {**SILENT, **PLACE, "probes": ["P-3", "P-4"]})

    found = sheet()

    assert found.unknown == (
        "2 probes were silent: P-3 and P-4 (boxes B-1, B-2 and B-3 (incubator I-1, "
        "Egg room)) for 3 h. What happened meanwhile nobody knows.",
    )
    [card] = found.groups[1].cards
    assert card.mark == "unknown"


def test_an_incubator_without_a_probe_is_no_silent_probe() -> None:
    finding(
        K.EGGS_UNMEASURED,
        {**SILENT, **PLACE, "probes": [], "gaps": [], "why": "no_probe"},
    )

    assert list(sheet().unknown) == []
