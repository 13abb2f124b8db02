"""Whether one animal can be a parent of another."""

from calendar import monthrange
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from core.errors import DomainError
from husbandry.rules.vocabulary import DatePrecision, Sex

# Of each animal its dam and its sire, as far as they are on record.
Parents = Mapping[int, tuple[int | None, int | None]]


class ParentError(DomainError):
    """An animal cannot be a parent of another."""

    code = "parent_refused"


@dataclass(frozen=True, slots=True)
class Relative:
    """An animal as a parent or a young one.

    Attributes:
        id: its key; None: not on record yet, so that nothing descends from it.
        label: code and name, as people say them.
        hatched_on: a day, its month or its year, as the precision says.
    """

    id: int | None
    label: str
    species: int
    sex: Sex
    hatched_on: date | None
    hatched_precision: DatePrecision


def check_parents(
    young: Relative,
    *,
    dam: Relative | None,
    sire: Relative | None,
    parents: Parents,
    labels: Mapping[int, str],
) -> None:
    """Refuse parents that cannot be.

    Args:
        young: the animal whose parents are given.
        dam: its mother, or None where she is not known.
        sire: its father, or None.
        parents: dam and sire of each ancestor of the two, as on record; whoever is
            not in it has none on record.
        labels: how to name the animals in it.

    Raises:
        ParentError: the same animal as both, a dam that is male, a sire that is
            female, another species, a parent that hatched no earlier than the
            young (as far as the dates are known), or an animal among its own
            ancestors; the sentence names the path.
    """
    if dam is not None and sire is not None and dam.id == sire.id:
        raise ParentError(
            f"{dam.label} cannot be both dam and sire of {young.label}.",
            fields={"sire": "another animal than the dam"},
        )
    for parent, part, wrong in ((dam, "dam", Sex.MALE), (sire, "sire", Sex.FEMALE)):
        if parent is not None:
            _check_parent(young, parent, part=part, wrong=wrong)
            _check_no_loop(young, parent, part=part, parents=parents, labels=labels)


def _check_parent(young: Relative, parent: Relative, *, part: str, wrong: Sex) -> None:
    if parent.sex is wrong:
        raise ParentError(
            f"{parent.label} is {wrong.value} and cannot be the {part} of "
            f"{young.label}.",
            fields={part: f"an animal that is not {wrong.value}"},
        )
    if parent.species != young.species:
        raise ParentError(
            f"{parent.label} is of another species than {young.label} and cannot be "
            f"its {part}.",
            fields={part: "an animal of the same species"},
        )
    first, last = earliest_on(parent), latest_on(young)
    if first is not None and last is not None and first >= last:
        hatched = _dated(first, parent.hatched_precision)
        young_hatched = _dated(last, young.hatched_precision)
        raise ParentError(
            f"{parent.label} hatched {hatched}, not before {young.label} "
            f"({young_hatched}), and cannot be its {part}.",
            fields={part: "an animal that hatched earlier"},
        )


def earliest_on(animal: Relative) -> date | None:
    """Return the first day on which it may have hatched; None: not known."""
    if animal.hatched_on is None:
        return None
    if animal.hatched_precision is DatePrecision.YEAR:
        return animal.hatched_on.replace(month=1, day=1)
    if animal.hatched_precision is DatePrecision.MONTH:
        return animal.hatched_on.replace(day=1)
    return animal.hatched_on


def latest_on(animal: Relative) -> date | None:
    """Return the last day on which it may have hatched; None: not known."""
    if animal.hatched_on is None:
        return None
    if animal.hatched_precision is DatePrecision.YEAR:
        return animal.hatched_on.replace(month=12, day=31)
    if animal.hatched_precision is DatePrecision.MONTH:
        _, days = monthrange(animal.hatched_on.year, animal.hatched_on.month)
        return animal.hatched_on.replace(day=days)
    return animal.hatched_on


def _dated(on: date, precision: DatePrecision) -> str:
    form = {DatePrecision.YEAR: "%Y", DatePrecision.MONTH: "%b %Y"}
    return on.strftime(form.get(precision, "%d %b %Y"))


def _check_no_loop(
    young: Relative,
    parent: Relative,
    *,
    part: str,
    parents: Parents,
    labels: Mapping[int, str],
) -> None:
    path = _path(parent.id, young.id, parents)
    if path is None:
        return
    names = [young.label, parent.label]
    names += [labels.get(i, f"animal {i}") for i in path[1:-1]]
    if len(path) > 1:
        names.append(young.label)
    descent = " ← ".join(names)
    raise ParentError(
        f"{parent.label} descends from {young.label} itself ({descent}) and cannot "
        f"be its {part}.",
        fields={part: "an animal that does not descend from it"},
    )


def _path(start: int | None, wanted: int | None, parents: Parents) -> list[int] | None:
    """Return one way up from an animal to an ancestor, both included, or None."""
    if start is None or wanted is None:
        return None
    came_from: dict[int, int | None] = {start: None}
    waiting = [start]
    while waiting:
        current = waiting.pop()
        if current == wanted:
            return _walk_back(current, came_from)
        for ancestor in parents.get(current, (None, None)):
            if ancestor is not None and ancestor not in came_from:
                came_from[ancestor] = current
                waiting.append(ancestor)
    return None


def _walk_back(end: int, came_from: Mapping[int, int | None]) -> list[int]:
    path: list[int] = []
    current: int | None = end
    while current is not None:
        path.append(current)
        current = came_from[current]
    return path[::-1]
