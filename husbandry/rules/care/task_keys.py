"""How a care task is named: the same whenever it is computed."""

from datetime import date

from husbandry.rules.vocabulary import TaskKind


def animal_key(kind: TaskKind, animal: int, on: date, *detail: object) -> str:
    """Return the key of a task for one animal.

    Args:
        kind: what it asks for.
        animal: whose.
        on: the day that tells it from others of its kind.
        detail: what else does.
    """
    return _key(kind, "animal", animal, on, *detail)


def enclosure_key(kind: TaskKind, enclosure: int, on: date, *detail: object) -> str:
    """Return the key of a task for one enclosure; see `animal_key`."""
    return _key(kind, "enclosure", enclosure, on, *detail)


def room_key(kind: TaskKind, room: int, on: date, *detail: object) -> str:
    """Return the key of a task for one room; see `animal_key`."""
    return _key(kind, "room", room, on, *detail)


def _key(kind: TaskKind, subject: str, key: int, on: date, *detail: object) -> str:
    return ":".join([kind, subject, str(key), on.isoformat(), *map(str, detail)])
