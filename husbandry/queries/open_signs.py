"""Signs that were seen and are not gone, by name."""

from django.db.models import Exists, OuterRef

from husbandry.models import Observation
from husbandry.rules.vocabulary import AnimalStatus, ObservationKind, Observed


def open_signs() -> tuple[str, ...]:
    """Return the signs that some animal in care still has on record; one query."""
    signs = Observation.objects.filter(
        kind=ObservationKind.SIGN.value, struck_at__isnull=True
    )
    gone = signs.filter(
        animal=OuterRef("animal"),
        sign=OuterRef("sign"),
        at__gt=OuterRef("at"),
        observed=Observed.GONE.value,
    )
    still_there = signs.filter(
        ~Exists(gone),
        observed=Observed.PRESENT.value,
        animal__status=AnimalStatus.IN_CARE.value,
    )
    return tuple(still_there.order_by("sign").values_list("sign", flat=True).distinct())
