"""The back office of placements, a module a topic."""

from placements.admin import homes, packets, placements, quarantine

__all__ = ["homes", "packets", "placements", "quarantine"]
