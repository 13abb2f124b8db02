"""Keep photographs of animals as they came."""

from datetime import datetime

from core import audit
from core.models import User
from core.photographs import kept_photograph
from placements.models import Intake, IntakePhoto
from placements.rules.intakes import IntakeError

MOST_PHOTOS = 20
LONGEST_CAPTION = 200


def add_intake_photo(
    *,
    intake: Intake,
    data: bytes,
    by: User | None,
    at: datetime,
    caption: str = "",
) -> IntakePhoto:
    """Keep a photograph of an animal as it came, without what it gives away.

    Row and file are both kept or neither, see `core.photographs.kept_photograph`; so
    the transaction is its own or a whole one.

    Args:
        intake: of the animal.
        data: of the photograph as it was handed in, see `core.photographs.stripped`.
        by: the person.
        at: now.
        caption: what is seen, up to 200 characters.

    Raises:
        PhotographError: it cannot be kept.
        IntakeError: there are twenty already, or the caption is too long.
    """
    caption = caption.strip()
    if len(caption) > LONGEST_CAPTION:
        raise IntakeError(
            f"The caption has {len(caption)} characters; at most {LONGEST_CAPTION} are "
            "kept.",
            fields={"caption": f"at most {LONGEST_CAPTION} characters"},
        )
    with kept_photograph(data, folder="intakes") as name:
        row = IntakePhoto(intake=_locked(intake), caption=caption)
        row.recorded_by, row.recorded_at = by, at
        row.photo.name = name
        row.save()
        after = {"animal": intake.animal_id, "photo": name}
        audit.record(row, verb="add_intake_photo", by=by, at=at, after=after)
    return row


def _locked(intake: Intake) -> Intake:
    """Return the intake while nobody else adds to it."""
    intake = Intake.objects.select_for_update(no_key=True, of=("self",)).get(
        pk=intake.pk
    )
    if intake.photos.count() >= MOST_PHOTOS:
        raise IntakeError(
            f"There are {MOST_PHOTOS} photographs of this intake already; no more are "
            "kept.",
            fields={"photo": f"at most {MOST_PHOTOS} an intake"},
        )
    return intake
