"""Planning, packing, handing over and calling off, with real rows."""

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

import pytest

from core.errors import DomainError, NotFoundError
from core.models import AuditEntry
from husbandry.actions.profiles import load_shipped_profiles
from husbandry.models import Animal, Stay
from husbandry.rules.vocabulary import Period, Quantity, Zone
from placements.actions.handing_over import GatesShutError, hand_over
from placements.actions.homes import add_home
from placements.actions.packets import PacketBusyError, make_packet
from placements.actions.placements import (
    AlreadyPlannedError,
    NotInCareError,
    call_off,
    plan_placement,
)
from placements.actions.states import PlacementStateError
from placements.models import Home, Packet, Placement
from placements.queries.facts import packet_facts
from placements.queries.packets import load_packet
from placements.queries.placements import placements
from placements.rules.packets.documents import PacketAlteredError
from placements.rules.vocabulary import PlacementKind, PlacementState
from tests import factories

pytestmark = pytest.mark.django_db
AT = datetime(2026, 3, 18, 15, 0, tzinfo=UTC)
LEAVES_ON = date(2026, 3, 20)


def animal_with_history() -> Animal:
    factories.OrganisationFactory()
    load_shipped_profiles(by=None, at=datetime(2025, 1, 1, tzinfo=UTC))
    animal = factories.AnimalFactory(species__code="veiled_chameleon")
    enclosure = factories.EnclosureFactory()
    factories.SetupFactory(enclosure=enclosure)
    factories.StayFactory(animal=animal, enclosure=enclosure)
    probe = factories.ProbeFactory(enclosure=enclosure)
    factories.ConditionsFactory(probe=probe, on=date(2026, 3, 10))
    factories.WeighingFactory(
        animal=animal, at=datetime(2026, 3, 1, 9, tzinfo=UTC), mass_g=Decimal("101.50")
    )
    return animal


def placement_of(animal: Animal) -> Placement:
    # Nothing but its packet is asked of a sale where no policy says more.
    return factories.PlacementFactory(
        animal=animal, kind=PlacementKind.SALE.value, planned_on=LEAVES_ON
    )


def test_add_home_keeps_personal_data_out_of_the_audit_trail() -> None:
    home = add_home(name=" Mill Lane ", contact="2 Mill Lane", by=None, at=AT)

    assert home.name == "Mill Lane"
    entry = AuditEntry.objects.get(verb="add_home")
    assert "Mill" not in f"{entry.before} {entry.after} {entry.reason}"


def test_add_home_without_a_name_is_refused() -> None:
    with pytest.raises(DomainError, match="needs a name"):
        add_home(name="  ", contact="", by=None, at=AT)

    assert not Home.objects.exists()


def test_plan_placement() -> None:
    user = factories.UserFactory()
    animal, home = factories.AnimalFactory(), factories.HomeFactory()

    placement = plan_placement(
        animal=animal,
        home=home,
        kind=PlacementKind.SALE,
        planned_on=LEAVES_ON,
        by=user,
        at=AT,
    )

    placement.refresh_from_db()
    assert (placement.kind, placement.state) == ("sale", "planned")
    assert AuditEntry.objects.get(verb="plan_placement").by == user


def test_plan_twice_is_refused() -> None:
    animal = factories.AnimalFactory()
    placement_of(animal)

    with pytest.raises(AlreadyPlannedError, match="planned placement already"):
        plan_placement(
            animal=animal,
            home=factories.HomeFactory(),
            kind=PlacementKind.SALE,
            planned_on=LEAVES_ON,
            by=None,
            at=AT,
        )

    assert Placement.objects.count() == 1
    assert not AuditEntry.objects.filter(verb="plan_placement").exists()


@pytest.mark.parametrize(
    ("left", "planned_on", "error"),
    [(True, LEAVES_ON, NotInCareError), (False, date(2024, 12, 31), DomainError)],
)
def test_plan_of_what_cannot_be_is_refused(
    left: bool, planned_on: date, error: type[DomainError]
) -> None:
    with pytest.raises(error):
        plan_placement(
            animal=factories.AnimalFactory(left=left),
            home=factories.HomeFactory(),
            kind=PlacementKind.ADOPTION,
            planned_on=planned_on,
            by=None,
            at=AT,
        )

    assert not Placement.objects.exists()


def test_make_packet_freezes_what_is_known() -> None:
    animal = animal_with_history()
    packet = make_packet(placement=placement_of(animal), by=None, at=AT)

    found = load_packet(packet.pk)

    assert (found.number, found.version) == ("P-2026-0001", 1)
    assert found.document.animal.code == animal.code
    assert [w.mass_g for w in found.document.history.weighings] == [Decimal("101.5")]
    (condition,) = found.document.history.conditions
    assert (condition.zone, condition.period, condition.mean) == (
        Zone.AMBIENT,
        Period.DAY,
        Decimal(24),
    )
    (stay,) = found.document.history.stays
    assert (stay.width_cm, stay.height_cm) == (Decimal(61), Decimal(122))
    plan = found.document.plan
    assert plan is not None
    night = next(
        t
        for t in plan.targets
        if (t.quantity, t.zone, t.period)
        == (Quantity.TEMPERATURE_C, Zone.AMBIENT, Period.NIGHT)
    )
    # Common practice, no source: 55–65 °F by night is 12.8–18.3 °C.
    assert (night.low, night.high) == (Decimal("12.8"), Decimal("18.3"))


