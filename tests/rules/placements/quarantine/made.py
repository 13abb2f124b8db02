"""Animals in quarantine as the rules see them, for tests."""

from datetime import UTC, date, datetime, time, timedelta

from placements.rules.quarantine.values import KeptApart, Visit

START = date(2025, 1, 1)


def day(number: int) -> date:
    """Day 0 is the first of January 2025."""
    return START + timedelta(days=number)


def kept(
    animal: int, began: int, ended: int | None = None, *, group: str = "reptiles"
) -> KeptApart:
    return KeptApart(
        id=animal,
        animal=animal,
        code=f"V-{animal}",
        group=group,
        began_on=day(began),
        ended_on=None if ended is None else day(ended),
    )


def visit(
    room: int,
    from_day: int,
    until_day: int | None = None,
    *,
    from_hour: int = 12,
    until_hour: int = 12,
) -> Visit:
    def then(number: int, hour: int) -> datetime:
        return datetime.combine(day(number), time(hour), UTC)

    over = until_day is not None
    return Visit(
        room=room,
        room_name=f"Room {room}",
        from_at=then(from_day, from_hour),
        from_on=day(from_day),
        until_at=then(until_day, until_hour) if until_day is not None else None,
        until_on=day(until_day) if over and until_day is not None else None,
    )
