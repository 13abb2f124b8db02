"""Whether what is written of a lamp can be."""

from datetime import date
from decimal import Decimal

from core.errors import DomainError

LONGEST_LABEL = 80
HIGHEST_UV_INDEX = Decimal(20)
FARTHEST_CM = Decimal(500)
UV_STEP = Decimal("0.01")
CM_STEP = Decimal("0.1")


class LampError(DomainError):
    """A lamp cannot be fitted, removed or checked as given."""

    code = "lamp_refused"


def check_fitting(
    label: str, *, fitted_on: date, retired_on: date | None, today: date
) -> None:
    """Refuse a lamp that cannot have been fitted.

    Args:
        label: what is written on it, up to 80 characters; may be empty.
        fitted_on: the local day.
        retired_on: first day on which the enclosure was not used any more, or None.
        today: the local day now.

    Raises:
        LampError: the label is too long, the day is to come, or the enclosure was
            out of use by then.
    """
    if len(label) > LONGEST_LABEL:
        raise LampError(
            f"The label has {len(label)} characters; at most {LONGEST_LABEL} are kept.",
            fields={"label": f"at most {LONGEST_LABEL} characters"},
        )
    _check_day("fitted_on", fitted_on, today=today)
    if retired_on is not None and fitted_on >= retired_on:
        raise LampError(
            f"The enclosure was retired on {retired_on:%d %b %Y}; no lamp was fitted "
            "there since.",
            fields={"fitted_on": f"earlier than {retired_on}"},
        )


def check_removal(
    *, on: date, fitted_on: date, last_checked_on: date | None, today: date
) -> None:
    """Refuse a last day that a lamp cannot have had.

    Args:
        on: the last local day on which it burnt there.
        fitted_on: its first.
        last_checked_on: of its last reading in force, or None.
        today: the local day now.

    Raises:
        LampError: the day is to come, or lies before it was fitted or last measured.
    """
    _check_day("on", on, today=today)
    if on < fitted_on:
        raise LampError(
            f"It was fitted on {fitted_on:%d %b %Y} and cannot have been removed on "
            f"{on:%d %b %Y}.",
            fields={"on": f"{fitted_on} or later"},
        )
    if last_checked_on is not None and on < last_checked_on:
        raise LampError(
            f"It was measured on {last_checked_on:%d %b %Y}, so it still burnt there "
            "then. Give that day or a later one.",
            fields={"on": f"{last_checked_on} or later"},
        )


def check_burning(*, on: date, fitted_on: date, removed_on: date | None) -> None:
    """Refuse a reading under a lamp that did not burn there on that day.

    Args:
        on: the local day of the reading.
        fitted_on: the lamp's first day.
        removed_on: its last day, or None.

    Raises:
        LampError: it lies before the first or after the last day.
    """
    if on < fitted_on:
        raise LampError(
            f"The lamp was fitted on {fitted_on:%d %b %Y}; it cannot have been "
            f"measured on {on:%d %b %Y}.",
            fields={"at": f"from {fitted_on} on"},
        )
    if removed_on is not None and on > removed_on:
        raise LampError(
            f"The lamp was removed on {removed_on:%d %b %Y}; what burnt there on "
            f"{on:%d %b %Y} is another one.",
            fields={"at": f"until {removed_on}"},
        )


def round_uv(
    *, uv_index: Decimal, distance_cm: Decimal | None
) -> tuple[Decimal, Decimal | None]:
    """Return a meter's reading as it is kept; refuse what no meter shows.

    Args:
        uv_index: 0 to 20, kept to 0.01.
        distance_cm: from the lamp to the meter, more than 0 and at most 500 cm,
            kept to 0.1 cm; None: not measured.

    Raises:
        LampError: one of them cannot be.

    Source:
        sensor-bounds for the UV index; the distance is a house rule.
    """
    if not uv_index.is_finite() or not 0 <= uv_index <= HIGHEST_UV_INDEX:
        raise LampError(
            f"A UV index of {uv_index} is not believed: give 0 to {HIGHEST_UV_INDEX}, "
            "as the meter shows it where the animal sits.",
            fields={"uv_index": f"0 to {HIGHEST_UV_INDEX}"},
        )
    if distance_cm is None:
        return uv_index.quantize(UV_STEP), None
    if not distance_cm.is_finite() or not CM_STEP <= distance_cm <= FARTHEST_CM:
        raise LampError(
            f"A distance of {distance_cm} cm cannot be: give {CM_STEP} to "
            f"{FARTHEST_CM} cm, or leave it empty.",
            fields={"distance_cm": f"{CM_STEP} to {FARTHEST_CM}, or empty"},
        )
    return uv_index.quantize(UV_STEP), distance_cm.quantize(CM_STEP)


def _check_day(field: str, on: date, *, today: date) -> None:
    if on > today:
        raise LampError(
            f"{on:%d %b %Y} has not come yet. Give today or an earlier day.",
            fields={field: f"until {today}"},
        )
