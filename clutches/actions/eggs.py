"""Put eggs into boxes, move them, and say what became of them; many at once."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

from django.db import transaction

from clutches.actions.egg_news import tell_of_hatching
from clutches.actions.egg_places import end_places, locked_eggs, put_eggs
from clutches.actions.staleness import mark_eggs_stale
from clutches.models import Egg, EggBox, EggPlace
from clutches.queries.eggs import Lying, egg_name, lying
from clutches.queries.standings import standings
from clutches.rules.eggs.states import ENDED, Change, EggError, check_change
from clutches.rules.vocabulary import EggState, FailureCause
from core import audit
from core.models import User
from core.zones import day_bounds


@transaction.atomic
def place_eggs(
    *,
    eggs: Sequence[Egg],
    box: EggBox,
    places: Sequence[str] | None,
    placed_at: datetime,
    by: User | None,
    at: datetime,
) -> list[EggPlace]:
    """Put eggs that lie nowhere yet into a box; all of them or none.

    As many queries for one as for many.

    Args:
        eggs: that incubate or have pipped.
        box: in use.
        places: as people name them, see `parse_places`, at least as many as eggs;
            they are filled in the order given. None: the free ones, from the back.
        placed_at: when, now or earlier.
        by: the person.
        at: now.

    Returns:
        Where each egg lies from then on, in the order of the eggs.

    Raises:
        PlacesError: the box has no such place.
        PlacingError: a sentence a line, with egg and place.
    """
    return put_eggs(eggs, box, places, placed_at, moving=False, by=by, at=at, reason="")


@transaction.atomic
def move_eggs(
    *,
    eggs: Sequence[Egg],
    box: EggBox | None,
    places: Sequence[str] | None,
    moved_at: datetime,
    by: User | None,
    at: datetime,
    reason: str = "",
) -> list[EggPlace]:
    """Move eggs to other places, of the same box or of another; all of them or none.

    Eggs that change places with one another are moved in one go. As many queries for
    one as for many.

    Args:
        eggs: that lie somewhere.
        box: where to; None: out of their boxes.
        places: see `place_eggs`.
        moved_at: when, after they came to where they lie.
        by: the person.
        at: now.
        reason: why, up to 200 characters.

    Returns:
        Where each egg lies from then on, in the order of the eggs; none without a box.

    Raises:
        PlacesError: the box has no such place.
        PlacingError: a sentence a line, with egg and place.
    """
    return put_eggs(
        eggs, box, places, moved_at, moving=True, by=by, at=at, reason=reason
    )


@dataclass(frozen=True, slots=True)
class EggChange:
    """What became of one egg.

    Attributes:
        state: pipped, hatched or failed.
        cause: why, where it failed.
        note: up to 200 characters; "": the one on record stays.
    """

    egg: Egg
    state: EggState
    cause: FailureCause | None = None
    note: str = ""


@transaction.atomic
def set_eggs(
    *, changes: Sequence[EggChange], on: date, by: User | None, at: datetime
) -> list[Egg]:
    """Say what became of eggs on a local day; all of them or none.

    An egg that hatched or failed lies nowhere from the end of that day on, or from
    now on where the day is today. Reviews since are marked stale. As many queries
    for one as for many.

    Args:
        changes: each about another egg; see `MOVES` for which there are.
        on: local day, where the clutches are, on which it was so.
        by: the person.
        at: now.

    Returns:
        The eggs as they stand now, in the order of the changes.

    Raises:
        EggError: a sentence a line, each with the egg and where it lies.
    """
    if not changes:
        return []
    eggs = locked_eggs([change.egg for change in changes])
    lies = lying(egg_ids=[egg.pk for egg in eggs])
    told = [Change(one.state, one.cause, one.note) for one in changes]
    _check_changes(eggs, told, lies, on=on, at=at)
    deeds = []
    for egg, change in zip(eggs, told, strict=True):
        before = audit.values(egg, *_FIELDS)
        _change(egg, change, on)
        after = audit.values(egg, *_FIELDS)
        deeds.append(audit.Deed(egg, "set_egg", before=before, after=after))
    Egg.objects.bulk_update(eggs, _FIELDS)
    end_places([egg for egg in eggs if egg.state in ENDED], lies, at=at)
    zone = ZoneInfo(eggs[0].clutch.site.time_zone)
    begun_at = datetime.fromtimestamp(day_bounds(on, zone=zone)[0], UTC)
    mark_eggs_stale(egg_ids=[egg.pk for egg in eggs], since_at=begun_at, at=at)
    audit.record_all(deeds, by=by, at=at)
    tell_of_hatching(eggs, at=at)
    return eggs


_FIELDS = ("state", "pipped_on", "ended_on", "cause", "note")


def _check_changes(
    eggs: Sequence[Egg],
    changes: Sequence[Change],
    lies: Mapping[int, Lying],
    *,
    on: date,
    at: datetime,
) -> None:
    """Refuse all that cannot have become of eggs, a sentence a line."""
    keys = [egg.pk for egg in eggs]
    twice = {egg.pk: egg_name(egg) for egg in eggs if keys.count(egg.pk) > 1}
    wrong = [
        f"More than one thing is said of {name}; say one." for name in twice.values()
    ]
    fields: dict[str, str] = {}
    found = standings(eggs=eggs, lies=lies, on=on)
    for egg, standing, change in zip(eggs, found, changes, strict=True):
        zone = ZoneInfo(egg.clutch.site.time_zone)
        try:
            check_change(standing, change, on=on, today=at.astimezone(zone).date())
        except EggError as refusal:
            wrong.append(refusal.sentence)
            fields |= refusal.fields
    if wrong:
        raise EggError("\n".join(wrong), fields=fields)


def _change(egg: Egg, change: Change, on: date) -> None:
    egg.state = change.state.value
    egg.cause = change.cause.value if change.cause else ""
    egg.note = change.note.strip() or egg.note
    if change.state is EggState.PIPPED:
        egg.pipped_on = on
    else:
        egg.ended_on = on
