"""The demo's enclosures, their equipment and their probes: a table, invented."""

from demo.plans import EnclosurePlan, ProbePlan, Shell, Standing
from demo.scenario import LIGHTS_OFF, LIGHTS_ON
from husbandry.rules.vocabulary import EnclosureKind, Quantity, Zone

T, H, U = Quantity.TEMPERATURE_C, Quantity.HUMIDITY_PCT, Quantity.UV_INDEX

# volume m³, heat capacity J/K, heat loss W/K, air changes per hour, share of the
# lamp's power that warms the air, share of water that dries in an hour.
CAGE = Shell(0.45, 6720, 14, 6, 0.35, 2)
TUB = Shell(0.06, 1440, 3, 5, 0.35, 2)
GLASS = Shell(0.12, 2400, 5, 4, 0.35, 2)
INCUBATOR = Shell(0.12, 4000, 1.2, 0.3, 0.35, 2)

CAGE_CM = (61, 61, 122)
SMALL_CAGE_CM = (46, 46, 91)
TUB_CM = (40, 30, 46)
GLASS_CM = (45, 45, 60)
INCUBATOR_CM = (60, 50, 70)


def _standing(
    size_cm: tuple[int, int, int],
    *,
    from_night: int = 1,
    laying_bin: bool = False,
) -> Standing:
    return Standing(from_night, size_cm, LIGHTS_ON, LIGHTS_OFF, laying_bin)


def _cage(
    code: str,
    room: str,
    *standings: Standing,
    perch_k_w: float,
    uv_new: float = 3.3,
    uv_age_days: float = 20,
    uv_half_life_days: float = 300,
) -> EnclosurePlan:
    return EnclosurePlan(
        code=code,
        room=room,
        kind=EnclosureKind.SCREEN,
        shell=CAGE,
        standings=standings,
        lamp_w=60,
        perch_k_w=perch_k_w,
        uv_new=uv_new,
        uv_age_days=uv_age_days,
        uv_half_life_days=uv_half_life_days,
        mist_g_h=80,
        fog_g_h=11,
    )


def _tub(number: int) -> EnclosurePlan:
    return EnclosurePlan(
        code=f"N-{number:02d}",
        room="nursery",
        kind=EnclosureKind.TUB,
        shell=TUB,
        standings=(_standing(TUB_CM),),
        lamp_w=14,
        perch_k_w=0.13,
        uv_new=3.3,
        uv_age_days=20,
        uv_half_life_days=300,
        mist_g_h=9,
        fog_g_h=1.2,
    )


def _incubator(code: str, thermostat: tuple[float, float]) -> EnclosurePlan:
    return EnclosurePlan(
        code=code,
        room="egg-room",
        kind=EnclosureKind.INCUBATOR,
        shell=INCUBATOR,
        standings=(_standing(INCUBATOR_CM),),
        lamp_w=0,
        perch_k_w=0,
        uv_new=0,
        uv_age_days=0,
        uv_half_life_days=1,
        mist_g_h=0,
        fog_g_h=1.0,
        thermostat=thermostat,
    )


MALE_K_W, FEMALE_K_W, YOUNG_K_W = 0.093, 0.048, 0.033
PLAIN = _standing(CAGE_CM)
WITH_BIN = _standing(CAGE_CM, laying_bin=True)

