"""What a profile says of daily care for one animal: which row wins."""

from datetime import date, timedelta
from itertools import permutations

import pytest

from husbandry.rules.profiles.care_rows import (
    feeder,
    lamp_rule_for,
    misting_for,
    reference_for,
    settling_until,
    staples_for,
    warning_sign,
)
from husbandry.rules.profiles.reading import read_profile
from husbandry.rules.profiles.values import Profile
from husbandry.rules.vocabulary import LampKind, Sex
from tests.rules.profiles.care_samples import CARED
from tests.rules.profiles.samples import SMALL

SILENT = read_profile(SMALL, name="small.yaml")
CARE = read_profile(CARED, name="small.yaml")
ARRIVED_ON = date(2027, 3, 1)


@pytest.mark.parametrize(
    ("stage", "rows"),
    [
        ("young", ["mist-dawn-young", "mist-dusk"]),  # the row that names the stage
        ("adult", ["mist-dawn", "mist-dusk"]),
        (None, ["mist-dawn", "mist-dusk"]),
    ],
)
def test_misting_of_a_stage_goes_before_that_of_all(
    stage: str | None, rows: list[str]
) -> None:
    assert [r.id for r in misting_for(CARE, stage)] == rows


@pytest.mark.parametrize("order", list(permutations(range(3))))
def test_misting_does_not_depend_on_the_order_of_rows(order: tuple[int, ...]) -> None:
    lines = CARED[CARED.index("  - {id: mist-dawn,") : CARED.index("gut_load:")]
    rows = lines.splitlines(keepends=True)
    shuffled = CARED.replace(lines, "".join(rows[n] for n in order))

    profile = read_profile(shuffled, name="small.yaml")

    assert misting_for(profile, "young") == misting_for(CARE, "young")


def test_misting_that_is_not_told_is_none() -> None:
    start, end = CARED.index("  - {id: mist-dawn,"), CARED.index("  - {id: mist-dusk")
    evenings = read_profile(CARED[:start] + CARED[end:], name="small.yaml")

    assert misting_for(SILENT, "adult") == ()
    assert [r.id for r in misting_for(evenings, "young")] == ["mist-dusk"]


def test_rule_of_a_kind_of_lamp() -> None:
    tube = lamp_rule_for(CARE, LampKind.UVB_TUBE)
    warmth = lamp_rule_for(CARE, LampKind.HEAT)

    assert (tube and tube.id, warmth and warmth.id) == ("tube", "warmth")
    assert lamp_rule_for(SILENT, LampKind.HEAT) is None


@pytest.mark.parametrize(
    ("sex", "row"),
    [(Sex.MALE, "growth-male"), (Sex.FEMALE, "growth"), (Sex.UNKNOWN, "growth")],
)
def test_reference_of_the_sex_goes_before_that_of_both(sex: Sex, row: str) -> None:
    found = reference_for(CARE, sex)

    assert found is not None
    assert found.id == row
    assert reference_for(SILENT, sex) is None


def test_no_animal_is_held_to_the_other_sex() -> None:
    start, end = CARED.index("  - id: growth\n"), CARED.index("  - id: growth-male")
    males_only = read_profile(CARED[:start] + CARED[end:], name="small.yaml")

    assert reference_for(males_only, Sex.MALE) is not None
    assert reference_for(males_only, Sex.FEMALE) is None
    assert reference_for(males_only, Sex.UNKNOWN) is None


def test_rows_are_found_by_their_id() -> None:
    sign, crickets = warning_sign(CARE, "sign"), feeder(CARE, "crickets")

    assert sign in CARE.warning_signs
    assert crickets in CARE.feeders
    assert warning_sign(CARE, "crickets") is None
    assert feeder(CARE, "") is None


STAPLES = """\
  - {id: flies, name: Flies, use: staple, from_days: 0, source: common-practice, standing: common_practice}
  - {id: roaches, name: Roaches, use: staple, from_days: 30, source: common-practice, standing: common_practice}
  - {id: worms, name: Worms, use: treat, from_days: 0, source: common-practice, standing: common_practice}
  - {id: dead, name: Dead ones, use: never, from_days: 0, source: common-practice, standing: common_practice}
"""


@pytest.mark.parametrize(
    ("age_days", "rows"),
    [
        (None, ["flies", "crickets"]),  # age not known: what suits from hatching on
        (0, ["flies", "crickets"]),
        (29, ["flies", "crickets"]),
        (30, ["flies", "roaches", "crickets"]),  # its first day counts
    ],
)
def test_staples_suit_the_age_and_keep_their_order(
    age_days: int | None, rows: list[str]
) -> None:
    text = CARED.replace("feeders:\n", "feeders:\n" + STAPLES)
    profile = read_profile(text, name="small.yaml")

    assert [f.id for f in staples_for(profile, age_days)] == rows


@pytest.mark.parametrize(
    ("profile", "hatched_on", "day", "last"),
    [
        (CARE, None, -1, None),  # not here yet
        (CARE, None, 0, 13),
        (CARE, date(2025, 1, 1), 13, 13),  # fourteen days, both ends included
        (CARE, None, 14, None),
        (CARE, ARRIVED_ON, 3, None),  # hatched here, so no newcomer
        (SILENT, None, 0, None),
    ],
)
def test_a_newcomer_settles(
    profile: Profile, hatched_on: date | None, day: int, last: int | None
) -> None:
    found = settling_until(
        profile,
        arrived_on=ARRIVED_ON,
        hatched_on=hatched_on,
        on=ARRIVED_ON + timedelta(days=day),
    )

    assert found == (None if last is None else ARRIVED_ON + timedelta(days=last))
