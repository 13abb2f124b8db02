"""The packet as a whole, its canonical form, its hash."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from hashlib import sha256
from typing import Any

import msgspec

from core.errors import DomainError
from placements.rules.packets import schemas
from placements.rules.packets.histories import AnimalLine, History
from placements.rules.packets.leaving import (
    METRIC_ON_A4,
    CallLine,
    FollowUpLine,
    GateLine,
    HandoverLine,
    PaperLine,
    PrintChoice,
)
from placements.rules.packets.plans import CarePlan, TextLine
from placements.rules.packets.routines import DayPlan, FeedingOrderLine, MonthPlan
from placements.rules.vocabulary import PlacementKind


class PacketAlteredError(DomainError):
    """A packet is not what was hashed when it was made."""

    code = "packet_altered"


@dataclass(frozen=True, slots=True)
class SourceLine:
    """A source that a value of this packet rests on."""

    key: str
    title: str
    kind: str
    year: int | None
    where: str


@dataclass(frozen=True, slots=True)
class Document:
    """What a packet says. Names of people and homes are not part of it (ADR 0004).

    Attributes:
        schema: of this form; a reader refuses what it does not know.
        on: the day the animal is to leave; targets and calendar start then.
        known_until: local day up to which the history goes.
        time_zone: of the place where it lived; local days are by this clock.
        plan: None where no care profile was in force for the species, and for an
            animal that is released to the wild. The same holds for the day and
            everything else that is to be done in a home.
        print: in which units, on what paper, in which language the home reads it.
        months: the first twelve months in the new home, month by month.
        feeding_orders: what was agreed of its food and still holds.
        buy: what to have, before_journey: what to look at before the journey.
        calls: whom to call, the most urgent first.
        gates_opened: gates that were shut, and that somebody opened with a reason.
        due_back_on: day a loan or a foster stay ends; None: it is for good.
    """

    schema: str
    on: date
    known_until: date
    time_zone: str
    kind: PlacementKind
    keeper: str
    keeper_contact: str
    animal: AnimalLine
    plan: CarePlan | None
    history: History
    cautions: tuple[TextLine, ...]
    sources: tuple[SourceLine, ...]
    print: PrintChoice = METRIC_ON_A4
    day: DayPlan | None = None
    months: tuple[MonthPlan, ...] = ()
    feeding_orders: tuple[FeedingOrderLine, ...] = ()
    buy: tuple[TextLine, ...] = ()
    before_journey: tuple[TextLine, ...] = ()
    journey: tuple[TextLine, ...] = ()
    first_weeks: tuple[TextLine, ...] = ()
    calls: tuple[CallLine, ...] = ()
    follow_ups: tuple[FollowUpLine, ...] = ()
    gates_opened: tuple[GateLine, ...] = ()
    treatment_handovers: tuple[HandoverLine, ...] = ()
    papers: tuple[PaperLine, ...] = ()
    due_back_on: date | None = None


@dataclass(frozen=True, slots=True)
class PacketDocument:
    """A packet as it was issued: number, version and hash around the document."""

    number: str
    version: int
    sha256: str
    made_on: date
    document: Document


def plain(document: Document) -> dict[str, Any]:
    """Return a document as plain JSON values: decimals and dates become text.

    One that was frozen in an older form is written as that form writes it.
    """
    values: dict[str, Any] = msgspec.to_builtins(document)
    return schemas.as_written(values, schema=document.schema)


def canonical(snapshot: Mapping[str, Any]) -> bytes:
    """Return the one form of a snapshot that is hashed.

    Args:
        snapshot: plain JSON values without floats, which two machines may write
            in two ways.

    Returns:
        JSON as UTF-8, keys sorted, no space between, nothing escaped beyond need.

    Raises:
        TypeError: a float, or a value that JSON does not have, is in it.

    Source:
        ADR 0004; the same form as RFC 8785 gives for text, integers, true, false
        and null.
    """
    _refuse_floats(snapshot)
    return json.dumps(
        snapshot, sort_keys=True, separators=(",", ":"), ensure_ascii=False
    ).encode()


def digest(snapshot: Mapping[str, Any]) -> str:
    """Return the SHA-256 of a snapshot's canonical form, 64 hexadecimal digits."""
    return sha256(canonical(snapshot)).hexdigest()


def read_document(snapshot: Mapping[str, Any], *, expected: str) -> Document:
    """Return a stored snapshot as frozen values, if it is what was hashed.

    Args:
        snapshot: as stored.
        expected: the SHA-256 on record.

    Raises:
        PacketAlteredError: it was changed since, or is of a form not known here.
    """
    found = _digest_or_none(snapshot)
    if found != expected:
        raise PacketAlteredError(
            f"The packet's content was changed after it was made: its SHA-256 is "
            f"{found or 'not computable'}, on record is {expected}. "
            "Make a new version of the packet."
        )
    if snapshot.get("schema") not in schemas.KNOWN:
        known = " and ".join(repr(schema) for schema in schemas.KNOWN)
        raise PacketAlteredError(
            f"The packet is of the form {snapshot.get('schema')!r}; "
            f"this program reads {known}."
        )
    return msgspec.convert(snapshot, Document)


def _digest_or_none(snapshot: Mapping[str, Any]) -> str | None:
    try:
        return digest(snapshot)
    except TypeError:
        return None


def _refuse_floats(value: object) -> None:
    if isinstance(value, float):
        raise TypeError(f"{value!r} is a float; write numbers of a packet as text")
    if isinstance(value, Mapping):
        for part in value.values():
            _refuse_floats(part)
    elif isinstance(value, list | tuple):
        for part in value:
            _refuse_floats(part)
