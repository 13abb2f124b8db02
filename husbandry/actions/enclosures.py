"""Enclosures: add them, say how they stand, retire them."""

from datetime import date, datetime

from django.db import transaction

from core import audit
from core.constraints import promised
from core.errors import DomainError
from core.models import Room, User
from husbandry.actions.probes import add_probe, retire_probe
from husbandry.actions.setups import correct_setup, set_up_enclosure
from husbandry.actions.sight_lines import note_sight_line, remove_sight_line
from husbandry.models import Enclosure, Probe, Stay
from husbandry.rules.vocabulary import EnclosureKind

__all__ = [
    "EnclosureError",
    "add_enclosure",
    "add_probe",
    "correct_setup",
    "note_sight_line",
    "remove_sight_line",
    "retire_enclosure",
    "retire_probe",
    "set_up_enclosure",
]

LONGEST_CODE = 20


class EnclosureError(DomainError):
    """An enclosure cannot be added or retired as asked."""

    code = "enclosure_refused"


@transaction.atomic
def add_enclosure(
    *,
    code: str,
    room: Room,
    kind: EnclosureKind,
    by: User | None,
    at: datetime,
    position: int = 0,
    notes: str = "",
) -> Enclosure:
    """Add an enclosure; it is described by `set_up_enclosure`.

    Args:
        code: as on its label, up to 20 characters; unique among all sites.
        room: where it stands.
        kind: how it is built.
        by: the person.
        at: now.
        position: order in which the room is walked.
        notes: may be empty.

    Raises:
        EnclosureError: the code is blank, too long or taken.
    """
    code = code.strip()
    if not 0 < len(code) <= LONGEST_CODE:
        raise EnclosureError(
            f"{code!r} is no code for an enclosure: give 1 to {LONGEST_CODE} "
            "characters, as on its label.",
            fields={"code": f"1 to {LONGEST_CODE} characters"},
        )
    enclosure = Enclosure(
        code=code, room=room, position=position, kind=kind.value, notes=notes
    )
    taken = EnclosureError(
        f"There is an enclosure {code} already; labels must differ.",
        fields={"code": "one that no enclosure has"},
    )
    with promised(
        {"husbandry_enclosure_code": taken, "husbandry_enclosure.code": taken}
    ):
        enclosure.save()
    after = audit.values(enclosure, "code", "room", "position", "kind", "notes")
    audit.record(enclosure, verb="add_enclosure", by=by, at=at, after=after)
    return enclosure


@transaction.atomic
def retire_enclosure(
    *, enclosure: Enclosure, on: date, by: User | None, at: datetime, reason: str = ""
) -> Enclosure:
    """Take an enclosure out of use, and its probes with it.

    Args:
        enclosure: in use and empty.
        on: the first day on which it is not used any more; its probes' last day.
        by: the person.
        at: now.
        reason: why.

    Raises:
        EnclosureError: it is retired already, or an animal lives there.
    """
    enclosure = Enclosure.objects.select_for_update().get(pk=enclosure.pk)
    if enclosure.retired_on is not None:
        raise EnclosureError(
            f"{enclosure} was retired on {enclosure.retired_on:%d %b %Y} already."
        )
    stays = Stay.objects.filter(enclosure=enclosure, until_at__isnull=True)
    inside = [str(s.animal) for s in stays.select_related("animal")]
    if inside:
        raise EnclosureError(
            f"{enclosure} is the home of {', '.join(inside)}; move them first.",
            fields={"enclosure": "an empty one"},
        )
    for probe in Probe.objects.filter(enclosure=enclosure, retired_on__isnull=True):
        retire_probe(probe=probe, on=max(on, probe.from_on), by=by, at=at)
    enclosure.retired_on = on
    enclosure.save(update_fields=["retired_on"])
    after = audit.values(enclosure, "retired_on")
    audit.record(
        enclosure, verb="retire_enclosure", by=by, at=at, after=after, reason=reason
    )
    return enclosure
