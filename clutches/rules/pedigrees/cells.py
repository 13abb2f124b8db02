"""What the cells of a pedigree file say: who is not known, and of which sex one is."""

import re
from dataclasses import dataclass

from husbandry.rules.loggers.words import plain
from husbandry.rules.vocabulary import Confidence, Sex

_SIGNS = re.compile(r"[?¿]+|[-–—−_]+|0+|[*./]+|#n/a")
_WORDS = frozenset(
    (
        *("unk", "unkn", "unknown", "unknow", "not known", "unknown dam"),
        *("unknown sire", "unknown male", "unknown female", "unknown mother"),
        *("unknown father", "n/a", "na", "n.a", "n.a.", "none", "null", "nil", "nan"),
        *("wc", "w/c", "w.c", "w.c.", "wild", "wild caught", "wild-caught", "founder"),
        *("not recorded", "not given", "missing", "tbd", "unbekannt", "inconnu"),
        *("inconnue", "desconocido", "desconocida", "onbekend", "sconosciuto"),
        *("sconosciuta", "desconhecido", "desconhecida"),
    )
)
_MALE = frozenset(("m", "male", "males", "♂", "1", "mannlich", "macho"))
_FEMALE = frozenset(
    ("f", "female", "females", "♀", "2", "weiblich", "hembra", "femelle")
)
_NO_SEX = frozenset(("u", "un", "unsexed", "ns", "u/s", "juvenile", "undetermined"))
_COUNTS = re.compile(r"(\d)[.,](\d)(?:[.,](\d))?")
_BY_COUNTS = {
    (1, 0, 0): Sex.MALE,
    (0, 1, 0): Sex.FEMALE,
    (0, 0, 1): Sex.UNKNOWN,
    (0, 0, 0): Sex.UNKNOWN,
}


@dataclass(frozen=True, slots=True)
class SexSaid:
    """A sex as a file tells it; likely unless a mark of doubt stands beside it."""

    sex: Sex
    confidence: Confidence


NOT_SAID = SexSaid(Sex.UNKNOWN, Confidence.UNCERTAIN)


def is_unknown(text: str) -> bool:
    """Say whether a cell says that something is not known, or nothing at all.

    Args:
        text: a cell; case, accents and brackets around it do not matter.

    Source:
        House rule, no source: the spellings that people write for it.
    """
    word = plain(text).strip("()[]'\" ")
    return not word or word in _WORDS or _SIGNS.fullmatch(word) is not None


def read_sex(text: str) -> SexSaid | None:
    """Return the sex that a cell says.

    Counts as males.females.unknown are read too: 1.0 is a male, 0.1 a female.

    Args:
        text: a cell; a question mark behind the sex makes it uncertain.

    Returns:
        None where it says something else.

    Source:
        House rule, no source: counts by sex are common practice.
    """
    if is_unknown(text):
        return NOT_SAID
    word = plain(text).strip(" .()")
    bare = word.rstrip(" ?()").removeprefix("probably ").removeprefix("probable ")
    sure = bare == word
    sex = _sex(bare)
    if sex is None:
        return None
    if sex is Sex.UNKNOWN:
        return NOT_SAID
    return SexSaid(sex, Confidence.LIKELY if sure else Confidence.UNCERTAIN)


def _sex(word: str) -> Sex | None:
    if word in _MALE:
        return Sex.MALE
    if word in _FEMALE:
        return Sex.FEMALE
    if word in _NO_SEX:
        return Sex.UNKNOWN
    counts = _COUNTS.fullmatch(word)
    if counts is None:
        return None
    males, females, unknown = (int(part or 0) for part in counts.groups())
    return _BY_COUNTS.get((males, females, unknown))
