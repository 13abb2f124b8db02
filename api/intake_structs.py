"""Deliveries and their animals going in and coming out."""

from datetime import date
from typing import Annotated

from msgspec import Meta

from api.care_structs import WHEN, Id, Text
from api.structs import Asked, In, Instant, Out, Ref
from husbandry.rules.vocabulary import (
    AnimalStatus,
    Confidence,
    DatePrecision,
    Origin,
    Sex,
    SexBasis,
)
from placements.models import Arrival, Intake
from placements.rules.vocabulary import (
    BodySystem,
    ChipScan,
    ExamOutcome,
    IntakeCondition,
    IntakeSource,
)

SEEN = "null for those who may not see homes."
EXAMINED_BY = Annotated[str, Meta(max_length=160, description="Who looked.")]


class ExamPartIn(In, frozen=True, kw_only=True):
    """What was seen at one part of an animal."""

    system: BodySystem
    outcome: ExamOutcome
    note: Annotated[
        str, Meta(max_length=300, description="Needed where something is unusual.")
    ] = ""


class ExamIn(In, frozen=True, kw_only=True):
    """A look over an animal; what is left out was not looked at."""

    examined_by: EXAMINED_BY
    parts: tuple[ExamPartIn, ...]
    note: Text = ""


class IntakeIn(In, frozen=True, kw_only=True):
    """One animal of a delivery."""

    code: Annotated[
        str,
        Meta(
            max_length=20,
            description="As on its label; with `again` that of the animal on record.",
        ),
    ]
    again: Annotated[
        bool,
        Meta(description="It was here before, or is on record as an ancestor."),
    ] = False
    name: Annotated[str, Meta(max_length=80)] = ""
    species: Annotated[
        str | None, Meta(description="Code; null: nobody knows yet, or `again`.")
    ] = None
    species_told: Annotated[
        str, Meta(max_length=120, description="What it was said to be.")
    ] = ""
    species_sure: Annotated[
        bool, Meta(description="Somebody who knows the species has looked.")
    ] = True
    sex: Sex = Sex.UNKNOWN
    sex_basis: SexBasis = SexBasis.NOT_SEXED
    sex_confidence: Confidence = Confidence.UNCERTAIN
    hatched_on: date | None = None
    hatched_precision: DatePrecision = DatePrecision.UNKNOWN
    origin: Annotated[Origin | None, Meta(description="null: as its source says.")] = (
        None
    )
    origin_note: Text = ""
    microchip: Annotated[
        str, Meta(max_length=40, description="As the reader shows it; empty: none.")
    ] = ""
    chip_scan: ChipScan = ChipScan.NOT_SCANNED
    condition: IntakeCondition = IntakeCondition.NOT_JUDGED
    mass_g: Annotated[
        float | None, Meta(description="Grams, kept to 0.01 g; null: not weighed.")
    ] = None
    mass_reason: Annotated[
        str,
        Meta(
            max_length=200,
            description="Why an unlikely mass is right, after weighing again.",
        ),
    ] = ""
    enclosure: Annotated[
        str | None, Meta(description="Code of where it is put; null: nowhere yet.")
    ] = None
    exam: ExamIn | None = None
    signs: Annotated[
        tuple[str, ...],
        Meta(description="Ids of warning signs of its care profile that were seen."),
    ] = ()
    came_with: Text = ""
    note: Annotated[Text, Meta(description="About the animal; nothing of people.")] = ""


class GiverIn(In, frozen=True, kw_only=True):
    """Somebody who is not on record yet; personal data."""

    name: Annotated[str, Meta(min_length=1, max_length=120)]
    contact: Text = ""


class ArrivalIn(In, frozen=True, kw_only=True):
    """A delivery."""

    site: Annotated[str, Meta(description="Code of the site.")]
    source: IntakeSource
    arrived_at: WHEN = None
    home: Annotated[
        Id | None, Meta(description="Number of a home on record, from whom they came.")
    ] = None
    giver: Annotated[
        GiverIn | None, Meta(description="Or from whom, if not on record yet.")
    ] = None
    found_at: Annotated[
        str, Meta(max_length=200, description="Where a stray was found; needed then.")
    ] = ""
    hold_until: Annotated[
        date | None,
        Meta(
            description="Last day on which they may not leave, local law decides; null: "
            "as the house's policy for the source says."
        ),
    ] = None
    hold_reason: Annotated[str, Meta(max_length=200)] = ""
    came_with: Text = ""
    note: Text = ""
    animals: tuple[IntakeIn, ...]


class HoldIn(In, frozen=True, kw_only=True):
    """Until when the animals of a delivery are held."""

    until_on: date
    reason: Annotated[str, Meta(min_length=1, max_length=200)]


class LiftIn(In, frozen=True, kw_only=True):
    """That an animal may leave before its hold is over."""

    on: Annotated[
        date | None, Meta(description="First day on which it may; today unless given.")
    ] = None
    reason: Annotated[str, Meta(min_length=1, max_length=200)]


class SettleIn(In, frozen=True, kw_only=True):
    """What an animal is."""

    species: Annotated[str, Meta(description="Code of the species.")]
    reason: Annotated[
        str, Meta(min_length=1, max_length=200, description="By what, and by whom.")
    ]


class KnownAsked(Asked, frozen=True):
    """Which animal."""

    code_or_chip: Annotated[
        str,
        Meta(
            max_length=40, description="As on the label, or the chip's number; needed."
        ),
    ] = ""


class CaptionAsked(Asked, frozen=True):
    """What is seen on a photograph."""

    caption: Annotated[str, Meta(max_length=200)] = ""


class KnownOut(Out, frozen=True):
    """An animal on record."""

    animal: Ref
    label: str
    status: AnimalStatus
    arrived_on: date
    left_on: date | None
    microchip: Annotated[str, Meta(description="Empty: none on record.")]


class PhotoOut(Out, frozen=True):
    """A photograph, at `/intake-photos/{id}/file/`."""

    id: int
    caption: str


class IntakeOut(Out, frozen=True):
    """One animal of a delivery, as it was when it came."""

    about = Intake
    id: int
    arrival: Annotated[int, Meta(description="Number of the delivery.")]
    animal: Ref
    species: Annotated[str, Meta(description="Code, as on record now.")]
    species_told: str
    species_sure: bool
    condition: IntakeCondition
    chip_scan: ChipScan
    came_with: str
    note: str
    returns: Annotated[
        int | None,
        Meta(
            description="Number of the placement that it came back from; null: of none, "
            "or for those who may not see placements."
        ),
    ]
    hold_until: Annotated[
        date | None, Meta(description="As for its delivery; see `hold_ended_on`.")
    ]
    hold_ended_on: date | None
    hold_ended_reason: str
    photos: tuple[PhotoOut, ...]


class ArrivalOut(Out, frozen=True):
    """A delivery, and the animals of it in the order in which they were recorded."""

    about = Arrival
    id: int
    site: Ref
    source: IntakeSource
    home: Annotated[int | None, Meta(description=f"Number; null: nobody, or {SEEN}")]
    found_at: Annotated[str | None, Meta(description=f"Of a stray; {SEEN}")]
    arrived_at: Instant
    hold_until: date | None
    hold_reason: str
    came_with: str
    note: Annotated[str | None, Meta(description=SEEN.capitalize())]
    recorded_by: Annotated[str | None, Meta(description="null: the program itself.")]
    recorded_at: Instant
    intakes: tuple[IntakeOut, ...]
    cautions: Annotated[
        tuple[str, ...], Meta(description="On hands, and on what local law decides.")
    ]
