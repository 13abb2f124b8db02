"""Missed care in words: what was due, since when, what was done last, and what now.

Common practice, no source, for portions and days (K11, K14).
"""

import re
from typing import Any

import pytest
from django.conf import settings

from husbandry.rules.sentences.care import STEPS, TELLERS
from husbandry.rules.sentences.numbers import METRIC
from husbandry.rules.vocabulary import FindingKind, TaskKind

K = FindingKind
KINDS = {
    K.FEEDING_MISSED,
    K.SUPPLEMENT_MISSED,
    K.TOO_MUCH_D3,
    K.MISTING_MISSED,
    K.GUT_LOAD_MISSED,
    K.UV_CHECK_OVERDUE,
    K.LAMP_WORN,
    K.FOLLOW_UP_OVERDUE,
    K.CARE_UNRECORDED,
}
HUNGRY: dict[str, Any] = {
    "due_on": "2026-11-24",
    "since_on": "2026-11-22",
    "missed": 3,
    "more_before": False,
    "days": 3,
    "unfed_from_on": "2026-11-22",
    "fasted_until_on": None,
    "every_days_low": 1,
    "every_days_high": 1,
    "last_on": "2026-11-21",
    "last_feeder": "crickets",
    "last_offered": 12,
    "last_eaten": 10,
    "portion_low": 10,
    "portion_high": 15,
    "unit": "small insects",
    "assisted": False,
    "agreed": "",
}
BARE: dict[str, Any] = {
    "supplement": "calcium",
    "name": "Plain calcium",
    "when": "every_feeding",
    "contains_d3": False,
    "month_day_on": None,
    "due_on": "2026-11-24",
    "newest_on": "2026-11-24",
    "missed": 1,
    "last_on": "2026-11-22",
    "known_from_on": "2026-09-02",
}
MONTHLY: dict[str, Any] = {
    "supplement": "multi-d3",
    "name": "Multivitamin with vitamin D3",
    "when": "month_days",
    "contains_d3": True,
    "month_day_on": "2026-11-15",
    "due_on": "2026-11-16",
    "newest_on": "2026-11-16",
    "missed": 1,
    "last_on": "2026-11-01",
    "known_from_on": "2026-09-02",
}
D3: dict[str, Any] = {
    "month": "2026-11",
    "given_on": ["2026-11-01", "2026-11-15", "2026-11-24"],
    "times": 3,
    "most_a_month": 2,
    "products": ["Multivitamin with vitamin D3", "Calcium with D3"],
    "last_on": "2026-11-24",
}
DRY: dict[str, Any] = {
    "due_on": "2026-11-24",
    "missed": [{"time": "before_lights_on", "minutes_low": 2, "minutes_high": 4}],
    "due": 2,
    "days_in_a_row": 1,
    "since_on": "2026-11-24",
    "last_on": "2026-11-23",
}
INSECTS: dict[str, Any] = {
    "feeder": "crickets",
    "feeder_name": "Crickets",
    "due_on": "2026-11-24",
    "due_at": "2026-11-24 21:00",
    "feeding_on": "2026-11-25",
    "insects_low": 30,
    "insects_high": 45,
    "animals": 3,
    "missed": 2,
    "of": 4,
    "counted_from_on": "2026-11-21",
    "last_on": "2026-11-23",
    "last_same_on": "2026-11-21",
}
TUBE: dict[str, Any] = {
    "lamp": 5,
    "lamp_kind": "uvb_tube",
    "label": "T5, left",
    "fitted_on": "2026-09-01",
    "due_on": "2026-11-14",
    "days_overdue": 10,
    "last_on": "2026-10-15",
    "days": 40,
    "last_uv": "3.1",
    "every_days": 30,
}
WORN: dict[str, Any] = {
    **TUBE,
    "burnt_hours": 4012.0,
    "limit_hours": 4000,
    "limit_months": 12,
    "due_on": "2026-11-22",
}
LOOK: dict[str, Any] = {
    "observation": 1,
    "text": "Scratch on the left foot.",
    "seen_on": "2026-11-18",
    "due_on": "2026-11-20",
    "days_overdue": 4,
    "last_on": "2026-11-19",
}


def tell(kind: FindingKind, evidence: dict[str, Any], **changes: Any) -> str:
    return TELLERS[kind]({**evidence, **changes}, METRIC)


