"""What is stored in husbandry. Django finds a room's models here."""

from husbandry.models.animals import (
    Animal,
    ReproductiveSpell,
    Stay,
    TargetOverride,
)
from husbandry.models.enclosures import Enclosure, Probe, Setup, SightLine
from husbandry.models.readings import (
    Conditions,
    LoggerMapping,
    Reading,
    ReadingImport,
)
from husbandry.models.review import Acknowledgement, Finding, ReviewRun, Sighting
from husbandry.models.species import CareProfile, Species
from husbandry.models.weights import Weighing

__all__ = [
    "Acknowledgement",
    "Animal",
    "CareProfile",
    "Conditions",
    "Enclosure",
    "Finding",
    "LoggerMapping",
    "Probe",
    "Reading",
    "ReadingImport",
    "ReproductiveSpell",
    "ReviewRun",
    "Setup",
    "SightLine",
    "Sighting",
    "Species",
    "Stay",
    "TargetOverride",
    "Weighing",
]
