"""Which of the database's promises an error is about, on either database."""

from collections.abc import Iterator, Mapping
from contextlib import contextmanager

from django.db import IntegrityError, transaction

from core.errors import DomainError


@contextmanager
def promised(sentences: Mapping[str, DomainError]) -> Iterator[None]:
    """Turn a broken constraint into the error that a person can act on.

    The rules have looked before; this catches what another writer did in between.
    What was written inside is undone, and the transaction around it can go on.

    Args:
        sentences: the error to raise, by the constraint's name, or by the columns
            as SQLite names those of a unique field (`husbandry_animal.code`).

    Raises:
        DomainError: the one that belongs to the constraint.
        IntegrityError: another constraint, which is a fault of the program.
    """
    try:
        with transaction.atomic():
            yield
    except IntegrityError as error:
        for name, refusal in sentences.items():
            if name in str(error):
                raise refusal from error
        raise
