"""Write what a night saw, fold nights into findings, take a person's word on one."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from itertools import chain

from django.db import transaction

from core import audit
from core.errors import DomainError
from core.models import Site, User
from husbandry.actions.finding_news import standing_open, tell_of_findings
from husbandry.models import Acknowledgement, Finding, Sighting
from husbandry.queries.findings import (
    OnRecord,
    findings_touching,
    is_newest_and_first_run,
    reviewed_nights,
    sightings_since,
    verdicts,
)
from husbandry.rules.findings import (
    Seen,
    Spell,
    fold,
    is_unmeasured,
    key_unmeasured,
    match,
)

CHANGED = (
    "opened_on",
    "last_seen_on",
    "closed_on",
    "withdrawn_on",
    "nights_seen",
    "urgency",
    "evidence",
    "animal",
    "enclosure",
    "probe",
)
BATCH = 500


class FindingClosedError(DomainError):
    """A finding that is over needs nobody's word any more."""

    code = "finding_closed"


@dataclass(frozen=True, slots=True)
class _Changes:
    """Findings to add and to write again."""

    added: list[Finding]
    changed: list[Finding]


@dataclass(frozen=True, slots=True)
class _Said:
    """What nights said of one key, and on which nights nobody measured it."""

    sightings: list[Sighting]
    unmeasured: list[date]


@transaction.atomic
def write_sightings(seen: Iterable[Seen], *, site: Site, on: date, at: datetime) -> int:
    """Replace what one night says, and fold the nights of what it touches again.

    Other programs that want to know are told what opened and what is over.

    Call it inside the transaction that finishes the review's run, after the run
    counts as finished, so that this night is among the reviewed ones.

    Args:
        seen: the night's sightings, undecided ones included.
        site: where.
        on: the night.
        at: when it is reviewed.

    Returns:
        How many findings were seen that night.
    """
    rows = [_sighting(s, site, on) for s in seen]
    before = Sighting.objects.filter(site=site, on=on)
    keys = {r.key for r in rows} | set(before.values_list("key", flat=True))
    before.delete()
    Sighting.objects.bulk_create(rows, batch_size=BATCH)
    _fold_again(site=site, on=on, keys=keys, at=at)
    return sum(r.seen for r in rows)


def _sighting(seen: Seen, site: Site, on: date) -> Sighting:
    return Sighting(
        site=site,
        on=on,
        key=seen.key,
        kind=seen.kind.value,
        seen=seen.decided,
        urgency=seen.urgency.value,
        animal_id=seen.animal,
        enclosure_id=seen.enclosure,
        probe_id=seen.probe,
        evidence=dict(seen.evidence),
    )


def _fold_again(*, site: Site, on: date, keys: set[str], at: datetime) -> None:
    recorded = findings_touching(site=site, on=on, keys=keys)
    before = standing_open(recorded.values())
    keys = keys | set(recorded)
    # The usual case: tonight is new and continues what is open. Only a night that
    # was reviewed before, or lies before others, needs the older nights again.
    if is_newest_and_first_run(site=site, on=on):
        since, nights = on, [on]
    else:
        since = _since(on, chain.from_iterable(recorded.values()))
        nights = reviewed_nights(site=site, since=since)
    beside = {key: key_unmeasured(key) for key in keys}
    asked = keys | {key for key in beside.values() if key is not None}
    said = sightings_since(site=site, since=since, keys=asked)
    changes = _Changes([], [])
    for key in sorted(keys):
        unmeasured = [
            s.on
            for s in said.get(beside[key] or "", [])
            if is_unmeasured(key, s.evidence)
        ]
        _fold_key(
            _Said(said.get(key, []), unmeasured),
            recorded.get(key, []),
            nights,
            on,
            changes,
        )
    # Closed ones first: of each key only one may be open, after every statement.
    closed = [f for f in changes.changed if f.closed_on is not None]
    still_open = [f for f in changes.changed if f.closed_on is None]
    for rows in (closed, still_open):
        Finding.objects.bulk_update(rows, CHANGED, batch_size=BATCH)
    Finding.objects.bulk_create(changes.added, batch_size=BATCH)
    tell_of_findings([*changes.changed, *changes.added], before=before, at=at)


def _since(on: date, recorded: Iterable[OnRecord]) -> date:
    """Return from which night on findings are folded again.

    A withdrawn one does not count: others that are not at hand may lie between.
    """
    standing = (r for r in recorded if r.row.withdrawn_on is None)
    return min([on, *(r.spell.opened_on for r in standing)])


def _fold_key(
    said: _Said,
    recorded: list[OnRecord],
    nights: Sequence[date],
    on: date,
    changes: _Changes,
) -> None:
    """Fold one key's nights and note what has to be written."""
    continued = [
        r
        for r in recorded
        if r.spell.closed_on is None and r.spell.opened_on < nights[0]
    ]
    start = continued[0].spell if continued else None
    since = _since(on, recorded)
    said_by_night = verdicts(
        said.sightings,
        [n for n in nights if n >= since],
        unmeasured=said.unmeasured,
    )
    spells = fold(said_by_night, start=start)
    by_night = {s.on: s for s in said.sightings}
    matched = match([r.spell for r in recorded], spells)
    for index, spell in matched.kept:
        last = by_night.get(spell.last_seen_on)
        changes.changed.append(_told(recorded[index].row, spell, last))
    for spell in matched.added:
        last = by_night[spell.last_seen_on]
        row = Finding(site_id=last.site_id, key=last.key, kind=last.kind)
        changes.added.append(_told(row, spell, last))
    for index in matched.withdrawn:
        changes.changed.append(_withdrawn(recorded[index].row, on))


def _told(row: Finding, spell: Spell, last: Sighting | None) -> Finding:
    """Set a finding to what its spell and the last night that saw it say.

    Without that night at hand, urgency and evidence are on record already.
    """
    row.opened_on = spell.opened_on
    row.last_seen_on = spell.last_seen_on
    row.closed_on = spell.closed_on
    row.nights_seen = spell.nights_seen
    row.withdrawn_on = None
    if last is not None:
        row.urgency = last.urgency
        row.evidence = last.evidence
        row.animal_id = last.animal_id
        row.enclosure_id = last.enclosure_id
        row.probe_id = last.probe_id
    return row


def _withdrawn(row: Finding, on: date) -> Finding:
    """Take back a finding that no night sees any more; what was said of it stays."""
    row.withdrawn_on = row.withdrawn_on or on
    row.closed_on = row.closed_on or on
    return row


@transaction.atomic
def acknowledge_finding(
    *,
    finding: Finding,
    by: User,
    at: datetime,
    note: str = "",
    quiet_until: date | None = None,
) -> Acknowledgement:
    """Note that a person has seen a finding.

    Args:
        finding: an open one.
        by: who.
        at: when.
        note: what they say of it.
        quiet_until: until which day it is shown below the others; None: it is not
            moved. It stays open either way until it is no longer so.

    Raises:
        FindingClosedError: it is closed or withdrawn already.
    """
    if finding.closed_on is not None or finding.withdrawn_on is not None:
        raise FindingClosedError(
            f"This finding closed on {finding.closed_on or finding.withdrawn_on}; "
            "only an open one can be acknowledged."
        )
    row = Acknowledgement.objects.create(
        finding=finding, by=by, at=at, note=note, quiet_until=quiet_until
    )
    audit.record(
        finding,
        verb="acknowledge_finding",
        by=by,
        at=at,
        after=audit.values(row, "note", "quiet_until"),
    )
    return row
