"""Findings in words: numbers with units, signs, windows; every kind can be told."""

import re
from typing import Any

import pytest
from django.conf import settings

from core.units import MassUnit, TemperatureUnit
from husbandry.rules.sentences import breeding, care, growth, numbers, rescue
from husbandry.rules.sentences.findings import TELLERS, describe
from husbandry.rules.sentences.numbers import METRIC, Units
from husbandry.rules.sentences.steps import CONDITION_STEPS, NIGHT_LIGHT, STEPS
from husbandry.rules.vocabulary import FindingKind, Quantity

K = FindingKind
IMPERIAL = Units(TemperatureUnit.F, MassUnit.OZ)
WHERE = {"animal": "V-0417 Juno", "enclosure": "N-12", "room": "Nursery"}
PRACTICE = {
    "source": "common-practice",
    "standing": "common_practice",
    "reviewed_on": "2026-01-01",
    "note": "",
    "row": "a-row",
    "version": 1,
    "override": None,
    "others": [],
}
COLD: dict[str, Any] = {
    **WHERE,
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
    "mean": 27.125,
    "lowest": 22.0,
    "highest": 30.5,
    "past_hard": False,
    "stayed_s": None,
    "basis": PRACTICE,
}


@pytest.mark.parametrize(
    ("value", "quantity", "units", "expected"),
    [
        (21.14, Quantity.TEMPERATURE_C, METRIC, "21.1 °C"),
        (-0.5, Quantity.TEMPERATURE_C, METRIC, "−0.5 °C"),
        (35.0, Quantity.TEMPERATURE_C, IMPERIAL, "95.0 °F"),
        (69.6, Quantity.HUMIDITY_PCT, IMPERIAL, "70 %"),
        (3.04, Quantity.UV_INDEX, METRIC, "UV index 3.0"),
    ],
)
def test_value_carries_its_unit(
    value: float, quantity: Quantity, units: Units, expected: str
) -> None:
    assert numbers.value(value, quantity, units) == expected


@pytest.mark.parametrize(
    ("low", "high", "expected"),
    [
        (18.0, 21.5, "18.0–21.5 °C"),
        (18.0, None, "at least 18.0 °C"),
        (None, 21.5, "at most 21.5 °C"),
        (None, None, "no limit"),
    ],
)
def test_band_says_what_is_wanted(
    low: float | None, high: float | None, expected: str
) -> None:
    assert numbers.band(low, high, Quantity.TEMPERATURE_C) == expected


def test_band_of_uv_index_names_it_once() -> None:
    assert numbers.band(1.0, 2.6, Quantity.UV_INDEX) == "UV index 1.0–2.6"


@pytest.mark.parametrize(
    ("seconds", "expected"),
    [(0, "0 min"), (90, "2 min"), (3600, "1 h"), (7500, "2 h 5 min"), (86_400, "24 h")],
)
def test_duration_is_read_in_hours_and_minutes(seconds: int, expected: str) -> None:
    assert numbers.duration(seconds) == expected


@pytest.mark.parametrize(
    ("grams", "units", "expected"),
    [
        ("1.05", METRIC, "1.05 g"),
        ("118.4", METRIC, "118.4 g"),
        ("120", IMPERIAL, "4.23 oz"),
    ],
)
def test_mass_is_precise_enough_for_a_hatchling(
    grams: str, units: Units, expected: str
) -> None:
    assert numbers.mass(grams, units) == expected


@pytest.mark.parametrize(
    ("low", "high", "expected"),
    [
        (1, 1, "every day"),
        (2, 2, "every other day"),
        (2, 3, "every 2–3 days"),
        (7, 7, "every 7 days"),
    ],
)
def test_a_rhythm_is_read_in_words(low: int, high: int, expected: str) -> None:
    assert numbers.every(low, high) == expected


def test_condition_is_told_with_everything_that_made_it() -> None:
    words = describe(K.BELOW_TARGET, COLD)

    assert words.who == "V-0417 Juno (Nursery, N-12)"
    assert words.what == (
        "Temperature at the basking spot by day: below the wanted 28.0–31.0 °C for "
        "2 h 15 min of 12 h measured (1 h tolerated), 2 h 15 min at a stretch from "
        "08:00; mean 27.1 °C, lowest 22.0 °C."
    )
    assert words.basis == "common practice, no source"


def test_condition_is_told_in_the_units_of_the_reader() -> None:
    assert "82.4–87.8 °F" in describe(K.BELOW_TARGET, COLD, units=IMPERIAL).what


