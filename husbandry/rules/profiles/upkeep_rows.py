"""Rows about what is done and kept up day by day, from their mappings."""

from husbandry.rules.profiles.rows import DAYS
from husbandry.rules.profiles.scalars import limits
from husbandry.rules.profiles.sourced_rows import Row
from husbandry.rules.profiles.values import (
    GutLoadRule,
    LampRule,
    MistingRule,
    SettlingRule,
)
from husbandry.rules.vocabulary import LampKind, MistingTime

MISTING_MINUTES = limits("1", "240", "minutes")
HOURS_BEFORE = limits("1", "72", "hours")
HOURS_AFTER_LIGHTS_ON = limits("0", "12", "hours")
BURNT_HOURS = limits("1", "100000", "hours burnt")
MONTHS = limits("1", "120", "months")
SETTLING_DAYS = limits("1", "365", "days")


def read_misting(row: Row) -> MistingRule:
    """Read for how long an enclosure is misted."""
    found = MistingRule(
        id=row.identity(),
        stages=row.stages(),
        time=row.word("time", MistingTime),
        minutes_low=row.whole("minutes_low", MISTING_MINUTES),
        minutes_high=row.whole("minutes_high", MISTING_MINUTES),
        text=row.text_if_there("text"),
        provenance=row.provenance(),
    )
    row.in_order("minutes_low", "minutes_high")
    return found


def read_gut_load(row: Row) -> GutLoadRule:
    """Read when food is offered, and how long before that the insects are fed."""
    return GutLoadRule(
        id=row.identity(),
        hours_before=row.whole("hours_before", HOURS_BEFORE),
        feed_hours_after_lights_on=row.whole(
            "feed_hours_after_lights_on", HOURS_AFTER_LIGHTS_ON
        ),
        text=row.text_if_there("text"),
        provenance=row.provenance(),
    )


def read_lamp(row: Row) -> LampRule:
    """Read how often a lamp is measured, and when it is spent."""
    found = LampRule(
        id=row.identity(),
        kind=row.word("kind", LampKind),
        meter_every_days=row.whole("meter_every_days", DAYS),
        replace_after_hours=row.whole_if_there("replace_after_hours", BURNT_HOURS),
        replace_after_months=row.whole_if_there("replace_after_months", MONTHS),
        text=row.text_if_there("text"),
        provenance=row.provenance(),
    )
    if (
        row.sound
        and found.replace_after_hours is None
        and found.replace_after_months is None
    ):
        row.refuse(
            "",
            "It is not said when the lamp is spent; give replace_after_hours, "
            "replace_after_months or both.",
        )
    return found


def read_settling(row: Row) -> SettlingRule:
    """Read for how long a newcomer is left alone."""
    return SettlingRule(
        id=row.identity(),
        days=row.whole("days", SETTLING_DAYS),
        text=row.text_if_there("text"),
        provenance=row.provenance(),
    )
