"""What of the care book cannot have been; what is said of food that was given."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from husbandry.rules.care_entries import MeasuringError, round_lengths
from husbandry.rules.feeding_remarks import (
    d3_supplements,
    remark_on_d3,
    remarks_on_food,
)
from husbandry.rules.profiles.reading import read_profile
from husbandry.rules.profiles.values import Profile, SupplementRule
from tests.factories import SHIPPED_PROFILE

CM = Decimal


@pytest.fixture(scope="module")
def profile() -> Profile:
    return read_profile(SHIPPED_PROFILE.read_text("utf-8"), name="shipped")


@pytest.mark.parametrize(
    ("body", "whole", "kept"),
    [
        ("1", None, ("1.0", None)),
        (None, "1", (None, "1.0")),
        ("60", "200", ("60.0", "200.0")),
        ("18.25", "18.25", ("18.2", "18.2")),  # to the even digit
        ("18.5", "35.04", ("18.5", "35.0")),
    ],
)
def test_lengths_are_kept_to_a_millimetre(
    body: str | None, whole: str | None, kept: tuple[str | None, str | None]
) -> None:
    found = round_lengths(
        snout_vent_cm=CM(body) if body else None, total_cm=CM(whole) if whole else None
    )

    assert tuple(None if v is None else str(v) for v in found) == kept


@pytest.mark.parametrize(
    ("body", "whole", "said"),
    [
        (None, None, "Nothing was measured"),
        ("0.9", None, "A length of 0.9 cm cannot be: give 1 to 60 cm"),
        ("60.1", None, "give 1 to 60 cm"),
        ("NaN", None, "cannot be"),
        ("Infinity", None, "cannot be"),
        (None, "200.1", "give 1 to 200 cm"),
        (None, "-5", "A length of -5 cm cannot be"),
        ("18.6", "18.5", "is more than 18.5 cm with the tail"),
    ],
)
def test_lengths_that_cannot_be_are_refused(
    body: str | None, whole: str | None, said: str
) -> None:
    with pytest.raises(MeasuringError, match=said):
        round_lengths(
            snout_vent_cm=CM(body) if body else None,
            total_cm=CM(whole) if whole else None,
        )


def _with_d3(profile: Profile, most: int | None) -> SupplementRule:
    row = next(s for s in profile.supplements if s.id == "multivitamin-d3")
    return replace(row, contains_d3=True, most_a_month=most)


@pytest.mark.parametrize(
    ("most", "days", "said"), [(2, 1, ""), (2, 2, ""), (2, 3, "3 days"), (None, 30, "")]
)
def test_more_d3_than_the_profile_wants_is_remarked_on(
    most: int | None, days: int, said: str, profile: Profile
) -> None:
    remark = remark_on_d3([_with_d3(profile, most)], days=days, on=date(2026, 3, 20))

    assert bool(remark) is bool(said)
    assert said in remark
    if said:
        assert "in March 2026; its profile wants at most 2 a month" in remark
        assert "Too much D3 is toxic" in remark
        assert "licensed reptile vet" in remark


def test_the_strictest_of_two_limits_counts(profile: Profile) -> None:
    rules = [_with_d3(profile, 4), _with_d3(profile, 1)]

    assert "at most 1 a month" in remark_on_d3(rules, days=2, on=date(2026, 3, 20))


def test_only_what_contains_d3_is_counted(profile: Profile) -> None:
    plain = replace(profile.supplements[0], contains_d3=False)
    mixed = replace(profile, supplements=(plain, _with_d3(profile, 2)))

    assert set(d3_supplements(mixed)) == {"multivitamin-d3"}


@pytest.mark.parametrize(
    ("feeder", "age_days", "remarks"),
    [
        ("feeder-crickets", 0, 0),
        ("feeder-waxworms", 179, 1),
        ("feeder-waxworms", 180, 0),
        ("feeder-waxworms", None, 0),
        ("feeder-dead", 700, 1),
        ("feeder-dead", None, 1),
        ("feeder-unknown-by-now", 700, 0),
    ],
)
def test_unwise_food_is_remarked_on(
    feeder: str, age_days: int | None, remarks: int, profile: Profile
) -> None:
    found = remarks_on_food(profile, feeder=feeder, age_days=age_days)

    assert len(found) == remarks
