"""Note the sexes of many animals at once, as somebody's rule found them."""

from collections.abc import Mapping
from datetime import datetime

from core import audit
from core.models import User
from husbandry.models import Animal
from husbandry.rules.sexes import Sexing, check_sexing
from husbandry.rules.vocabulary import Confidence, Sex, SexBasis

_FIELDS = ("sex", "sex_basis", "sex_confidence")


def sexing_of(animal: Animal) -> Sexing:
    """Return the sex that is on record of an animal."""
    return Sexing(
        Sex(animal.sex), SexBasis(animal.sex_basis), Confidence(animal.sex_confidence)
    )


def note_sexes(
    *,
    sexings: Mapping[Animal, Sexing],
    verb: str,
    reason: str,
    by: User | None,
    at: datetime,
) -> list[Animal]:
    """Put sexes on record; two statements, however many animals.

    Reviews of past nights are not marked stale: they keep what was known then, as
    with `correct_animal`. Call it inside the transaction that found them.

    Args:
        sexings: by animal, locked by the caller; what is on record is left alone.
        verb: of the audit entries.
        reason: why, for the same.
        by: the person.
        at: now.

    Returns:
        The animals that were changed.

    Raises:
        SexError: a sex that its basis cannot show.
    """
    changed, deeds = [], []
    for animal, sexing in sexings.items():
        check_sexing(sexing)
        if sexing == sexing_of(animal):
            continue
        before = audit.values(animal, *_FIELDS)
        animal.sex = sexing.sex.value
        animal.sex_basis = sexing.basis.value
        animal.sex_confidence = sexing.confidence.value
        changed.append(animal)
        deeds.append(
            audit.Deed(
                animal,
                verb,
                before=before,
                after=audit.values(animal, *_FIELDS),
                reason=reason,
            )
        )
    Animal.objects.bulk_update(changed, _FIELDS)
    audit.record_all(deeds, by=by, at=at)
    return changed
