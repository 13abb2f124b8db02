"""What was judged of a home's enclosure, in words."""

from typing import Any

import pytest

from placements.rules.readiness.sentences import matter_words, summary
from placements.rules.readiness.words import Why
from placements.rules.vocabulary import Readiness, UnitSystem, UvbLamp

BASIS: dict[str, Any] = {
    "source": "willems-dvm",
    "standing": "published",
    "reviewed_on": "2026-11-25",
    "note": "Does not tell the sexes apart.",
    "row": "basking-day",
    "version": 1,
    "override": None,
    "others": [
        {"low": 29.4, "high": 32.2, "source": "memory", "standing": "from_memory"},
        {"low": None, "high": None, "source": "memory", "standing": "from_memory"},
    ],
}
MEASURED: dict[str, Any] = {
    "on": "2026-03-01",
    "covered_s": 36_000,
    "expected_s": 43_200,
    "below_s": 600,
    "above_s": 0,
    "mean": 26.0,
    "lowest": 25.0,
    "highest": 27.5,
    "outside": False,
}


def judged(matter: str, **other: Any) -> dict[str, Any]:
    return {
        "matter": matter,
        "state": "as_wanted",
        "why": "as_wanted",
        "wanted": {},
        "found": {},
        "basis": None,
        "quantity": None,
        "zone": None,
        "period": None,
        "stage": "adult",
        **other,
    }


def climate(**other: Any) -> dict[str, Any]:
    wanted = {"low": 25.6, "high": 27.8, "tolerated_s": 3_600, "days": 3}
    return judged(
        "climate",
        **{
            "quantity": "temperature_c",
            "zone": "basking",
            "period": "day",
            "wanted": wanted,
            "found": {"days": 1, "measured": [MEASURED]},
            "basis": BASIS,
            **other,
        },
    )


def test_a_measured_target_in_the_homes_units() -> None:
    metric = matter_words(climate(), UnitSystem.METRIC)
    imperial = matter_words(climate(), UnitSystem.IMPERIAL)

    assert metric.title == "Temperature at the basking spot by day"
    assert metric.stands == "as wanted"
    assert metric.wanted == (
        "25.6–27.8 °C; up to 1 h of a period outside is put up with"
    )
    assert metric.found == "1 of 1 day measured well enough"
    assert metric.days == (
        "1 Mar 2026: 25.0–27.5 °C, 10 min below, measured 10 h of 12 h",
    )
    assert (metric.says, metric.note) == (
        "willems-dvm (published)",
        "Does not tell the sexes apart.",
    )
    assert metric.others == ("29.4–32.2 °C: from memory, not verified",)
    # 25.6 °C is 78.08 °F, 27.8 °C is 82.04 °F, by 9/5 and 32.
    assert imperial.wanted.startswith("78.1–82.0 °F;")
    assert imperial.days[0].startswith("1 Mar 2026: 77.0–81.5 °F")


@pytest.mark.parametrize(
    ("measured", "told"),
    [
        ({"above_s": 900, "below_s": 0}, "15 min above"),
        ({"lowest": None, "highest": None}, "nothing that can be believed"),
    ],
)
def test_a_day_says_what_was_outside(measured: dict[str, Any], told: str) -> None:
    found = {"days": 0, "measured": [{**MEASURED, **measured}]}

    words = matter_words(climate(found=found), UnitSystem.METRIC)

    assert told in words.days[0]


def test_an_agreement_is_told_instead_of_the_rows_note() -> None:
    agreed = {**BASIS, "override": "Ana: after surgery"}

    words = matter_words(climate(basis=agreed), UnitSystem.METRIC)

    assert words.note == "Ana: after surgery"


def test_nothing_measured() -> None:
    words = matter_words(
        climate(
            found={"days": 0, "measured": []}, state="not_known", why="not_measured"
        ),
        UnitSystem.METRIC,
    )

    assert (words.found, words.days) == ("nothing measured", ())
    assert words.why == "Hang a logger there for at least three days."


def test_a_uv_index_by_hand() -> None:
    words = matter_words(
        judged(
            "uvb_lamp",
            quantity="uv_index",
            zone="basking",
            period="day",
            wanted={"low": 2.0, "high": 4.0},
            found={
                "on": "2026-03-01",
                "readings": 2,
                "lowest": 2.8,
                "highest": 3.1,
            },
            why="measured",
        ),
        UnitSystem.METRIC,
    )

    assert words.title == "UVB light"
    assert words.wanted == "UV index 2.0–4.0"
    assert words.found == "UV index 2.8–3.1 by hand on 1 Mar 2026"


