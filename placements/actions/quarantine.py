"""Put newcomers into quarantine as the policy says, and let them out of it."""

from collections.abc import Sequence
from datetime import date, datetime

from django.db import transaction

from core import audit
from core.errors import DomainError
from core.models import User
from husbandry.actions.quarantine import (
    QuarantineRow,
    begin_quarantine,
    begin_quarantines,
    end_quarantine,
)
from husbandry.models import Animal, Quarantine
from placements.models import Clearance
from placements.queries.quarantine import quarantine_states
from placements.queries.quarantine_policies import quarantine_rules
from placements.rules.quarantine.policies import is_kept_apart_on_arrival
from placements.rules.quarantine.telling import tell
from placements.rules.quarantine.values import QuarantineState
from placements.rules.vocabulary import IntakeSource


class ClearanceError(DomainError):
    """An animal cannot be let out of quarantine as asked."""

    code = "clearance_refused"


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


def keep_apart(
    *,
    animal: Animal,
    on: date,
    reason: str,
    by: User | None,
    at: datetime,
    group: str = "",
) -> Quarantine:
    """Put one animal into quarantine by hand, such as one that fell ill.

    Args:
        animal: in care, not in quarantine.
        on: the first local day; not to come.
        reason: why, up to 200 characters.
        by: the person.
        at: now.
        group: whose newcomers restart its clock; "": as the policy of its species
            says.

    Raises:
        QuarantineError: see `husbandry.actions.quarantine.begin_quarantines`.
    """
    if not group.strip():
        rules = quarantine_rules(species_ids=[animal.species_id])
        group = rules[animal.species_id].group
    return begin_quarantine(
        animal=animal, on=on, group=group, reason=reason, by=by, at=at
    )


@transaction.atomic
def clear(
    *,
    quarantine: Quarantine,
    on: date,
    by: User | None,
    at: datetime,
    despite: str = "",
) -> Clearance:
    """Let an animal out of quarantine; what it was judged by stays on record.

    Nothing is moved: it lives in a room of quarantine until somebody moves it.

    Args:
        quarantine: an open one.
        on: the local day on which it ends; the criteria are judged as of that day.
        by: the person who decides.
        at: now.
        despite: why, although a criterion is not met, or not known to be; needed then.

    Returns:
        The clearance, with each criterion as it was.

    Raises:
        ClearanceError: a criterion is not met and no reason is given.
        QuarantineError: it ended already, or the day cannot be.
    """
    states = quarantine_states(animal_ids=[quarantine.animal_id], on=on)
    state = next((s for s in states if s.id == quarantine.pk), None)
    despite = despite.strip()
    if state is not None:
        _check_met(state, despite)
    # Says which day cannot be, or that somebody else ended it.
    ended = end_quarantine(
        quarantine=quarantine, on=on, by=by, at=at, reason=despite or "cleared"
    )
    clearance = Clearance.objects.create(
        quarantine=ended,
        on=on,
        criteria=criteria_on_record(state) if state else [],
        despite=despite,
        cleared_by=by,
        cleared_at=at,
    )
    audit.record(
        clearance,
        verb="clear_quarantine",
        by=by,
        at=at,
        after={
            **audit.values(clearance, "quarantine", "on", "despite"),
            "met": [c.criterion.value for c in state.criteria if c.met]
            if state
            else [],
        },
        reason=despite,
    )
    return clearance


def criteria_on_record(state: QuarantineState) -> list[dict[str, object]]:
    """Return each criterion as it is kept with a clearance, as plain JSON values."""
    return [
        {
            "criterion": c.criterion.value,
            "asked": c.asked,
            "met": c.met,
            "evidence": dict(c.evidence),
        }
        for c in state.criteria
    ]


def _check_met(state: QuarantineState, despite: str) -> None:
    if state.is_ready or despite:
        return
    why = " ".join(tell(criterion) for criterion in state.unmet)
    raise ClearanceError(
        f"{state.label} cannot be let out of quarantine yet. {why} Wait, or say why it "
        "is let out nevertheless.",
        fields={"despite": "why, although a criterion is not met"},
    )
