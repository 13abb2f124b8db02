"""Candidate sires as they are typed: one a line."""

from decimal import Decimal, InvalidOperation

from clutches.rules.lineage.sires import SireError, SireShare
from clutches.rules.vocabulary import SireBasis

SHAPE = "code; probability; why"
EXAMPLE = "V-0012; 0.5; mated before"
WORDS = ", ".join(basis.value.replace("_", " ") for basis in SireBasis)


def read_sires(text: str) -> tuple[SireShare[str], ...]:
    """Return candidate sires from lines such as `V-0012; 0.5; mated before`.

    Args:
        text: one a line, with semicolons between; blank lines are passed over, and a
            comma in a number is its point.

    Returns:
        In their order, each male by his code; whether they can be is not checked.

    Raises:
        SireError: every line that cannot be read, by its number.
    """
    shares, wrong = [], []
    for number, line in enumerate(text.splitlines(), start=1):
        if line.strip():
            try:
                shares.append(_share(line))
            except SireError as error:
                wrong.append(f"Line {number}: {error.sentence}")
    if wrong:
        raise SireError("\n".join(wrong), fields={"sires": SHAPE})
    return tuple(shares)


def _share(line: str) -> SireShare[str]:
    parts = [part.strip() for part in line.split(";")]
    if len(parts) != 3 or not parts[0]:
        raise SireError(f"“{line.strip()}” is not {SHAPE}; such as {EXAMPLE}.")
    code, probability, why = parts
    try:
        given = Decimal(probability.replace(",", "."))
    except InvalidOperation as error:
        raise SireError(
            f"“{probability}” is no probability; a number up to 1 would be, such as "
            "0.5."
        ) from error
    try:
        basis = SireBasis(why.lower().replace(" ", "_"))
    except ValueError as error:
        raise SireError(f"“{why}” is none of: {WORDS}.") from error
    return SireShare(code, given, basis)
