"""Words that are looked for in a list's texts, alike on both databases."""

import re
from collections.abc import Sequence
from functools import reduce
from operator import and_, or_
from typing import Any, TypeVar
from unicodedata import normalize

from django.db import connections
from django.db.models import Model, Q, QuerySet

from api.inputs import unreadable

M = TypeVar("M", bound=Model)


def search(rows: QuerySet[M], text: str, *, columns: Sequence[str]) -> QuerySet[M]:
    """Return the rows that hold every word in one of their columns.

    Args:
        rows: of one list.
        text: words with spaces between them. Upper and lower case are the same, in
            every script; nothing in a word stands for anything else, `%` is `%`.
        columns: of the rows themselves or of one row that each refers to.

    Raises:
        RefusedError: there is no word in the text.
    """
    words = normalize("NFC", text).split()
    if not words:
        raise unreadable("search", text, "one word or several")
    vendor = connections[rows.db].vendor
    return rows.filter(reduce(and_, (_said(word, columns, vendor) for word in words)))


def _said(word: str, columns: Sequence[str], vendor: str) -> Q:
    return reduce(or_, (_in(column, word, vendor) for column in columns))


def _in(column: str, word: str, vendor: str) -> Q:
    lookup: dict[str, Any] = {f"{column}__icontains": word}
    if vendor == "sqlite" and not word.isascii():
        # Its LIKE knows upper and lower case of ASCII only. Django gives it the
        # regular expressions of Python, which know them all, at a call for each row.
        lookup = {f"{column}__iregex": re.escape(word)}
    return Q(**lookup)
