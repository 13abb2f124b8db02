"""What is stored of breeding. Django finds a room's models here."""

from clutches.models.boxes import BoxCheck, BoxStay, EggBox, EggPlace
from clutches.models.clutches import Clutch, Egg, EggCheck, Hatchling
from clutches.models.incubation import (
    Forecast,
    IncubationPhase,
    IncubationPlan,
    IncubatorDay,
)
from clutches.models.pairings import CandidateSire, Introduction, Pairing
from clutches.models.sexing import SexingPolicy, SpurCheck

__all__ = [
    "BoxCheck",
    "BoxStay",
    "CandidateSire",
    "Clutch",
    "Egg",
    "EggBox",
    "EggCheck",
    "EggPlace",
    "Forecast",
    "Hatchling",
    "IncubationPhase",
    "IncubationPlan",
    "IncubatorDay",
    "Introduction",
    "Pairing",
    "SexingPolicy",
    "SpurCheck",
]
