"""How an animal ate in the last weeks, from the feedings on record."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from datetime import date, timedelta

from husbandry.rules.care.facts import FeedingFact
from placements.rules.packets.records import FeederResponse, FeedingResponse

WEEKS_BACK = timedelta(days=28)


def feeding_response(
    feedings: Iterable[FeedingFact], *, names: Mapping[str, str], until_on: date
) -> FeedingResponse | None:
    """Return what an animal was offered and ate in the last four weeks.

    Args:
        feedings: in force, in any order; those outside the weeks are passed over.
        names: of feeders by their id; one that is absent is called by its id.
        until_on: last local day of the 28.

    Returns:
        One line a feeder, the most often offered first, then by name. Food that
        nobody watched is offered, but neither eaten nor refused. None where nothing
        is on record.
    """
    from_on = until_on - WEEKS_BACK + timedelta(days=1)
    within = [f for f in feedings if from_on <= f.on <= until_on]
    if not within:
        return None
    by_feeder: dict[str, list[FeedingFact]] = defaultdict(list)
    for feeding in within:
        by_feeder[names.get(feeding.feeder, feeding.feeder)].append(feeding)
    lines = [_line(feeder, rows) for feeder, rows in by_feeder.items()]
    return FeedingResponse(
        from_on=from_on,
        until_on=until_on,
        days_fed=len({f.on for f in within}),
        last_eaten_on=max((f.on for f in within if f.eaten), default=None),
        feeders=tuple(sorted(lines, key=lambda line: (-line.times, line.feeder))),
    )


def _line(feeder: str, rows: list[FeedingFact]) -> FeederResponse:
    watched = [(row.offered, row.eaten) for row in rows if row.eaten is not None]
    return FeederResponse(
        feeder=feeder,
        times=len(rows),
        offered=sum(row.offered for row in rows),
        watched=len(watched),
        offered_watched=sum(offered for offered, _ in watched),
        eaten=sum(eaten for _, eaten in watched),
        refused=sum(row.refused for row in rows),
        assisted=sum(row.assisted for row in rows),
    )
