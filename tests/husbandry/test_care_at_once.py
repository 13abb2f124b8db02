"""The same list sent twice at the same moment is entered once, on either database."""

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest

from husbandry.actions.care_records import CareResult, strike_out
from husbandry.actions.chores import ChoreRow, record_chores
from husbandry.actions.doses import give_dose
from husbandry.actions.feeding_orders import order_feeding
from husbandry.actions.feedings import FeedingRow, record_feedings
from husbandry.actions.lamps import check_lamp, fit_lamp
from husbandry.actions.prescriptions import prescribe
from husbandry.models import (
    Chore,
    Dose,
    Feeding,
    FeedingOrder,
    Lamp,
    LampCheck,
    Prescription,
)
from husbandry.rules.care_entries import CareEntryError
from husbandry.rules.feeding_orders import FeedingOrderError
from husbandry.rules.health.giving import DoseError
from husbandry.rules.vocabulary import (
    ChoreKind,
    DoseUnit,
    FeedingOrderKind,
    LampKind,
    Route,
)
from tests.factories import (
    NOW,
    TODAY,
    CareProfileFactory,
    FeedingFactory,
    LampFactory,
    PrescriptionFactory,
    StayFactory,
    WeighingFactory,
)
from tests.husbandry import test_readings_at_once as at_once
from tests.husbandry.care_lists import KNOWN, REFUSED, STORED

pytestmark = pytest.mark.django_db(transaction=True)
shared_database = at_once.shared_database
HOUR = timedelta(hours=1)


def test_a_list_of_feedings(shared_database: Any) -> None:
    CareProfileFactory.create()
    animals = [StayFactory.create().animal for _ in range(5)]
    rows = [
        FeedingRow(animal=a.code, at=NOW - HOUR, feeder="feeder-crickets", offered=5)
        for a in animals
    ]
    results: list[CareResult] = []
    shared_database()

    def work(sent: list[FeedingRow]) -> None:
        results.extend(record_feedings(rows=sent, by=None, recorded_at=NOW))

    counted: list[int] = []
    raised = at_once.together(
        # In another order: who waits for whom must not go round in a circle.
        *(lambda: work(rows), lambda: work(rows[::-1])),
    )
    at_once.together(lambda: counted.append(Feeding.objects.count()))

    assert raised == []
    assert [r.outcome for r in results].count(STORED) == 5
    assert [r.outcome for r in results].count(KNOWN) == 5
    assert counted == [5]


def test_two_corrections_of_one_feeding(shared_database: Any) -> None:
    CareProfileFactory.create()
    old = FeedingFactory.create(at=NOW - HOUR)
    results: list[CareResult] = []
    shared_database()

    def correct(offered: int) -> None:
        said: dict[str, Any] = {"animal": old.animal.code, "at": NOW - HOUR}
        said |= {"feeder": "feeder-crickets", "corrects": old.pk}
        row = FeedingRow(**said, offered=offered, note=f"It was {offered}.")
        results.extend(record_feedings(rows=[row], by=None, recorded_at=NOW))

    raised = at_once.together(lambda: correct(8), lambda: correct(9))

    assert raised == []
    assert {r.outcome for r in results} == {STORED, REFUSED}
    (refused,) = [r for r in results if r.outcome is REFUSED]
    assert "was struck out already: It was " in refused.sentence


def test_an_entry_is_struck_out_by_one_of_two(shared_database: Any) -> None:
    feeding = FeedingFactory.create()
    shared_database()

    def strike(reason: str) -> None:
        strike_out(
            record=Feeding.objects.get(pk=feeding.pk), reason=reason, by=None, at=NOW
        )

    raised = at_once.together(lambda: strike("One."), lambda: strike("Other."))

    assert [type(error) for error in raised] == [CareEntryError]


def test_a_chore_a_lamp_and_its_reading(shared_database: Any) -> None:
    lamp = LampFactory.create()
    tub = lamp.enclosure
    row = ChoreRow(kind=ChoreKind.MISTING, at=NOW - HOUR, enclosure=tub.code)
    shared_database()

    def mist() -> None:
        record_chores(rows=[row], by=None, recorded_at=NOW)

    def fit() -> None:
        said: dict[str, Any] = {"label": "New", "fitted_on": TODAY, "by": None}
        fit_lamp(enclosure=tub, kind=LampKind.HEAT, at=NOW, **said)

    def check() -> None:
        said: dict[str, Any] = {"distance_cm": None, "by": None, "recorded_at": NOW}
        check_lamp(lamp=lamp, uv_index=Decimal(3), at=NOW - HOUR, **said)

    counted: list[int] = []
    raised = at_once.together(*[mist, fit, check] * 2)
    at_once.together(
        lambda: counted.extend(
            (Chore.objects.count(), Lamp.objects.count(), LampCheck.objects.count())
        )
    )

    assert raised == []
    assert counted == [1, 2, 1]


def test_two_orders_for_the_same_days(shared_database: Any) -> None:
    animal = StayFactory.create().animal
    shared_database()

    def order() -> None:
        said: dict[str, Any] = {"every_days": None, "portion": None, "unit": ""}
        said |= {"from_on": TODAY, "until_on": TODAY, "reason": "Before surgery."}
        order_feeding(
            animal=animal, kind=FeedingOrderKind.FAST, by=None, at=NOW, **said
        )

    counted: list[int] = []
    raised = at_once.together(order, order)
    at_once.together(lambda: counted.append(FeedingOrder.objects.count()))

    assert [type(error) for error in raised] == [FeedingOrderError]
    assert counted == [1]


def test_a_prescription_and_its_dose(shared_database: Any) -> None:
    """Two people at two screens must not double a dose between the look and the write."""
    animal = StayFactory.create().animal
    WeighingFactory.create(animal=animal, at=NOW - HOUR, mass_g=Decimal(120))
    asked: dict[str, Any] = {
        "animal": animal,
        "drug": "Invented syrup",
        "dose_per_kg": Decimal(10),
        "dose_unit": DoseUnit.MG_PER_KG,
        "concentration_mg_per_ml": Decimal(10),
        "route": Route.BY_MOUTH,
        "every_hours": 24,
        "first_at": NOW,
        "until_on": TODAY,
        "smallest_step_ml": Decimal("0.01"),
        "vet": "A licensed vet of the tests",
        "prescribed_on": TODAY,
        "reason": "",
        "by": None,
        "at": NOW,
    }
    # Of one drug, as they may be on record from before: both are due.
    old = [
        PrescriptionFactory.create(animal=animal, drug="Invented drops", first_at=NOW)
        for _ in range(2)
    ]
    shared_database()

    def give(row: Prescription) -> None:
        said = {"due_at": NOW, "given_at": NOW, "by": None, "recorded_at": NOW}
        give_dose(prescription=row, **said)

    counted: list[int] = []
    raised = at_once.together(lambda: prescribe(**asked), lambda: prescribe(**asked))
    doubled = at_once.together(lambda: give(old[0]), lambda: give(old[1]))
    at_once.together(
        lambda: counted.extend((Prescription.objects.count(), Dose.objects.count()))
    )

    assert raised == []
    assert [type(error) for error in doubled] == [DoseError]
    assert counted == [3, 1]
