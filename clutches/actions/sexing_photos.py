"""Keep a photograph of what was seen at a look."""

from datetime import datetime

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.db import transaction

from clutches.models import SpurCheck
from clutches.rules.sexing.looks import SexingError
from core import audit
from core.models import User
from core.photographs import random_name, stripped


def keep_photo(
    *, check: SpurCheck, data: bytes, by: User | None, at: datetime
) -> SpurCheck:
    """Keep a photograph of what was seen at a look; one for each look.

    The file is written last, so that no row names one that is not there; should the
    row then not be kept, the file is taken away again. For that the transaction must
    be its own: where another one around it failed, nobody would know of the file.

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
    photo = ContentFile(stripped(data))
    written = ""
    try:
        with transaction.atomic(durable=True):
            row = SpurCheck.objects.select_for_update(no_key=True).get(pk=check.pk)
            _check_wanted(row)
            row.photo.name = f"spur_checks/{random_name()}"
            row.save(update_fields=["photo"])
            after = {"photo": row.photo.name}
            audit.record(row, verb="keep_photo", by=by, at=at, after=after)
            written = default_storage.save(row.photo.name, photo)
    except BaseException:
        if written:
            default_storage.delete(written)
        raise
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
