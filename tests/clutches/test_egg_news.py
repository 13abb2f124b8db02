"""Of each egg that hatched other programs are told, whichever way it was recorded."""

import pytest

from clutches.actions.ascribing import AscribedRow, ascribe_animals
from clutches.actions.eggs import EggChange, set_eggs
from clutches.actions.hatching import HatchingError, HatchlingRow, hatch_box
from clutches.models import Egg
from clutches.rules.vocabulary import EggState, FailureCause
from core.models import Notice
from husbandry.models import Species
from tests.clutches import test_hatching
from tests.clutches.test_ascribing import AT as LATER
from tests.clutches.test_ascribing import clutch_of, young_of
from tests.clutches.test_hatching import AT, ON, make_box
from tests.factories import WebhookFactory

pytestmark = pytest.mark.django_db
species = test_hatching.species


@pytest.fixture(autouse=True)
def hub() -> None:
    WebhookFactory.create(kinds=["egg.hatched"])


def told() -> list[tuple[int, dict[str, object]]]:
    rows = Notice.objects.order_by("pk")
    assert {row.kind for row in rows} <= {"egg.hatched"}
    return [(row.subject_id, row.data) for row in rows]


def test_a_box_that_hatches(species: Species) -> None:
    box, clutch = make_box(species, 2)
    eggs = list(Egg.objects.filter(clutch=clutch).order_by("number"))

    hatch_box(
        box=box,
        hatched_on=ON,
        rows=[HatchlingRow(egg) for egg in eggs],
        by=None,
        at=AT,
    )

    assert told() == [
        (egg.pk, {"clutch": "C-1", "number": n, "hatched_on": "2026-08-01"})
        for n, egg in enumerate(eggs, start=1)
    ]


def test_a_box_that_is_refused_tells_nothing(species: Species) -> None:
    box, clutch = make_box(species, 1)
    egg = Egg.objects.get(clutch=clutch)

    with pytest.raises(HatchingError):
        hatch_box(
            box=box,
            hatched_on=ON,
            rows=[HatchlingRow(egg), HatchlingRow(egg)],
            by=None,
            at=AT,
        )

    assert told() == []


def test_what_has_not_hatched_is_not_told(species: Species) -> None:
    _, clutch = make_box(species, 3)
    eggs = list(Egg.objects.filter(clutch=clutch).order_by("number"))

    set_eggs(
        changes=[
            EggChange(eggs[0], EggState.PIPPED),
            EggChange(eggs[1], EggState.FAILED, FailureCause.MOULD),
        ],
        on=ON,
        by=None,
        at=AT,
    )
    assert told() == []

    set_eggs(changes=[EggChange(eggs[0], EggState.HATCHED)], on=ON, by=None, at=AT)
    assert [pk for pk, _ in told()] == [eggs[0].pk]


def test_an_animal_that_is_ascribed_to_its_egg() -> None:
    clutch = clutch_of(2)

    ascribe_animals(
        clutch=clutch, rows=[AscribedRow(young_of(clutch), 1)], by=None, at=LATER
    )

    egg = clutch.eggs.get(number=1)
    data = {"clutch": clutch.code, "number": 1, "hatched_on": "2026-08-01"}
    assert told() == [(egg.pk, data)]
