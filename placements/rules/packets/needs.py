"""What decides which rows of a profile hold for an animal."""

from dataclasses import dataclass
from datetime import date

from husbandry.rules.profiles.resolving import Override
from husbandry.rules.profiles.values import Profile
from husbandry.rules.vocabulary import Reproduction, Sex


@dataclass(frozen=True, slots=True)
class ProfileVersion:
    """The care profile in force on the packet's day."""

    version: int
    sha256: str
    profile: Profile


@dataclass(frozen=True, slots=True)
class Needs:
    """What decides which rows of a profile hold for the animal."""

    sex: Sex
    hatched_on: date | None
    reproduction: Reproduction
    overrides: tuple[Override, ...]