ENCLOSURES = (
    _cage("L-01", "long-room", PLAIN, perch_k_w=MALE_K_W),
    _cage("L-02", "long-room", PLAIN, perch_k_w=MALE_K_W),
    _cage("L-03", "long-room", PLAIN, perch_k_w=MALE_K_W),
    _cage("L-04", "long-room", WITH_BIN, perch_k_w=FEMALE_K_W),
    # Set up in a hurry: the bin came on the eighth day.
    _cage(
        "L-05",
        "long-room",
        PLAIN,
        _standing(CAGE_CM, from_night=8, laying_bin=True),
        perch_k_w=FEMALE_K_W,
    ),
    # Its UVB lamp has burnt for more than a year.
    _cage("L-06", "long-room", WITH_BIN, perch_k_w=FEMALE_K_W, uv_age_days=420),
    _cage("L-07", "long-room", WITH_BIN, perch_k_w=FEMALE_K_W),
    _cage("L-08", "long-room", PLAIN, perch_k_w=MALE_K_W),
    _cage("L-09", "long-room", PLAIN, perch_k_w=FEMALE_K_W),
    *(_tub(number) for number in range(1, 13)),
    EnclosurePlan(
        code="Q-01",
        room="arrivals",
        kind=EnclosureKind.GLASS,
        shell=GLASS,
        standings=(_standing(GLASS_CM),),
        lamp_w=30,
        perch_k_w=0.17,
        uv_new=3.3,
        uv_age_days=20,
        uv_half_life_days=300,
        mist_g_h=15,
        fog_g_h=2.0,
    ),
    _cage("Q-02", "arrivals", _standing(SMALL_CAGE_CM), perch_k_w=YOUNG_K_W),
    _cage("Q-03", "arrivals", _standing(SMALL_CAGE_CM), perch_k_w=YOUNG_K_W),
    _cage("Q-04", "arrivals", PLAIN, perch_k_w=MALE_K_W),
    _incubator("I-1", (26.5, 26.5)),
    _incubator("I-2", (27.5, 25.0)),
)

# Each file's name, with the dialect that its logger speaks.
FILES = {
    **{f"long-room-L-{n:02d}.csv": "german" for n in (1, 2, 3)},
    **{f"long-room-L-{n:02d}.csv": "american" for n in (4, 5, 6)},
    **{f"long-room-L-{n:02d}.csv": "iso" for n in (7, 8, 9)},
    "nursery-rack.csv": "rack",
    "arrivals.txt": "tabbed",
    "incubators.csv": "iso",
}
INTERVAL_MIN = 10


# The file of each room's loggers; in the long room every enclosure has its own.
ROOM_FILES = {
    "nursery": "nursery-rack.csv",
    "arrivals": "arrivals.txt",
    "egg-room": "incubators.csv",
}


def _file_of(plan: EnclosurePlan) -> str:
    return ROOM_FILES.get(plan.room, f"{plan.room}-{plan.code}.csv")


# Nobody had a UV sensor left for this tub.
WITHOUT_UV_SENSOR = ("N-12",)


def _spots(plan: EnclosurePlan) -> tuple[tuple[str, Zone, tuple[Quantity, ...]], ...]:
    """Return where probes hang: at the perch and amid the leaves, or among eggs."""
    if plan.kind is EnclosureKind.INCUBATOR:
        return (("eggs", Zone.EGGS, (T, H)),)
    perch = (T,) if plan.code in WITHOUT_UV_SENSOR else (T, U)
    return ("perch", Zone.BASKING, perch), ("leaf", Zone.AMBIENT, (T, H))


def _probes(plan: EnclosurePlan, offset_min: int) -> tuple[ProbePlan, ...]:
    """Return the probes of an enclosure."""
    place = plan.code.replace("-", "").lower()
    return tuple(
        ProbePlan(
            code=f"{plan.code}-{spot}",
            enclosure=plan.code,
            zone=zone,
            quantities=quantities,
            interval_min=INTERVAL_MIN,
            offset_min=offset_min,
            file=_file_of(plan),
            channel=f"{place} {spot}",
        )
        for spot, zone, quantities in _spots(plan)
    )


# Loggers of one file start together, each file's at its own minute.
OFFSETS_MIN = {name: number % INTERVAL_MIN for number, name in enumerate(FILES)}
PROBES = tuple(
    probe for plan in ENCLOSURES for probe in _probes(plan, OFFSETS_MIN[_file_of(plan)])
)
