"""Plan that a female and a male breed, and end it."""

from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction

from clutches.models import Introduction, Pairing
from clutches.queries.advice import pair_advice
from clutches.rules.advice.telling import tell_reason
from clutches.rules.pairings.pairs import (
    PairingError,
    Partner,
    check_end,
    check_pair,
    check_pairing_reason,
    remarks_on_sexes,
)
from core import audit
from core.models import User
from husbandry.models import Animal
from husbandry.queries.stays import local_day_of
from husbandry.rules.vocabulary import AnimalStatus, Sex


@dataclass(frozen=True, slots=True)
class PairingResult:
    """A pairing that is kept, and what speaks against it; sentences."""

    pairing: Pairing
    remarks: tuple[str, ...]


@transaction.atomic
def plan_pairing(
    *,
    dam: Animal,
    sire: Animal,
    planned_on: date,
    by: User | None,
    at: datetime,
    reason: str = "",
) -> PairingResult:
    """Plan that a female and a male breed.

    What speaks against the two (kin, age, mass, rest, season, health) is remarked and
    refuses nothing: whoever plans them says why.

    Args:
        dam: in care; female, or not sexed.
        sire: in care; male, or not sexed.
        planned_on: local day of the dam on which it was decided; today or earlier.
        by: the person.
        at: now.
        reason: why this pair, also against advice; up to 300 characters.

    Raises:
        PairingError: a pair that cannot be, or one that is planned already.
    """
    check_pairing_reason(reason)
    locked = Animal.objects.select_for_update(no_key=True).order_by("pk")
    animals = {one.pk: one for one in locked.filter(pk__in=[dam.pk, sire.pk])}
    dam, sire = animals[dam.pk], animals[sire.pk]
    partners = _partner(dam), _partner(sire)
    today = local_day_of(animal=dam, at=at)
    check_pair(*partners, planned_on=planned_on, today=today)
    known = Pairing.objects.filter(dam=dam, sire=sire, ended_on__isnull=True).first()
    if known is not None:
        raise PairingError(
            f"{known} is planned since {known.planned_on:%d %b %Y} already. Record "
            "introductions of that one, or end it first.",
            fields={"sire": "one that she is not paired with"},
        )
    pairing = Pairing.objects.create(
        dam=dam,
        sire=sire,
        planned_on=planned_on,
        reason=reason.strip(),
        created_by=by,
        created_at=at,
    )
    audit.record(
        pairing,
        verb="plan_pairing",
        by=by,
        at=at,
        after=audit.values(pairing, "dam", "sire", "planned_on"),
        reason=pairing.reason,
    )
    remarks = (*remarks_on_sexes(*partners), *_against(dam, sire, today, at))
    return PairingResult(pairing, remarks)


@transaction.atomic
def end_pairing(
    *, pairing: Pairing, on: date, by: User | None, at: datetime, reason: str = ""
) -> Pairing:
    """Note from which day on a pair is not put together again.

    Args:
        pairing: not ended.
        on: local day of the dam; today or earlier, and not before they last met.
        by: the person.
        at: now.
        reason: why, up to 300 characters; kept in the audit trail.

    Raises:
        PairingError: it is ended already, or the day cannot be.
    """
    check_pairing_reason(reason)
    pairing = (
        Pairing.objects.select_for_update(of=("self",))
        .select_related("dam", "sire")
        .get(pk=pairing.pk)
    )
    last = (
        Introduction.objects.filter(pairing=pairing, struck_at__isnull=True)
        .order_by("-at")
        .first()
    )
    check_end(
        str(pairing),
        planned_on=pairing.planned_on,
        ended_on=pairing.ended_on,
        last_met_on=local_day_of(animal=pairing.dam, at=last.at) if last else None,
        on=on,
        today=local_day_of(animal=pairing.dam, at=at),
    )
    pairing.ended_on = on
    pairing.save(update_fields=["ended_on"])
    audit.record(
        pairing,
        verb="end_pairing",
        by=by,
        at=at,
        before={"ended_on": None},
        after=audit.values(pairing, "ended_on"),
        reason=reason.strip(),
    )
    return pairing


def _partner(animal: Animal) -> Partner:
    return Partner(
        id=animal.pk,
        label=str(animal),
        species=animal.species_id,
        sex=Sex(animal.sex),
        status=AnimalStatus(animal.status),
        arrived_on=animal.arrived_on,
    )


def _against(dam: Animal, sire: Animal, on: date, at: datetime) -> tuple[str, ...]:
    """Return what speaks against a pair whose sexes are known, today."""
    found = pair_advice(
        species=dam.species, on=on, at=at, codes=[dam.code, sire.code]
    ).advice.pairs(0, 1)
    labels = {dam.pk: str(dam), sire.pk: str(sire)}
    return tuple(
        tell_reason(reason, label=labels.get(reason.animal or 0, ""))
        for pair in found
        for reason in pair.reasons
    )
