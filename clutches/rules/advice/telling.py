"""Reasons against a pair, as sentences."""

from clutches.rules.advice.values import Reason
from clutches.rules.vocabulary import AgainstPairing
from husbandry.rules.sentences.numbers import METRIC, MONTHS, Units, day, days, mass

K = AgainstPairing


def tell_reason(reason: Reason, *, label: str, units: Units = METRIC) -> str:
    """Return a reason against a pair in words.

    Args:
        reason: as the advice gave it.
        label: how the animal that it is about is called; "" where it is about both.
        units: the units the reader chose.
    """
    figure, limit = reason.figure, reason.limit
    whole = days(int(figure)) if figure is not None else ""
    least = days(int(limit)) if limit is not None else ""
    since = day(reason.since.isoformat()) if reason.since else ""
    match reason.kind:
        case K.RELATED:
            return (
                f"Young of the two would be inbred by F = {share(figure)}; as much as "
                f"those of first cousins ({share(limit)}) or more."
            )
        case K.TOO_YOUNG:
            return f"{label} is {whole} old; at least {least} are wanted."
        case K.AGE_UNKNOWN:
            known = f" beyond {whole}" if whole else ""
            return f"The age of {label} is not known{known}; {least} are wanted."
        case K.TOO_LIGHT | K.NOT_WEIGHED:
            return _mass(reason, label, units, since)
        case K.NOT_RESTED:
            return f"{label} laid {whole} ago, on {since}; {least} of rest are wanted."
        case _:
            return _state(reason, label, since)


def _mass(reason: Reason, label: str, units: Units, since: str) -> str:
    wanted = mass(reason.limit or 0, units)
    if reason.figure is None:
        return f"{label} was never weighed; at least {wanted} are wanted."
    weighed = f" on {since}" if since else ""
    return (
        f"{label} weighed {mass(reason.figure, units)}{weighed}; at least {wanted} are "
        "wanted."
    )


def _state(reason: Reason, label: str, since: str) -> str:
    figure = reason.figure
    words = ", ".join(word.replace("_", " ") for word in reason.words)
    match reason.kind:
        case K.TOO_MANY_CLUTCHES:
            clutches = "1 clutch" if figure == 1 else f"{figure} clutches"
            return (
                f"{label} brought forth {clutches} within twelve months; "
                f"{reason.limit:f} a year are the most."
            )
        case K.GRAVID:
            return f"{label} carries eggs or young since {since}."
        case K.OUT_OF_SEASON:
            first, last = (MONTHS[int(month) - 1] for month in reason.words)
            return f"Pairs are put together from {first} to {last}."
        case K.SEX_NOT_CONFIRMED:
            return f"The sex of {label} is not confirmed ({words})."
        case K.IN_QUARANTINE:
            return f"{label} is in quarantine ({words})."
        case _:
            return f"{label} may be unwell; urgent now: {words}. See to that first."


def share(number: object) -> str:
    """Return a share such as F with up to four decimals, none of them idle."""
    text = f"{float(str(number)):.4f}".rstrip("0").rstrip(".")
    return text or "0"
