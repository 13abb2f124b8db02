"""What is stored in husbandry. Django finds a room's models here."""

from husbandry.models.animals import (
    Animal,
    EarlierCare,
    Quarantine,
    ReproductiveSpell,
    Stay,
    TargetOverride,
)
from husbandry.models.chores import Chore, Lamp, LampCheck
from husbandry.models.devices import Device, DeviceProbe
from husbandry.models.enclosures import Enclosure, Probe, Setup, SightLine
from husbandry.models.feeding import Feeding, FeedingOrder
from husbandry.models.health import Death, Dose, HealthTest, Prescription
from husbandry.models.observations import Measuring, Observation
from husbandry.models.policies import ReviewPolicy
from husbandry.models.readings import (
    Conditions,
    LoggerMapping,
    Reading,
    ReadingImport,
)
from husbandry.models.review import Acknowledgement, Finding, ReviewRun, Sighting
from husbandry.models.species import CareProfile, Species
from husbandry.models.unclaimed import UnclaimedBatch, UnclaimedReadings
from husbandry.models.weights import Weighing

__all__ = [
    "Acknowledgement",
    "Animal",
    "CareProfile",
    "Chore",
    "Conditions",
    "Death",
    "Device",
    "DeviceProbe",
    "Dose",
    "EarlierCare",
    "Enclosure",
    "Feeding",
    "FeedingOrder",
    "Finding",
    "HealthTest",
    "Lamp",
    "LampCheck",
    "LoggerMapping",
    "Measuring",
    "Observation",
    "Prescription",
    "Probe",
    "Quarantine",
    "Reading",
    "ReadingImport",
    "ReproductiveSpell",
    "ReviewPolicy",
    "ReviewRun",
    "Setup",
    "SightLine",
    "Sighting",
    "Species",
    "Stay",
    "TargetOverride",
    "UnclaimedBatch",
    "UnclaimedReadings",
    "Weighing",
]
