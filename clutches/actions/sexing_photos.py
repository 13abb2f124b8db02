"""Keep a photograph of what was seen at a look."""

from datetime import datetime

from clutches.models import SpurCheck
from clutches.rules.sexing.looks import SexingError
from core import audit
from core.models import User
from core.photographs import kept_photograph


def keep_photo(
    *, check: SpurCheck, data: bytes, by: User | None, at: datetime
) -> SpurCheck:
    """Keep a photograph of what was seen at a look; one for each look.

    Row and file are both kept or neither, see `core.photographs.kept_photograph`; so
    the transaction is its own or a whole one.

    Args:
        check: in force.
        data: of the photograph as it was handed in, see `stripped`.
        by: the person.
        at: now.

    Returns:
        The look, with the name of the file.

    Raises:
        PhotographError: it cannot be kept.
        SexingError: the look has one already, or was struck out.
    """
    with kept_photograph(data, folder="spur_checks") as name:
        row = SpurCheck.objects.select_for_update(no_key=True).get(pk=check.pk)
        _check_wanted(row)
        row.photo.name = name
        row.save(update_fields=["photo"])
        audit.record(row, verb="keep_photo", by=by, at=at, after={"photo": name})
    return row


def _check_wanted(check: SpurCheck) -> None:
    if check.photo:
        said = "This look has a photograph already"
    elif check.struck_at is not None:
        said = "This look was struck out"
    else:
        return
    raise SexingError(
        f"{said}. Record another look for another photograph.",
        fields={"photo": "one for each look in force"},
    )
