"""Why young cannot be taken in together, and what is worth a second look."""

from collections.abc import Collection
from datetime import date

from clutches.rules.vocabulary import ClutchKind
from husbandry.rules.profiles.values import IncubationRule


def mixed_species(species: Collection[str]) -> list[str]:
    """Refuse eggs of more than one species at once.

    Args:
        species: names of those that are given, in any order; each once.
    """
    if len(species) <= 1:
        return []
    named = " and ".join(sorted(species))
    return [f"Eggs of {named} are given; hatch one species at a time."]


def too_many_young(
    *, code: str, kind: ClutchKind, born_alive: int, registered: int, given: int
) -> list[str]:
    """Refuse young of a clutch of eggs, and more than were born alive.

    Args:
        code: of the clutch.
        kind: eggs or live young.
        born_alive: how many were counted at birth.
        registered: how many of these are animals on record already.
        given: how many are to be.
    """
    if kind is not ClutchKind.LIVE_YOUNG:
        return [
            f"{code} is a clutch of eggs; its young come out of its eggs: hatch "
            "the box in which they lie."
        ]
    left = born_alive - registered
    if given <= left:
        return []
    return [
        f"{code}: {born_alive} were born alive, {left} of them are not "
        f"registered yet, and {given} are given. Count again, or correct the clutch."
    ]


def more_than_eggs(*, code: str, eggs: int, on_record: int, given: int) -> list[str]:
    """Refuse more young than a clutch has eggs that can have brought them forth.

    Args:
        code: of the clutch.
        eggs: how many of it have not failed.
        on_record: how many animals are on record as having come from it.
        given: how many more are said to have hatched.
    """
    if on_record + given <= eggs:
        return []
    return [
        f"{code}: {eggs} of its eggs have not failed, {on_record} animals from it are "
        f"on record, and {given} more are given. Where they are the same animals, set "
        "these eggs hatched instead of hatching them here."
    ]


def early_hatch(
    rule: IncubationRule | None, *, code: str, laid_on: date, hatched_on: date
) -> str | None:
    """Remark on a clutch that hatched earlier than any figure on record says.

    It is no refusal: what hatched has hatched. More often the day of laying is wrong.

    Args:
        rule: days from laying to hatching, with the figures that disagree; None: not
            said, so that nothing is early.
        code: of the clutch.
        laid_on: local day.
        hatched_on: local day, after it.

    Source:
        long-2008 and stahl-review for the veiled chameleon; each profile's row names
        its own.
    """
    if rule is None:
        return None
    told = [rule.low, *(other.low for other in rule.others)]
    lows = [low for low in told if low is not None]
    day = (hatched_on - laid_on).days
    if not lows or day >= min(lows):
        return None
    return (
        f"{code} hatched on day {day} after laying; the shortest time on record is "
        f"{min(lows):f} days. It is kept as given. Look whether {laid_on:%d %b %Y} is "
        "the day of laying, and whether these eggs are of this clutch."
    )
