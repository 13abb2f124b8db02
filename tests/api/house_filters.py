"""What is asked of the lists of the house, and the two rows of each."""

from datetime import timedelta
from typing import Any

from core.models import User
from core.roles import Role
from tests.factories import (
    NOW,
    TODAY,
    CalendarAddressFactory,
    LoggerMappingFactory,
    ReadingImportFactory,
    SetupFactory,
    UserFactory,
)

YESTERDAY = TODAY - timedelta(days=1)
CASES = [
    ("people", "username", "a", "a"),
    ("people", "role", "adoption_coordinator", "b"),
    ("people", "is_active", "false", "b"),
    ("calendars", "in_force", "true", "a"),
    ("set-ups", "enclosure", "a", "a"),
    ("set-ups", "from_on", str(TODAY), "a"),
    ("logger-files", "accepted", "false", "b"),
    ("logger-files", "sha256", "a", "a"),
    ("logger-files", "from_at", NOW.isoformat(), "a"),
    ("logger-files", "until_at", NOW.isoformat(), "b"),
    ("logger-mappings", "name", "a", "a"),
]


def make_house(a: dict[str, Any], b: dict[str, Any]) -> None:
    """Add two rows of each list; animals and enclosures are there."""
    # The one who asks: addresses are shown to nobody else.
    asks = User.objects.filter(role=Role.OWNER.value).latest("pk")
    a["people"] = User.objects.filter(username="a").first() or UserFactory(username="a")
    b["people"] = UserFactory(
        username="left", role="adoption_coordinator", is_active=False
    )
    a["calendars"] = CalendarAddressFactory(user=asks)
    b["calendars"] = CalendarAddressFactory(user=asks, revoked_at=NOW)
    a["set-ups"] = SetupFactory(enclosure=a["enclosures"], from_on=TODAY)
    b["set-ups"] = SetupFactory(enclosure=b["enclosures"], from_on=YESTERDAY)
    a["logger-files"] = ReadingImportFactory(sha256="a")
    b["logger-files"] = ReadingImportFactory(
        accepted=False, imported_at=NOW - timedelta(days=1)
    )
    a["logger-mappings"] = LoggerMappingFactory(name="a")
    b["logger-mappings"] = LoggerMappingFactory(name="b")
