"""What a home may say of an enclosure, and what of it cannot be."""

from dataclasses import dataclass
from datetime import time
from decimal import Decimal

from core.errors import DomainError
from husbandry.rules.vocabulary import EnclosureKind
from placements.rules.vocabulary import UvbLamp

LABEL_LENGTH = 60
NOTE_LENGTH = 2_000
SIZE_CM = (Decimal(5), Decimal(1_000))
PERCENT = (Decimal("0.1"), Decimal(30))
DISTANCE_CM = (Decimal(1), Decimal(300))
MOST_ANIMALS = 50


class EnclosureDetailsError(DomainError):
    """An enclosure that cannot be so."""

    code = "enclosure_details"


@dataclass(frozen=True, slots=True)
class EnclosureDetails:
    """An enclosure as its home describes it; see `HomeEnclosure` for each part."""

    label: str
    kind: EnclosureKind
    width_cm: Decimal
    depth_cm: Decimal
    height_cm: Decimal
    time_zone: str
    lights_on: time
    lights_off: time
    uvb_lamp: UvbLamp
    uvb_percent: Decimal | None = None
    uvb_distance_cm: Decimal | None = None
    uvb_through_screen: bool = False
    laying_bin: bool = False
    other_animals: int = 0
    sees_others: bool | None = None
    note: str = ""


def check_details(details: EnclosureDetails) -> None:
    """Refuse what cannot be said of an enclosure.

    Args:
        details: as told; the time zone is looked up elsewhere.

    Raises:
        EnclosureDetailsError: with a sentence for each part that cannot be.
    """
    problems = {
        "label": _text(details.label, 1, LABEL_LENGTH, "name"),
        "note": _text(details.note, 0, NOTE_LENGTH, "note"),
        "lights_off": _lights(details),
        "other_animals": _animals(details.other_animals),
        "uvb_percent": _within(details.uvb_percent, PERCENT, "%"),
        "uvb_distance_cm": _within(details.uvb_distance_cm, DISTANCE_CM, "cm"),
        **{
            name: _within(getattr(details, name), SIZE_CM, "cm")
            for name in ("width_cm", "depth_cm", "height_cm")
        },
    }
    said = {name: problem for name, problem in problems.items() if problem}
    if said:
        raise EnclosureDetailsError(" ".join(said.values()), fields=said)


def _text(text: str, least: int, most: int, what: str) -> str:
    if least <= len(text.strip()) <= most:
        return ""
    return (
        f"A {what} of {len(text.strip())} characters cannot be kept; give {least} to "
        f"{most}."
    )


def _lights(details: EnclosureDetails) -> str:
    if details.lights_on < details.lights_off:
        return ""
    return (
        f"The lights go off at {details.lights_off:%H:%M}, before they go on at "
        f"{details.lights_on:%H:%M}. Give local times of one day, in order."
    )


def _animals(number: int) -> str:
    if 0 <= number <= MOST_ANIMALS:
        return ""
    return f"{number} other animals cannot be; give 0 to {MOST_ANIMALS}."


def _within(value: Decimal | None, ends: tuple[Decimal, Decimal], unit: str) -> str:
    if value is None or (value.is_finite() and ends[0] <= value <= ends[1]):
        return ""
    return f"{value} {unit} cannot be; give {ends[0]} to {ends[1]} {unit}."