@pytest.mark.parametrize(
    ("changes", "expected"),
    [
        (
            {},
            "No food on record for 3 days: last fed on 21 Nov 2026 (10 of 12 eaten). "
            "Wanted: 10–15 small insects every day; 3 feedings missed, from 22 Nov 2026 "
            "to 24 Nov 2026.",
        ),
        (
            {"missed": 1, "days": 1, "last_on": "2026-11-23", "last_eaten": None},
            "No food on record for 1 day: last fed on 23 Nov 2026 (12 offered, nobody "
            "watched). Wanted: 10–15 small insects every day; 1 feeding missed, due on "
            "24 Nov 2026.",
        ),
        (
            {
                "missed": 7,
                "more_before": True,
                "days": 14,
                "since_on": "2026-11-18",
                "last_on": None,
                "every_days_low": 2,
                "every_days_high": 3,
            },
            "No food on record for 14 days. Wanted: 10–15 small insects "
            "every 2–3 days; at least 7 feedings missed, from 18 Nov 2026 to "
            "24 Nov 2026.",
        ),
        (
            {"fasted_until_on": "2026-11-21", "last_on": "2026-11-13"},
            "No food on record for 3 days, since its fast ended on 21 Nov 2026: last fed "
            "on 13 Nov 2026 (10 of 12 eaten). Wanted: 10–15 small insects every day; "
            "3 feedings missed, from 22 Nov 2026 to 24 Nov 2026.",
        ),
        (
            {"fasted_until_on": "2026-11-21", "last_on": None},
            "No food on record for 3 days, since its fast ended on 21 Nov 2026. Wanted: "
            "10–15 small insects every day; 3 feedings missed, from 22 Nov 2026 to "
            "24 Nov 2026.",
        ),
        (
            {
                "assisted": True,
                "agreed": "R. Vet: after surgery",
                "portion_low": 2,
                "portion_high": 2,
                "unit": "ml paste",
            },
            "No food on record for 3 days: last fed on 21 Nov 2026 (10 of 12 eaten). "
            "Wanted: 2 ml paste by hand every day (agreed: R. Vet: after surgery); "
            "3 feedings missed, from 22 Nov 2026 to 24 Nov 2026.",
        ),
        (
            {"portion_low": 0, "portion_high": 0, "unit": "", "agreed": "R. Vet"},
            "No food on record for 3 days: last fed on 21 Nov 2026 (10 of 12 eaten). "
            "Wanted: food every day (agreed: R. Vet); 3 feedings missed, from "
            "22 Nov 2026 to 24 Nov 2026.",
        ),
    ],
)
def test_missed_feeding(changes: dict[str, Any], expected: str) -> None:
    assert tell(K.FEEDING_MISSED, HUNGRY, **changes) == expected


@pytest.mark.parametrize(
    ("evidence", "expected"),
    [
        (
            BARE,
            "Fed without plain calcium on 24 Nov 2026; last given on 22 Nov 2026.",
        ),
        (
            {**BARE, "missed": 2, "due_on": "2026-11-23", "last_on": None},
            "Fed without plain calcium on 2 feeding days in a row, from 23 Nov 2026 on; "
            "none on record since 2 Sep 2026.",
        ),
        (
            MONTHLY,
            "Multivitamin with vitamin D3 was due with the first food from 15 Nov 2026 "
            "on; fed on 16 Nov 2026 without it; last given on 1 Nov 2026.",
        ),
        (
            {**MONTHLY, "missed": 3, "last_on": None},
            "Multivitamin with vitamin D3 was due with the first food from 15 Nov 2026 "
            "on; fed on 3 days from 16 Nov 2026 on without it; none on record since "
            "2 Sep 2026.",
        ),
    ],
)
def test_missed_supplement(evidence: dict[str, Any], expected: str) -> None:
    assert tell(K.SUPPLEMENT_MISSED, evidence) == expected


def test_too_much_d3() -> None:
    assert tell(K.TOO_MUCH_D3, D3) == (
        "Vitamin D3 on 3 days of one month (1 Nov 2026, 15 Nov 2026, 24 Nov 2026), "
        "2 at most; with Multivitamin with vitamin D3 and Calcium with D3."
    )


@pytest.mark.parametrize(
    ("changes", "expected"),
    [
        (
            {},
            "Not misted on 24 Nov 2026 before lights-on (2–4 min); last on 23 Nov 2026.",
        ),
        (
            {
                "missed": [
                    *DRY["missed"],
                    {"time": "after_lights_off", "minutes_low": 3, "minutes_high": 3},
                ],
                "days_in_a_row": 2,
                "last_on": None,
            },
            "Not misted on 24 Nov 2026 before lights-on (2–4 min) and after lights-off "
            "(3 min), on 2 days in a row now; none in the days before.",
        ),
    ],
)
def test_missed_misting(changes: dict[str, Any], expected: str) -> None:
    assert tell(K.MISTING_MISSED, DRY, **changes) == expected


