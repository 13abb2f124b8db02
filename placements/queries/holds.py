"""How long animals have to be held, by what the house decided, and which are."""

from collections.abc import Collection, Mapping
from datetime import date
from zoneinfo import ZoneInfo

from django.db.models import Q

from placements.models import HoldPolicy, Intake
from placements.rules.holds import NO_HOLD, HoldFacts, HoldRule
from placements.rules.vocabulary import IntakeSource


def hold_rules() -> Mapping[IntakeSource, HoldRule]:
    """Return what holds for each source now; one query.

    Returns:
        All sources; no hold where the house has decided nothing.
    """
    rules = dict.fromkeys(IntakeSource, NO_HOLD)
    # Oldest first, so that the newest stays; decisions are few.
    for row in HoldPolicy.objects.order_by("made_at", "pk"):
        rules[IntakeSource(row.source)] = HoldRule(row.days, row.reason)
    return rules


def hold_of(*, animal_ids: Collection[int], on: date) -> Mapping[int, HoldFacts]:
    """Return the holds that are in force on a day; one query.

    Args:
        animal_ids: of these animals; none asks about none.
        on: the local day; the last day of a hold is one, the day on which it was
            lifted is none.

    Returns:
        By animal, the longest where it has several; none for those that are free.
    """
    found: dict[int, HoldFacts] = {}
    rows = (
        Intake.objects.filter(
            Q(hold_ended_on__isnull=True) | Q(hold_ended_on__gt=on),
            animal__in=animal_ids,
            arrival__hold_until__gte=on,
        )
        .order_by("arrival__hold_until", "pk")
        .values_list(
            "animal_id",
            "arrival__arrived_at",
            "arrival__site__time_zone",
            "arrival__hold_until",
            "arrival__hold_reason",
            "arrival__source",
        )
    )
    for animal, arrived_at, zone, until_on, reason, source in rows:
        came_on = arrived_at.astimezone(ZoneInfo(zone)).date()
        if until_on is not None and came_on <= on:
            found[animal] = HoldFacts(until_on, reason, IntakeSource(source))
    return found
