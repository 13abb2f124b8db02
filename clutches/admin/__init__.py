"""The back office of breeding. Django finds it here."""

from clutches.admin import incubation, sires

__all__ = ["incubation", "sires"]
