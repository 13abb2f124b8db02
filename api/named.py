"""What a body names by a code or a number: the row, or a refusal that says so."""

from api.errors import RefusedError
from husbandry.models import Species
from placements.models import Home

# No key is larger; a database may trip on a number that is.
MOST = 2**63 - 1


def species_named(code: str) -> Species:
    """Return the species of a code; one query.

    Raises:
        RefusedError: there is none.
    """
    found = Species.objects.filter(code=code).first()
    if found is None:
        raise RefusedError(
            "unknown_species",
            f"There is no species {code!r}; GET species/ lists them.",
            fields={"species": "the code of a species"},
        )
    return found


def home_numbered(number: int) -> Home:
    """Return the home of a number; one query.

    Raises:
        RefusedError: there is none.
    """
    found = None
    if 0 < number <= MOST:
        found = Home.objects.filter(pk=number).first()
    if found is None:
        raise RefusedError(
            "unknown_home",
            f"There is no home {number}; GET homes/ lists them.",
            fields={"home": "the number of a home"},
        )
    return found