def test_hard_limit_part_of_day_and_other_sources_are_told() -> None:
    other = {**PRACTICE, "source": "willems-dvm", "low": 29.4, "high": 32.2}
    told = {
        **COLD,
        "past_hard": True,
        "stayed_s": 36_000,
        "basis": {**PRACTICE, "others": [other]},
    }

    words = describe(K.BELOW_TARGET, told)

    assert words.what.endswith(
        "It passed the limit of 20.0 °C. It stayed there 10 h of that day."
    )
    assert words.basis.endswith("; willems-dvm says 29.4–32.2 °C")


def test_an_override_is_told_by_whom_and_why() -> None:
    told = {**COLD, "basis": {**PRACTICE, "override": "Dr Mora: burn on the casque"}}

    assert describe(K.BELOW_TARGET, told).basis == (
        "Agreed for this animal by Dr Mora: burn on the casque"
    )


TOLD: dict[FindingKind, tuple[dict[str, Any], str]] = {
    K.NO_DATA: (
        {"probe": "P-1", "covered_s": 43_200, "expected_s": 86_400},
        "Probe P-1 covered 50 % of the day; silent for 12 h.",
    ),
    K.STUCK_PROBE: (
        {"probe": "P-1", "quantity": "temperature_c", "value": 23.5, "stuck_s": 86_400},
        "Probe P-1 reported 23.5 °C without any change for 24 h.",
    ),
    K.IMPOSSIBLE_VALUES: (
        {"probe": "P-1", "quantity": "humidity_pct", "impossible_s": 5400},
        "Probe P-1 reported humidity values that cannot be true for 1 h 30 min; they "
        "were left out.",
    ),
    K.UNMEASURED_TARGET: (
        {"missing": [{"quantity": "uv_index", "zone": "basking"}]},
        "Wanted, but measured by nothing: UV index at the basking spot.",
    ),
    K.LIGHT_HOURS: (
        {"light_h": 15.0, "hours_low": 11.0, "hours_high": 13.0},
        "Lights burn 15 h a day; 11 to 13 h are wanted.",
    ),
    K.WEIGHT_LOSS: (
        {
            "from_g": "23.9",
            "to_g": "22.1",
            "days": 9,
            "change_pct": -7.53,
            "limit_pct": 5.0,
            "window_days": 14,
        },
        "23.9 g → 22.1 g in 9 days (−7.5 %); 5 % within 14 days is the limit.",
    ),
    K.GROWTH_STALLED: (
        {
            "from_g": "4.20",
            "to_g": "4.10",
            "days": 9,
            "weighings": 4,
            "stage": "Hatchling",
            "slope_g_per_day": -0.01,
        },
        "4.20 g → 4.10 g in 9 days over 4 weighings: a hatchling that does not gain "
        "(−0.07 g a week).",
    ),
    K.WEIGHT_OUT_OF_BAND: (
        {
            "mass_g": "190",
            "on": "2026-03-01",
            "side": "above",
            "low_g": "85",
            "high_g": "170",
        },
        "190.0 g on 1 Mar 2026 is above the usual 85.0 g to 170.0 g.",
    ),
    K.WEIGHING_OVERDUE: (
        {
            "last_on": "2026-01-30",
            "last_g": "120",
            "days": 30,
            "every_days": 14,
            "arrived_on": "2025-01-01",
        },
        "Last weighed 30 days ago (120.0 g on 30 Jan 2026); a weighing every 14 days "
        "is wanted.",
    ),
    K.NO_ENCLOSURE: (
        {},
        "In care, but in no enclosure on record at the end of the day.",
    ),
    K.ENCLOSURE_TOO_SMALL: (
        {
            "failed": [{"dimension": "height", "is_cm": 91.0, "min_cm": 122.0}],
            "rule": "adult",
        },
        "Its enclosure is too small: height 91 cm where 122 cm is wanted (rule adult).",
    ),
    K.NO_LAYING_BIN: (
        {"gravid": True},
        "A gravid female without a place to dig and lay.",
    ),
    K.SHARED_ENCLOSURE: (
        {"with": ["V-2 Ruiz"], "allowed": 1, "animals": 2},
        "Shares its enclosure with V-2 Ruiz; it should live alone.",
    ),
    K.IN_SIGHT: (
        {"seen": [{"animal": "V-2", "enclosure": "A-2"}]},
        "Has others of its kind in sight: V-2 (A-2).",
    ),
    K.NO_PROFILE: (
        {},
        "Its species has no care profile, so nothing could be compared.",
    ),
    K.STAGE_UNKNOWN: (
        {},
        "Its age is not known, so no target of a life stage could be chosen.",
    ),
    K.NOT_REVIEWED: (
        {"error": "ValueError('x')"},
        "Its own review stopped with an error: ValueError('x').",
    ),
    K.FOOD_REFUSED: (
        {
            "meals": 2,
            "since_on": "2026-03-01",
            "last_on": "2026-03-02",
            "offered": 8,
            "ate_on": "2026-02-28",
        },
        "Refused 2 watched meals in a row, from 1 Mar 2026 to 2 Mar 2026; ate last on "
        "28 Feb 2026.",
    ),
    K.SIGN_SEEN: (
        {
            "sign": "sign-limp",
            "text": "It limps",
            "do": "See a licensed reptile vet.",
            "since_on": "2026-03-02",
            "last_on": "2026-03-02",
            "times": 1,
            "note": "",
        },
        "Seen since 2 Mar 2026: It limps. See a licensed reptile vet.",
    ),
    K.LAYING_TROUBLE: (
        {
            "trouble": "laying_stopped",
            "stopped_at": "2026-02-28 22:00",
            "hours": 50.0,
            "limit_hours": 48.0,
            "eggs": None,
        },
        "Laying stopped on 28 Feb 2026 at 22:00, 50 h before the end of the day; 48 h "
        "is the limit for treatment.",
    ),
    K.DOSE_MISSED: (
        {
            "prescription": 1,
            "drug": "Invented syrup",
            "vet": "A licensed vet of the tests",
            "missed": 1,
            "first_due_at": "2026-03-02 09:00",
            "last_due_at": "2026-03-02 09:00",
            "every_hours": 24,
        },
        "1 dose of Invented syrup without a record (due 2 Mar 2026 09:00, every 24 h; "
        "prescribed by A licensed vet of the tests).",
    ),
    K.DOSE_UNSAFE: (
        {
            "prescription": 1,
            "drug": "Invented syrup",
            "vet": "A licensed vet of the tests",
            "code": "dose_too_small",
            "sentence": "Dilute, ask the vet.",
            "due_at": "2026-03-03 09:00",
        },
        "No volume is computed for Invented syrup, due 3 Mar 2026 09:00. Dilute, ask "
        "the vet.",
    ),
    K.TEST_OVERDUE: (
        {
            "test": 4,
            "test_kind": "swab",
            "taken_on": "2026-02-20",
            "expected_on": "2026-03-01",
            "days": 2,
        },
        "Swab of 20 Feb 2026: its result was expected by 1 Mar 2026, 2 days ago.",
    ),
    K.TEST_FOUND: (
        {
            "test": 4,
            "test_kind": "blood",
            "taken_on": "2026-02-20",
            "result_on": "2026-03-01",
            "finding": "Calcium low",
        },
        "Blood test of 20 Feb 2026, result of 1 Mar 2026: Calcium low. No vet has taken "
        "it over on record.",
    ),
}


