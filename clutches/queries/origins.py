"""Which clutch an animal came from, and who may be its sire."""

from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Q

from clutches.models import CandidateSire, Hatchling
from husbandry.models import Animal


@dataclass(frozen=True, slots=True)
class Candidate:
    """A male that may be an animal's sire, and how likely he is."""

    code: str
    name: str
    probability: Decimal


@dataclass(frozen=True, slots=True)
class Origin:
    """Where an animal comes from, as far as it is on record here.

    Attributes:
        clutch: code; "" where none is on record.
        candidates: who may be the sire, the likeliest first; none where he is on the
            animal's own record, or nothing is known.
    """

    clutch: str
    candidates: tuple[Candidate, ...]

    @property
    def unknown(self) -> Decimal:
        """Return how likely it is that the sire is none of them; 0 without any."""
        told = sum((c.probability for c in self.candidates), Decimal(0))
        return 1 - told if self.candidates else Decimal(0)


def origin_of(*, animal: Animal) -> Origin:
    """Return an animal's clutch and candidate sires; two queries at most.

    Those that are on record for the animal itself go before those of its clutch.
    """
    hatchling = Hatchling.objects.filter(animal=animal).select_related("clutch").first()
    clutch = hatchling.clutch if hatchling else None
    if animal.sire_id is not None:
        return Origin(clutch.code if clutch else "", ())
    rows = list(
        CandidateSire.objects.filter(
            Q(animal=animal) | Q(clutch=clutch, clutch__isnull=False)
        )
        .select_related("sire")
        .order_by("-probability", "sire__code")
    )
    own = [row for row in rows if row.animal_id is not None]
    return Origin(
        clutch.code if clutch else "",
        tuple(
            Candidate(row.sire.code, row.sire.name, row.probability)
            for row in own or rows
        ),
    )
