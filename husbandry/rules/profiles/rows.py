"""Each kind of row of a profile, from its mapping."""

from husbandry.rules.profiles.scalars import as_whole, limits
from husbandry.rules.profiles.sourced_rows import ID_PATTERN, STAGE_PATTERN, Row
from husbandry.rules.profiles.values import (
    CareNote,
    Caution,
    ChecklistItem,
    CompanyRule,
    FeederNote,
    FeedingRule,
    HousingRule,
    IncubationRule,
    LayingRule,
    LightHours,
    Source,
    Stage,
    SupplementRule,
    WarningSign,
    WeighingRule,
    WeightBand,
    WeightPolicy,
)
from husbandry.rules.profiles.vocabulary import (
    CareTopic,
    FeederUse,
    IncubationMatter,
    SourceKind,
    SupplementWhen,
)
from husbandry.rules.vocabulary import (
    Sex,
    Urgency,
)

HOURS = limits("0", "24", "hours")
SIZE_CM = limits("1", "2000", "cm")
MASS_G = limits("0.001", "100000", "g")
DAYS = limits("1", "3650", "days")
AGE_DAYS = limits("0", "36500", "days of age")
MONTH_DAY = limits("1", "28", "(a day that every month has)")
PERCENT = limits("0.1", "99", "%")
COUNT = limits("1", "1000", "")
A_MONTH = limits("1", "31", "days of a month")
SHED_DAYS = limits("0", "60", "days")
YEAR = limits("1700", "2200", "(a year)")
ANY = limits("0", "100000", "")


def read_source(row: Row) -> Source:
    """Read where values come from."""
    return Source(
        key=row.name("key", ID_PATTERN, "common-practice"),
        title=row.text("title"),
        kind=row.word("kind", SourceKind),
        year=row.whole_if_there("year", YEAR),
        where=row.text("where"),
    )


def read_stage(row: Row) -> Stage:
    """Read a named age band."""
    found = Stage(
        code=row.name("code", STAGE_PATTERN, "subadult"),
        name=row.text("name"),
        from_days=row.whole("from_days", AGE_DAYS),
        to_days=row.whole_if_there("to_days", AGE_DAYS),
        provenance=row.provenance(),
    )
    if row.sound and found.to_days is not None and found.to_days <= found.from_days:
        row.refuse("to_days", f"It must lie after 'from_days', {found.from_days}.")
    return found


def read_light_hours(row: Row) -> LightHours:
    """Read how long the lights burn."""
    found = LightHours(
        id=row.identity(),
        stages=row.stages(),
        hours_low=row.number("hours_low", HOURS),
        hours_high=row.number("hours_high", HOURS),
        provenance=row.provenance(),
        others=row.others(HOURS),
    )
    row.in_order("hours_low", "hours_high")
    return found


def read_housing(row: Row) -> HousingRule:
    """Read the least size of an enclosure."""
    return HousingRule(
        id=row.identity(),
        stages=row.stages(),
        sex=row.word_if_there("sex", Sex),
        min_width_cm=row.number("min_width_cm", SIZE_CM),
        min_depth_cm=row.number("min_depth_cm", SIZE_CM),
        min_height_cm=row.number("min_height_cm", SIZE_CM),
        provenance=row.provenance(),
        others=row.others(SIZE_CM),
    )


def read_company(row: Row) -> CompanyRule:
    """Read whether an animal lives alone."""
    found = CompanyRule(
        id=row.identity(),
        stages=row.stages(),
        alone=row.truth("alone"),
        max_group=row.whole("max_group", COUNT),
        no_sight_of_others=row.truth("no_sight_of_others"),
        provenance=row.provenance(),
        others=row.others(ANY),
    )
    if row.sound and found.alone != (found.max_group == 1):
        row.refuse(
            "max_group",
            f"'alone' is {str(found.alone).lower()} and the group {found.max_group}; "
            f"an animal that lives alone is a group of 1, a group has 2 or more.",
        )
    return found


def read_laying(row: Row) -> LayingRule:
    """Read that a laying bin must be there."""
    return LayingRule(
        id=row.identity(),
        stages=row.stages(),
        sex=row.word_if_there("sex", Sex),
        provenance=row.provenance(),
    )


def read_feeding(row: Row) -> FeedingRule:
    """Read how often and how much is fed."""
    found = FeedingRule(
        id=row.identity(),
        stages=row.stages(),
        every_days_low=row.whole("every_days_low", DAYS),
        every_days_high=row.whole("every_days_high", DAYS),
        portion_low=row.whole("portion_low", COUNT),
        portion_high=row.whole("portion_high", COUNT),
        unit=row.text("unit"),
        note=row.text_if_there("note"),
        provenance=row.provenance(),
        others=row.others(ANY),
    )
    row.in_order("every_days_low", "every_days_high")
    row.in_order("portion_low", "portion_high")
    return found


