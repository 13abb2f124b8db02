"""What one animal's weighings say of its growth, in words."""

from collections.abc import Iterator
from math import isfinite

from husbandry.rules.growth.comparing import AmongMates, ByReference, NotCompared
from husbandry.rules.growth.condition import NO_VALIDATED_SCORE
from husbandry.rules.growth.pictures import Growth, Trend
from husbandry.rules.growth.recorded import Aged
from husbandry.rules.sentences import growth_curves, names, numbers
from husbandry.rules.sentences.numbers import METRIC, Units
from husbandry.rules.vocabulary import FindingKind

CAUTION = (
    "These are sums, not a diagnosis. No published rule says from which loss a lizard "
    "is ill: weigh again on the same scale, and if it is confirmed, or the animal is "
    "weak, does not eat or cannot lay, call a licensed reptile vet today."
)
NOT_COMPARED = {
    NotCompared.NEVER_WEIGHED: "it was never weighed",
    NotCompared.AGE_NOT_KNOWN: "its day of hatching is not known to the day",
    NotCompared.DAM_NOT_KNOWN: "its dam is not on record, so neither are its mates",
    NotCompared.NO_POLICY: "no care profile says which clutch-mates count",
}
SHRINKING = frozenset(
    {FindingKind.WEIGHT_LOSS, FindingKind.GROWTH_STALLED, FindingKind.GROWTH_BEHIND}
)


def told_trend(growth: Growth, units: Units = METRIC) -> str:
    """Tell the robust trend of the last weighings with its interval.

    Args:
        growth: of one animal.
        units: the unit of masses.
    """
    trend = growth.trend
    if trend is None:
        return "No trend: weighings on two days are needed, shortly after one another."
    since = " (since it laid; the eggs are gone)" if trend.since_laying else ""
    return (
        f"{_a_week(trend.slope.slope, units)} a week from "
        f"{numbers.day(trend.from_on.isoformat())} to "
        f"{numbers.day(trend.to_on.isoformat())}, by {trend.slope.n} "
        f"weighings{since}{_sureness(trend, units)}"
    )


def _sureness(trend: Trend, units: Units) -> str:
    low, high = trend.slope.low, trend.slope.high
    if not (isfinite(low) and isfinite(high)):
        return "; too few of them to say how sure that is."
    interval = f"{_a_week(low, units)} to {_a_week(high, units)}"
    doubt = " Whether it gains or loses is not certain." if low <= 0 <= high else ""
    return f"; 95 % interval {interval}.{doubt}"


def _a_week(grams_a_day: float, units: Units) -> str:
    week_g = 7 * grams_a_day
    sign = "" if week_g < 0 else "+"
    return f"{sign}{numbers.mass(f'{week_g:.4f}', units)}"


def told_comparison(growth: Growth, units: Units = METRIC) -> tuple[str, ...]:
    """Tell how an animal lies by a reference and among its clutch-mates.

    Args:
        growth: of one animal.
        units: the unit of masses.
    """
    last = growth.weighings[-1] if growth.weighings else None
    return (
        *_by_reference(growth.reference),
        *_among_mates(growth.among_mates, last, units),
    )


def _by_reference(found: ByReference | None) -> Iterator[str]:
    if found is None:
        return
    given = found.reference.provenance
    z = f"{found.z:.1f}".replace("-", numbers.MINUS)
    yield (
        f"By {names.word(given.source, given.standing)}, {found.centile:.3g} % of "
        f"animals of its age weigh less (z {z})."
    )
    if found.unlikely:
        yield "So far out that the scale and the day of hatching should be checked."


