"""Candidate sires as people type them."""

from decimal import Decimal

import pytest

from clutches.rules.lineage.sire_lists import read_sires
from clutches.rules.lineage.sires import SireError, SireShare
from clutches.rules.vocabulary import SireBasis

BASES = "only mate, mated before, stored sperm, reported, laboratory"


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("", ()),
        (" \n\n", ()),
        (
            "V-1; 0.5; mated before\n\n V-2 ;0,25; Stored_Sperm ",
            (
                SireShare("V-1", Decimal("0.5"), SireBasis.MATED_BEFORE),
                SireShare("V-2", Decimal("0.25"), SireBasis.STORED_SPERM),
            ),
        ),
        # Whether it can be is for the set to say.
        ("V-1; 7; reported", (SireShare("V-1", Decimal(7), SireBasis.REPORTED),)),
    ],
)
def test_lines_are_read(text: str, expected: tuple[SireShare[str], ...]) -> None:
    assert read_sires(text) == expected


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (
            "V-1 0.5",
            "Line 1: “V-1 0.5” is not code; probability; why; such as V-0012; 0.5; "
            "mated before.",
        ),
        (
            "; 0.5; reported",
            "Line 1: “; 0.5; reported” is not code; probability; why; such as V-0012; "
            "0.5; mated before.",
        ),
        (
            "V-1; half; reported",
            "Line 1: “half” is no probability; a number up to 1 would be, such as 0.5.",
        ),
        ("V-1; 1; a guess", f"Line 1: “a guess” is none of: {BASES}."),
        (
            "V-1; 1; reported\nV-2; x; reported\nV-3",
            "Line 2: “x” is no probability; a number up to 1 would be, such as 0.5.\n"
            "Line 3: “V-3” is not code; probability; why; such as V-0012; 0.5; mated "
            "before.",
        ),
    ],
)
def test_lines_that_are_none_are_named(text: str, said: str) -> None:
    with pytest.raises(SireError) as refused:
        read_sires(text)

    assert refused.value.sentence == said
