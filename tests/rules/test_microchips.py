"""Chip numbers by ISO 11784, as the identification standards body describes them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from husbandry.rules.microchips import (
    Microchip,
    MicrochipError,
    MicrochipKind,
    check_microchip,
    chip_word,
    read_chip_word,
    reversed_word,
)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        # ISO 11784 (icar.org): country 001–899, maker 900–998, 900 shared, 999 test.
        ("001000000000001", Microchip("001000000000001", MicrochipKind.ISO, 1, None)),
        ("899000000000001", Microchip("899000000000001", MicrochipKind.ISO, 899, None)),
        ("900000000000001", Microchip("900000000000001", MicrochipKind.ISO, None, 900)),
        ("998000000000001", Microchip("998000000000001", MicrochipKind.ISO, None, 998)),
        (
            "999123456789012",
            Microchip("999123456789012", MicrochipKind.TEST, None, None),
        ),
        # 2^38 − 1 is the largest number part.
        (
            "900274877906943",
            Microchip("900274877906943", MicrochipKind.ISO, None, 900),
        ),
        # Ten digits: an older, non-ISO chip; accepted and called so.
        ("0123456789", Microchip("0123456789", MicrochipKind.NON_ISO, None, None)),
        (
            " 620-098 100 000 001 ",
            Microchip("620098100000001", MicrochipKind.ISO, 620, None),
        ),
    ],
)
def test_a_number_is_read(text: str, expected: Microchip) -> None:
    assert check_microchip(text) == expected


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("", "not digits"),
        ("62009810000000", "14 digits"),
        ("6200981000000011", "16 digits"),
        ("123456789", "9 digits"),
        ("000000000000001", "000 is no country"),
        ("900274877906944", "greater than 274877906943"),
        ("62009810000000A", "not digits"),
        ("٦٢٠٠٩٨١٠٠٠٠٠٠٠١", "not digits"),
        ("62009810000000²", "not digits"),
    ],
)
def test_what_no_chip_carries_is_refused_with_what_would_be_accepted(
    text: str, why: str
) -> None:
    with pytest.raises(MicrochipError) as refused:
        check_microchip(text)

    assert why in refused.value.sentence
    assert repr(text) in refused.value.sentence
    assert "15 digits by ISO 11784" in refused.value.sentence
    assert set(refused.value.fields) == {"microchip"}


def test_a_swapped_digit_is_not_noticed() -> None:
    # There is no check digit in the 15 (from memory): documented, not solved.
    assert check_microchip("620098100000012").kind is MicrochipKind.ISO
    assert check_microchip("620098100000021").kind is MicrochipKind.ISO


def test_the_published_bit_layout() -> None:
    # Worked example of a public ISO 11784 converter (graemediack/ISO11784Tools).
    chip = check_microchip("999123456789012")

    assert chip_word(chip) == 0x8000F9DCBE991A14
    assert chip_word(chip) & (2**38 - 1) == 0x1CBE991A14
    assert reversed_word(0x8000F9DCBE991A14) == 0x2858997D3B9F0001
    assert read_chip_word(0x8000F9DCBE991A14) == chip


@given(st.integers(1, 999), st.integers(0, 2**38 - 1))
def test_a_word_is_read_back(code: int, number: int) -> None:
    chip = check_microchip(f"{code:03d}{number:012d}")

    assert read_chip_word(chip_word(chip)) == chip
    assert reversed_word(reversed_word(chip_word(chip))) == chip_word(chip)


def test_an_older_chip_has_no_word() -> None:
    with pytest.raises(MicrochipError, match="older chip"):
        chip_word(check_microchip("0123456789"))


@pytest.mark.parametrize("code", [0, 1000, 1023])
def test_a_word_with_an_impossible_country_is_refused(code: int) -> None:
    with pytest.raises(MicrochipError):
        read_chip_word(1 << 63 | code << 38 | 1)
