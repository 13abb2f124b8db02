"""Words in a comparable form: without case, accents, dots and odd spaces."""

import re
import unicodedata
from functools import lru_cache

from husbandry.rules.loggers.lexicon import MONTHS

_CAMEL = re.compile(r"(?<=[a-z])(?=[A-Z])")
_TOKEN = re.compile(r"[^\W_]+")
_SHORTEST_ABBREVIATION = 3


@lru_cache(maxsize=4096)
def plain(text: str) -> str:
    """Return a text casefolded, without accents, with single plain spaces."""
    # The middle dot and ł have no decomposition; full-width forms have.
    decomposed = unicodedata.normalize("NFKD", text.casefold().replace("ł", "l"))
    kept = "".join(c for c in decomposed if not unicodedata.combining(c))
    return " ".join(unicodedata.normalize("NFC", kept).split())


def tokens(text: str) -> tuple[str, ...]:
    """Return the plain words of a header, `HumidityRatio` being two of them."""
    return tuple(_TOKEN.findall(plain(_CAMEL.sub(" ", text))))


def squeezed(text: str) -> str:
    """Return a plain text without spaces and dots: `p. m.` becomes `pm`."""
    return plain(text).replace(" ", "").replace(".", "").strip(",;")


def _month_numbers() -> dict[str, int]:
    numbers = {"mrt": 3}  # the Dutch abbreviation of maart
    short: dict[str, set[int]] = {}
    for month, names in enumerate(MONTHS, start=1):
        for name in names.split():
            numbers[name] = month
            for length in range(_SHORTEST_ABBREVIATION, len(name)):
                short.setdefault(name[:length], set()).add(month)
    clear = {word: min(months) for word, months in short.items() if len(months) == 1}
    return clear | numbers


_MONTH_NUMBERS = _month_numbers()


def month_number(word: str) -> int | None:
    """Return 1–12 for a month's name or an abbreviation that is not ambiguous.

    Args:
        word: as written. French `jui` could be June or July and is none.
    """
    return _MONTH_NUMBERS.get(plain(word).strip("."))
