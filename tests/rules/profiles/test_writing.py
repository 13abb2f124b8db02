"""What is written is read back as it was."""

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from husbandry.rules.profiles.reading import read_profile
from husbandry.rules.profiles.writing import write_profile
from tests.rules.profiles.care_made import Care, cares, with_care
from tests.rules.profiles.care_samples import CARED
from tests.rules.profiles.profiles_made import TEXTS, named, profile_of, targets
from tests.rules.profiles.samples import SMALL


@pytest.mark.parametrize("text", [SMALL, CARED])
def test_small_profile_comes_back(text: str) -> None:
    profile = read_profile(text, name="small.yaml")

    assert read_profile(write_profile(profile), name="written") == profile


def test_writing_twice_gives_the_same_text() -> None:
    text = write_profile(read_profile(SMALL, name="small.yaml"))

    assert write_profile(read_profile(text, name="written")) == text


def test_what_says_nothing_is_not_written() -> None:
    text = write_profile(read_profile(SMALL, name="small.yaml"))

    for key in (
        "misting", "gut_load", "lamps", "settling", "growth_references",
        "growth_policy", "dosing", "contains_d3", "most_a_month", "shed_days", "null",
    ):  # fmt: skip
        assert key not in text


def test_what_is_said_of_daily_care_is_written_plain() -> None:
    text = write_profile(read_profile(CARED, name="small.yaml"))

    assert "\n  time: before_lights_on\n  minutes_low: 2\n  minutes_high: 4\n" in text
    assert "  contains_d3: true\n  most_a_month: 3\n" in text
    assert "  points:\n  - age_days: 0\n    power: 0.3487\n    median_g: 1.1\n" in text
    assert "  behind_z: -2\n" in text
    assert "  shed_days: 7\n" in text
    # The invented paper stands behind the references; nothing else is doubled.
    assert text.count("reviewed_on: 2027-01-31") == CARED.count("standing: ") - 1


def test_review_day_of_the_file_is_written_out_in_each_row() -> None:
    text = write_profile(read_profile(SMALL, name="small.yaml"))

    assert "\nreviewed_on:" not in text
    assert text.count("reviewed_on: 2027-01-31") == SMALL.count("standing: ") - 1
    assert text.count("reviewed_on: 2026-12-01") == 1


def test_numbers_are_written_as_they_were_and_plain() -> None:
    text = write_profile(read_profile(SMALL, name="small.yaml"))

    assert "high: 32.5\n" in text
    assert "low: 30\n" in text


@settings(suppress_health_check=[HealthCheck.too_slow], deadline=None)
@given(
    # Scopes all different, with the stages apart: no ties.
    st.lists(
        targets(),
        max_size=4,
        unique_by=lambda t: (bool(t.stages), t.sex, t.reproduction),
    ),
    st.tuples(TEXTS, TEXTS),
    cares(),
)
def test_any_profile_comes_back(rows: list, texts: tuple[str, str], care: Care) -> None:
    profile = with_care(profile_of(named(rows), texts=texts), care)

    assert read_profile(write_profile(profile), name="written") == profile
