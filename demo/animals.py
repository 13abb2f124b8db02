"""The demo's animals and their stories: a table, invented."""

from dataclasses import replace
from datetime import time

from demo.growth import growing, steady, with_masses
from demo.homes import PAIR_FROM, PINTAS_FROM
from demo.plans import AnimalPlan
from demo.scenario import OPENING
from husbandry.rules.vocabulary import Origin, Sex

# Spurbook is used here from the first night on; older weighings come from a notebook.
START = OPENING
WEEKLY = (-20, -13, -6, 1, 8)
EVERY_THIRD_DAY = tuple(range(-19, 15, 3))
CLUTCH_AGE_DAYS = 80
SIBLINGS_AGE_DAYS = 310
F, M = Sex.FEMALE, Sex.MALE


def _resident(
    code: str, name: str, sex: Sex, enclosure: str, *, age_days: int, mass_g: float
) -> AnimalPlan:
    """Return a grown animal that has lived here for long and is well."""
    return AnimalPlan(
        code=code,
        name=name,
        sex=sex,
        age_days=age_days,
        origin=Origin.BORN_ELSEWHERE,
        arrived_night=-560,
        moves=((1, START, enclosure),),
        masses=steady(WEEKLY, mass_g=mass_g),
    )


ANIL = _resident("V-0101", "Anil", M, "L-01", age_days=1012, mass_g=148)
ZIMBRO = _resident("V-0102", "Zimbro", M, "L-02", age_days=934, mass_g=139)
OCRE = _resident("V-0103", "Ocre", M, "L-03", age_days=871, mass_g=152)
GRALHA = replace(
    _resident("V-0201", "Gralha", F, "L-04", age_days=798, mass_g=112),
    masses=steady(WEEKLY, mass_g=112, gain_pct_per_night=0.5),
    gravid_from_night=-9,
    note="Mated on purpose; eggs can be felt.",
)
BRISA = _resident("V-0202", "Brisa", F, "L-05", age_days=702, mass_g=97)
BONINA = _resident("V-0203", "Bonina", F, "L-06", age_days=689, mass_g=101)
# Nobody has had her on the scale since long before the first night.
TELHA = replace(
    _resident("V-0204", "Telha", F, "L-07", age_days=655, mass_g=94),
    masses=steady((-48, -41, -34), mass_g=94),
)

JUNCO = AnimalPlan(
    code="V-0301",
    name="Junco",
    sex=M,
    age_days=SIBLINGS_AGE_DAYS,
    origin=Origin.BORN_HERE,
    arrived_night=14 - SIBLINGS_AGE_DAYS,
    moves=((1, START, "L-08"),),
    masses=growing(WEEKLY, age_days=SIBLINGS_AGE_DAYS, grown_g=140),
    dam="V-0201",
    sire="V-0101",
)
AVELA = AnimalPlan(
    code="V-0302",
    name="Avela",
    sex=F,
    age_days=SIBLINGS_AGE_DAYS,
    origin=Origin.BORN_HERE,
    arrived_night=14 - SIBLINGS_AGE_DAYS,
    moves=((1, START, "L-09"),),
    masses=growing(WEEKLY, age_days=SIBLINGS_AGE_DAYS, grown_g=110),
    dam="V-0201",
    sire="V-0101",
    note="Eats well, sheds well, used to people.",
)

# So young, males and females are about as heavy as each other.
CLUTCH_NAMES = (
    ("Alecrim", M, 124.0),
    ("Tomilho", F, 117.0),
    ("Salva", F, 112.0),
    ("Urze", M, 122.0),
    ("Giesta", F, 115.0),
    ("Funcho", M, 126.0),
    ("Louro", M, 130.0),
    ("Malva", F, 116.0),
    ("Poejo", M, 123.0),
    ("Arruda", F, 114.0),
    ("Cardo", M, 128.0),
    ("Murta", F, 118.0),
)


def _hatchling(number: int, name: str, sex: Sex, grown_g: float) -> AnimalPlan:
    return AnimalPlan(
        code=f"V-04{number:02d}",
        name=name,
        sex=sex,
        age_days=CLUTCH_AGE_DAYS,
        origin=Origin.BORN_HERE,
        arrived_night=14 - CLUTCH_AGE_DAYS,
        moves=((1, START, f"N-{number:02d}"),),
        masses=growing(EVERY_THIRD_DAY, age_days=CLUTCH_AGE_DAYS, grown_g=grown_g),
        dam="V-0202",
        sire="V-0102",
    )


CLUTCH = [_hatchling(n, *row) for n, row in enumerate(CLUTCH_NAMES, start=1)]
# Salva lost more than a tenth of her mass within three days.
CLUTCH[2] = replace(CLUTCH[2], masses=with_masses(CLUTCH[2].masses[:-1], {11: "6.12"}))
# Louro has not gained since four days before the first night; his clutch-mates have.
STANDSTILL_G = {
    -4: "6.21", -1: "6.22", 2: "6.20", 5: "6.22", 8: "6.19", 11: "6.21", 14: "6.20",
}  # fmt: skip
CLUTCH[6] = replace(CLUTCH[6], masses=with_masses(CLUTCH[6].masses, STANDSTILL_G))

# Cardo hatched small, and weighs little more than half of what the others do.
CLUTCH[10] = replace(
    CLUTCH[10],
    masses=growing(EVERY_THIRD_DAY, age_days=CLUTCH_AGE_DAYS, grown_g=70),
)

PINTAS = AnimalPlan(
    code="V-0501",
    name="Pintas",
    sex=M,
    age_days=1100,
    origin=Origin.SURRENDERED,
    arrived_night=2,
    moves=((2, time(11), "Q-01"), (9, time(10), "Q-04")),
    masses=steady((2, 5, 8, 11, 14), mass_g=121),
    note="Came in the glass case that he had lived in.",
    came_with=PINTAS_FROM,
)
# Two clutch-mates given up together: while they are hatchlings they may share. They
# turn 90 days old on the sixth day, and were parted on the ninth.
GOTA = AnimalPlan(
    code="V-0502",
    name="Gota",
    sex=F,
    age_days=98,
    origin=Origin.SURRENDERED,
    arrived_night=3,
    moves=((3, time(11), "Q-02"),),
    masses=growing((3, 6, 9, 12), age_days=98, grown_g=104),
    note="Given up together with her clutch-mate Seixo.",
    came_with=PAIR_FROM,
)
SEIXO = AnimalPlan(
    code="V-0503",
    name="Seixo",
    sex=M,
    age_days=98,
    origin=Origin.SURRENDERED,
    arrived_night=3,
    moves=((3, time(11, 5), "Q-02"), (9, time(10), "Q-03")),
    masses=growing((3, 6, 9, 12), age_days=98, grown_g=126),
    note="Given up together with his clutch-mate Gota.",
    came_with=PAIR_FROM,
)

ANIMALS = (
    *(ANIL, ZIMBRO, OCRE),
    *(GRALHA, BRISA, BONINA, TELHA),
    *(JUNCO, AVELA),
    *CLUTCH,
    *(PINTAS, GOTA, SEIXO),
)
LEAVING = AVELA
