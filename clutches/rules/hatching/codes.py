"""Codes of hatchlings."""

from collections.abc import Iterable


def next_codes(stem: str, *, many: int, taken: Iterable[str]) -> list[str]:
    """Return the next free codes of a clutch: its code, a hyphen, a number.

    Args:
        stem: code of the clutch.
        many: how many are wanted.
        taken: codes that animals have; the numbers go on after the greatest.
    """
    prefix = f"{stem}-"
    ends = (code.removeprefix(prefix) for code in taken if code.startswith(prefix))
    last = max((int(e) for e in ends if e.isascii() and e.isdecimal()), default=0)
    return [f"{prefix}{number:02d}" for number in range(last + 1, last + 1 + many)]
