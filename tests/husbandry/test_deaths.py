"""How animals died: one account each; what a necropsy said comes later."""

from datetime import date, timedelta
from typing import Any

import pytest

from core.models import AuditEntry
from husbandry.actions.deaths import DeathError, record_death, record_necropsy
from husbandry.models import Animal, Death
from husbandry.rules.animals import AnimalError
from tests.factories import (
    NOW,
    TODAY,
    AnimalFactory,
    DeathFactory,
    ReviewRunFactory,
    StayFactory,
    UserFactory,
)

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)


def died(animal: Animal, **changes: Any) -> Death:
    asked: dict[str, Any] = {
        "on": TODAY,
        "circumstances": " Found dead in the morning. ",
        "euthanised_by": "",
        "by": None,
        "at": NOW,
    }
    return record_death(animal=animal, **(asked | changes))


def opened(death: Death, **changes: Any) -> Death:
    asked: dict[str, Any] = {
        "on": TODAY,
        "necropsy_by": "A licensed vet of the tests",
        "necropsy": " Retained eggs. ",
        "by": None,
        "at": NOW,
    }
    return record_necropsy(death=death, **(asked | changes))


def test_death_ends_the_stay_and_says_how() -> None:
    keeper, stay = UserFactory.create(), StayFactory.create()
    run = ReviewRunFactory.create(site=stay.enclosure.room.site, on=TODAY)

    death = died(stay.animal, by=keeper, euthanised_by=" A licensed vet ")

    for row in (death, stay, run):
        row.refresh_from_db()
    assert (death.animal.status, death.animal.left_on) == ("dead", TODAY)
    assert (death.on, death.circumstances) == (TODAY, "Found dead in the morning.")
    assert (death.euthanised_by, death.recorded_by) == ("A licensed vet", keeper)
    assert (death.recorded_at, death.necropsy_on) == (NOW, None)
    assert stay.until_at == NOW
    assert run.stale_since == NOW
    verbs = AuditEntry.objects.order_by("pk").values_list("verb", "reason", "by")
    assert list(verbs) == [
        ("mark_left", "Found dead in the morning.", keeper.pk),
        ("record_death", "Found dead in the morning.", keeper.pk),
    ]


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"circumstances": " "}, "Say how it died"),
        ({"euthanised_by": "x" * 161}, "at most 160 characters"),
        ({"on": TODAY + DAY}, "has not come yet"),
        ({"on": date(2024, 12, 31)}, "cannot have left"),
    ],
)
def test_death_that_cannot_be_leaves_everything_as_it_was(
    changes: dict[str, Any], sentence: str
) -> None:
    stay = StayFactory.create()

    with pytest.raises(AnimalError, match=sentence) as refused:
        died(stay.animal, **changes)

    stay.refresh_from_db()
    stay.animal.refresh_from_db()
    assert refused.value.fields
    assert (stay.until_at, stay.animal.status) == (None, "in_care")
    assert not Death.objects.exists()
    assert not AuditEntry.objects.exists()


def test_animal_dies_once() -> None:
    animal = StayFactory.create().animal
    died(animal)

    with pytest.raises(DeathError, match="on 02 Mar 2026 is on record already"):
        died(animal)
    with pytest.raises(AnimalError, match="already"):
        died(AnimalFactory.create(left=True))


def test_one_marked_as_dead_before_gets_its_account() -> None:
    animal = AnimalFactory.create(status="dead", left_on=TODAY - DAY)

    with pytest.raises(DeathError, match="marked as dead since 01 Mar 2026"):
        died(animal)
    death = died(animal, on=TODAY - DAY)

    assert (death.animal, death.on) == (animal, TODAY - DAY)
    assert [e.verb for e in AuditEntry.objects.all()] == ["record_death"]


def test_necropsy_is_kept_in_the_vets_words() -> None:
    keeper, death = UserFactory.create(), DeathFactory.create()

    opened(death, by=keeper)

    death.refresh_from_db()
    assert (death.necropsy_on, death.necropsy_by, death.necropsy) == (
        TODAY,
        "A licensed vet of the tests",
        "Retained eggs.",
    )
    entry = AuditEntry.objects.get()
    assert (entry.verb, entry.by) == ("record_necropsy", keeper)
    assert entry.after["necropsy"] == "Retained eggs."
    with pytest.raises(DeathError, match="on record already"):
        opened(death)


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"necropsy_by": " "}, "necropsy_by"),
        ({"necropsy": ""}, "necropsy"),
        ({"necropsy_by": "x" * 161}, "necropsy_by"),
        ({"on": TODAY - DAY}, "on"),
        ({"on": TODAY + DAY}, "on"),
    ],
)
def test_necropsy_that_cannot_be_is_refused(
    changes: dict[str, Any], field: str
) -> None:
    death = DeathFactory.create()

    with pytest.raises(DeathError) as refused:
        opened(death, **changes)

    death.refresh_from_db()
    assert list(refused.value.fields) == [field]
    assert death.necropsy_on is None
    assert not AuditEntry.objects.exists()