@pytest.mark.parametrize(
    ("changes", "expected"),
    [
        (
            {},
            "30–45 crickets for 3 animals, to be offered on 25 Nov 2026, were not "
            "gut-loaded (due 24 Nov 2026 at 21:00); 2 of 4 missed since 21 Nov 2026, "
            "last on 23 Nov 2026.",
        ),
        (
            {"animals": 1, "due_at": None, "last_on": None},
            "30–45 crickets for 1 animal, to be offered on 25 Nov 2026, were not "
            "gut-loaded (due 24 Nov 2026); 2 of 4 missed since 21 Nov 2026, none in "
            "the days before.",
        ),
    ],
)
def test_missed_gut_loading(changes: dict[str, Any], expected: str) -> None:
    assert tell(K.GUT_LOAD_MISSED, INSECTS, **changes) == expected


@pytest.mark.parametrize(
    ("changes", "expected"),
    [
        (
            {},
            "UVB tube T5, left: last measured 40 days ago (UV index 3.1 on "
            "15 Oct 2026); a reading every 30 days is wanted.",
        ),
        (
            {"last_uv": None},
            "UVB tube T5, left: last measured 40 days ago (on 15 Oct 2026); a reading "
            "every 30 days is wanted.",
        ),
        (
            {"label": "", "last_on": None, "last_uv": None},
            "UVB tube: never measured since it was fitted 40 days ago; a reading every "
            "30 days is wanted.",
        ),
    ],
)
def test_overdue_uv_check(changes: dict[str, Any], expected: str) -> None:
    assert tell(K.UV_CHECK_OVERDUE, TUBE, **changes) == expected


@pytest.mark.parametrize(
    ("changes", "expected"),
    [
        (
            {},
            "UVB tube T5, left: 4012 h burnt since 1 Sep 2026; after 4000 h or "
            "12 months it is spent, which was on 22 Nov 2026; last measured 40 days ago "
            "(UV index 3.1 on 15 Oct 2026).",
        ),
        (
            {"limit_months": None, "lamp_kind": "heat", "label": ""},
            "Heat lamp: 4012 h burnt since 1 Sep 2026; after 4000 h it is spent, which "
            "was on 22 Nov 2026.",
        ),
        (
            {"limit_hours": None, "limit_months": 1, "lamp_kind": "heat"},
            "Heat lamp T5, left: 4012 h burnt since 1 Sep 2026; after 1 month it is "
            "spent, which was on 22 Nov 2026.",
        ),
    ],
)
def test_worn_lamp(changes: dict[str, Any], expected: str) -> None:
    assert tell(K.LAMP_WORN, WORN, **changes) == expected


def test_overdue_second_look() -> None:
    assert tell(K.FOLLOW_UP_OVERDUE, LOOK) == (
        "A second look was due on 20 Nov 2026 (4 days ago). Seen on 18 Nov 2026: "
        "Scratch on the left foot."
    )
    assert tell(K.FOLLOW_UP_OVERDUE, LOOK, days_overdue=0) == (
        "A second look was due on 20 Nov 2026. Seen on 18 Nov 2026: Scratch on the left "
        "foot."
    )


def test_unrecorded_care() -> None:
    kinds = [TaskKind.FEED, TaskKind.GUT_LOAD, TaskKind.MIST, TaskKind.UV_CHECK]

    assert tell(K.CARE_UNRECORDED, {"kinds": kinds}) == (
        "Never recorded here: feedings, gut-loading, misting, lamps. So none of it could "
        "be judged."
    )


def test_every_kind_of_care_is_told_with_a_first_step() -> None:
    assert set(TELLERS) == KINDS
    assert set(STEPS) == KINDS


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_steps_name_only_sources_that_are_listed(kind: FindingKind) -> None:
    page = (settings.BASE_DIR / "docs" / "sources.md").read_text(encoding="utf-8")
    named = re.findall(r"\[([a-z0-9, -]+)\]", STEPS[kind][1])

    assert [k for k in named if f"| `{k}` |" not in page] == []


@pytest.mark.parametrize(
    ("kind", "words"),
    [
        (K.TOO_MUCH_D3, "call a licensed reptile vet"),
        (K.FEEDING_MISSED, "call a licensed reptile vet"),
        (K.FOLLOW_UP_OVERDUE, "call a licensed reptile vet"),
        (K.MISTING_MISSED, "call a licensed reptile vet"),
        (K.LAMP_WORN, "Unplug it and let it cool before you touch fittings"),
        (K.SUPPLEMENT_MISSED, "never more to make up"),
    ],
)
def test_steps_that_may_do_harm_say_so(kind: FindingKind, words: str) -> None:
    assert words in STEPS[kind][0]


def test_too_much_d3_is_called_toxic() -> None:
    assert STEPS[K.TOO_MUCH_D3][1].startswith("Too much D3 is toxic")
