"""Photographs of animals as they came."""

from django.core.files.storage import default_storage

from placements.models import IntakePhoto


def intake_photo(*, photo: IntakePhoto) -> bytes | None:
    """Return a photograph; None: it was taken away from where files are kept."""
    name = photo.photo.name or ""
    if not name or not default_storage.exists(name):
        return None
    with default_storage.open(name) as file:
        return bytes(file.read())
