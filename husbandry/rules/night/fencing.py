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
        errors = [_error(judge, one) for one in many]
        if not any(errors):
            raise  # it is nobody's own: the rule cannot judge them together
    sound = [one for one, error in zip(many, errors, strict=True) if not error]
    failures = [(one, e) for one, e in zip(many, errors, strict=True) if e]
    return list(judge(sound)), failures


def _error(judge: Callable[[Sequence[T]], Iterable[V]], one: T) -> str:
    try:
        list(judge([one]))
    except Exception as error:  # noqa: BLE001 - one sick record must not stop the night
        return repr(error)
    return ""
