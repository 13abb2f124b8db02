"""The back office of breeding. Django finds it here."""

from clutches.admin import incubation

__all__ = ["incubation"]
