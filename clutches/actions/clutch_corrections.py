"""Mend what was recorded of a clutch; what it said stays in the audit trail."""

from datetime import UTC, date, datetime
from decimal import Decimal
from typing import TypedDict, Unpack
from zoneinfo import ZoneInfo

from django.db import transaction

from clutches.actions.clutch_records import FIELDS, check_clutch
from clutches.actions.dams import put_forward_sires
from clutches.actions.staleness import mark_eggs_stale
from clutches.models import (
    CandidateSire,
    Clutch,
    Egg,
    EggPlace,
    IncubationPlan,
    Pairing,
)
from clutches.queries.clutches import tracked_of
from clutches.rules.layings.counts import ClutchError
from clutches.rules.layings.tracks import check_kept
from clutches.rules.vocabulary import ClutchKind, SireBasis
from core import audit
from core.models import User
from core.zones import day_bounds
from husbandry.actions.staleness import mark_animals_stale, mark_stale
from husbandry.models import Animal

JUDGED = frozenset(FIELDS) - {"code", "note", "mass_g"}
"""What a night judged by."""
PUT_FORWARD = (SireBasis.ONLY_MATE, SireBasis.MATED_BEFORE, SireBasis.STORED_SPERM)


class ClutchChanges(TypedDict, total=False):
    """What can be mended of a clutch: all but species, site and kind."""

    code: str
    dam: Animal | None
    pairing: Pairing | None
    laid_on: date
    eggs_set: int
    eggs_infertile: int
    eggs_broken: int
    born_alive: int
    born_dead: int
    mass_g: Decimal | None
    plan: IncubationPlan | None
    note: str


@transaction.atomic
def correct_clutch(
    *,
    clutch: Clutch,
    by: User | None,
    at: datetime,
    reason: str,
    **changes: Unpack[ClutchChanges],
) -> tuple[Clutch, tuple[str, ...]]:
    """Mend what is on record of a clutch.

    More eggs get the next numbers; fewer lose the last ones, of which nothing may be
    on record. Where the dam or the day changes, sires are put forward anew, unless
    somebody has said who they are. What was noted of the dam at laying stays. Reviews
    that judged by what changes are marked stale.

    Args:
        clutch: the one to mend.
        by: the person.
        at: now.
        reason: what was wrong, or what became known.
        changes: the fields to mend; see `ClutchChanges`.

    Returns:
        The clutch as it is now, and what is worth a second look.

    Raises:
        ClutchError: no reason, nothing to change, as in `record_laying`, or against
            what is on record of its eggs and young.
    """
    if not reason.strip():
        raise ClutchError(
            "Say what was wrong or became known.", fields={"reason": "not blank"}
        )
    rows = Clutch.objects.select_for_update(of=("self",)).select_related(
        "dam", "species", "site", "plan", "pairing__dam", "pairing__sire"
    )
    clutch = rows.get(pk=clutch.pk)
    before, dam, laid_on = audit.values(clutch, *FIELDS), clutch.dam, clutch.laid_on
    _change(clutch, changes)
    after = audit.values(clutch, *FIELDS)
    changed = [name for name in FIELDS if before[name] != after[name]]
    if not changed:
        raise ClutchError(
            f"Nothing would change for {clutch}: give what it should say."
        )
    check_kept(
        tracked_of(clutch=clutch),
        eggs_set=clutch.eggs_set,
        born_alive=_alive(clutch),
        laid_on=clutch.laid_on,
        new_dam="dam" in changed,
    )
    remarks = check_clutch(clutch, at=at)
    clutch.save()
    _number_eggs(clutch)
    if clutch.laid_on > laid_on:
        _put_down_later(clutch)
    if {"dam", "laid_on"} & set(changed):
        _put_forward_anew(clutch, reason.strip(), by=by, at=at)
    if JUDGED & set(changed):
        first_on = min(laid_on, clutch.laid_on)
        _mark(clutch, {dam, clutch.dam}, first_on, at=at)
    audit.record(
        clutch,
        verb="correct_clutch",
        by=by,
        at=at,
        before={name: before[name] for name in changed},
        after={name: after[name] for name in changed},
        reason=reason.strip(),
    )
    return clutch, remarks


def _change(clutch: Clutch, changes: ClutchChanges) -> None:
    for name, value in changes.items():
        setattr(clutch, name, value)
    clutch.code, clutch.note = clutch.code.strip(), clutch.note.strip()
    other = {
        ClutchKind.EGGS.value: ("born_alive", "born_dead"),
        ClutchKind.LIVE_YOUNG.value: ("eggs_set", "eggs_infertile", "eggs_broken"),
    }[clutch.kind]
    for name in other:
        if getattr(clutch, name):
            raise ClutchError(
                f"{clutch} is of another kind; {name.replace('_', ' ')} does not go "
                "with it.",
                fields={name: "0, or left out"},
            )


def _alive(clutch: Clutch) -> int | None:
    return clutch.born_alive if clutch.kind == ClutchKind.LIVE_YOUNG else None


def _number_eggs(clutch: Clutch) -> None:
    """Give each egg that is kept its number, and take away those that never were."""
    eggs = Egg.objects.filter(clutch=clutch)
    eggs.filter(number__gt=clutch.eggs_set).delete()
    known = set(eggs.values_list("number", flat=True))
    Egg.objects.bulk_create(
        Egg(clutch=clutch, number=number)
        for number in range(1, clutch.eggs_set + 1)
        if number not in known
    )


def _put_down_later(clutch: Clutch) -> None:
    """Let no egg lie anywhere before the day on which it was laid."""
    begun_s, _ = day_bounds(clutch.laid_on, zone=ZoneInfo(clutch.site.time_zone))
    begun_at = datetime.fromtimestamp(begun_s, UTC)
    places = EggPlace.objects.filter(egg__clutch=clutch, from_at__lt=begun_at)
    places.update(from_at=begun_at)


def _put_forward_anew(
    clutch: Clutch, reason: str, *, by: User | None, at: datetime
) -> None:
    told = CandidateSire.objects.filter(clutch=clutch).exclude(
        basis__in=[basis.value for basis in PUT_FORWARD]
    )
    if not told.exists():
        put_forward_sires(clutch, by=by, at=at, reason=reason)


def _mark(
    clutch: Clutch, dams: set[Animal | None], first_on: date, *, at: datetime
) -> None:
    start_s, _ = day_bounds(first_on, zone=ZoneInfo(clutch.site.time_zone))
    since_at = datetime.fromtimestamp(start_s, UTC)
    mark_stale(site_ids=[clutch.site_id], from_on=first_on, at=at)
    mark_animals_stale(
        since_at={dam.pk: since_at for dam in dams if dam is not None}, at=at
    )
    eggs = Egg.objects.filter(clutch=clutch).values_list("pk", flat=True)
    mark_eggs_stale(egg_ids=list(eggs), since_at=since_at, at=at)
