"""Keep people's names out of what other people wrote."""

import re
from collections.abc import Iterable

LEFT_OUT = "(name left out)"
SHORTEST = 3


def without_names(text: str, names: Iterable[str]) -> str:
    """Return a text in which each of some names is replaced.

    A packet names no person (ADR 0004), but reasons and findings in it are free text
    and may. What is known here as the name or address of somebody is taken out.

    Args:
        text: as somebody wrote it.
        names: of people, homes and where they can be reached; shorter than three
            characters, they are passed over.

    Returns:
        The text with whole names replaced, in capitals or not; one inside another
        word stays.

    Source:
        ADR 0004
    """
    wanted = {name.strip() for name in names if len(name.strip()) >= SHORTEST}
    if not wanted or not text:
        return text
    # The longest first, so that a full name goes before a part of it.
    ordered = sorted(wanted, key=lambda name: (-len(name), name))
    either = "|".join(re.escape(name) for name in ordered)
    return re.sub(rf"(?<!\w)(?:{either})(?!\w)", LEFT_OUT, text, flags=re.IGNORECASE)
