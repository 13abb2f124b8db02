"""On which days food is offered."""

from datetime import date

from husbandry.rules.care.recurrences import days_by_turns


def feeding_days(
    *,
    every_days_low: int,
    every_days_high: int,
    anchor_on: date,
    from_on: date,
    until_on: date,
) -> tuple[date, ...]:
    """Return the days of a range on which food is offered.

    Args:
        every_days_low: from one feeding to the next, at least, in days; 1 or more.
        every_days_high: at most. Between 2 and 3 days the two take turns: the 1st,
            3rd, 6th, 8th and 11th day and so on.
        anchor_on: the first feeding day; none comes before it.
        from_on: first day of the range.
        until_on: its last day; before the first, nothing is found.

    Raises:
        ValueError: the interval is shorter than a day, or out of order.

    Source:
        rfc-5545; care-task-convention: that a span of days takes turns.
    """
    steps = tuple(range(every_days_low, every_days_high + 1))
    return days_by_turns(steps, anchor_on=anchor_on, from_on=from_on, until_on=until_on)
