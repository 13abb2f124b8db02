"""An animal's page leads to how it came, whether it is kept apart, and how it leaves."""

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from core.roles import Role
from husbandry.models import Animal
from tests import factories
from tests.staff.conftest import Visitor

pytestmark = pytest.mark.django_db


def read(client: Client, animal: Animal) -> str:
    answer = client.get(f"/animals/{animal.pk}/")
    assert answer.status_code == 200
    return " ".join(answer.content.decode().split())


def history(animal: Animal) -> None:
    factories.IntakeFactory.create(animal=animal)
    factories.EarlierCareFactory.create(animal=animal)
    factories.PlacementFactory.create(animal=animal, kind="sale", state="called_off")


def test_each_reads_what_the_role_may_see(visitor: Visitor) -> None:
    animal = factories.AnimalFactory.create()
    factories.QuarantineFactory.create(animal=animal)
    history(animal)

    owner, viewer = (
        read(visitor(Role.OWNER), animal),
        read(visitor(Role.VIEWER), animal),
    )

    for told in ("In quarantine", "Was in care before", "As it came", "Sale"):
        assert told in owner
    assert "Whom it may suit" in owner
    assert "In quarantine" in viewer
    for told in ("As it came", "/placements/1", "Whom it may suit"):
        assert told not in viewer


def test_an_ancestor_that_has_come_is_taken_in_under_its_code(
    visitor: Visitor,
) -> None:
    animal = factories.AnimalFactory.create(
        code="X 7", status="elsewhere", left_on=factories.TODAY
    )

    assert "/arrivals/new/?again=X+7" in read(visitor(Role.KEEPER), animal)


def test_a_long_history_asks_no_more_often(visitor: Visitor) -> None:
    animal, client = factories.AnimalFactory.create(), visitor(Role.OWNER)
    history(animal)
    read(client, animal)

    def asked() -> int:
        with CaptureQueriesContext(connection) as queries:
            read(client, animal)
        return len(queries)

    one = asked()
    factories.IntakeFactory.create(animal=animal)
    factories.PlacementFactory.create(animal=animal, state="called_off")

    assert asked() == one
