"""What a chore says: where it was done, and of gut-loading, for which insects."""

from collections.abc import Collection
from datetime import date

from core.errors import DomainError
from husbandry.rules.care_entries import LONGEST_FEEDER
from husbandry.rules.vocabulary import ChoreKind


class ChoreError(DomainError):
    """A chore cannot be recorded as given."""

    code = "chore_refused"


def check_place(
    kind: ChoreKind, *, enclosure: str, room: tuple[str, str] | None, feeder: str
) -> None:
    """Refuse a chore that does not say where it was done, or says too much.

    Args:
        kind: what was done.
        enclosure: code of the enclosure that was cleaned or misted, or "".
        room: code of the site and of the room whose insects were fed, or None.
        feeder: which insects, or "".

    Raises:
        ChoreError: an enclosure goes with cleaning and misting, a room and a feeder
            with gut-loading.
    """
    if kind is ChoreKind.GUT_LOADING:
        if enclosure or room is None or not feeder:
            raise ChoreError(
                "Gut-loading is done for the insects of one room: give the site's and "
                "the room's code and the feeder, and no enclosure.",
                fields={
                    "enclosure": "empty",
                    "room": "a site's and a room's code",
                    "feeder": "id of a feeder row",
                },
            )
        return
    if not enclosure or room is not None or feeder:
        raise ChoreError(
            f"{kind.capitalize()} is done for one enclosure: give its code, and "
            "neither a room nor a feeder.",
            fields={
                "enclosure": "the code of an enclosure",
                "room": "empty",
                "feeder": "empty",
            },
        )


def check_feeder(feeder: str, *, known: Collection[str]) -> None:
    """Refuse insects that no care profile knows.

    Args:
        feeder: id of a feeder row.
        known: ids of the feeder rows of all profiles in force on the day; none:
            nothing is published, then any word of up to 60 characters is kept.

    Raises:
        ChoreError: it lists what is known.
    """
    if known and feeder not in known:
        raise ChoreError(
            f"No care profile knows a feeder {feeder!r}. Known are {', '.join(known)}.",
            fields={"feeder": f"one of {', '.join(known)}"},
        )
    if len(feeder) > LONGEST_FEEDER:
        raise ChoreError(
            f"{feeder!r} is too long a name: use at most {LONGEST_FEEDER} characters.",
            fields={"feeder": f"at most {LONGEST_FEEDER} characters"},
        )


def check_in_use(enclosure: str, *, retired_on: date | None, on: date) -> None:
    """Refuse a chore in an enclosure that was out of use.

    Args:
        enclosure: its code.
        retired_on: the first day on which it was not used any more, or None.
        on: the local day of the chore.

    Raises:
        ChoreError: it was retired by then.
    """
    if retired_on is not None and on > retired_on:
        raise ChoreError(
            f"{enclosure} was retired on {retired_on:%d %b %Y}; nothing can have been "
            f"done there on {on:%d %b %Y}.",
            fields={"at": f"until {retired_on}"},
        )
