"""Which lines the register still needs, so that it says what is on record."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from placements.rules.register.facts import AnimalRecord, Movement
from placements.rules.register.movements import movements_of
from placements.rules.vocabulary import Direction


@dataclass(frozen=True, slots=True)
class Line:
    """What a line says: who came or left, and as what it was known.

    Attributes:
        species: code of it. A scientific name that is revised is no correction; a
            species that was taken for another is.
    """

    movement: Movement
    code: str
    species: str


@dataclass(frozen=True, slots=True)
class Entered:
    """A line that stands in the register and that no later one corrects."""

    id: int
    number: int
    line: Line


@dataclass(frozen=True, slots=True)
class NewLine:
    """A line to be appended.

    Attributes:
        corrects: the line that it puts right, or None.
        strikes: what the corrected line says is no more on record at all.
        note: what it puts right, in words.
    """

    line: Line
    corrects: Entered | None = None
    strikes: bool = False
    note: str = ""


def lines_needed(
    records: Iterable[AnimalRecord], entered: Iterable[Entered]
) -> tuple[NewLine, ...]:
    """Return the lines to append, in the order of their days, then of codes.

    Args:
        records: of the animals that are looked at.
        entered: all lines of the same animals that nothing corrects and that strike
            out nothing.

    Returns:
        None where each coming and going has its line. A line that says something else
        than what is on record now is followed by one that corrects it.
    """
    standing: dict[int, list[Entered]] = defaultdict(list)
    for one in entered:
        standing[one.line.movement.animal].append(one)
    found = []
    for record in records:
        wanted = [
            Line(movement, record.code, record.species)
            for movement in movements_of(record)
        ]
        found += _of_animal(wanted, standing.pop(record.id, []))
    for rest in standing.values():
        found += _of_animal([], rest)
    return tuple(sorted(found, key=_order))


def _order(new: NewLine) -> tuple[object, ...]:
    # A stable sort: the movements of one animal on one day keep their own order.
    return (new.line.movement.on, new.line.code)


def _of_animal(wanted: Sequence[Line], standing: Sequence[Entered]) -> list[NewLine]:
    left, rest = list(wanted), []
    for one in standing:
        if one.line in left:
            left.remove(one.line)
        else:
            rest.append(one)
    found = []
    for line in left:
        wrong = _meant(line, rest)
        if wrong is None:
            found.append(NewLine(line))
        else:
            rest.remove(wrong)
            found.append(NewLine(line, wrong, note=_difference(wrong, line)))
    return [*found, *(_struck(one) for one in rest)]


def _meant(line: Line, rest: Sequence[Entered]) -> Entered | None:
    """Return the line that was about the same movement, as far as can be told."""
    asked = line.movement
    same = [one for one in rest if one.line.movement.direction is asked.direction]
    for one in same:
        told = one.line.movement
        if asked.placement is not None and told.placement == asked.placement:
            return one
        if asked.arrival is not None and told.arrival == asked.arrival:
            return one
    by_day = next((one for one in same if one.line.movement.on == asked.on), None)
    return by_day or next(iter(same), None)


def _difference(wrong: Entered, line: Line) -> str:
    was, now = _told(wrong.line), _told(line)
    parts = [
        f"{name} {was[name]} was put right to {now[name]}"
        for name in now
        if was[name] != now[name]
    ]
    # What a home is called is no business of the register's own text.
    return f"Line {wrong.number}: " + ("; ".join(parts) or "from or to whom")


def _told(line: Line) -> Mapping[str, str]:
    return {
        "day": line.movement.on.isoformat(),
        "how": line.movement.how.value.replace("_", " "),
        "label": line.code,
        "species": line.species,
    }


def _struck(one: Entered) -> NewLine:
    came = one.line.movement.direction is Direction.CAME
    what = "coming" if came else "going"
    return NewLine(
        one.line,
        one,
        strikes=True,
        note=f"Line {one.number} is struck out: no such {what} is on record any more.",
    )
