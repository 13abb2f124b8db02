"""What hatchlings are called, who is certainly their sire, and what is odd of them."""

from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from datetime import date

from django.db.models import Count, Q

from clutches.models import CandidateSire, Clutch, Egg, EggBox, EggPlace
from clutches.queries.eggs import egg_name
from clutches.rules.hatching.codes import next_codes
from clutches.rules.hatching.refusals import early_hatch, more_than_eggs
from clutches.rules.vocabulary import EggState
from husbandry.models import Animal
from husbandry.queries.profiles import profiles_in_force
from husbandry.rules.profiles.resolving import incubation_for
from husbandry.rules.profiles.vocabulary import IncubationMatter


def codes_for(*, wanted: Sequence[tuple[Clutch, str]]) -> list[str]:
    """Return a code for each young: its own, or the next free one of its clutch.

    One query, however many.

    Args:
        wanted: of each its clutch, and the code it comes with or "".
    """
    codes = {clutch.code for clutch, _ in wanted}
    like = Q(pk__in=())
    for code in codes:
        like |= Q(code__startswith=f"{code}-")
    taken = set(Animal.objects.filter(like).values_list("code", flat=True))
    taken |= {code for _, code in wanted if code}
    free = {
        code: iter(next_codes(code, many=len(wanted), taken=taken)) for code in codes
    }
    return [code or next(free[clutch.code]) for clutch, code in wanted]


def certain_sires(*, clutches: Sequence[Clutch]) -> Mapping[int, Animal]:
    """Return the sire of each clutch of which he is certain; nobody is guessed.

    One query, however many; by the clutch's key.
    """
    rows = CandidateSire.objects.filter(
        clutch__in={clutch.pk for clutch in clutches}, probability=1
    ).select_related("sire")
    return {row.clutch_id: row.sire for row in rows if row.clutch_id is not None}


def eggs_elsewhere(*, box: EggBox, eggs: Sequence[Egg]) -> list[str]:
    """Return which eggs do not lie in a box, by name; one query.

    Those that have ended lie nowhere, and are left out.
    """
    here = set(
        EggPlace.objects.filter(
            egg__in=eggs, box=box, until_at__isnull=True
        ).values_list("egg_id", flat=True)
    )
    return [
        egg_name(egg) for egg in eggs if egg.pk not in here and egg.ended_on is None
    ]


def young_beyond_eggs(*, eggs: Sequence[Egg]) -> list[str]:
    """Refuse young of clutches that have fewer eggs than animals then; one query.

    Args:
        eggs: that are said to hatch now, with their clutch.
    """
    given = Counter(egg.clutch_id for egg in eggs)
    not_failed = Count("eggs", filter=~Q(eggs__state=EggState.FAILED), distinct=True)
    rows = (
        Clutch.objects.filter(pk__in=given)
        .order_by("code")
        .annotate(left=not_failed, young=Count("hatchlings", distinct=True))
        .values_list("pk", "code", "left", "young")
    )
    return [
        text
        for pk, code, left, young in rows
        for text in more_than_eggs(
            code=code, eggs=left, on_record=young, given=given[pk]
        )
    ]


def early_hatches(*, clutches: Collection[Clutch], on: date) -> tuple[str, ...]:
    """Return a remark on each clutch that hatched implausibly early; one query.

    Args:
        clutches: of which eggs hatched, each once.
        on: the local day on which they did, whose profiles count.
    """
    profiles = profiles_in_force(
        species_ids={clutch.species_id for clutch in clutches}, on=on
    )
    remarks = []
    for clutch in clutches:
        found = profiles.get(clutch.species_id)
        rule = (
            incubation_for(found.profile, IncubationMatter.HATCH_DAYS)
            if found
            else None
        )
        remark = early_hatch(
            rule, code=clutch.code, laid_on=clutch.laid_on, hatched_on=on
        )
        if remark is not None:
            remarks.append(remark)
    return tuple(remarks)