LAMP_WANTED = {
    "lamp": "linear_t5",
    "percent_low": 5,
    "percent_high": 6,
    "distance_low_cm": 15,
    "distance_high_cm": 30,
    "uv_index": [2, 4],
}


def test_a_lamp_in_inches() -> None:
    found = {
        "lamp": "linear_t5",
        "percent": 6,
        "distance_cm": 25.4,
        "through_screen": True,
    }

    words = matter_words(
        judged("uvb_lamp", wanted=LAMP_WANTED, found=found), UnitSystem.IMPERIAL
    )

    assert words.wanted == (
        "a linear high-output T5 tube of the 5 to 6 % class, 5.9 to 11.8 in above the "
        "highest perch; better a UV index 2.0–4.0 measured there"
    )
    # 25.4 cm are 10 in exactly.
    assert words.found == "a linear T5 tube, 6 %, 10 in to the perch, through a screen"


@pytest.mark.parametrize("lamp", UvbLamp)
def test_every_lamp_has_a_name(lamp: UvbLamp) -> None:
    found = {
        "lamp": lamp.value,
        "percent": None,
        "distance_cm": None,
        "through_screen": False,
    }
    wanted = {**LAMP_WANTED, "uv_index": None}

    words = matter_words(
        judged("uvb_lamp", wanted=wanted, found=found), UnitSystem.METRIC
    )

    assert words.found
    assert "_" not in words.found
    assert "better" not in words.wanted


@pytest.mark.parametrize(
    ("matter", "wanted", "found", "told"),
    [
        (
            "size",
            {"width_cm": 60.9, "depth_cm": 60.9, "height_cm": 121.9},
            {"width_cm": 61, "depth_cm": 61, "height_cm": 122},
            (
                "at least 60.9 × 60.9 × 121.9 cm wide, deep, high",
                "61 × 61 × 122 cm wide, deep, high",
            ),
        ),
        ("size", {}, {}, ("", "")),
        (
            "light_hours",
            {"hours_low": 11, "hours_high": 13},
            {"light_h": 12.5},
            ("11 to 13 h a day", "12.5 h a day"),
        ),
        (
            "light_hours",
            {"hours_low": 12, "hours_high": 12},
            {"light_h": 12},
            ("12 h a day", "12 h a day"),
        ),
        ("light_hours", {}, {"light_h": 12}, ("", "12 h a day")),
        ("company", {"animals": 1}, {"animals": 1}, ("alone", "nobody else")),
        (
            "company",
            {"animals": 4},
            {"animals": 3},
            ("at most 4 together", "2 that live there already"),
        ),
        ("company", {}, {"animals": 1}, ("", "nobody else")),
        (
            "sight",
            {"sees_others": False},
            {"sees_others": None},
            ("no other of its kind in sight from inside", "not said"),
        ),
        (
            "laying_bin",
            {"laying_bin": True},
            {"laying_bin": False},
            ("a bin to dig and lay in", "none"),
        ),
    ],
)
def test_other_matters(
    matter: str, wanted: Any, found: Any, told: tuple[str, str]
) -> None:
    words = matter_words(judged(matter, wanted=wanted, found=found), UnitSystem.METRIC)

    assert (words.wanted, words.found) == told


@pytest.mark.parametrize("why", Why)
def test_every_reason_has_its_sentence(why: Why) -> None:
    words = matter_words(
        judged("laying_bin", why=why.value, found={"laying_bin": True}),
        UnitSystem.METRIC,
    )

    assert (words.why == "") is (why in {Why.AS_WANTED, Why.MEASURED})


@pytest.mark.parametrize(
    ("states", "told"),
    [
        ((), "Nothing was compared."),
        (("as_wanted",), "Everything is as wanted."),
        (
            ("as_wanted", "not_as_wanted", "not_known"),
            "Not ready yet: 1 not as wanted and 1 not known yet of 3 matters.",
        ),
        (("not_known",), "Not ready yet: 1 not known yet of 1 matters."),
    ],
)
def test_the_whole_in_a_sentence(states: tuple[str, ...], told: str) -> None:
    words = [
        matter_words(
            judged("laying_bin", state=state, found={"laying_bin": True}),
            UnitSystem.METRIC,
        )
        for state in states
    ]

    assert summary(words) == told
    assert {word.state for word in words} <= set(Readiness)
