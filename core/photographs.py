"""Photographs that people hand in: checked, and kept without what they give away."""

import secrets
import struct
from collections.abc import Iterator
from contextlib import contextmanager
from io import BytesIO

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from PIL import Image, ImageFile, ImageOps, UnidentifiedImageError

from core.errors import DomainError
from core.transactions import if_undone, whole

KINDS = ("JPEG", "PNG")
LARGEST_BYTES = 8 * 1024 * 1024
# More than a phone takes; what claims to be larger is made to fill the memory.
MOST_PIXELS = 60_000_000
QUALITY = 88
WANTED = "a JPEG or PNG of at most 8 MB"
# All that Pillow raises over a file that is not what it says it is.
BROKEN = (OSError, SyntaxError, ValueError, EOFError, struct.error)


class PhotographError(DomainError):
    """What was handed in cannot be kept as a photograph."""

    code = "photograph_refused"

    def __init__(self, sentence: str) -> None:
        """Say what would be accepted beside what is wrong."""
        super().__init__(sentence, fields={"photo": WANTED})


def stripped(data: bytes) -> bytes:
    """Return a photograph as a JPEG that tells nothing but what is seen on it.

    It is drawn anew: where it was taken, by whose camera, and whatever else lay in the
    file stays behind. A camera that was held sideways is put right first, as that is
    told only there. What is transparent becomes white.

    Args:
        data: of a JPEG or PNG, of at most 8 MB and 60 million pixels; what it is called
            is not asked.

    Raises:
        PhotographError: it is something else, too large, or broken.
    """
    check_bytes(len(data))
    try:
        with Image.open(BytesIO(data), formats=KINDS) as image:
            _check_size(*image.size)
            return _drawn_anew(image)
    except UnidentifiedImageError as error:
        raise PhotographError(
            "This file is neither a JPEG nor a PNG, whatever its name says. Give "
            f"{WANTED}."
        ) from error
    # The warning is an error wherever warnings are.
    except (Image.DecompressionBombError, Image.DecompressionBombWarning) as error:
        raise _too_many_pixels() from error
    except BROKEN as error:
        raise PhotographError(
            f"The photograph is broken and cannot be read to its end. Give {WANTED}, "
            "or take it again."
        ) from error


@contextmanager
def kept_photograph(data: bytes, *, folder: str) -> Iterator[str]:
    """Keep a photograph beside the row that names it: both, or neither.

    The file is written last, so that no row names one that is not there; should the
    row then not be kept, the file is taken away again. For that the transaction must
    be its own, or one of `core.transactions.whole`: where another one around it
    failed, nobody would know of the file.

    Args:
        data: of the photograph as it was handed in, see `stripped`.
        folder: below the media, such as `intakes`.

    Yields:
        The name under which it will be kept, inside a transaction.

    Raises:
        PhotographError: it cannot be kept; nothing was begun.
    """
    photo, name = ContentFile(stripped(data)), f"{folder}/{random_name()}"
    with whole():
        yield name
        written = default_storage.save(name, photo)
        if_undone(lambda: default_storage.delete(written))


def check_bytes(size: int) -> None:
    """Refuse a photograph for its size, before it is read into memory.

    Args:
        size: in bytes.

    Raises:
        PhotographError: it has more than 8 MB (8 × 1024 × 1024 bytes).
    """
    if size > LARGEST_BYTES:
        raise PhotographError(
            f"The photograph has {size / 1024 / 1024:.1f} MB. Give one of at most 8 MB, "
            "such as a smaller size from the phone's gallery."
        )


def random_name() -> str:
    """Return a file name that nobody guesses and that says nothing."""
    return f"{secrets.token_hex(16)}.jpg"


def _check_size(width: int, height: int) -> None:
    # Before a single pixel is read: a few kilobytes may unpack to gigabytes.
    if width * height > MOST_PIXELS:
        raise _too_many_pixels()


def _too_many_pixels() -> PhotographError:
    return PhotographError(
        f"The photograph has more than {MOST_PIXELS // 1_000_000} million pixels. Give "
        "a smaller one."
    )


def _drawn_anew(image: Image.Image) -> bytes:
    # What draws our files tells Pillow, for the whole process, to fill up in grey what
    # is missing of a picture. Half a heel is no evidence; our own files are whole.
    ImageFile.LOAD_TRUNCATED_IMAGES = False
    image.load()
    upright = ImageOps.exif_transpose(image)
    # A new canvas carries nothing over; a copy would carry comments.
    canvas = Image.new("RGB", upright.size, "white")
    if upright.has_transparency_data:
        opaque = upright.convert("RGBA")
        canvas.paste(opaque, mask=opaque.getchannel("A"))
    else:
        canvas.paste(upright.convert("RGB"))
    file = BytesIO()
    canvas.save(file, "JPEG", quality=QUALITY, optimize=True)
    return file.getvalue()
