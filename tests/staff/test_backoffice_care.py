"""The care book in the back office: kept as typed, struck out, ended."""

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

import pytest
from django.test import Client
from django.utils import timezone

from core.models import AuditEntry
from core.roles import Role
from husbandry.models import (
    Chore,
    Feeding,
    FeedingOrder,
    Lamp,
    LampCheck,
    Measuring,
    Observation,
)
from tests.factories import (
    AnimalFactory,
    CareProfileFactory,
    ChoreFactory,
    EnclosureFactory,
    FeedingFactory,
    FeedingOrderFactory,
    LampCheckFactory,
    LampFactory,
    MeasuringFactory,
    ObservationFactory,
    SpeciesFactory,
    StayFactory,
)
from tests.staff.conftest import Visitor
from tests.staff.record_forms import (
    chore_typed,
    errors,
    feeding_order_typed,
    feeding_typed,
    lamp_check_typed,
    lamp_typed,
    measuring_typed,
    observation_typed,
    text,
    url,
)

pytestmark = pytest.mark.django_db
RECORDS = {
    "feeding": FeedingFactory,
    "observation": ObservationFactory,
    "measuring": MeasuringFactory,
    "chore": ChoreFactory,
    "lampcheck": LampCheckFactory,
}


# What was typed


def test_every_field_of_a_feeding_is_kept(keeper: Client) -> None:
    keeper.post(url("husbandry.feeding"), {**feeding_typed(), "assisted": "on"})

    row = Feeding.objects.get()
    assert (row.feeder, row.offered, row.eaten) == ("feeder-crickets", 5, 4)
    assert (row.supplements, row.assisted) == (["plain-calcium"], True)
    # Lisbon keeps UTC in January.
    assert (row.at, row.note) == (datetime(2026, 1, 2, 10, tzinfo=UTC), "One got away.")
    assert str(row.recorded_by_id) == keeper.session["_auth_user_id"]


def test_sign_that_no_profile_names_is_offered_until_it_is_gone(
    keeper: Client,
) -> None:
    seen = ObservationFactory.create(kind="sign", sign="sign-old", observed="present")
    place = url("husbandry.observation")

    form = text(keeper.get(place))
    typed = {
        "animal": seen.animal_id,
        "kind": "sign",
        "sign": "sign-old",
        "observed": "gone",
    }
    answer = keeper.post(place, typed)

    assert '<option value="sign-old">' in form
    assert answer.status_code == 302
    assert Observation.objects.latest("pk").observed == "gone"
    assert '<option value="sign-old">' not in text(keeper.get(place))


def test_every_field_of_an_observation_is_kept(keeper: Client) -> None:
    now, typed = timezone.now(), observation_typed()
    sign = keeper.post(url("husbandry.observation"), typed)
    droppings = {**typed, "kind": "droppings", "sign": "", "observed": "loose"}
    laying = {**typed, "kind": "laying", "sign": "", "observed": "begun", "eggs": "3"}
    keeper.post(url("husbandry.observation"), {**droppings, "urates": "orange"})
    keeper.post(url("husbandry.observation"), laying)

    assert errors(sign) == []
    rows = list(Observation.objects.order_by("pk"))
    assert [(r.kind, r.sign, r.observed, r.urates, r.eggs) for r in rows] == [
        ("sign", "sign-dark", "present", "", None),
        ("droppings", "", "loose", "orange", None),
        ("laying", "", "begun", "", 3),
    ]
    assert now <= rows[0].at <= timezone.now()
    assert str(rows[0].look_again_on) == typed["look_again_on"]
    assert rows[0].note == "Since the morning."


