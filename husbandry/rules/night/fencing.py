"""One sick record must not stop a night: whose it is is found, the others are judged."""

from collections.abc import Callable, Iterable, Sequence
from typing import TypeVar

T = TypeVar("T")
V = TypeVar("V")


def fenced(
    many: Sequence[T], judge: Callable[[Sequence[T]], Iterable[V]]
) -> tuple[list[V], list[tuple[T, str]]]:
    """Judge many at once; where that raises, leave out those that cannot be judged.

    Args:
        many: what is judged together.
        judge: a rule that may raise because of one of them.

    Returns:
        What it says of those that can be judged, and the others with the error.
    """
    try:
        return list(judge(many)), []
    except Exception:
        failures = _sick(many, judge)
        if not failures:
            raise  # it is nobody's own: the rule cannot judge them together
    left_out = {id(one) for one, _ in failures}
    return list(judge([one for one in many if id(one) not in left_out])), failures


def _sick(
    many: Sequence[T], judge: Callable[[Sequence[T]], Iterable[V]]
) -> list[tuple[T, str]]:
    """Return who cannot be judged even alone, with the error.

    By halves: one by one, a rule that walks the whole site for each of ten thousand
    animals would take a minute for a single sick one.
    """
    error = _error(judge, many)
    if not error:
        return []
    if len(many) <= 1:
        return [(one, error) for one in many]
    half = len(many) // 2
    return _sick(many[:half], judge) + _sick(many[half:], judge)


def _error(judge: Callable[[Sequence[T]], Iterable[V]], many: Sequence[T]) -> str:
    try:
        list(judge(many))
    except Exception as error:  # noqa: BLE001 - one sick record must not stop the night
        return repr(error)
    return ""
