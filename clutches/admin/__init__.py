"""The back office of breeding. Django finds it here."""

from clutches.admin import boxes, eggs, incubation, sires

__all__ = ["boxes", "eggs", "incubation", "sires"]
