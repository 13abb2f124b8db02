"""Photographs lose what they give away, and what is none is refused."""

import struct
import zlib
from io import BytesIO

import pytest
from PIL import ExifTags, Image, ImageFile
from PIL.PngImagePlugin import PngInfo

from core.photographs import (
    LARGEST_BYTES,
    MOST_PIXELS,
    PhotographError,
    random_name,
    stripped,
)

RED, BLUE = (200, 30, 30), (30, 30, 200)


def photograph(kind: str = "JPEG", *, mode: str = "RGB", **given: object) -> bytes:
    """Return a picture of 60 × 30: red on the left half, blue on the right."""
    image = Image.new("RGB", (60, 30), RED)
    image.paste(BLUE, (30, 0, 60, 30))
    file = BytesIO()
    image.convert(mode).save(file, kind, **given)
    return file.getvalue()


def taken(*, orientation: int = 1) -> Image.Exif:
    """Return what a camera writes: where it was, what it is, how it was held."""
    exif = Image.Exif()
    exif[ExifTags.Base.Make] = "Camera of somebody"
    exif[ExifTags.Base.Orientation] = orientation
    gps = exif.get_ifd(ExifTags.IFD.GPSInfo)
    gps[ExifTags.GPS.GPSLatitudeRef] = "N"
    gps[ExifTags.GPS.GPSLatitude] = (52.0, 31.0, 12.0)
    return exif


def seen(data: bytes) -> Image.Image:
    image = Image.open(BytesIO(data), formats=["JPEG"])
    image.load()
    return image


def is_near(image: Image.Image, at: tuple[int, int], wanted: tuple[int, ...]) -> bool:
    pixel = image.getpixel(at)
    assert isinstance(pixel, tuple)
    return all(abs(a - b) < 12 for a, b in zip(pixel, wanted, strict=True))


def test_where_it_was_taken_is_gone() -> None:
    data = photograph(exif=taken(), comment=b"at home")
    there = Image.open(BytesIO(data))
    assert there.getexif().get_ifd(ExifTags.IFD.GPSInfo)  # what must not leak exists
    assert there.info["comment"] == b"at home"

    kept = stripped(data)

    image = seen(kept)
    assert dict(image.getexif()) == {}
    assert not {"exif", "comment", "xmp", "icc_profile"} & image.info.keys()
    assert b"Exif" not in kept
    assert b"Camera of somebody" not in kept
    assert b"at home" not in kept


def test_a_text_in_a_png_is_gone() -> None:
    text = PngInfo()
    text.add_text("Author", "somebody")

    kept = stripped(photograph("PNG", pnginfo=text))

    assert b"somebody" not in kept
    assert seen(kept).size == (60, 30)


# By the EXIF standard (CIPA DC-008) 6 says: turn it a quarter to the right.
def test_a_camera_held_sideways_is_put_right() -> None:
    image = seen(stripped(photograph(exif=taken(orientation=6))))

    assert image.size == (30, 60)
    assert is_near(image, (15, 10), RED)
    assert is_near(image, (15, 50), BLUE)


@pytest.mark.parametrize(
    ("kind", "mode"),
    [
        *(("JPEG", "RGB"), ("JPEG", "L"), ("JPEG", "CMYK")),
        *(("PNG", "RGB"), ("PNG", "P"), ("PNG", "L"), ("PNG", "LA"), ("PNG", "1")),
        *(("PNG", "RGBA"), ("PNG", "I;16")),
    ],
)
def test_every_kind_becomes_a_jpeg(kind: str, mode: str) -> None:
    data = photograph(kind, mode="RGB" if mode == "I;16" else mode)
    if mode == "I;16":
        file = BytesIO()
        Image.new("I;16", (60, 30)).save(file, "PNG")
        data = file.getvalue()

    image = seen(stripped(data))

    assert (image.format, image.mode, image.size) == ("JPEG", "RGB", (60, 30))


def test_what_is_transparent_becomes_white() -> None:
    file = BytesIO()
    Image.new("RGBA", (20, 20), (200, 30, 30, 0)).save(file, "PNG")

    image = seen(stripped(file.getvalue()))

    assert is_near(image, (10, 10), (255, 255, 255))


@pytest.mark.parametrize(
    "data",
    [b"", b"These are words in a file that is called heel.jpg.", photograph("GIF")],
    ids=["empty", "text", "gif"],
)
def test_what_is_no_photograph_is_refused(data: bytes) -> None:
    with pytest.raises(PhotographError) as refused:
        stripped(data)

    assert refused.value.sentence == (
        "This file is neither a JPEG nor a PNG, whatever its name says. Give a JPEG or "
        "PNG of at most 8 MB."
    )
    assert refused.value.fields == {"photo": "a JPEG or PNG of at most 8 MB"}


def test_one_of_too_many_bytes_is_refused() -> None:
    data = photograph()

    with pytest.raises(PhotographError, match=r"has 8\.0 MB\. Give one of at most 8"):
        stripped(data + bytes(LARGEST_BYTES + 1 - len(data)))
    assert stripped(data + bytes(LARGEST_BYTES - len(data)))


def _claims(width: int, height: int) -> bytes:
    """Return a PNG of a few bytes that says how large it would be."""
    chunks = b""
    for name, body in (
        (b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)),
        (b"IDAT", zlib.compress(bytes(100))),
        (b"IEND", b""),
    ):
        check = zlib.crc32(name + body)
        chunks += struct.pack(">I", len(body)) + name + body + struct.pack(">I", check)
    return b"\x89PNG\r\n\x1a\n" + chunks


# Pillow says nothing up to 89 million pixels, warns up to 179 million, then refuses.
@pytest.mark.parametrize("pixels", [MOST_PIXELS + 1, 10**8, 10**9])
def test_one_that_would_fill_the_memory_is_refused(pixels: int) -> None:
    with pytest.raises(PhotographError, match="more than 60 million pixels"):
        stripped(_claims(pixels, 1))


# WeasyPrint lets Pillow fill up what is missing, as soon as it is imported.
@pytest.mark.parametrize("lenient", [True, False])
@pytest.mark.parametrize("kind", ["JPEG", "PNG"])
@pytest.mark.parametrize("share", [0.2, 0.6, 0.9])
def test_a_broken_one_is_refused(
    share: float, kind: str, lenient: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(ImageFile, "LOAD_TRUNCATED_IMAGES", lenient)
    file = BytesIO()
    Image.effect_noise((200, 200), 90).save(file, kind)
    data = file.getvalue()
    assert stripped(data)

    monkeypatch.setattr(ImageFile, "LOAD_TRUNCATED_IMAGES", lenient)
    with pytest.raises(PhotographError, match="broken and cannot be read to its end"):
        stripped(data[: int(len(data) * share)])


def test_names_say_nothing_and_differ() -> None:
    names = {random_name() for _ in range(50)}

    assert len(names) == 50
    assert all(len(name) == 36 and name.endswith(".jpg") for name in names)
