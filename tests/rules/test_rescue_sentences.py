"""Newcomers, papers, placements and homes in words; each ends in one next step.

That days alone clear nobody, that local law decides on papers, and that an ill animal
sees a licensed vet are common practice, no source.
"""

from typing import Any

import pytest

from husbandry.rules.sentences.findings import describe
from husbandry.rules.sentences.rescue import STEPS, TELLERS
from husbandry.rules.vocabulary import FindingKind

K = FindingKind
WHERE = {"animal": "V-0611 Bruma", "room": "Arrivals room", "enclosure": "A-2"}
SAMPLES: dict[FindingKind, dict[str, Any]] = {
    K.QUARANTINE_BROKEN: {
        **WHERE,
        "room": "Long room",
        "began_on": "2026-02-20",
        "day": 11,
        "why": "outside",
        "with": [],
    },
    K.QUARANTINE_READY: {
        **WHERE,
        "began_on": "2026-01-20",
        "clock_from": "2026-01-31",
        "day": 31,
        "days_wanted": 30,
        "tests": 2,
        "weight_change_pct": -0.8,
    },
    K.PAPER_EXPIRING: {
        **WHERE,
        "paper": "keeping_permit",
        "number": "KP-77",
        "valid_until": "2026-04-01",
        "days_left": 30,
    },
    K.SPECIES_UNSURE: {
        **WHERE,
        "told": "a green chameleon",
        "since_on": "2026-02-28",
        "days": 2,
    },
    K.DUE_BACK: {
        "animal": "V-0612 Sável",
        "kind": "foster",
        "due_back_on": "2026-02-27",
        "days_late": 3,
        "placement": 4,
    },
    K.PLACEMENT_STUCK: {
        **WHERE,
        "kind": "adoption",
        "planned_on": "2026-03-03",
        "shut": [
            ["old_enough", "It is 80 days old; 90 are wanted."],
            ["home_ready", "The enclosure is 40 cm deep; 61 are wanted."],
        ],
        "placement": 5,
    },
    K.HOME_UNHEARD: {
        "animal": "V-0612 Sável",
        "animal_code": "V-0612",
        "follow_up": "two_weeks",
        "left_on": "2026-02-10",
        "due_on": "2026-02-24",
        "days_late": 6,
        "placement": 6,
    },
    K.HOME_REPORT: {
        "animal": "V-0612 Sável",
        "animal_code": "V-0612",
        "report": "death",
        "about_on": "2026-02-28",
        "received_on": "2026-03-01",
        "placement": 6,
    },
}
TOLD = {
    K.QUARANTINE_BROKEN: "In quarantine since 20 Feb 2026, but lives in Long room, "
    "which is not kept for quarantine.",
    K.QUARANTINE_READY: "Day 31 of its quarantine, counted from 31 Jan 2026; 30 days "
    "were wanted, 2 tests without findings, weight −0.8 %. It waits for a person's "
    "decision.",
    K.PAPER_EXPIRING: "Keeping permit KP-77 runs out on 1 Apr 2026, in 30 days.",
    K.SPECIES_UNSURE: "It was said to be “a green chameleon”. Nobody who knows the "
    "species has looked since it came on 28 Feb 2026, 2 days ago.",
    K.DUE_BACK: "With a foster home, and due back on 27 Feb 2026, 3 days ago.",
    K.PLACEMENT_STUCK: "Meant to leave on 3 Mar 2026, and cannot yet: It is 80 days "
    "old; 90 are wanted. The enclosure is 40 cm deep; 61 are wanted.",
    K.HOME_UNHEARD: "It left on 10 Feb 2026. The question after two weeks was due on "
    "24 Feb 2026, 6 days ago, and nothing has been heard.",
    K.HOME_REPORT: "Its home wrote on 1 Mar 2026 that it died on 28 Feb 2026; "
    "nobody here has read it yet.",
}


def test_every_kind_has_its_sentence_and_its_step() -> None:
    assert set(TELLERS) == set(STEPS) == set(SAMPLES) == set(TOLD)


@pytest.mark.parametrize("kind", SAMPLES)
def test_a_finding_reads_like_a_note_from_a_colleague(kind: FindingKind) -> None:
    words = describe(kind, SAMPLES[kind])

    assert words.what == TOLD[kind]
    assert words.who.startswith("V-061")
    assert words.first_step.endswith(".")
    assert words.why


@pytest.mark.parametrize(
    ("left", "told"),
    [
        (1, "Keeping permit KP-77 runs out on 1 Apr 2026, in 1 day."),
        (0, "Keeping permit KP-77 holds until today, 1 Apr 2026."),
        (-1, "Keeping permit KP-77 ran out on 1 Apr 2026, 1 day ago."),
    ],
)
def test_a_paper_is_told_at_its_limits(left: int, told: str) -> None:
    evidence = {**SAMPLES[K.PAPER_EXPIRING], "days_left": left}

    assert describe(K.PAPER_EXPIRING, evidence).what == told


def test_who_it_is_not_apart_from_is_named() -> None:
    evidence = {
        **SAMPLES[K.QUARANTINE_BROKEN],
        "room": "Arrivals room",
        "why": "shared_with",
        "with": ["V-0101", "V-0102"],
    }

    assert describe(K.QUARANTINE_BROKEN, evidence).what == (
        "In quarantine since 20 Feb 2026, but shares Arrivals room with V-0101 and "
        "V-0102, not in quarantine."
    )


@pytest.mark.parametrize(
    ("kind", "caution"),
    [
        (K.QUARANTINE_BROKEN, "Wash your hands"),
        (K.QUARANTINE_READY, "the days alone clear nobody"),
        (K.PAPER_EXPIRING, "Local law decides"),
        (K.HOME_REPORT, "licensed reptile vet"),
    ],
)
def test_a_step_carries_its_caution(kind: FindingKind, caution: str) -> None:
    assert caution in " ".join(STEPS[kind])
