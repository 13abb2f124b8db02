"""What hatchlings are called, and who is certainly their sire."""

from collections.abc import Mapping, Sequence

from django.db.models import Q

from clutches.models import CandidateSire, Clutch
from clutches.rules.hatching.codes import next_codes
from husbandry.models import Animal


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