def test_packet_of_an_animal_nothing_is_known_of() -> None:
    animal = factories.AnimalFactory(hatched_on=None, hatched_precision="unknown")

    packet = make_packet(placement=placement_of(animal), by=None, at=AT)

    document = load_packet(packet.pk).document
    assert document.plan is None
    assert document.keeper == ""
    assert document.history.stays == ()
    assert document.time_zone == "UTC"


def test_packet_names_no_person() -> None:
    animal = animal_with_history()
    vet = factories.UserFactory(first_name="Zenobia", last_name="Quill")
    factories.TargetOverrideFactory(animal=animal, made_by=vet, until_on=LEAVES_ON)
    placement = placement_of(animal)

    packet = make_packet(placement=placement, by=vet, at=AT)

    text = str(packet.snapshot)
    assert "on the vet's word" in text
    for name in ("Zenobia", "Quill", placement.home.name, "Mill Lane"):
        assert name not in text


def test_same_content_returns_the_packet_that_is_there() -> None:
    placement = placement_of(animal_with_history())
    first = make_packet(placement=placement, by=None, at=AT)

    again = make_packet(placement=placement, by=None, at=AT + timedelta(minutes=5))

    assert again == first
    assert Packet.objects.count() == 1
    assert AuditEntry.objects.filter(verb="make_packet").count() == 1


def test_correction_is_a_new_version_and_the_old_one_stays() -> None:
    animal = animal_with_history()
    placement = placement_of(animal)
    first = make_packet(placement=placement, by=None, at=AT)
    Animal.objects.filter(pk=animal.pk).update(microchip="985112345678901")

    second = make_packet(placement=placement, by=None, at=AT)

    assert (second.number, second.version) == ("P-2026-0001v2", 2)
    assert load_packet(first.pk).document.animal.microchip == ""
    assert load_packet(second.pk).document.animal.microchip == "985112345678901"


def test_numbers_run_without_gaps_through_a_year() -> None:
    def number(at: datetime) -> str:
        placement = placement_of(factories.AnimalFactory())
        return make_packet(placement=placement, by=None, at=at).number

    assert [number(AT), number(AT), number(AT + timedelta(days=300)), number(AT)] == [
        "P-2026-0001",
        "P-2026-0002",
        "P-2027-0001",
        "P-2026-0003",
    ]


def test_altered_packet_is_refused() -> None:
    packet = make_packet(placement=placement_of(animal_with_history()), by=None, at=AT)
    packet.snapshot["animal"]["sex"] = "male"
    packet.save(update_fields=["snapshot"])

    with pytest.raises(PacketAlteredError):
        load_packet(packet.pk)


def test_packet_that_is_not_there() -> None:
    with pytest.raises(NotFoundError, match="999"):
        load_packet(999)


def test_records_made_later_are_left_out() -> None:
    animal = animal_with_history()
    factories.WeighingFactory(animal=animal, at=AT + timedelta(hours=1))

    packet = make_packet(placement=placement_of(animal), by=None, at=AT)

    assert len(packet.snapshot["history"]["weighings"]) == 1


def test_corrected_weighing_is_left_out() -> None:
    animal = animal_with_history()
    wrong = factories.WeighingFactory(
        animal=animal, at=datetime(2026, 3, 5, 9, tzinfo=UTC), mass_g=Decimal("12.00")
    )
    factories.WeighingFactory(
        animal=animal, at=wrong.at, mass_g=Decimal("102.00"), corrects=wrong
    )

    packet = make_packet(placement=placement_of(animal), by=None, at=AT)

    masses = [w["mass_g"] for w in packet.snapshot["history"]["weighings"]]
    assert masses == ["101.5", "102"]


def test_findings_of_its_enclosure_count_only_while_it_lived_there() -> None:
    animal = animal_with_history()
    enclosure = Stay.objects.get(animal=animal).enclosure
    told = {"animal": None, "enclosure": enclosure, "kind": "stuck_probe"}
    factories.FindingFactory(
        key="a",
        opened_on=date(2024, 5, 1),
        last_seen_on=date(2024, 5, 3),
        closed_on=date(2024, 5, 4),
        **told,
    )
    factories.FindingFactory(
        key="b",
        opened_on=date(2026, 2, 1),
        last_seen_on=date(2026, 2, 1),
        closed_on=date(2026, 2, 2),
        **told,
    )
    factories.FindingFactory(animal=animal, withdrawn_on=date(2026, 3, 3))
    factories.FindingFactory()

    packet = make_packet(placement=placement_of(animal), by=None, at=AT)

    found = packet.snapshot["history"]["findings"]
    assert [(f["kind"], f["opened_on"]) for f in found] == [
        ("stuck_probe", "2026-02-01")
    ]


