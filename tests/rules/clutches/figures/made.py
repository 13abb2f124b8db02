"""A small world of eggs and hatchlings, counted by hand."""

from datetime import date, timedelta
from decimal import Decimal

from clutches.rules.figures.facts import (
    BreedingRows,
    ClutchRow,
    EggRow,
    HatchlingRow,
)
from clutches.rules.vocabulary import EggState, FailureCause
from husbandry.rules.vocabulary import AnimalStatus, Confidence, Sex

LAID = date(2026, 1, 1)
S, C = EggState, FailureCause


def clutch(number: int, **given: object) -> ClutchRow:
    fields: dict[str, object] = {
        "id": number,
        "code": f"C-{number}",
        "species": "veiled_chameleon",
        "site": "here",
        "laid_on": LAID,
        "dam": "V-1",
        "sires": ("V-2",),
        "eggs_set": 6,
        "infertile": 2,
        "broken": 1,
    }
    return ClutchRow(**{**fields, **given})  # type: ignore[arg-type]


def egg(
    number: int,
    state: EggState = S.INCUBATING,
    *,
    clutch: int = 1,
    days: int | None = None,
    cause: FailureCause | None = None,
    vessels: bool = False,
    incubator: str = "I-1",
    mean_c: float | None = 26.4,
) -> EggRow:
    return EggRow(
        clutch=clutch,
        number=number,
        state=state,
        pipped_on=None,
        ended_on=None if days is None else LAID + timedelta(days=days),
        cause=cause,
        vessels=vessels,
        box="B-1",
        incubator=incubator,
        mean_c=mean_c,
        measured=1.0,
        hatchling=None,
    )


def young(
    number: int,
    days: int,
    status: AnimalStatus = AnimalStatus.IN_CARE,
    *,
    clutch: int = 1,
    sex: Sex = Sex.FEMALE,
    confidence: Confidence = Confidence.CONFIRMED,
    mass_g: str | None = "1.10",
    incubator: str = "I-1",
    mean_c: float | None = 26.4,
) -> HatchlingRow:
    return HatchlingRow(
        id=number,
        code=f"V-{number}",
        clutch=clutch,
        hatched_on=LAID + timedelta(days=200),
        sex=sex,
        confidence=confidence,
        status=status,
        watched_days=days,
        mass_g=None if mass_g is None else Decimal(mass_g),
        incubator=incubator,
        mean_c=mean_c,
        measured=1.0,
    )


# Six eggs: two hatched, one died in the egg, one moulded after vessels were seen,
# one was called infertile, one still incubates and nobody saw anything in it.
EGGS = (
    egg(1, S.HATCHED, days=200),
    egg(2, S.HATCHED, days=206, vessels=True),
    egg(3, S.FAILED, days=190, cause=C.DIED_IN_EGG),
    egg(4, S.FAILED, days=120, cause=C.MOULD, vessels=True),
    egg(5, S.FAILED, days=100, cause=C.INFERTILE),
    egg(6),
)
ONE = BreedingRows((clutch(1),), EGGS, ())
