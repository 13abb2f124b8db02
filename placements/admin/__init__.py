"""The back office of placements, a module a topic."""

from placements.admin import gates, homes, intakes, packets, placements, quarantine

__all__ = ["gates", "homes", "intakes", "packets", "placements", "quarantine"]
