"""Sentences of growth and of sheds, as a person reads them."""

from typing import Any

import pytest

from core.units import MassUnit
from husbandry.rules.sentences import animals
from husbandry.rules.sentences.growth import STEPS, TELLERS
from husbandry.rules.sentences.numbers import METRIC, Units
from husbandry.rules.vocabulary import FindingKind

behind = TELLERS[FindingKind.GROWTH_BEHIND]
BY_MATES: dict[str, Any] = {
    "by": "mates",
    "mass_g": "23.90",
    "on": "2026-03-31",
    "age_days": 61,
    "mates": 8,
    "median_g": "31.2",
    "score": -3.44,
    "gain_g_per_day": None,
    "gain_days": 28,
}
BY_REFERENCE: dict[str, Any] = {
    "by": "reference",
    "mass_g": "23.90",
    "on": "2026-03-31",
    "age_days": 61,
    "z": -2.4,
    "centile": 0.8,
    "unlikely": False,
    "source": "a-source",
    "gain_g_per_day": 0.0571,
    "gain_days": 28,
}


def test_behind_its_mates() -> None:
    assert behind(BY_MATES, METRIC) == (
        "23.9 g at 61 days; 8 clutch-mates of the same age have a median of 31.2 g "
        "(3.4 deviations below)."
    )
    assert behind(BY_MATES, Units(mass=MassUnit.OZ)).startswith("0.84 oz at 61 days; 8")


@pytest.mark.parametrize(
    ("gain", "told"),
    [
        (0.0571, " Its own trend over 28 days: +0.40 g a week."),
        (-0.1, " Its own trend over 28 days: −0.70 g a week."),
        (0.0, " Its own trend over 28 days: +0.00 g a week."),
    ],
)
def test_its_own_gain_stands_beside(gain: float, told: str) -> None:
    found = behind({**BY_MATES, "gain_g_per_day": gain}, METRIC)

    assert found.endswith(f"below).{told}")


def test_behind_by_a_reference() -> None:
    assert behind(BY_REFERENCE, METRIC) == (
        "23.9 g at 61 days: z −2.4 (0.8th centile) by a-source. Its own trend over "
        "28 days: +0.40 g a week."
    )


@pytest.mark.parametrize(
    ("percent", "told"),
    [
        (0.0, "(below the 0.1th centile)"),
        (0.1, "(0.1th centile)"),
        (1.0, "(1st centile)"),
        (2.0, "(2nd centile)"),
        (2.3, "(2.3th centile)"),
        (3.0, "(3rd centile)"),
        (5.0, "(5th centile)"),
        (11.0, "(11th centile)"),
    ],
)
def test_centiles_in_words(percent: float, told: str) -> None:
    assert told in behind({**BY_REFERENCE, "centile": percent}, METRIC)


def test_an_unlikely_score_is_doubted_first() -> None:
    found = behind({**BY_REFERENCE, "z": -6.5, "unlikely": True}, METRIC)

    assert "the scale and the day of hatching should be checked first" in found


def test_the_first_step_ends_at_a_vet_and_the_reason_at_its_source() -> None:
    step, why = STEPS[FindingKind.GROWTH_BEHIND]

    assert step.startswith("Weigh it again today")
    assert step.endswith("see a licensed reptile vet.")
    assert why.endswith("[mates-convention].")


def test_a_loss_about_a_shed_says_so() -> None:
    lost = {
        "from_g": "120",
        "to_g": "113",
        "days": 7,
        "change_pct": -5.83,
        "limit_pct": 5.0,
        "window_days": 14,
    }

    assert animals.loss({**lost, "shed_on": "2026-03-29"}, METRIC) == (
        "120.0 g → 113.0 g in 7 days (−5.8 %); 5 % within 14 days is the limit. It "
        "shed on 29 Mar 2026: an animal that sheds may fast and lose a little."
    )
    assert animals.loss(lost, METRIC).endswith("is the limit.")
