"""From a file's bytes to text: by rule, never by a statistical guess."""

import codecs
import re

from husbandry.rules.loggers.trust import UntrustedFileError
from husbandry.rules.loggers.vocabulary import Untrusted, facts

BYTE_ORDER_MARKS = (
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF32_LE, "utf-32"),  # before UTF-16: it begins with the same bytes
    (codecs.BOM_UTF32_BE, "utf-32"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)
SAMPLE_BYTES = 4096
CONTROL_SHARE = 0.02
_CONTROLS = re.compile("[\x01-\x08\x0e-\x1f]")
_PADDING = re.compile("^\x00+|\x00+$", re.MULTILINE)


def decode(data: bytes, *, encoding: str = "") -> tuple[str, str]:
    r"""Return the text of a file with ``\n`` line ends, and the encoding used.

    A byte-order mark decides; else bytes with a NUL in every second place are
    UTF-16; else what is valid UTF-8 is UTF-8; else it is Windows-1252. NULs at the
    edges of lines (a memory card's padding) are dropped; others stay, so that the
    value they stand in is refused.

    Args:
        data: the file.
        encoding: a codec's name where a person knows better; empty for the rule.

    Raises:
        UntrustedFileError: not_text for binary data, encoding_wrong when the named
            encoding is unknown or does not fit.

    Source:
        unicode-standard (byte-order marks), rfc-3629 (what is valid UTF-8).
    """
    name = encoding or _encoding_of(data)
    try:
        # Windows-1252 leaves five bytes undefined; they can only stand in words.
        text = data.decode(name, errors="replace" if name == "cp1252" else "strict")
    except (LookupError, UnicodeError) as error:
        raise UntrustedFileError(Untrusted.ENCODING_WRONG, facts(value=name)) from error
    text = text.removeprefix("\ufeff").rstrip("\x1a")
    if len(_CONTROLS.findall(text[:SAMPLE_BYTES])) > CONTROL_SHARE * SAMPLE_BYTES:
        raise UntrustedFileError(Untrusted.NOT_TEXT)
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    return (_PADDING.sub("", text) if "\x00" in text else text), name


def _encoding_of(data: bytes) -> str:
    for mark, name in BYTE_ORDER_MARKS:
        if data.startswith(mark):
            return name
    # UTF-16 comes before UTF-8: NULs are valid UTF-8, so ASCII in UTF-16 passes it.
    sample = data[:SAMPLE_BYTES]
    half = len(sample) / 2
    if sample[1::2].count(0) > 0.4 * half and sample[0::2].count(0) < 0.1 * half:
        return "utf-16-le"
    if sample[0::2].count(0) > 0.4 * half and sample[1::2].count(0) < 0.1 * half:
        return "utf-16-be"
    try:
        data.decode("utf-8")
    except UnicodeDecodeError:
        return "cp1252"
    return "utf-8"
