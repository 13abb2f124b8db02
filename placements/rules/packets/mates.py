"""What clutch-mates weighed at the ages at which an animal was weighed."""

from collections.abc import Iterator, Sequence
from datetime import date
from decimal import Decimal
from statistics import median
from zoneinfo import ZoneInfo

from husbandry.rules.growth.comparing import clutch_mates
from husbandry.rules.growth.recorded import Aged, GrowthRecord, aged
from husbandry.rules.profiles.values import GrowthPolicy
from placements.rules.packets.records import MateBand
from placements.rules.packets.words import exact


def mate_bands(
    record: GrowthRecord,
    *,
    policy: GrowthPolicy | None,
    until_on: date,
    zone: ZoneInfo,
) -> tuple[MateBand, ...]:
    """Return the band of an animal's clutch-mates at each age at which it was weighed.

    Each mate counts with its weighing nearest in age, if that lies within the
    policy's days; of two equally near the younger, of one day the last.

    Args:
        record: the animal and those that may be its clutch-mates.
        policy: of its care profile; None: nobody is compared with.
        until_on: later weighings are left out.
        zone: whose local days count.

    Returns:
        One for each day on which it was weighed and enough mates were, at that age;
        grams, the median to a hundredth.

    Source:
        mates-convention
    """
    if policy is None:
        return ()
    mates = [
        aged(mate, on=until_on, zone=zone)
        for mate in clutch_mates(record.animal, record.mates, policy)
    ]
    own = {w.on: w for w in aged(record.animal, on=until_on, zone=zone)}
    return tuple(
        MateBand(on, len(masses), *_band(masses))
        for on, weighing in own.items()
        if weighing.age_days is not None
        and len(masses := list(_masses(mates, weighing.age_days, policy)))
        >= policy.mates_least
    )


def _masses(
    mates: Sequence[tuple[Aged, ...]], age_days: int, policy: GrowthPolicy
) -> Iterator[Decimal]:
    for weighings in mates:
        near = [
            (abs(w.age_days - age_days), w.age_days, -place, w.mass_g)
            for place, w in enumerate(weighings)
            if w.age_days is not None
            and abs(w.age_days - age_days) <= policy.mates_within_days
        ]
        if near:
            yield min(near)[-1]


def _band(masses: list[Decimal]) -> tuple[Decimal, Decimal, Decimal]:
    middle = median(masses).quantize(Decimal("0.01"))
    return exact(min(masses)), exact(middle), exact(max(masses))
