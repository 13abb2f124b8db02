"""What to do first, and why it matters: a table, alone in its file.

Each `why` ends with the key of the source that stands behind it
(docs/sources.md); "common-practice" means that nothing is published.
"""

from husbandry.rules.sentences import breeding, care, growth, health, rescue
from husbandry.rules.vocabulary import FindingKind, Period, Quantity

K = FindingKind
Q = Quantity

CONDITION_STEPS: dict[tuple[FindingKind, Quantity], tuple[str, str]] = {
    (K.BELOW_TARGET, Q.TEMPERATURE_C): (
        "Look whether the lamp or heater burns and stands at its distance, then "
        "measure at the animal's height. Unplug before you touch fittings.",
        "A chameleon that cannot warm up cannot digest or fight infection "
        "[common-practice].",
    ),
    (K.ABOVE_TARGET, Q.TEMPERATURE_C): (
        "Take heat away now: raise or dim the lamp, open a side, check the "
        "thermostat. Measure again within the hour.",
        "Too much heat burns the casque and dries the animal out; cool nights are "
        "part of its rest [common-practice].",
    ),
    (K.BELOW_TARGET, Q.HUMIDITY_PCT): (
        "Fill and test the fogger or mister, look for a blocked nozzle, offer a "
        "dripper today.",
        "Water is taken up from droplets and from damp night air [common-practice].",
    ),
    (K.ABOVE_TARGET, Q.HUMIDITY_PCT): (
        "Stop misting by day, check drainage and airing, wipe standing water.",
        "Warm, wet, still air by day favours lung and skin infection "
        "[common-practice].",
    ),
    (K.BELOW_TARGET, Q.UV_INDEX): (
        "Measure with a UV-index meter at the perch. If the lamp is old or the "
        "screen dusty, clean or replace it; a glow proves nothing.",
        "Without UVB and calcium a young chameleon's bones soften "
        "[hoby-2010, nevarez-lamps].",
    ),
    (K.ABOVE_TARGET, Q.UV_INDEX): (
        "Give shade and distance at once, then measure at the perch again.",
        "Too strong UV burns eyes and skin [baines-2016].",
    ),
}

NIGHT_LIGHT = (
    "Find what still shines and switch it off, coloured night bulbs too.",
    "Dark nights are part of its rest [common-practice].",
)

STEPS: dict[FindingKind, tuple[str, str]] = {
    K.NO_DATA: (
        "Look at the probe's power, battery and cable, then read the enclosure by "
        "hand until it reports again.",
        "Nobody knows how the animal fared meanwhile: silence is not health.",
    ),
    K.STUCK_PROBE: (
        "Compare the probe with a second instrument; replace it if it does not move.",
        "A probe that never changes hides what really happens.",
    ),
    K.IMPOSSIBLE_VALUES: (
        "Check cable and contacts; replace the probe. These values were left out.",
        "Values that cannot be true say nothing about the animal.",
    ),
    K.UNMEASURED_TARGET: (
        "Put a probe there, or measure by hand and note it.",
        "What is wanted but never measured may be wrong for months.",
    ),
    K.LIGHT_HOURS: (
        "Set the timer within the wanted hours.",
        "Day length steers rest, appetite and breeding [common-practice].",
    ),
    K.WEIGHT_LOSS: (
        "Weigh again today on the same scale. If it is confirmed, call a licensed "
        "reptile vet.",
        "No published limit exists for lizards; this one is a convention "
        "[weight-loss-convention].",
    ),
    K.GROWTH_STALLED: (
        "Weigh again today, watch it eat, check its basking spot and its neighbours. "
        "If it still does not gain, call a licensed reptile vet.",
        "A young animal that stops growing is often the first sign of trouble "
        "[common-practice].",
    ),
    K.WEIGHT_OUT_OF_BAND: (
        "Check the scale and the animal's age and sex on record; then judge its "
        "condition with a licensed reptile vet.",
        "The band is a plausibility range, not a diagnosis.",
    ),
    K.WEIGHING_OVERDUE: (
        "Weigh it today, at the usual hour.",
        "Weight is the earliest warning there is [common-practice].",
    ),
    K.NO_ENCLOSURE: (
        "Find out where it is and record its enclosure.",
        "An animal without an enclosure on record is judged by nobody.",
    ),
    K.ENCLOSURE_TOO_SMALL: (
        "Plan a move to a larger enclosure.",
        "Height and room to climb decide temperature and rest.",
    ),
    K.NO_LAYING_BIN: (
        "Put in a bin with moist, diggable substrate today.",
        "Females lay with or without a male; without a place to dig they can become "
        "egg-bound and die [common-practice].",
    ),
    K.SHARED_ENCLOSURE: (
        "Part them today; watch both for bites and weight loss.",
        "Company is constant stress for this species [willems-dvm].",
    ),
    K.IN_SIGHT: (
        "Put a solid barrier between them.",
        "The sight of another of its kind is constant stress [common-practice].",
    ),
    K.NO_PROFILE: (
        "Publish a care profile for the species.",
        "Without targets nothing can be compared.",
    ),
    K.STAGE_UNKNOWN: (
        "Record a hatch date, even one known only to the month or year.",
        "Without an age no target of a life stage can be chosen.",
    ),
    K.NOT_REVIEWED: (
        "Look at this animal yourself today and tell whoever runs the program.",
        "Its review stopped with an error; nothing was judged.",
    ),
    **growth.STEPS,
    **care.STEPS,
    **health.STEPS,
    **breeding.STEPS,
    **rescue.STEPS,
}


def first_step(
    kind: FindingKind, quantity: Quantity | None = None, period: Period | None = None
) -> tuple[str, str]:
    """Return (what to do first, why it matters) for a kind of finding.

    Args:
        kind: what is wrong.
        quantity: what was measured, for the two kinds that compare conditions.
        period: by day or by night, for the same.

    Returns:
        Two sentences; the second names its source key in brackets where one is.
    """
    if quantity is None:
        return STEPS[kind]
    if (kind, quantity, period) == (K.ABOVE_TARGET, Q.UV_INDEX, Period.NIGHT):
        return NIGHT_LIGHT
    return CONDITION_STEPS[kind, quantity]
