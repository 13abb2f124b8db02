"""Rows about growth and doses, from their mappings."""

from itertools import pairwise

from husbandry.rules.profiles.rows import AGE_DAYS
from husbandry.rules.profiles.scalars import limits
from husbandry.rules.profiles.sourced_rows import Row
from husbandry.rules.profiles.values import (
    DosingPolicy,
    GrowthPolicy,
    GrowthReference,
    LmsPoint,
)
from husbandry.rules.vocabulary import Sex

# Published tables of the three parameters carry more decimals than a balance shows;
# none of them is kept in the database.
POWER = limits("-20", "20", "(Cole's L)", decimals=9)
MEDIAN_G = limits("0.001", "100000", "g", decimals=9)
VARIATION = limits("0.001", "2", "(Cole's S)", decimals=9)
MATES_WITHIN_DAYS = limits("0", "60", "days")
MATES_LEAST = limits("3", "1000", "clutch-mates")
MADS = limits("0.5", "20", "scaled median deviations")
BEHIND_Z = limits("-10", "-0.1", "(a z-score)")
WEIGHT_AGE_DAYS = limits("1", "365", "days")
STEP_ML = limits("0.001", "10", "ml")


def read_growth_reference(row: Row) -> GrowthReference:
    """Read a published reference of mass by age."""
    return GrowthReference(
        id=row.identity(),
        sex=row.word_if_there("sex", Sex),
        points=_points(row),
        provenance=row.provenance(),
    )


def _points(row: Row) -> tuple[LmsPoint, ...]:
    placed = []
    for point in row.rows("points"):
        value = LmsPoint(
            age_days=point.whole("age_days", AGE_DAYS),
            power=point.number("power", POWER),
            median_g=point.number("median_g", MEDIAN_G),
            variation=point.number("variation", VARIATION),
        )
        point.done()
        row.sound = row.sound and point.sound
        placed.append((value, point))
    if not row.sound:
        return ()
    for (first, _), (second, point) in pairwise(placed):
        if second.age_days <= first.age_days:
            point.refuse(
                "age_days",
                f"Day {second.age_days} does not follow on day {first.age_days}; give "
                f"each age once, the younger first.",
            )
            row.sound = False
    if len(placed) < 2:
        row.refuse(
            "points",
            f"There {'is 1 point' if placed else 'are 0 points'}; give at least 2, so "
            f"that ages between them can be read.",
        )
    return tuple(value for value, _ in placed)


def read_growth_policy(row: Row) -> GrowthPolicy:
    """Read from when on an animal counts as behind."""
    return GrowthPolicy(
        mates_within_days=row.whole("mates_within_days", MATES_WITHIN_DAYS),
        mates_least=row.whole("mates_least", MATES_LEAST),
        behind_mads=row.number("behind_mads", MADS),
        behind_z=row.number("behind_z", BEHIND_Z),
        provenance=row.provenance(),
    )


def read_dosing(row: Row) -> DosingPolicy:
    """Read when no dose is computed."""
    return DosingPolicy(
        weight_max_age_days=row.whole("weight_max_age_days", WEIGHT_AGE_DAYS),
        smallest_step_ml=row.number("smallest_step_ml", STEP_ML),
        provenance=row.provenance(),
    )
