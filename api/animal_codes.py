"""Animals as they are named in what is sent: by the code on their label."""

from typing import Annotated

from msgspec import Meta

from api.errors import RefusedError
from husbandry.models import Animal

LABEL = Annotated[str, Meta(description="Code of the animal, as on its label.")]


def animal_named(code: str) -> Animal:
    """Return the animal of a code; one query.

    Raises:
        RefusedError: there is none.
    """
    animal = Animal.objects.filter(code=code).first()
    if animal is None:
        raise RefusedError(
            "unknown_animal",
            f"There is no animal {code!r}. Give the code on its label.",
            fields={"animal": "the code of an animal"},
        )
    return animal
