"""What pages share that everybody may open."""

from core.models import Organisation


def house() -> Organisation | None:
    """Return whose pages these are; None before it is named."""
    return Organisation.objects.first()
