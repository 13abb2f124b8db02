"""Rows about breeding and sexing, from their mappings."""

from husbandry.rules.profiles.scalars import limits
from husbandry.rules.profiles.sourced_rows import Row
from husbandry.rules.profiles.values import BreedingSeason, SexingRule, SexRatio
from husbandry.rules.profiles.vocabulary import SexMark

MONTH = limits("1", "12", "the number of a month")
EGG_TEMPERATURE = limits("10", "45", "°C")
SHARE = limits("0", "100", "%")


def read_sexing(row: Row) -> SexingRule:
    """Read by what a hatchling can be sexed."""
    return SexingRule(
        id=row.identity(),
        mark=row.word("mark", SexMark),
        text=row.text_if_there("text"),
        provenance=row.provenance(),
    )


def read_sex_ratio(row: Row) -> SexRatio:
    """Read the share of females at one temperature."""
    return SexRatio(
        id=row.identity(),
        temperature_c=row.number("temperature_c", EGG_TEMPERATURE),
        female_pct=row.number("female_pct", SHARE),
        provenance=row.provenance(),
    )


def read_season(row: Row) -> BreedingSeason:
    """Read in which months pairs are put together."""
    return BreedingSeason(
        id=row.identity(),
        from_month=row.whole("from_month", MONTH),
        to_month=row.whole("to_month", MONTH),
        text=row.text_if_there("text"),
        provenance=row.provenance(),
    )
