"""Species: added and changed by one action each."""

import pytest

from core.models import AuditEntry
from husbandry.actions.species import SpeciesError, add_species, change_species
from husbandry.models import Species
from tests.factories import NOW, SpeciesFactory, UserFactory

pytestmark = pytest.mark.django_db


def test_a_species_is_added() -> None:
    person = UserFactory()

    row = add_species(
        code=" glass_lizard ",
        common_name="Glass lizard ",
        scientific_name="Vitrum fictum",
        by=person,
        at=NOW,
    )

    assert (row.code, row.common_name) == ("glass_lizard", "Glass lizard")
    entry = AuditEntry.objects.get()
    assert (entry.verb, entry.by, entry.at) == ("add_species", person, NOW)
    assert entry.after["scientific_name"] == "Vitrum fictum"


@pytest.mark.parametrize("code", ["", "no blanks", "x" * 61, "veiled_chameleon"])
def test_a_code_that_cannot_be_is_refused(code: str) -> None:
    SpeciesFactory()

    with pytest.raises(SpeciesError) as refused:
        add_species(code=code, common_name="A", scientific_name="A b", by=None, at=NOW)

    assert list(refused.value.fields) == ["code"]
    assert Species.objects.count() == 1


def test_only_what_differs_is_changed_and_audited() -> None:
    row = SpeciesFactory(notes="Arboreal.")

    for _ in range(2):
        changed = change_species(
            species=row,
            changes={"native_here": True, "notes": "Arboreal."},
            by=None,
            at=NOW,
        )

    assert changed.native_here
    entry = AuditEntry.objects.get()
    assert (entry.before, entry.after) == (
        {"native_here": False},
        {"native_here": True},
    )
    with pytest.raises(SpeciesError, match="code of a species cannot be changed"):
        change_species(species=row, changes={"code": "x"}, by=None, at=NOW)