def test_lengths_chores_lamps_and_readings_are_kept(owner: Client) -> None:
    owner.post(url("husbandry.measuring"), measuring_typed())
    owner.post(url("husbandry.chore"), chore_typed())
    tub = EnclosureFactory.create()
    misting = {"kind": "misting", "enclosure": tub.pk, "room": "", "feeder": ""}
    there = {"done_at_0": "2025-07-01", "done_at_1": "10:30"}
    owner.post(url("husbandry.chore"), {**misting, **there})
    owner.post(url("husbandry.lamp"), lamp_typed())
    owner.post(url("husbandry.lampcheck"), lamp_check_typed())

    measuring, reading = Measuring.objects.get(), LampCheck.objects.get()
    assert (measuring.snout_vent_cm, measuring.total_cm) == (Decimal("18.5"), 35)
    loaded, misted = Chore.objects.order_by("pk")
    assert (loaded.kind, loaded.feeder, loaded.enclosure) == (
        *("gut_loading", "feeder-crickets", None),
    )
    # Lisbon keeps UTC+1 in July.
    assert (misted.enclosure, misted.at) == (
        *(tub, datetime(2025, 7, 1, 9, 30, tzinfo=UTC)),
    )
    lamp = Lamp.objects.earliest("pk")
    assert (lamp.kind, lamp.label, lamp.fitted_on) == (
        *("uvb_tube", "T5, 6 %", date(2026, 1, 1)),
    )
    assert (reading.uv_index, reading.distance_cm) == (Decimal("3.2"), 30)


def test_food_and_signs_are_chosen_by_name_from_the_profiles_in_use(
    keeper: Client,
) -> None:
    CareProfileFactory.create()
    AnimalFactory.create(left=True)
    nobody_here = text(keeper.get(url("husbandry.feeding")))
    AnimalFactory.create()
    AnimalFactory.create(species=SpeciesFactory.create(code="without_profile"))

    feeding = text(keeper.get(url("husbandry.feeding")))
    observation = text(keeper.get(url("husbandry.observation")))
    chore = text(keeper.get(url("husbandry.chore")))

    assert "feeder-crickets" not in nobody_here
    assert '<option value="feeder-crickets">Crickets</option>' in feeding
    assert "Plain calcium without vitamin D3" in feeding
    assert '<option value="feeder-crickets">Crickets</option>' in chore
    assert ">Seizures, collapse, or the head held tilted.</option>" in observation


def test_what_is_unwise_is_kept_and_said(keeper: Client) -> None:
    typed = {**feeding_typed(), "feeder": "feeder-dead"}

    answer = keeper.post(url("husbandry.feeding"), typed, follow=True)

    assert "Freeze-dried or dead insects are never fed" in text(answer)
    assert Feeding.objects.get().feeder == "feeder-dead"


def test_the_same_again_is_shown_and_a_struck_out_one_is_refused(
    keeper: Client,
) -> None:
    typed = feeding_typed()
    keeper.post(url("husbandry.feeding"), typed)
    row = Feeding.objects.get()

    again = keeper.post(url("husbandry.feeding"), typed)
    keeper.post(
        url("husbandry.feeding", f"{row.pk}/change/"),
        {"strike_out_because": "Another animal."},
    )
    after = keeper.post(url("husbandry.feeding"), typed)

    assert (again.status_code, errors(again)) == (302, [])
    assert "was struck out: Another animal." in str(errors(after))
    assert Feeding.objects.count() == 1


# Struck out, ended


@pytest.mark.parametrize("label", RECORDS)
def test_an_entry_is_struck_out_once_with_a_reason(label: str, keeper: Client) -> None:
    row = RECORDS[label].create()
    place = url(f"husbandry.{label}", f"{row.pk}/change/")
    before = type(row)._default_manager.values().get(pk=row.pk)
    typed = {"strike_out_because": "The other animal.", "note": "Typed over."}

    offered = text(keeper.get(place))
    silent = keeper.post(place, {"strike_out_because": ""})
    done = keeper.post(place, typed)

    assert "Strike it out, because" in offered
    assert "This field is required" in str(errors(silent))
    assert (done.status_code, errors(done)) == (302, [])
    row.refresh_from_db()
    assert row.struck_at is not None
    assert (row.struck_reason, str(row.struck_by_id)) == (
        *("The other animal.", keeper.session["_auth_user_id"]),
    )
    struck = {"struck_at": None, "struck_by_id": None, "struck_reason": ""}
    after = type(row)._default_manager.values().get(pk=row.pk)
    assert {**after, **struck} == before
    entry = AuditEntry.objects.get()
    assert (entry.verb, entry.reason) == ("strike_out", "The other animal.")
    assert keeper.post(place, typed).status_code == 403


