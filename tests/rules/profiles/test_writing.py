"""What is written is read back as it was."""

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from husbandry.rules.profiles.reading import read_profile
from husbandry.rules.profiles.writing import write_profile
from tests.rules.profiles.profiles_made import TEXTS, named, profile_of, targets
from tests.rules.profiles.samples import SMALL


def test_small_profile_comes_back() -> None:
    profile = read_profile(SMALL, name="small.yaml")

    assert read_profile(write_profile(profile), name="written") == profile


def test_writing_twice_gives_the_same_text() -> None:
    text = write_profile(read_profile(SMALL, name="small.yaml"))

    assert write_profile(read_profile(text, name="written")) == text


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
)
def test_any_profile_comes_back(rows: list, texts: tuple[str, str]) -> None:
    profile = profile_of(named(rows), texts=texts)

    assert read_profile(write_profile(profile), name="written") == profile