def _among_mates(among: AmongMates, last: Aged | None, units: Units) -> Iterator[str]:
    policy, found = among.policy, among.found
    if among.why_not in NOT_COMPARED:
        yield f"Nothing to compare with: {NOT_COMPARED[among.why_not]}."
    elif found is None or policy is None or last is None or last.age_days is None:
        yield _too_few(among)
    else:
        yield (
            f"n = {found.mates} clutch-mates of the same age (within "
            f"{numbers.days(policy.mates_within_days)}), median "
            f"{numbers.mass(f'{found.median_g:.4f}', units)}; it weighed "
            f"{numbers.mass(last.mass_g, units)} at {numbers.days(last.age_days)}, "
            f"place {found.rank} of {found.mates + 1} by weight{_score(found.score)}."
        )
    left = sum(not one.mate.in_care for one in among.mates)
    if left:
        yield (
            f"{left} of these mates {'has' if left == 1 else 'have'} left; what they "
            "weighed at this age still counts."
        )


def _too_few(among: AmongMates) -> str:
    weighed = len(among.mates)
    mates = "1 mate" if weighed == 1 else f"{weighed or 'no'} mates"
    least = among.policy.mates_least if among.policy else 0
    verb = "is" if least == 1 else "are"
    record = (
        f" Its record has {among.on_record} clutch-mates, of which the others were not "
        "weighed at this age."
        if among.on_record > weighed
        else ""
    )
    return (
        f"Nothing to compare with: {mates} of the same age, {least} {verb} needed."
        f"{record}"
    )


def _score(score: float | None) -> str:
    if score is None:
        return "; most of them weigh the same, so no deviation is told"
    side = "below" if score < 0 else "above"
    return f" ({abs(score):.1f} deviations {side} the median)"


def told_curves(growth: Growth, units: Units = METRIC) -> tuple[str, ...]:
    """Tell which curve describes the growth, where it ends, and how sure that is.

    Args:
        growth: of one animal.
        units: the unit of masses.
    """
    if growth.choice is None:
        return (_no_ages(growth),)
    return (*growth_curves.told(growth.choice, units), *_without_eggs(growth))


def _without_eggs(growth: Growth) -> Iterator[str]:
    left_out = growth.gravid_weighings
    if left_out:
        weighings = "1 weighing" if left_out == 1 else f"{left_out} weighings"
        yield f"Left out: {weighings} while it was gravid, for eggs are no growth."


def _no_ages(growth: Growth) -> str:
    if not growth.weighings:
        return "No curve: it was never weighed."
    if growth.record.animal.hatched_on is not None:
        return "No curve: it was weighed only while it was gravid."
    return "No curve: its day of hatching is not known to the day, so no age is."


def told_projection(growth: Growth, units: Units = METRIC) -> str:
    """Tell at which age the mass that was asked for is reached, or why not; or nothing.

    Args:
        growth: of one animal.
        units: the unit of masses.
    """
    if growth.projection is not None:
        return growth_curves.told_age(growth.projection, units)
    if growth.asked_g is None:
        return ""
    mass = numbers.mass(growth.asked_g, units)
    return f"No age is given for {mass}: no growth curve could be fitted."


def told_condition(growth: Growth) -> tuple[str, ...]:
    """Tell mass by length, first and last, and that no score of it is validated."""
    found = growth.conditions
    if not found:
        lengths = growth.record.lengths
        why = (
            "no length was measured within seven days of a weighing"
            if lengths
            else "its length from snout to vent was never measured"
        )
        return (f"No condition index: {why}.", NO_VALIDATED_SCORE)
    zone, last = growth.zone, found[-1]
    first, then = (
        numbers.day(p.measured_at.astimezone(zone).date().isoformat())
        for p in (found[0], last)
    )
    index = f"{last.g_per_cm:.2f} g/cm on {then}"
    if len(found) > 1:
        index = f"{found[0].g_per_cm:.2f} g/cm on {first}, {index}"
    return (f"Mass by length: {index}.", NO_VALIDATED_SCORE)


def needs_caution(growth: Growth) -> bool:
    """Say whether the numbers show an animal that loses, stalls or falls behind."""
    losing = growth.trend is not None and growth.trend.slope.slope < 0
    return losing or any(found.kind in SHRINKING for found in growth.assessments)
