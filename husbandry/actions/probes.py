"""Probes: one instrument at one spot; moved, it is a new one."""

from collections.abc import Collection
from datetime import date, datetime

from django.db import transaction

from core import audit
from core.constraints import promised
from core.errors import DomainError
from core.models import User
from husbandry.actions.staleness import mark_stale
from husbandry.models import Enclosure, Probe
from husbandry.rules.vocabulary import Quantity, Zone

LONGEST_INTERVAL_S = 86_400


class ProbeError(DomainError):
    """A probe cannot be added or retired as asked."""

    code = "probe_refused"


@transaction.atomic
def add_probe(
    *,
    code: str,
    enclosure: Enclosure,
    zone: Zone,
    quantities: Collection[Quantity],
    interval_s: int,
    from_on: date,
    by: User | None,
    at: datetime,
) -> Probe:
    """Say that an instrument measures at one spot of an enclosure.

    Args:
        code: as on its label, up to 40 characters; unique among all probes ever.
        enclosure: in use.
        zone: the spot.
        quantities: what it measures, at least one.
        interval_s: seconds between readings as set, 1 to 86 400; a reading counts
            for three of them at most.
        from_on: its first day in use.
        by: the person.
        at: now.

    Raises:
        ProbeError: the code is blank, too long or taken, nothing is measured, the
            interval cannot be, or the enclosure is retired by then.
    """
    code = code.strip()
    _check_probe(code, enclosure, quantities, interval_s, from_on)
    probe = Probe(
        code=code,
        enclosure=enclosure,
        zone=zone.value,
        measures_temperature=Quantity.TEMPERATURE_C in quantities,
        measures_humidity=Quantity.HUMIDITY_PCT in quantities,
        measures_uv_index=Quantity.UV_INDEX in quantities,
        interval_s=interval_s,
        from_on=from_on,
    )
    taken = ProbeError(
        f"There is a probe {code} already. A probe that was moved is a new one: give "
        "it another code.",
        fields={"code": "one that no probe ever had"},
    )
    with promised({"husbandry_probe_code": taken, "husbandry_probe.code": taken}):
        probe.save()
    mark_stale(site_ids=[enclosure.room.site_id], from_on=from_on, at=at)
    after = {
        **audit.values(probe, "code", "enclosure", "zone", "interval_s", "from_on"),
        "quantities": sorted(q.value for q in quantities),
    }
    audit.record(probe, verb="add_probe", by=by, at=at, after=after)
    return probe


def _check_probe(
    code: str,
    enclosure: Enclosure,
    quantities: Collection[Quantity],
    interval_s: int,
    from_on: date,
) -> None:
    longest = 40
    if not 0 < len(code) <= longest:
        raise ProbeError(
            f"{code!r} is no code for a probe: give 1 to {longest} characters, as on "
            "its label.",
            fields={"code": f"1 to {longest} characters"},
        )
    if not quantities:
        raise ProbeError(
            f"Probe {code} must measure something: one or more of "
            f"{', '.join(Quantity)}.",
            fields={"quantities": "at least one"},
        )
    if not 0 < interval_s <= LONGEST_INTERVAL_S:
        raise ProbeError(
            f"An interval of {interval_s} s cannot be: give 1 to "
            f"{LONGEST_INTERVAL_S} seconds (a day).",
            fields={"interval_s": f"1 to {LONGEST_INTERVAL_S}"},
        )
    if enclosure.retired_on is not None and enclosure.retired_on <= from_on:
        raise ProbeError(
            f"{enclosure} was retired on {enclosure.retired_on:%d %b %Y}; choose one "
            "in use.",
            fields={"enclosure": "one in use"},
        )


@transaction.atomic
def retire_probe(
    *, probe: Probe, on: date, by: User | None, at: datetime, reason: str = ""
) -> Probe:
    """Take a probe out of use; its readings stay.

    Args:
        probe: in use.
        on: its last day in use.
        by: the person.
        at: now.
        reason: why.

    Raises:
        ProbeError: it is retired already, or that day lies before its first.
    """
    if probe.retired_on is not None:
        raise ProbeError(f"{probe} was retired on {probe.retired_on:%d %b %Y} already.")
    if on < probe.from_on:
        raise ProbeError(
            f"{probe} is in use since {probe.from_on:%d %b %Y}; its last day cannot "
            "lie before that.",
            fields={"on": f"{probe.from_on} or later"},
        )
    probe.retired_on = on
    probe.save(update_fields=["retired_on"])
    mark_stale(site_ids=[probe.enclosure.room.site_id], from_on=on, at=at)
    after = audit.values(probe, "retired_on")
    audit.record(probe, verb="retire_probe", by=by, at=at, after=after, reason=reason)
    return probe