@pytest.mark.parametrize("count", [1, 3])
def test_number_of_queries_does_not_grow(
    count: int, django_assert_max_num_queries: object
) -> None:
    animal = animal_with_history()
    for n in range(count):
        factories.WeighingFactory(animal=animal, at=AT - timedelta(days=n + 20))
        factories.FindingFactory(animal=animal, key=f"k{n}")
        factories.ConditionsFactory(
            probe__enclosure=Stay.objects.get(animal=animal).enclosure
        )
    placement = placement_of(animal)

    with django_assert_max_num_queries(34):  # type: ignore[operator] - a fixture
        packet_facts(placement=placement, at=AT)


def test_hand_over_changes_placement_animal_and_stay_together() -> None:
    animal = animal_with_history()
    placement = placement_of(animal)
    make_packet(placement=placement, by=None, at=AT)
    left_at = datetime(2026, 3, 20, 11, 0, tzinfo=UTC)

    hand_over(placement=placement, on=LEAVES_ON, by=None, at=left_at)

    placement.refresh_from_db()
    animal.refresh_from_db()
    assert (placement.state, placement.handed_over_on) == ("handed_over", LEAVES_ON)
    assert (animal.status, animal.left_on) == ("placed", LEAVES_ON)
    assert Stay.objects.get(animal=animal).until_at == left_at
    assert AuditEntry.objects.filter(verb="hand_over").count() == 1


def test_hand_over_without_a_packet_is_refused() -> None:
    placement = placement_of(animal_with_history())

    with pytest.raises(GatesShutError, match="It has no packet yet"):
        hand_over(placement=placement, on=LEAVES_ON, by=None, at=AT)

    placement.refresh_from_db()
    assert placement.state == "planned"


def test_hand_over_that_fails_half_way_changes_nothing() -> None:
    animal = animal_with_history()
    placement = placement_of(animal)
    make_packet(placement=placement, by=None, at=AT)

    # The day is still to come at AT, which the animal's own action refuses.
    with pytest.raises(DomainError):
        hand_over(placement=placement, on=LEAVES_ON, by=None, at=AT)

    stored = Placement.objects.get(pk=placement.pk)
    assert (stored.state, stored.handed_over_on) == ("planned", None)
    assert Animal.objects.get(pk=animal.pk).status == "in_care"


def test_packet_can_still_be_corrected_after_the_hand_over() -> None:
    animal = animal_with_history()
    placement = placement_of(animal)
    make_packet(placement=placement, by=None, at=AT)
    hand_over(
        placement=placement,
        on=LEAVES_ON,
        by=None,
        at=datetime(2026, 3, 20, 11, 0, tzinfo=UTC),
    )

    second = make_packet(
        placement=placement, by=None, at=datetime(2026, 3, 22, tzinfo=UTC)
    )

    assert second.version == 2
    assert second.snapshot["on"] == "2026-03-20"


def test_call_off_keeps_the_packet_and_frees_the_animal() -> None:
    animal = animal_with_history()
    placement = placement_of(animal)
    packet = make_packet(placement=placement, by=None, at=AT)

    call_off(placement=placement, reason="They moved away.", by=None, at=AT)

    placement.refresh_from_db()
    assert placement.state == PlacementState.CALLED_OFF
    assert load_packet(packet.pk).number == packet.number
    assert AuditEntry.objects.get(verb="call_off").reason == "They moved away."
    placement_of(animal)


@pytest.mark.parametrize(
    ("verb", "more"),
    [
        (make_packet, {}),
        (hand_over, {"on": LEAVES_ON}),
        (call_off, {"reason": "Twice."}),
    ],
    ids=["make_packet", "hand_over", "call_off"],
)
def test_called_off_placement_stands_still(
    verb: Callable[..., object], more: dict[str, object]
) -> None:
    placement = placement_of(factories.AnimalFactory())
    call_off(placement=placement, reason="", by=None, at=AT)

    with pytest.raises(PlacementStateError, match="called off"):
        verb(placement=placement, by=None, at=AT, **more)


def test_placements_come_soonest_first_with_their_packets(
    django_assert_num_queries: object,
) -> None:
    later = factories.PlacementFactory(planned_on=date(2026, 5, 1))
    sooner = placement_of(factories.AnimalFactory())
    make_packet(placement=sooner, by=None, at=AT)

    found = list(placements())

    assert found == [sooner, later]
    with django_assert_num_queries(0):  # type: ignore[operator] - a fixture
        assert [p.number for p in found[0].packets.all()] == ["P-2026-0001"]


def test_number_that_is_taken_for_good_is_refused_with_a_sentence() -> None:
    # A second version without a first: the count never passes its number.
    factories.PacketFactory(number="P-2026-0001", version=2)
    placement = placement_of(factories.AnimalFactory())

    with pytest.raises(PacketBusyError, match="Try again"):
        make_packet(placement=placement, by=None, at=AT)

    assert not placement.packets.exists()
