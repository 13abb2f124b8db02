"""The back office of placements, a module a topic."""

from placements.admin import (
    applications,
    follow_ups,
    gates,
    homes,
    intakes,
    packets,
    papers,
    placements,
    quarantine,
    readiness,
    register,
)

__all__ = [
    "applications",
    "follow_ups",
    "gates",
    "homes",
    "intakes",
    "packets",
    "papers",
    "placements",
    "quarantine",
    "readiness",
    "register",
]