@pytest.mark.parametrize(("kind", "told"), TOLD.items(), ids=lambda v: str(v)[:20])
def test_every_other_kind_is_told(
    kind: FindingKind, told: tuple[dict[str, Any], str]
) -> None:
    evidence, expected = told

    words = describe(kind, {**WHERE, **evidence})

    assert words.what == expected
    assert words.first_step
    assert words.why


def test_every_kind_has_a_sentence_and_a_first_step() -> None:
    compared = {K.ABOVE_TARGET, K.BELOW_TARGET}
    # Held word for word in the tests of their own sentences.
    elsewhere = {
        *(*care.TELLERS, *growth.TELLERS, *breeding.TELLERS, *rescue.TELLERS),
    }

    assert set(TELLERS) == set(FindingKind)
    assert set(TOLD) | compared | elsewhere == set(FindingKind)
    assert set(STEPS) | compared == set(FindingKind)
    assert set(CONDITION_STEPS) == {(k, q) for k in compared for q in Quantity}


def test_every_reason_names_a_source_that_exists() -> None:
    reasons = [
        why for _, why in (*STEPS.values(), *CONDITION_STEPS.values(), NIGHT_LIGHT)
    ]
    named = {
        key.strip()
        for reason in reasons
        for group in re.findall(r"\[([^\]]+)\]", reason)
        for key in group.split(",")
    }
    sources = (settings.BASE_DIR / "docs" / "sources.md").read_text(encoding="utf-8")

    assert named
    assert [key for key in sorted(named) if f"`{key}`" not in sources] == []
