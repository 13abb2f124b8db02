"""What stands on labels, for many animals at once."""

from collections import defaultdict
from collections.abc import Collection

from django.db.models import Q

from clutches.models import CandidateSire, Hatchling
from clutches.rules.labels import Label, SireShareLine
from husbandry.models import Animal
from husbandry.queries.stays import current_stays
from husbandry.rules.vocabulary import AnimalStatus, Confidence, Sex, SexBasis


def labels(*, clutch: str = "", animals: Collection[str] = ()) -> tuple[Label, ...]:
    """Return the labels of animals in care, by code; four queries, however many.

    Args:
        clutch: code of one; all that came from it.
        animals: codes of single ones besides; unknown ones are passed over.
    """
    rows = list(
        Animal.objects.filter(
            Q(hatchling__clutch__code=clutch, hatchling__isnull=False)
            | Q(code__in=animals),
            status=AnimalStatus.IN_CARE.value,
        )
        .select_related("species", "dam", "sire")
        .order_by("code")
    )
    keys = [row.pk for row in rows]
    origins = {
        hatchling.animal_id: hatchling
        for hatchling in Hatchling.objects.filter(animal__in=keys).select_related(
            "clutch"
        )
    }
    of_animal, of_clutch = _candidates(
        keys, {hatchling.clutch_id for hatchling in origins.values()}
    )
    stays = current_stays(animal_ids=keys)
    found = []
    for row in rows:
        origin = origins.get(row.pk)
        shared = of_clutch[origin.clutch_id] if origin else []
        stay = stays.get(row.pk)
        found.append(
            Label(
                code=row.code,
                name=row.name,
                species=row.species.common_name,
                hatched_on=row.hatched_on,
                clutch=origin.clutch.code if origin else "",
                dam=row.dam.code if row.dam else "",
                sire=row.sire.code if row.sire else "",
                may_be=tuple(of_animal[row.pk] or shared),
                sex=Sex(row.sex),
                basis=SexBasis(row.sex_basis),
                confidence=Confidence(row.sex_confidence),
                place=stay.enclosure.code if stay else "",
            )
        )
    return tuple(found)


def _candidates(
    animals: Collection[int], clutches: Collection[int]
) -> tuple[dict[int, list[SireShareLine]], dict[int, list[SireShareLine]]]:
    of_animal: dict[int, list[SireShareLine]] = defaultdict(list)
    of_clutch: dict[int, list[SireShareLine]] = defaultdict(list)
    rows = CandidateSire.objects.filter(
        Q(animal__in=animals) | Q(clutch__in=clutches)
    ).select_related("sire")
    for row in rows.order_by("-probability", "sire__code"):
        line = SireShareLine(row.sire.code, row.probability)
        if row.animal_id is not None:
            of_animal[row.animal_id].append(line)
        elif row.clutch_id is not None:
            of_clutch[row.clutch_id].append(line)
    return of_animal, of_clutch
