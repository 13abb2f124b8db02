"""Register many animals at once that came into care on the same day."""

from collections.abc import Sequence
from datetime import datetime

from django.db import transaction

from core import audit
from core.models import Site, User
from husbandry.actions.animal_records import on_record, save_animals
from husbandry.actions.staleness import mark_stale
from husbandry.models import Animal

VERB = "register_animal"


@transaction.atomic
def register_newcomers(
    *, animals: Sequence[Animal], site: Site, by: User | None, at: datetime
) -> list[Animal]:
    """Register animals that are in care from a day on; none has an enclosure yet.

    As many queries for one as for many. Reviews of the site's nights since are
    marked stale.

    Args:
        animals: not saved yet, and held to the rules by `check_details` already;
            none does nothing.
        site: where they came.
        by: the person.
        at: now.

    Returns:
        The animals, with their keys, in the order given.

    Raises:
        AnimalError: somebody has taken one of the codes or chips in the meantime.
    """
    if not animals:
        return []
    saved = save_animals(animals)
    since_on = min(animal.arrived_on for animal in saved)
    mark_stale(site_ids=[site.pk], from_on=since_on, at=at)
    audit.record_all(
        [audit.Deed(animal, VERB, after=on_record(animal)) for animal in saved],
        by=by,
        at=at,
    )
    return saved
