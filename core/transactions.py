"""Transactions that undo more than rows: all of what was done, or nothing."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar

from django.db import transaction

Undo = Callable[[], None]
_undoing: ContextVar[list[Undo] | None] = ContextVar("_undoing", default=None)


@contextmanager
def whole() -> Iterator[None]:
    """Do everything inside in one transaction; inside another whole, be part of it.

    Raises:
        RuntimeError: it was begun inside a transaction that is no whole: were that
            one undone, what `if_undone` was told would not be.
    """
    around = _undoing.get()
    undos: list[Undo] = [] if around is None else around
    before, mark = len(undos), _undoing.set(undos)
    try:
        with transaction.atomic(durable=around is None):
            yield
    except BaseException:
        while len(undos) > before:
            undos.pop()()
        raise
    finally:
        _undoing.reset(mark)


def if_undone(undo: Undo) -> None:
    """Say what takes back something that no database knows of, such as a file.

    Args:
        undo: called once, should the whole around it not be kept.

    Raises:
        RuntimeError: there is no whole around it.
    """
    undos = _undoing.get()
    if undos is None:
        raise RuntimeError("Open core.transactions.whole() around it first.")
    undos.append(undo)
