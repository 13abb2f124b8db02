"""What the profiles of the animals in care know, to choose from."""

from dataclasses import dataclass
from datetime import date

from husbandry.models import Animal
from husbandry.queries.profiles import profiles_in_force
from husbandry.rules.vocabulary import AnimalStatus

Choice = tuple[str, str]
"""An id, and how people call it."""


@dataclass(frozen=True, slots=True)
class CareChoices:
    """Feeders, supplements and warning signs, each once, in their profiles' order."""

    feeders: tuple[Choice, ...]
    supplements: tuple[Choice, ...]
    signs: tuple[Choice, ...]


def care_choices(*, on: date) -> CareChoices:
    """Return what can be chosen for the animals in care; two queries.

    Args:
        on: the local day whose profiles hold.

    Returns:
        Of two profiles with the same id, the first by species has the name.
    """
    in_care = Animal.objects.filter(status=AnimalStatus.IN_CARE.value)
    species = set(in_care.order_by().values_list("species_id", flat=True).distinct())
    found = profiles_in_force(species_ids=species, on=on)
    feeders: dict[str, str] = {}
    supplements: dict[str, str] = {}
    signs: dict[str, str] = {}
    for _, version in sorted(found.items()):
        profile = version.profile
        for feeder in profile.feeders:
            feeders.setdefault(feeder.id, feeder.name)
        for supplement in profile.supplements:
            supplements.setdefault(supplement.id, supplement.name)
        for sign in profile.warning_signs:
            signs.setdefault(sign.id, sign.text)
    return CareChoices(
        tuple(feeders.items()), tuple(supplements.items()), tuple(signs.items())
    )
