"""Sentences about young animals that are behind in growth, and what to do first."""

from husbandry.rules.sentences import numbers
from husbandry.rules.sentences.conditions import Evidence, Teller
from husbandry.rules.sentences.numbers import Units
from husbandry.rules.vocabulary import FindingKind

K = FindingKind
LAST_TEENS = (11, 12, 13)


def behind(e: Evidence, units: Units) -> str:
    """Tell by how much an animal is behind, and by whose measure."""
    by = _by_reference(e) if e["by"] == "reference" else _by_mates(e, units)
    return (
        f"{numbers.mass(e['mass_g'], units)} at {numbers.days(e['age_days'])}{by}"
        f"{_gain(e, units)}"
    )


def _by_mates(e: Evidence, units: Units) -> str:
    return (
        f"; {e['mates']} clutch-mates of the same age have a median of "
        f"{numbers.mass(e['median_g'], units)} ({-e['score']:.1f} deviations below)."
    )


def _by_reference(e: Evidence) -> str:
    z = f"{e['z']:.1f}".replace("-", numbers.MINUS)
    doubt = (
        " So far out that the scale and the day of hatching should be checked first."
        if e["unlikely"]
        else ""
    )
    return f": z {z} ({_centile(e['centile'])}) by {e['source']}.{doubt}"


def _centile(percent: float) -> str:
    """Return a centile in words: `0.8th centile`, `2nd centile`."""
    if percent < 0.1:
        return "below the 0.1th centile"
    text = f"{percent:g}"
    whole = int(percent)
    ending = "th"
    if percent == whole and whole % 100 not in LAST_TEENS:
        ending = {1: "st", 2: "nd", 3: "rd"}.get(whole % 10, "th")
    return f"{text}{ending} centile"


def _gain(e: Evidence, units: Units) -> str:
    """Tell of the animal's own gain, where it is known."""
    if e["gain_g_per_day"] is None:
        return ""
    week_g = e["gain_g_per_day"] * 7
    sign = "" if week_g < 0 else "+"
    return (
        f" Its own trend over {numbers.days(e['gain_days'])}: "
        f"{sign}{numbers.mass(f'{week_g:.4f}', units)} a week."
    )


TELLERS: dict[FindingKind, Teller] = {K.GROWTH_BEHIND: behind}

STEPS: dict[FindingKind, tuple[str, str]] = {
    K.GROWTH_BEHIND: (
        "Weigh it again today on the same scale, watch it eat alone, check its UV, its "
        "basking spot and its neighbours. If it does not catch up, see a licensed "
        "reptile vet.",
        "A young animal that falls behind may be kept from food and warmth, or be ill; "
        "from which score on it counts as behind is a convention [mates-convention].",
    ),
}
