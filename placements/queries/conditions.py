"""What was measured where an animal lived."""

from collections.abc import Iterable
from datetime import date, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

from husbandry.models import Conditions, Stay
from husbandry.rules.vocabulary import Period, Quantity, Zone
from placements.queries.stays import local_days
from placements.rules.packets.histories import ConditionLine
from placements.rules.packets.words import exact

CONDITIONS_BACK = timedelta(days=28)
HUNDREDTH = Decimal("0.01")


def condition_lines(
    stays: Iterable[Stay], *, until: date, zone: ZoneInfo
) -> tuple[ConditionLine, ...]:
    """Return the conditions of the last four weeks where the animal was, day by day.

    Args:
        stays: of one animal; days on which it lived elsewhere are left out.
        until: last local day.
        zone: of the place where it lives, for the days of the stays.
    """
    there = [(s.enclosure_id, *local_days(s, zone)) for s in stays]
    rows = (
        Conditions.objects.filter(
            probe__enclosure__in={enclosure for enclosure, _, _ in there},
            on__gte=until - CONDITIONS_BACK,
            on__lte=until,
        )
        .select_related("probe")
        .order_by("on", "probe__zone", "period", "quantity", "probe", "band")
    )
    lines, told = [], set()
    for row in rows:
        # Where occupants have different bands, the first one's is shown.
        spot = (row.on, row.probe_id, row.period, row.quantity)
        was_there = any(
            enclosure == row.probe.enclosure_id
            and first <= row.on
            and (last is None or row.on <= last)
            for enclosure, first, last in there
        )
        if was_there and spot not in told:
            told.add(spot)
            lines.append(_condition(row))
    return tuple(lines)


def _condition(row: Conditions) -> ConditionLine:
    return ConditionLine(
        on=row.on,
        zone=Zone(row.probe.zone),
        period=Period(row.period),
        quantity=Quantity(row.quantity),
        covered_pct=round(100 * row.covered_s / row.expected_s)
        if row.expected_s
        else 0,
        mean=_rounded(row.mean),
        lowest=_rounded(row.lowest),
        highest=_rounded(row.highest),
        low=_rounded(row.low),
        high=_rounded(row.high),
        outside_minutes=round((row.below_s + row.above_s) / 60),
    )


def _rounded(value: float | None) -> Decimal | None:
    return None if value is None else exact(Decimal(str(value)).quantize(HUNDREDTH))
