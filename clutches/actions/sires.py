"""Say who may be the sire of a clutch, or of one animal, and how likely."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import transaction

from clutches.models import CandidateSire, Clutch, Hatchling
from clutches.queries.lineage import lineage_of
from clutches.rules.lineage.lineages import way_up
from clutches.rules.lineage.sires import (
    STEP,
    Sired,
    SireError,
    SireShare,
    check_sires,
)
from clutches.rules.vocabulary import SireBasis
from core import audit
from core.models import User
from husbandry.models import Animal
from husbandry.queries.animals import relative
from husbandry.rules.parents import Relative
from husbandry.rules.vocabulary import DatePrecision, Sex


@dataclass(frozen=True, slots=True)
class SiresResult:
    """What became of a set of candidate sires.

    Attributes:
        candidates: as they are kept now, in the order given.
        corrected: animals whose own record names another sire now, or none.
        kept: hatchlings of the clutch left as they are, since they have candidates
            or another sire of their own.
    """

    candidates: tuple[CandidateSire, ...]
    corrected: tuple[Animal, ...]
    kept: tuple[Animal, ...] = ()


@transaction.atomic
def set_candidate_sires(
    *,
    clutch: Clutch | None = None,
    animal: Animal | None = None,
    sires: Sequence[SireShare[Animal]],
    by: User | None,
    at: datetime,
    reason: str = "",
) -> SiresResult:
    """Say who may be the sire; it replaces what was said before as a whole.

    A sire of probability 1 is certain: he goes on the record of the animal, or of all
    hatchlings of the clutch. Otherwise their records name no sire, and who may be is
    looked up here. Of a clutch's hatchlings those stay as they are that have
    candidates of their own, or a sire who is not the clutch's certain one until now:
    somebody knew more of them. Reviews of past nights are not marked stale: they keep
    what was known then. Ten queries at most, however many hatchlings.

    Args:
        clutch: what was laid; or
        animal: one animal, one of the two.
        sires: the whole set; none: nothing is known of the sire.
        by: the person; None: the program, at laying.
        at: now.
        reason: why, such as a laboratory's report.

    Raises:
        SireError: both or neither of clutch and animal, a probability or a sum that
            cannot be, a male twice, or one that descends from the young.
        ParentError: a female, another species, the dam herself, or a male that
            hatched no earlier than the clutch was laid, or the animal hatched.
    """
    if (clutch is None) == (animal is None):
        raise SireError(
            "Say the sires of a clutch or of an animal, one of the two.",
            fields={"clutch": "a clutch, or an animal instead"},
        )
    if clutch is not None:
        return _of_clutch(clutch, sires, by=by, at=at, reason=reason.strip())
    assert animal is not None  # noqa: S101 - one of the two is given
    return _of_animal(animal, sires, by=by, at=at, reason=reason.strip())


def _of_clutch(
    clutch: Clutch,
    sires: Sequence[SireShare[Animal]],
    *,
    by: User | None,
    at: datetime,
    reason: str,
) -> SiresResult:
    clutches = Clutch.objects.select_for_update(of=("self",)).select_related("dam")
    clutch = clutches.get(pk=clutch.pk)
    hatched = Hatchling.objects.filter(clutch=clutch).select_related("animal")
    hatchlings = [row.animal for row in hatched.order_by("animal__code")]
    young = Relative(
        id=None,
        label=f"clutch {clutch.code}",
        species=clutch.species_id,
        sex=Sex.UNKNOWN,
        hatched_on=clutch.laid_on,
        hatched_precision=DatePrecision.DAY,
    )
    _check(young, clutch.dam, sires, {one.pk for one in hatchlings})
    before = list(CandidateSire.objects.filter(clutch=clutch).select_related("sire"))
    until_now, certain = _certain(before), _certain(sires)
    own = CandidateSire.objects.filter(animal__in=hatchlings)
    known = set(own.values_list("animal", flat=True))
    others = [one for one in hatchlings if one.sire_id != _key(certain)]
    corrected = [
        one
        for one in others
        if one.pk not in known and one.sire_id in (None, _key(until_now))
    ]
    candidates, deeds = _replace(clutch, before, sires, reason, {"clutch": clutch})
    reason = f"Sires of {clutch.code}. {reason}".strip()
    deeds += _correct(corrected, certain, reason)
    audit.record_all(deeds, by=by, at=at)
    kept = tuple(one for one in others if one not in corrected)
    return SiresResult(candidates, tuple(corrected), kept)


def _of_animal(
    animal: Animal,
    sires: Sequence[SireShare[Animal]],
    *,
    by: User | None,
    at: datetime,
    reason: str,
) -> SiresResult:
    animals = Animal.objects.select_for_update(of=("self",)).select_related("dam")
    animal = animals.get(pk=animal.pk)
    _check(relative(animal), animal.dam, sires, {animal.pk})
    before = list(CandidateSire.objects.filter(animal=animal).select_related("sire"))
    certain = _certain(sires)
    if not sires:
        # Nothing of its own any more: what is known of its clutch holds again.
        of_clutch = CandidateSire.objects.filter(clutch__hatchlings__animal=animal)
        certain = _certain(list(of_clutch.select_related("sire")))
    corrected = [animal] if animal.sire_id != _key(certain) else []
    candidates, deeds = _replace(animal, before, sires, reason, {"animal": animal})
    deeds += _correct(corrected, certain, reason or "Candidate sires.")
    audit.record_all(deeds, by=by, at=at)
    return SiresResult(candidates, tuple(corrected))


def _check(
    young: Relative,
    dam: Animal | None,
    sires: Sequence[SireShare[Animal]],
    descendants: set[int],
) -> None:
    keys = {share.sire.pk for share in sires}
    lineage = lineage_of(animal_ids=keys)
    ways = {key: way_up(lineage, key, descendants) for key in keys}
    check_sires(
        [
            SireShare(relative(share.sire), share.probability, share.basis)
            for share in sires
        ],
        of=Sired(
            young=young,
            dam=relative(dam) if dam else None,
            descended={key: way for key, way in ways.items() if way},
        ),
    )


def _replace(
    subject: Clutch | Animal,
    before: Sequence[CandidateSire],
    sires: Sequence[SireShare[Animal]],
    reason: str,
    of: dict[str, Any],
) -> tuple[tuple[CandidateSire, ...], list[audit.Deed]]:
    """Keep a set instead of another; the same set again changes nothing."""
    if _told(before) == _told(sires):
        return tuple(before), []
    CandidateSire.objects.filter(pk__in=[row.pk for row in before]).delete()
    made = CandidateSire.objects.bulk_create(
        CandidateSire(
            **of,
            sire=share.sire,
            probability=share.probability,
            basis=share.basis.value,
        )
        for share in sires
    )
    deed = audit.Deed(
        subject,
        "set_candidate_sires",
        before={"sires": _told(before)},
        after={"sires": _told(sires)},
        reason=reason,
    )
    return tuple(made), [deed]


def _told(rows: Iterable[CandidateSire | SireShare[Animal]]) -> dict[str, str]:
    """Return a set as the audit trail keeps it: by code, how likely and why."""
    found = {
        row.sire.code: f"{row.probability.quantize(STEP)} {SireBasis(row.basis)}"
        for row in rows
    }
    return dict(sorted(found.items()))


def _certain(rows: Iterable[CandidateSire | SireShare[Animal]]) -> Animal | None:
    return next((row.sire for row in rows if row.probability == 1), None)


def _key(animal: Animal | None) -> int | None:
    return animal.pk if animal else None


def _correct(
    animals: Sequence[Animal], sire: Animal | None, reason: str
) -> list[audit.Deed]:
    """Put a sire, or none, on the record of animals; one query."""
    keys = [animal.pk for animal in animals]
    Animal.objects.filter(pk__in=keys).update(sire=sire)
    deeds = []
    for animal in animals:
        before = {"sire": animal.sire_id}
        animal.sire = sire
        after = {"sire": _key(sire)}
        deeds.append(audit.Deed(animal, "correct_animal", before, after, reason))
    return deeds
