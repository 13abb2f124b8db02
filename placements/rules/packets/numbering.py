"""Packet numbers: one series a year, without gaps."""


def first_number(year: int, taken: int) -> str:
    """Return the number of a placement's first packet.

    Args:
        year: the local year in which it is made.
        taken: how many first packets were made in that year before.

    Returns:
        For example `P-2026-0001`.
    """
    return f"{series(year)}{taken + 1:04d}"


def series(year: int) -> str:
    """Return what all numbers of a year begin with."""
    return f"P-{year}-"


def version_number(first: str, version: int) -> str:
    """Return the number of a later version: `P-2026-0001v2`."""
    return f"{first}v{version}"
