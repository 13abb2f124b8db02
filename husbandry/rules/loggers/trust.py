"""When a whole file is refused: better nothing than numbers nobody can rely on."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from core.errors import DomainError
from husbandry.rules.loggers.sentences import untrusted_sentence
from husbandry.rules.loggers.vocabulary import Facts, Unit, Untrusted, facts
from husbandry.rules.vocabulary import Quantity

MOST = 0.95
"""Share of a column's numbers that must make sense once divided by ten."""
NOT_ADVANCING_ROWS = 10
"""From this many rows on, stamps that stand still are a fault of the file."""
HUMIDITY_LIMIT_PCT = 105
LOST_ABOVE = {Unit.C: 100, Unit.F: 212, Unit.PERCENT: HUMIDITY_LIMIT_PCT}
"""Above it a number without decimals is taken for one that lost them: 100 °C (212 °F)
is hotter than any spot an animal is kept in. House rule, no source."""
PLAUSIBLE_TENTH = {Unit.C: (-60, 150), Unit.F: (-76, 302), Unit.PERCENT: (0, 105)}


class UntrustedFileError(DomainError):
    """A file of readings is refused whole; nothing of it may be stored."""

    code = "untrusted_file"

    def __init__(self, reason: Untrusted, named: Facts = ()) -> None:
        """Keep the reason and its facts, and say both in a sentence."""
        super().__init__(untrusted_sentence(reason, named))
        self.reason = reason
        self.facts = named


@dataclass(frozen=True, slots=True)
class ColumnNumbers:
    """The numbers of one column as written, each with how often it occurs."""

    name: str
    quantity: Quantity
    unit: Unit
    numbers: tuple[tuple[Decimal, bool, int], ...]
    """(value, written with a decimal mark, rows)"""


def check_decimals(columns: Sequence[ColumnNumbers]) -> None:
    """Refuse a file whose numbers have lost their decimals.

    A column has lost them when none of its numbers is written with a decimal mark,
    more than half of them are too large to be true, and nearly all make sense
    divided by ten. One such column condemns the file: what emptied it emptied all.

    Args:
        columns: the mapped columns, sentinels left out. Empty columns say nothing.

    Raises:
        UntrustedFileError: decimals_lost, with the column and its largest number.

    Source:
        House rule, no source; see ADR 0009.
    """
    for column in columns:
        if column.unit not in LOST_ABOVE or not column.numbers:
            continue
        if any(marked for _, marked, _ in column.numbers):
            continue
        total = sum(rows for *_, rows in column.numbers)
        limit = LOST_ABOVE[column.unit]
        low, high = PLAUSIBLE_TENTH[column.unit]
        above = sum(rows for value, _, rows in column.numbers if value > limit)
        sound = sum(r for value, _, r in column.numbers if low <= value / 10 <= high)
        if above * 2 > total and sound >= MOST * total:
            largest = max(value for value, *_ in column.numbers)
            raise UntrustedFileError(
                Untrusted.DECIMALS_LOST,
                facts(column=column.name, value=largest, rows=above, of=total),
            )


def check_share_refused(*, refused: int, of: int, example: str, where: str) -> None:
    """Refuse a file (or a column) of which more than half is refused.

    Args:
        refused: how many rows or values are refused.
        of: how many there are. None at all says nothing.
        example: the sentence of the commonest refusal.
        where: the column's name, or empty for rows.

    Raises:
        UntrustedFileError: mostly_refused.

    Source:
        House rule, no source; see ADR 0009.
    """
    if refused * 2 > of:
        raise UntrustedFileError(
            Untrusted.MOSTLY_REFUSED,
            facts(refused=refused, of=of, example=example, column=where),
        )


def check_advancing(*, rows: int, instants: int, conflicting: int, stamp: str) -> None:
    """Refuse a file whose stamps stand still.

    Args:
        rows: rows of one channel with a readable stamp.
        instants: how many different instants they have.
        conflicting: rows that share an instant but not their values.
        stamp: an instant that occurs more than once, as written.

    Raises:
        UntrustedFileError: not_advancing, from ten rows on, when there is only one
            instant or more than half of the rows contradict each other.

    Source:
        House rule, no source; see ADR 0009.
    """
    if rows >= NOT_ADVANCING_ROWS and (instants == 1 or conflicting * 2 > rows):
        raise UntrustedFileError(
            Untrusted.NOT_ADVANCING, facts(rows=rows, instants=instants, value=stamp)
        )
