"""Open a gate with a reason, shut it again, hand a treatment over."""

from datetime import datetime

from django.db import IntegrityError, transaction

from core import audit
from core.errors import DomainError
from core.models import User
from husbandry.models import Prescription
from husbandry.queries.stays import local_day_of
from placements.actions.states import check_state
from placements.models import GateOpening, Placement, TreatmentHandover
from placements.queries.gates import gates_ahead
from placements.rules.gates.facts import GateResult
from placements.rules.gates.opening import (
    GateError,
    check_opening,
    check_plan_of_treatment,
)
from placements.rules.vocabulary import Gate, PlacementState


class TreatmentHandoverError(DomainError):
    """A treatment cannot be handed over like that."""

    code = "treatment_handover"


@transaction.atomic
def open_gate(
    *, placement: Placement, gate: Gate, reason: str, by: User | None, at: datetime
) -> GateOpening:
    """Open a shut gate, with a reason that goes on record and into the packet.

    Args:
        placement: planned.
        gate: shut, of those that may be opened.
        reason: why the animal may leave all the same; no personal data, it is
            printed.
        by: the person; the doors ask for the permission.
        at: when.

    Returns:
        The opening; a packet made before it does not tell of it.

    Raises:
        PlacementStateError: the placement is not planned.
        GateError: no reason, a gate that is not shut, or one that nobody opens.
    """
    placement = Placement.objects.select_for_update(of=("self",)).get(pk=placement.pk)
    check_state(placement, PlacementState.PLANNED)
    result = _result(placement, gate, at=at)
    check_opening(gate, result, reason=reason)
    why = result.why if result else ""
    try:
        with transaction.atomic():
            opening = GateOpening.objects.create(
                placement=placement,
                gate=gate.value,
                why_shut=why,
                reason=reason.strip(),
                opened_by=by,
                opened_at=at,
            )
    except IntegrityError as error:
        raise GateError(f"The gate “{_words(gate)}” is opened already.") from error
    after = audit.values(opening, "placement", "gate", "why_shut", "reason")
    audit.record(
        opening, verb="open_gate", by=by, at=at, after=after, reason=reason.strip()
    )
    return opening


def _result(placement: Placement, gate: Gate, *, at: datetime) -> GateResult | None:
    today = local_day_of(animal=placement.animal, at=at)
    results = gates_ahead(placement_ids=[placement.pk], today=today)[placement.pk]
    return next((result for result in results if result.gate is gate), None)


def _words(gate: Gate) -> str:
    return gate.value.replace("_", " ")


@transaction.atomic
def shut_gate(
    *, placement: Placement, gate: Gate, by: User | None, at: datetime
) -> GateOpening:
    """Shut a gate again that a person had opened.

    Args:
        placement: planned.
        gate: opened.
        by: the person; the doors ask for the permission.
        at: when.

    Raises:
        PlacementStateError: the placement is not planned.
        GateError: nobody has opened it, or somebody shut it meanwhile.
    """
    check_state(placement, PlacementState.PLANNED)
    open_now = GateOpening.objects.filter(
        placement=placement, gate=gate.value, shut_again_at__isnull=True
    )
    opening = open_now.first()
    if opening is None or not open_now.filter(pk=opening.pk).update(
        shut_again_at=at, shut_again_by=by
    ):
        raise GateError(
            f"Nobody has opened the gate “{_words(gate)}”, so it cannot be shut again.",
            fields={"gate": "one that is opened"},
        )
    opening.shut_again_at, opening.shut_again_by = at, by
    after = audit.values(opening, "placement", "gate", "shut_again_at")
    audit.record(opening, verb="shut_gate", by=by, at=at, after=after)
    return opening


@transaction.atomic
def hand_over_treatment(
    *,
    placement: Placement,
    prescription: Prescription,
    plan: str,
    by: User | None,
    at: datetime,
) -> TreatmentHandover:
    """Record how a treatment goes on in the new home, in the licensed vet's words.

    Args:
        placement: planned.
        prescription: of its animal, not stopped.
        plan: what the vet said; nothing here computes or judges it.
        by: the vet; the doors ask for the permission to prescribe.
        at: when.

    Raises:
        PlacementStateError: the placement is not planned.
        TreatmentHandoverError: another animal's treatment, one that was stopped, or
            one that was handed over before.
        GateError: no plan was given.
    """
    check_state(placement, PlacementState.PLANNED)
    check_plan_of_treatment(plan)
    _check_prescription(placement, prescription)
    try:
        with transaction.atomic():
            handover = TreatmentHandover.objects.create(
                placement=placement,
                prescription=prescription,
                plan=plan.strip(),
                handed_over_by=by,
                handed_over_at=at,
            )
    except IntegrityError as error:
        raise TreatmentHandoverError(
            f"{prescription} was handed over before.",
            fields={"prescription": "one that was not handed over yet"},
        ) from error
    after = audit.values(handover, "placement", "prescription")
    audit.record(handover, verb="hand_over_treatment", by=by, at=at, after=after)
    return handover


def _check_prescription(placement: Placement, prescription: Prescription) -> None:
    if prescription.animal_id != placement.animal_id:
        raise TreatmentHandoverError(
            f"{prescription} is not about {placement.animal}.",
            fields={"prescription": f"one of {placement.animal}"},
        )
    if prescription.stopped_at is not None:
        raise TreatmentHandoverError(
            f"{prescription} was stopped; nothing of it goes on.",
            fields={"prescription": "one that was not stopped"},
        )
