"""What is wrong in the demo, on purpose: a table of planted faults.

Each names what the reviews must make of it. The tests hold the reviews to exactly
these findings: each one of them, and not one more.
"""

from dataclasses import dataclass
from datetime import time

from demo.equipment import Breakdown
from demo.instruments import Trouble
from demo.plans import Expected
from husbandry.rules.vocabulary import FindingKind, Quantity, Urgency

K = FindingKind
T, H, U = Quantity.TEMPERATURE_C, Quantity.HUMIDITY_PCT, Quantity.UV_INDEX
NOW, TODAY, WATCH = Urgency.NOW, Urgency.TODAY, Urgency.WATCH
MIDNIGHT = time(0)
BASKING_DAY = ("temperature_c", "basking", "day")
AIR_NIGHT = ("temperature_c", "ambient", "night")
DAMP_NIGHT = ("humidity_pct", "ambient", "night")
UV_DAY = ("uv_index", "basking", "day")
UV_NIGHT = ("uv_index", "basking", "night")


@dataclass(frozen=True, slots=True)
class SightPlan:
    """Two enclosures that see each other, until a barrier stands between."""

    enclosure: str
    other: str
    from_night: int
    barrier_night: int


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that is wrong, and every finding that follows from it.

    Where neither a breakdown nor a trouble is named, the fault lies in the tables of
    animals and enclosures.
    """

    story: str
    expected: tuple[Expected, ...]
    breakdowns: tuple[Breakdown, ...] = ()
    troubles: tuple[Trouble, ...] = ()
    sight: tuple[SightPlan, ...] = ()


FAULTS = (
    Fault(
        "The heat lamp of a grown male burnt out.",
        (Expected(K.BELOW_TARGET, "V-0102", BASKING_DAY, 11, None, TODAY),),
        breakdowns=(Breakdown("L-02", 11, 14, lamp=0.0),),
    ),
    Fault(
        "A nursery tub's heat mat stayed on for three nights, which dried it too.",
        (
            Expected(K.ABOVE_TARGET, "V-0405", AIR_NIGHT, 6, 9, TODAY),
            Expected(K.BELOW_TARGET, "V-0405", DAMP_NIGHT, 6, 9, TODAY),
        ),
        breakdowns=(Breakdown("N-05", 6, 8, night_heat_w=20),),
    ),
    Fault(
        "A fogger ran empty for two nights.",
        (Expected(K.BELOW_TARGET, "V-0103", DAMP_NIGHT, 9, 11, TODAY),),
        breakdowns=(Breakdown("L-03", 9, 10, fog=0.0),),
    ),
    Fault(
        "A UVB lamp glows but is spent.",
        (Expected(K.BELOW_TARGET, "V-0203", UV_DAY, 1, None, TODAY),),
    ),
    Fault(
        "A UVB lamp was left on for two nights.",
        (Expected(K.ABOVE_TARGET, "V-0301", UV_NIGHT, 4, 6, TODAY),),
        breakdowns=(Breakdown("L-08", 4, 5, night_uv_index=3.1),),
    ),
    Fault(
        "A probe has been silent for three days.",
        (Expected(K.NO_DATA, "N-09-leaf", (), 12, None, TODAY),),
        troubles=(Trouble("N-09-leaf", None, 12, MIDNIGHT, 15, MIDNIGHT, None),),
    ),
    Fault(
        "A probe showed one and the same temperature for two days.",
        (Expected(K.STUCK_PROBE, "L-07-perch", ("temperature_c",), 5, 7, TODAY),),
        troubles=(Trouble("L-07-perch", T, 5, MIDNIGHT, 7, MIDNIGHT, 26.6),),
    ),
    Fault(
        "A loose contact made a probe show 85 °C for a morning.",
        (Expected(K.IMPOSSIBLE_VALUES, "L-01-perch", ("temperature_c",), 7, 8, TODAY),),
        troubles=(Trouble("L-01-perch", T, 7, time(9), 7, time(11, 30), 85.0),),
    ),
    Fault(
        "A hatchling lost more than a tenth of its mass in three days.",
        (Expected(K.WEIGHT_LOSS, "V-0403", (), 11, None, NOW),),
    ),
    Fault(
        "A hatchling stopped growing while its clutch-mates went on.",
        (Expected(K.GROWTH_STALLED, "V-0407", (), 11, None, TODAY),),
    ),
    Fault(
        "A grown female was forgotten by the scale.",
        (Expected(K.WEIGHING_OVERDUE, "V-0204", (), 1, None, WATCH),),
    ),
    Fault(
        "A grown female had no laying bin until the eighth day.",
        (Expected(K.NO_LAYING_BIN, "V-0202", (), 1, 8, TODAY),),
    ),
    Fault(
        "Two males saw each other until a board was put between them.",
        (
            Expected(K.IN_SIGHT, "V-0101", (), 3, 10, WATCH),
            Expected(K.IN_SIGHT, "V-0102", (), 3, 10, WATCH),
        ),
        sight=(SightPlan("L-01", "L-02", 3, 10),),
    ),
    Fault(
        "A surrendered male was kept for a week in the glass case that he came in.",
        (Expected(K.ENCLOSURE_TOO_SMALL, "V-0501", (), 2, 9, WATCH),),
    ),
    Fault(
        "Two clutch-mates outgrew the age at which they may share a cage.",
        (
            Expected(K.SHARED_ENCLOSURE, "V-0502", (), 6, 9, TODAY),
            Expected(K.SHARED_ENCLOSURE, "V-0503", (), 6, 9, TODAY),
        ),
    ),
    Fault(
        "A hatchling's tub has no UV sensor.",
        (Expected(K.UNMEASURED_TARGET, "V-0412", (), 1, None, WATCH),),
    ),
)

BREAKDOWNS = tuple(one for fault in FAULTS for one in fault.breakdowns)
TROUBLES = tuple(one for fault in FAULTS for one in fault.troubles)
SIGHT_LINES = tuple(one for fault in FAULTS for one in fault.sight)
EXPECTED = tuple(one for fault in FAULTS for one in fault.expected)
