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
    animals and enclosures or in the stories of care.
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
        "A UVB lamp glows but is spent; by its age nobody needs a meter to know.",
        (
            Expected(K.BELOW_TARGET, "V-0203", UV_DAY, 1, None, TODAY),
            Expected(K.LAMP_WORN, "L-06", (), 1, None, TODAY),
        ),
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
        (
            Expected(K.WEIGHT_LOSS, "V-0403", (), 11, None, NOW),
            Expected(K.GROWTH_BEHIND, "V-0403", (), 11, None, WATCH),
        ),
    ),
    Fault(
        "A hatchling stopped growing while its clutch-mates went on.",
        (
            Expected(K.GROWTH_STALLED, "V-0407", (), 11, None, TODAY),
            Expected(K.GROWTH_BEHIND, "V-0407", (), 11, None, WATCH),
        ),
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
        "A hatchling has been far smaller than its clutch-mates from the start.",
        (Expected(K.GROWTH_BEHIND, "V-0411", (), 1, None, WATCH),),
    ),
    Fault(
        "A hatchling was passed over at one feeding.",
        (Expected(K.FEEDING_MISSED, "V-0410", (), 7, 8, TODAY),),
    ),
    Fault(
        "The surrendered male would not eat at first.",
        (Expected(K.FOOD_REFUSED, "V-0501", (), 6, 9, TODAY),),
    ),
    Fault(
        "The result of his faecal test was late.",
        (Expected(K.TEST_OVERDUE, "V-0501", (), 11, 13, WATCH),),
    ),
    Fault(
        "A gravid female eats nothing but is bright.",
        (Expected(K.LAYING_TROUBLE, "V-0201", ("gravid_fasting",), 13, None, WATCH),),
    ),
    Fault(
        "A young female kept her eyes shut by day, and nobody looked again in time.",
        (
            Expected(K.SIGN_SEEN, "V-0502", ("sign-eyes-closed",), 5, 7, TODAY),
            Expected(K.FOLLOW_UP_OVERDUE, "V-0502", (), 8, 10, TODAY),
        ),
    ),
    Fault(
        "A dose of what the vet prescribed is not on record.",
        (Expected(K.DOSE_MISSED, "V-0503", (), 10, None, TODAY),),
    ),
    Fault(
        "One evening an enclosure without a timer was not misted.",
        (Expected(K.MISTING_MISSED, "Q-02", (), 5, 6, WATCH),),
    ),
    Fault(
        "One evening nobody fed the insects of the nursery.",
        (Expected(K.GUT_LOAD_MISSED, "nursery", (), 9, 10, WATCH),),
    ),
    Fault(
        "An incubator's thermostat stuck for three hours.",
        (Expected(K.EGGS_TOO_WARM, "I-2", ("cooler-nights", "day"), 8, 9, NOW),),
        breakdowns=(Breakdown("I-2", 8, 8, too_warm_k=5, hours=(time(10), time(13))),),
    ),
    Fault(
        "The power of the egg room failed for three hours of one night.",
        (Expected(K.EGGS_UNMEASURED, "I-1", (), 5, 6, TODAY),),
        breakdowns=(Breakdown("I-1", 5, 5, heating=0.0, hours=(time(1), time(4))),),
        troubles=(Trouble("I-1-eggs", None, 5, time(1), 5, time(4), None),),
    ),
    Fault(
        "Nobody looked into one of the boxes for more than two weeks.",
        (Expected(K.BOX_UNCHECKED, "B-2", (), 12, None, WATCH),),
    ),
    Fault(
        "A clutch will soon begin to hatch, which is no fault, but somebody must look.",
        (Expected(K.HATCH_DUE, "C-05", (), 13, None, WATCH),),
    ),
    Fault(
        "Nobody has taken the second look at a hatchling's heels.",
        (Expected(K.SPUR_LOOK_DUE, "V-0409", (), 10, None, WATCH),),
    ),
    Fault(
        "A mated female has not laid, and the window is over.",
        (Expected(K.LAYING_OVERDUE, "V-0203", (), 13, None, TODAY),),
    ),
    Fault(
        "A home has not answered the question after two weeks.",
        (Expected(K.HOME_UNHEARD, "V-0601", (), 1, None, TODAY),),
    ),
    Fault(
        "A female was to be back from her foster home.",
        (Expected(K.DUE_BACK, "V-0602", (), 10, None, TODAY),),
    ),
    Fault(
        "A buyer wrote what his animal weighs, and nobody has read it.",
        (Expected(K.HOME_REPORT, "V-0603", (), 12, None, WATCH),),
    ),
    Fault(
        "An adoption was planned before anybody had looked into the application.",
        (Expected(K.PLACEMENT_STUCK, "V-0301", ("placement",), 11, None, WATCH),),
    ),
    Fault(
        "The house's permit to keep the species runs out in less than two months.",
        (Expected(K.PAPER_EXPIRING, "KP-3107", (), 1, None, WATCH),),
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
