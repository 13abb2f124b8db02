"""The back office of breeding. Django finds it here."""

from clutches.admin import boxes, clutches, eggs, incubation, pairings, sexing, sires

__all__ = ["boxes", "clutches", "eggs", "incubation", "pairings", "sexing", "sires"]
