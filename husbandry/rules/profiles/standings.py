"""What a profile rests on, counted."""

from collections import Counter
from dataclasses import fields

from husbandry.rules.profiles.values import Profile, Provenance
from husbandry.rules.vocabulary import Standing


def count_standings(profile: Profile) -> dict[Standing, int]:
    """Return how many rows of a profile rest on what.

    Args:
        profile: all its rows count, its sources do not.

    Returns:
        Every standing, in the vocabulary's order, with 0 where none rests on it.
    """
    found = Counter(
        row.provenance.standing
        for section in (getattr(profile, f.name) for f in fields(profile))
        for row in (section if isinstance(section, tuple) else (section,))
        if isinstance(getattr(row, "provenance", None), Provenance)
    )
    return {standing: found[standing] for standing in Standing}
