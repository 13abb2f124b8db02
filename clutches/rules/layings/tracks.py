"""What is on record of a clutch's eggs and young, so that a correction must keep it."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from clutches.rules.layings.counts import ClutchError


@dataclass(frozen=True, slots=True)
class Tracked:
    """What is on record of what came of a clutch.

    Attributes:
        eggs: by number of each egg that something is on record of: what, in words.
        first_on: the first local day of anything that is on record; None: nothing is.
        young: how many animals are ascribed to the clutch.
    """

    eggs: Mapping[int, str]
    first_on: date | None
    young: int


def check_kept(
    tracked: Tracked,
    *,
    eggs_set: int,
    born_alive: int | None,
    laid_on: date,
    new_dam: bool,
) -> None:
    """Refuse a correction that what is on record contradicts.

    Args:
        tracked: what is on record.
        eggs_set: how many eggs would have been kept.
        born_alive: how many young would have been born; None: eggs were laid.
        laid_on: the day on which it would have been.
        new_dam: whether another dam is named.

    Raises:
        ClutchError: fewer eggs or young than are on record, a day after the first
            thing that is, or another dam for young that are on record.
    """
    beyond = max((n for n in tracked.eggs if n > eggs_set), default=None)
    if beyond is not None:
        raise ClutchError(
            f"{eggs_set} eggs cannot be: egg {beyond} is on record "
            f"({tracked.eggs[beyond]}). If it never was, say so of the egg first; its "
            f"number stays. Give {beyond} or more.",
            fields={"eggs_set": f"{beyond} or more"},
        )
    if born_alive is not None and born_alive < tracked.young:
        raise ClutchError(
            f"{born_alive} born alive cannot be: {tracked.young} animals on record "
            "came from it.",
            fields={"born_alive": f"{tracked.young} or more"},
        )
    if tracked.first_on is not None and laid_on > tracked.first_on:
        raise ClutchError(
            f"It cannot have been on {laid_on:%d %b %Y}: its eggs or young are on "
            f"record since {tracked.first_on:%d %b %Y}.",
            fields={"laid_on": f"until {tracked.first_on}"},
        )
    if new_dam and tracked.young:
        raise ClutchError(
            f"{tracked.young} animals on record came from it and have their dam on "
            "their own records; a clutch with young keeps its dam.",
            fields={"dam": "the one on record"},
        )
