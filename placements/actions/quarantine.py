"""Put newcomers into quarantine as the policy says, and let them out of it."""

from collections.abc import Sequence
from datetime import date, datetime

from django.db import transaction

from core.models import User
from husbandry.actions.quarantine import QuarantineRow, begin_quarantines
from husbandry.models import Animal, Quarantine
from placements.queries.quarantine_policies import quarantine_rules
from placements.rules.quarantine.policies import is_kept_apart_on_arrival
from placements.rules.vocabulary import IntakeSource


@transaction.atomic
def begin_by_policy(
    *,
    animals: Sequence[Animal],
    on: date,
    source: IntakeSource,
    by: User | None,
    at: datetime,
) -> list[Quarantine]:
    """Put newcomers into quarantine, as the policy of their species says.

    Call it before they are moved into an enclosure: one that is in quarantine is let
    into a room of quarantine, one that is not is kept out of it.

    Args:
        animals: in care, each once, not in quarantine; in any number of species. As
            many queries for one as for many.
        on: the local day from which they are kept apart, as a rule that of arrival.
        source: how they came; those born here are not kept apart.
        by: the person.
        at: now.

    Returns:
        The quarantines, in the order of the animals; those whose policy asks for none
        have none.

    Raises:
        QuarantineError: see `husbandry.actions.quarantine.begin_quarantines`.
    """
    rules = quarantine_rules(species_ids={a.species_id for a in animals})
    reason = f"came in: {source.value.replace('_', ' ')}"
    rows = [
        QuarantineRow(animal, on, rules[animal.species_id].group, reason)
        for animal in animals
        if is_kept_apart_on_arrival(rules[animal.species_id], source)
    ]
    return begin_quarantines(rows=rows, by=by, at=at) if rows else []
