"""The back office of core, and the desks of every room's. Django finds it here."""

from core.admin import people, places
from core.admin.desks import Desk, WritingDesk, person

__all__ = ["Desk", "WritingDesk", "people", "person", "places"]
