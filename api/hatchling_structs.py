"""Hatchlings going in and coming out."""

from datetime import date
from typing import Annotated

from msgspec import Meta

from api.care_structs import Small
from api.structs import Asked, In, Out, Ref
from clutches.models import Hatchling
from clutches.rules.vocabulary import Heel
from husbandry.rules.vocabulary import Confidence, Sex

BOX = Annotated[str, Meta(description="Code of the box in which the eggs lie.")]
ENCLOSURE = Annotated[
    str | None, Meta(description="Code of where it is put; null: nowhere yet.")
]


class HeelsIn(In, frozen=True, kw_only=True):
    """What was seen at the heel of each hind foot, by whoever sends it."""

    left: Heel
    right: Heel


class YoungIn(In, frozen=True, kw_only=True):
    """One young animal."""

    code: Annotated[
        str,
        Meta(
            max_length=20,
            description="As on its label; the next free one unless given.",
        ),
    ] = ""
    name: Annotated[str, Meta(max_length=80)] = ""
    mass_g: Annotated[
        float | None, Meta(description="Grams, kept to 0.01 g; null: not weighed.")
    ] = None
    confirmed: Annotated[
        bool, Meta(description="An unlikely mass was weighed again and is right.")
    ] = False
    enclosure: ENCLOSURE = None
    heels: Annotated[
        HeelsIn | None, Meta(description="Null: nobody has looked yet.")
    ] = None


class HatchlingIn(YoungIn, frozen=True, kw_only=True):
    """One that came out of an egg."""

    clutch: Annotated[str, Meta(description="Code of the clutch.")]
    number: Annotated[Small, Meta(description="Of the egg, from 1.")]


class BoxHatchedIn(In, frozen=True, kw_only=True):
    """Eggs of one box that hatched on one day."""

    box: BOX
    hatched_on: Annotated[
        date | None, Meta(description="Local day of the clutch; today unless given.")
    ] = None
    hatchlings: tuple[HatchlingIn, ...]


class LitterHousedIn(In, frozen=True, kw_only=True):
    """Young that were born alive."""

    clutch: Annotated[str, Meta(description="Code of the clutch of live young.")]
    young: tuple[YoungIn, ...]


class AscribedIn(In, frozen=True, kw_only=True):
    """One animal that is on record already."""

    animal: Annotated[str, Meta(description="Code of the animal.")]
    egg: Annotated[
        Small | None, Meta(description="Number of its egg; null: not known.")
    ] = None


class AnimalsAscribedIn(In, frozen=True, kw_only=True):
    """Animals on record that came from one clutch."""

    clutch: Annotated[str, Meta(description="Code of the clutch.")]
    animals: tuple[AscribedIn, ...]


class LabelsAsked(Asked, frozen=True):
    """Whose labels."""

    clutch: Annotated[
        str, Meta(description="Code of the clutch that they came from; needed.")
    ] = ""


class HatchlingOut(Out, frozen=True):
    """Which clutch, and which egg, an animal came from."""

    about = Hatchling
    id: int
    animal: Ref
    clutch: Ref
    egg: Annotated[
        int | None, Meta(description="Number; null: born alive, or not known.")
    ]
    hatched_on: date | None
    sex: Sex
    sex_confidence: Confidence
    sire: Annotated[
        Ref | None, Meta(description="Null: not certain; see candidate-sires.")
    ]


class HatchlingsOut(Out, frozen=True):
    """What ties animals to their clutch, in the order in which they were sent."""

    hatchlings: tuple[HatchlingOut, ...]


class BoxHatchedOut(HatchlingsOut, frozen=True):
    """What hatched."""

    remarks: Annotated[
        tuple[str, ...],
        Meta(description="Such as that a clutch hatched earlier than any on record."),
    ]
