"""Numbers of implanted chips: 15 digits by ISO 11784, or 10 of an older kind.

The number has no check digit, so a mistyped one that keeps its form cannot be told
from a right one: read it from the reader, not by hand.
"""

from dataclasses import dataclass
from enum import StrEnum

from core.errors import DomainError

ISO_DIGITS = 15
OLDER_DIGITS = 10
NUMBER_BITS = 38
COUNTRY_BITS = 10
LARGEST_NUMBER = 2**NUMBER_BITS - 1  # 274 877 906 943
FIRST_MAKER, LAST_MAKER = 900, 998
TEST_CODE = 999
_WORD_BITS = 64
_ANIMAL_FLAG = 1 << (_WORD_BITS - 1)
_DECORATION = str.maketrans("", "", " \t-–.")


class MicrochipError(DomainError):
    """No chip can carry this number."""

    code = "microchip_refused"


class MicrochipKind(StrEnum):
    """What kind of number a chip carries."""

    ISO = "iso"
    NON_ISO = "non_iso"
    TEST = "test"


@dataclass(frozen=True, slots=True)
class Microchip:
    """A chip's number.

    Attributes:
        digits: 15 by ISO 11784, or 10 of an older chip; no spaces.
        country: the numeric country code (ISO 3166-1), 1 to 899; None: none is in it.
        maker: the maker's code, 900 to 998 (900 is shared by several); None: none.
    """

    digits: str
    kind: MicrochipKind
    country: int | None
    maker: int | None


def check_microchip(text: str) -> Microchip:
    """Read a chip's number; spaces, dashes and dots between digits do not matter.

    Args:
        text: as typed or scanned.

    Returns:
        The number and what it says. The code 999 is for tests: kind `test`.

    Raises:
        MicrochipError: other characters, another length, country code 000, or a
            number part that does not fit into 38 bits.

    Source:
        iso-11784 (as icar-identification describes it).
    """
    digits = text.translate(_DECORATION)
    if not (digits.isascii() and digits.isdigit()):
        raise _refused(text, "it has characters that are not digits")
    if len(digits) == OLDER_DIGITS:
        return Microchip(digits, MicrochipKind.NON_ISO, None, None)
    if len(digits) != ISO_DIGITS:
        raise _refused(text, f"it has {len(digits)} digits")
    code, number = int(digits[:3]), int(digits[3:])
    if code == 0:
        raise _refused(text, "000 is no country and no maker")
    if number > LARGEST_NUMBER:
        raise _refused(
            text, f"its last 12 digits are greater than {LARGEST_NUMBER}, 38 bits"
        )
    if code == TEST_CODE:
        return Microchip(digits, MicrochipKind.TEST, None, None)
    if code >= FIRST_MAKER:
        return Microchip(digits, MicrochipKind.ISO, None, code)
    return Microchip(digits, MicrochipKind.ISO, code, None)


def _refused(text: str, why: str) -> MicrochipError:
    return MicrochipError(
        f"{text!r} is no microchip number: {why}. Give 15 digits by ISO 11784 "
        "(country 001–899 or maker 900–998, then 12 digits), or the 10 digits of an "
        "older chip.",
        fields={"microchip": why},
    )


def chip_word(chip: Microchip) -> int:
    """Return the 64-bit word that a chip sends, highest bit first.

    The highest bit says that it is an animal; 14 reserved bits and the bit for
    further data are zero; then 10 bits of country or maker and 38 of number.

    Args:
        chip: of kind iso or test; an older chip has another layout.

    Raises:
        MicrochipError: the chip is an older one.

    Source:
        iso-11784 (layout confirmed by the worked example of iso11784-tools).
    """
    if chip.kind is MicrochipKind.NON_ISO:
        raise MicrochipError(
            f"{chip.digits} is the number of an older chip, which has no word by "
            "ISO 11784. Give a number of 15 digits."
        )
    code, number = int(chip.digits[:3]), int(chip.digits[3:])
    return _ANIMAL_FLAG | code << NUMBER_BITS | number


def read_chip_word(word: int) -> Microchip:
    """Read the 64-bit word of a chip, highest bit first.

    Args:
        word: below 2^64; flags and reserved bits are not looked at.

    Raises:
        MicrochipError: its country code is no country, maker or test code.

    Source:
        iso-11784.
    """
    code = word >> NUMBER_BITS & (2**COUNTRY_BITS - 1)
    number = word & LARGEST_NUMBER
    return check_microchip(f"{code:03d}{number:012d}")


def reversed_word(word: int) -> int:
    """Return a 64-bit word with its bits in the order in which they are sent.

    Chips send the lowest bit first, so some readers show the word the other way.

    Source:
        iso-11785.
    """
    return int(f"{word:064b}"[::-1], 2)
