"""How warm eggs were against how warm they were to be, night after night."""

from clutches.rules.incubation.assessing import IncubationFound, assess_incubation
from clutches.rules.incubation.climate import (
    IncubatorClimate,
    ProbeClimate,
    climate_of,
)

__all__ = [
    "IncubationFound",
    "IncubatorClimate",
    "ProbeClimate",
    "assess_incubation",
    "climate_of",
]