@pytest.mark.parametrize("label", RECORDS)
def test_who_may_not_strikes_nothing_out(label: str, visitor: Visitor) -> None:
    row = RECORDS[label].create()

    answer = visitor(Role.VIEWER).post(
        url(f"husbandry.{label}", f"{row.pk}/change/"), {"strike_out_because": "No."}
    )

    assert answer.status_code == 403
    row.refresh_from_db()
    assert row.struck_at is None


def test_a_lamp_is_removed_once_and_not_measured_any_more(owner: Client) -> None:
    lamp = LampFactory.create(label="Old tube")
    place = url("husbandry.lamp", f"{lamp.pk}/change/")

    early = owner.post(place, {"last_on": "2025-12-31"})
    done = owner.post(place, {"last_on": "2026-02-01"})

    lamp.refresh_from_db()
    assert "was fitted on 01 Jan 2026" in str(errors(early))
    assert (done.status_code, lamp.removed_on) == (302, date(2026, 2, 1))
    assert AuditEntry.objects.get().verb == "remove_lamp"
    assert owner.post(place, {"last_on": "2026-02-02"}).status_code == 403
    assert str(lamp) not in text(owner.get(url("husbandry.lampcheck")))


def test_an_order_is_made_and_withdrawn_by_a_vet(visitor: Visitor) -> None:
    vet = visitor(Role.VET)
    done = vet.post(url("husbandry.feedingorder"), feeding_order_typed())
    row = FeedingOrder.objects.get()
    place = url("husbandry.feedingorder", f"{row.pk}/change/")

    silent = vet.post(place, {"withdraw_reason": ""})
    vet.post(place, {"withdraw_reason": "Eats again.", "portion": "9"})

    row.refresh_from_db()
    assert (done.status_code, errors(done)) == (302, [])
    assert "This field is required" in str(errors(silent))
    assert (row.kind, row.every_days, row.portion, row.unit) == ("assist", 2, 3, "mL")
    assert row.withdrawn_at is not None
    verbs = list(AuditEntry.objects.order_by("pk").values_list("verb", flat=True))
    assert verbs == ["order_feeding", "withdraw_feeding_order"]
    assert vet.post(place, {"withdraw_reason": "Again."}).status_code == 403


@pytest.mark.parametrize(
    "make", [FeedingOrderFactory.create, LampFactory.create], ids=["order", "lamp"]
)
def test_a_keeper_ends_neither_orders_nor_lamps(
    make: Callable[[], FeedingOrder | Lamp], keeper: Client
) -> None:
    row = make()
    typed = {"withdraw_reason": "x", "last_on": "2026-02-01"}

    answer = keeper.post(url(row._meta.label_lower, f"{row.pk}/change/"), typed)

    assert answer.status_code == 403
    assert not AuditEntry.objects.exists()


def test_a_fast_is_ordered_without_amounts(visitor: Visitor) -> None:
    typed = {**feeding_order_typed(), "kind": "fast"}
    none = {"every_days": "", "portion": "", "unit": ""}
    vet = visitor(Role.VET)

    amounts = vet.post(url("husbandry.feedingorder"), typed)
    vet.post(url("husbandry.feedingorder"), {**typed, **none})

    assert "In a fast nothing is offered" in str(errors(amounts))
    row = FeedingOrder.objects.get()
    assert (row.kind, row.portion) == ("fast", None)
    assert row.until_on == timezone.localdate() + timedelta(days=9)


def test_the_time_of_a_feeding_is_by_the_clock_where_it_lives(keeper: Client) -> None:
    typed = feeding_typed()
    stay = StayFactory.create(enclosure__room__site__time_zone="Pacific/Auckland")

    keeper.post(url("husbandry.feeding"), {**typed, "animal": stay.animal_id})

    # Auckland keeps UTC+13 in January.
    assert Feeding.objects.get().at == datetime(2026, 1, 1, 21, tzinfo=UTC)
