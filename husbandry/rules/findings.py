"""Findings: what one night sees, and how nights fold into spells."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum
from typing import Any

from husbandry.rules.vocabulary import FindingKind, Urgency

URGENCY_ORDER = {Urgency.NOW: 0, Urgency.TODAY: 1, Urgency.WATCH: 2}


@dataclass(frozen=True, slots=True)
class Seen:
    """One possible finding of one night.

    Attributes:
        key: kind, subject and detail; the same every night.
        decided: False where the data did not suffice to say yes or no. An open
            finding then stays open, because silence is not health.
        evidence: plain JSON values: the numbers that made it.
    """

    key: str
    kind: FindingKind
    urgency: Urgency
    decided: bool
    animal: int | None
    enclosure: int | None
    probe: int | None
    evidence: Mapping[str, Any]


class Verdict(StrEnum):
    """What a reviewed night says of one key."""

    SEEN = "seen"
    NOT_SEEN = "not_seen"
    UNDECIDED = "undecided"


@dataclass(frozen=True, slots=True)
class Spell:
    """Consecutive nights over which one thing was wrong.

    Attributes:
        opened_on: first night it was seen.
        last_seen_on: last night it was seen.
        closed_on: first reviewed night it was no longer so; None while open.
        nights_seen: on how many nights it was seen.
    """

    opened_on: date
    last_seen_on: date
    closed_on: date | None
    nights_seen: int


def key_of(kind: FindingKind, subject: str, identity: int | str, *detail: str) -> str:
    """Return the name under which a finding is known every night."""
    return ":".join((kind.value, subject, str(identity), *detail))


def room_of_key(key: str) -> int | None:
    """Return which room a finding's key is about, as its key; None: about no room."""
    _, *about = key.split(":")
    return int(about[1]) if about[:1] == ["room"] else None


def key_unmeasured(key: str) -> str | None:
    """Return the key by which a night says that what `key` is about goes unmeasured.

    None: `key` is not about a target.
    """
    kind, subject, identity, *_ = key.split(":")
    if kind in (FindingKind.BELOW_TARGET, FindingKind.ABOVE_TARGET):
        return key_of(FindingKind.UNMEASURED_TARGET, subject, identity)
    return None


def is_unmeasured(key: str, evidence: Mapping[str, Any]) -> bool:
    """Say whether a night's unmeasured targets include that of a finding.

    Args:
        key: of a finding about a target.
        evidence: of the same animal's unmeasured targets.
    """
    _, _, _, quantity, zone, *_ = key.split(":")
    return {"quantity": quantity, "zone": zone} in evidence["missing"]


def fold(
    nights: Iterable[tuple[date, Verdict]], *, start: Spell | None = None
) -> tuple[Spell, ...]:
    """Fold what successive reviewed nights say into spells.

    Args:
        nights: reviewed nights in order; nights that were not reviewed are absent
            and neither open nor close anything.
        start: the spell that was open before the first of these nights, if any.

    Returns:
        The spells in order; only the last can be open. A night without a verdict
        keeps an open spell open and opens none.
    """
    spells: list[Spell] = []
    current = start
    for on, verdict in nights:
        if verdict is Verdict.SEEN:
            current = _seen(current, on)
        elif verdict is Verdict.NOT_SEEN and current is not None:
            spells.append(replace(current, closed_on=on))
            current = None
    if current is not None:
        spells.append(current)
    return tuple(spells)


def _seen(current: Spell | None, on: date) -> Spell:
    if current is None:
        return Spell(on, on, None, 1)
    return replace(current, last_seen_on=on, nights_seen=current.nights_seen + 1)


class Turn(StrEnum):
    """What became of a finding when nights were folded."""

    OPENED = "opened"
    CLOSED = "closed"


def turn_of(was_open: bool | None, is_open: bool) -> Turn | None:  # noqa: FBT001 - two like ones beside each other
    """Return how a finding turned; None: it stands as it stood.

    Args:
        was_open: before; None where it is new.
        is_open: now. What is new and over already never was anybody's to act on.
    """
    if is_open and not was_open:
        return Turn.OPENED
    if was_open and not is_open:
        return Turn.CLOSED
    return None


@dataclass(frozen=True, slots=True)
class Match:
    """How the spells of one key meet the findings already on record.

    Attributes:
        kept: pairs of (record's index, spell) whose nights meet.
        added: spells that no record stands for yet.
        withdrawn: indexes of records that no spell stands for any more.
    """

    kept: tuple[tuple[int, Spell], ...]
    added: tuple[Spell, ...]
    withdrawn: tuple[int, ...]


def match(recorded: Sequence[Spell], spells: Sequence[Spell]) -> Match:
    """Pair the findings on record with spells folded again.

    A record keeps its identity (and what people said of it) as long as its nights
    meet those of a spell: the same first night counts first, then any night shared.
    Each record and each spell is used once.
    """
    kept: list[tuple[int, Spell]] = []
    free = dict(enumerate(recorded))
    rest: list[Spell] = []
    for spell in spells:
        index = next((i for i, r in free.items() if r.opened_on == spell.opened_on), -1)
        if index < 0:
            rest.append(spell)
        else:
            kept.append((index, spell))
            free.pop(index)
    added = []
    for spell in rest:
        index = next((i for i, r in free.items() if _meet(r, spell)), -1)
        if index < 0:
            added.append(spell)
        else:
            kept.append((index, spell))
            free.pop(index)
    return Match(tuple(kept), tuple(added), tuple(free))


def _meet(first: Spell, second: Spell) -> bool:
    return (
        first.opened_on <= second.last_seen_on
        and second.opened_on <= first.last_seen_on
    )