def read_feeder(row: Row) -> FeederNote:
    """Read what a feeder animal is good for."""
    return FeederNote(
        id=row.identity(),
        name=row.text("name"),
        use=row.word("use", FeederUse),
        from_days=row.whole("from_days", AGE_DAYS),
        text=row.text_if_there("text"),
        provenance=row.provenance(),
    )


def read_supplement(row: Row) -> SupplementRule:
    """Read a supplement and its days."""
    found = SupplementRule(
        id=row.identity(),
        stages=row.stages(),
        name=row.text("name"),
        when=row.word("when", SupplementWhen),
        month_days=row.items("month_days", lambda node: as_whole(node, MONTH_DAY)),
        instead_of=row.name("instead_of", ID_PATTERN, "plain-calcium")
        if row.has("instead_of")
        else None,
        text=row.text_if_there("text"),
        provenance=row.provenance(),
        contains_d3=row.truth_if_there("contains_d3"),
        most_a_month=row.whole_if_there("most_a_month", A_MONTH),
    )
    _check_days(row, found)
    return found


def _check_days(row: Row, found: SupplementRule) -> None:
    by_month = found.when is SupplementWhen.MONTH_DAYS
    if row.sound and by_month != bool(found.month_days):
        row.refuse(
            "month_days",
            "Days of the month go with 'when: month_days', and only with it; give "
            "both, such as month_days: [1, 15], or neither.",
        )
    if row.sound and found.month_days != tuple(sorted(found.month_days)):
        row.refuse("month_days", "The days are out of order; give the earlier first.")
    days, most = len(found.month_days), found.most_a_month
    if row.sound and most is not None and most < days:
        row.refuse(
            "most_a_month",
            f"At most {most} a month, and {days} days of the month are named; give "
            f"{days} or more, or name fewer 'month_days'.",
        )


def read_weight_band(row: Row) -> WeightBand:
    """Read which masses are plausible."""
    found = WeightBand(
        id=row.identity(),
        stages=row.stages(),
        sex=row.word_if_there("sex", Sex),
        low_g=row.number("low_g", MASS_G),
        high_g=row.number("high_g", MASS_G),
        provenance=row.provenance(),
        others=row.others(MASS_G),
    )
    row.in_order("low_g", "high_g")
    return found


def read_weighing(row: Row) -> WeighingRule:
    """Read how often an animal is weighed."""
    found = WeighingRule(
        id=row.identity(),
        stages=row.stages(),
        every_days=row.whole("every_days", DAYS),
        overdue_after_days=row.whole("overdue_after_days", DAYS),
        provenance=row.provenance(),
        others=row.others(DAYS),
    )
    row.in_order("every_days", "overdue_after_days")
    return found


def read_weight_policy(row: Row) -> WeightPolicy:
    """Read from which loss on somebody is told."""
    found = WeightPolicy(
        loss_watch_pct=row.number("loss_watch_pct", PERCENT),
        loss_watch_days=row.whole("loss_watch_days", DAYS),
        loss_now_pct=row.number("loss_now_pct", PERCENT),
        loss_now_days=row.whole("loss_now_days", DAYS),
        stall_days=row.whole("stall_days", DAYS),
        stall_min_weighings=row.whole("stall_min_weighings", COUNT),
        stall_stages=row.stages("stall_stages"),
        provenance=row.provenance(),
        shed_days=row.take_if_there(
            "shed_days", lambda node: as_whole(node, SHED_DAYS), 0
        ),
    )
    row.in_order("loss_watch_pct", "loss_now_pct")
    return found


def read_warning_sign(row: Row) -> WarningSign:
    """Read something to be seen on the animal."""
    return WarningSign(
        id=row.identity(),
        text=row.text("text"),
        urgency=row.word("urgency", Urgency),
        do=row.text("do"),
        provenance=row.provenance(),
    )


def read_incubation(row: Row) -> IncubationRule:
    """Read one figure about eggs and clutches."""
    found = IncubationRule(
        id=row.identity(),
        matter=row.word("matter", IncubationMatter),
        low=row.number_if_there("low", ANY),
        high=row.number_if_there("high", ANY),
        text=row.text_if_there("text"),
        provenance=row.provenance(),
        others=row.others(ANY),
    )
    row.in_order("low", "high")
    if row.sound and found.low is None and found.high is None:
        row.refuse("", "No figure is given; give low, high or both.")
    return found


def read_caution(row: Row) -> Caution:
    """Read a danger and how to keep clear of it."""
    return Caution(row.identity(), row.text("text"), row.provenance())


def read_checklist_item(row: Row) -> ChecklistItem:
    """Read one thing to have in place."""
    return ChecklistItem(row.identity(), row.text("text"), row.provenance())


def read_note(row: Row) -> CareNote:
    """Read what to know about one topic."""
    return CareNote(
        id=row.identity(),
        topic=row.word("topic", CareTopic),
        text=row.text("text"),
        provenance=row.provenance(),
    )
