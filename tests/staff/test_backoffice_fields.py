"""What each desk of the back office keeps of what was typed."""

from datetime import UTC, date, datetime
from decimal import Decimal

import pytest
from django.test import Client
from django.utils import timezone

from core.models import AuditEntry
from husbandry.models import (
    Animal,
    Enclosure,
    Probe,
    ReproductiveSpell,
    Setup,
    SightLine,
    Stay,
    Weighing,
)
from placements.models import Home, Placement
from tests.factories import (
    AnimalFactory,
    CareProfileFactory,
    EnclosureFactory,
    ReproductiveSpellFactory,
    StayFactory,
)
from tests.staff.record_forms import (
    animal_typed,
    enclosure_typed,
    errors,
    home_typed,
    move_typed,
    placement_typed,
    probe_typed,
    setup_typed,
    sight_line_typed,
    text,
    url,
    weighing_typed,
)

pytestmark = pytest.mark.django_db


def test_every_field_of_an_enclosure_and_its_setup_is_kept(owner: Client) -> None:
    owner.post(url("husbandry.enclosure"), enclosure_typed())
    owner.post(url("husbandry.setup"), setup_typed())

    enclosure, setup = Enclosure.objects.get(code="L-02"), Setup.objects.get()
    assert (enclosure.kind, enclosure.position) == ("screen", 2)
    assert (setup.width_cm, setup.height_cm) == (Decimal(61), Decimal(122))
    assert (str(setup.lights_on), str(setup.lights_off)) == ("07:00:00", "19:00:00")
    assert (setup.laying_bin, setup.misting) == (True, "by_timer")


def test_a_probe_measures_what_was_ticked(owner: Client) -> None:
    owner.post(url("husbandry.probe"), {**probe_typed(), "measures_uv_index": "on"})

    probe = Probe.objects.get()
    measured = (probe.measures_temperature, probe.measures_humidity)
    assert (*measured, probe.measures_uv_index) == (True, False, True)
    assert (probe.zone, probe.interval_s) == ("basking", 300)


def test_a_sight_line_is_kept_with_the_lower_first(owner: Client) -> None:
    owner.post(url("husbandry.sightline"), sight_line_typed())

    line = SightLine.objects.get()
    assert (line.enclosure_id, line.other_id) == (501, 502)


def test_every_field_of_an_animal_is_kept(owner: Client) -> None:
    dam = AnimalFactory.create(code="V-0", hatched_on=date(2023, 1, 1))
    typed = {**animal_typed(), "dam": dam.pk, "microchip": "620 0960 0000 0017"}

    answer = owner.post(url("husbandry.animal"), typed)

    assert (answer.status_code, errors(answer)) == (302, [])
    animal = Animal.objects.get(code="V-1")
    assert (animal.name, animal.sex, animal.sex_basis) == (
        *("Juno", "female", "heel_spur"),
    )
    assert (animal.hatched_on, animal.hatched_precision) == (date(2025, 9, 1), "month")
    assert (animal.dam_id, animal.sire_id, animal.origin) == (
        *(dam.pk, None, "surrendered"),
    )
    assert animal.microchip == "620096000000017"


def test_resting_ends_the_spell_that_is_open(owner: Client) -> None:
    spell = ReproductiveSpellFactory.create()
    typed = {"animal": spell.animal_id, "state": "resting", "from_on": "2026-03-11"}

    answer = owner.post(url("husbandry.reproductivespell"), typed)

    assert (answer.status_code, errors(answer)) == (302, [])
    assert ReproductiveSpell.objects.get().until_on == date(2026, 3, 10)


def test_a_move_is_done_now_or_by_the_clock_of_the_site(owner: Client) -> None:
    now = timezone.now()
    typed = move_typed()
    # Lisbon keeps UTC+1 in July.
    there = {**typed, "moved_at_0": "2025-07-01", "moved_at_1": "10:30"}
    owner.post(url("husbandry.stay"), there)
    other = EnclosureFactory.create()

    owner.post(url("husbandry.stay"), {**typed, "enclosure": other.pk})

    first, second = Stay.objects.order_by("from_at")
    assert first.from_at == datetime(2025, 7, 1, 9, 30, tzinfo=UTC)
    assert first.until_at == second.from_at
    assert now <= second.from_at <= timezone.now()
    assert (second.enclosure, second.reason) == (other, "Came today.")
    assert str(second.moved_by_id) == owner.session["_auth_user_id"]


def test_half_an_instant_is_asked_for_in_full(owner: Client) -> None:
    answer = owner.post(
        url("husbandry.stay"), {**move_typed(), "moved_at_0": "2026-01-01"}
    )

    assert "Enter a valid time." in str(errors(answer))
    assert not Stay.objects.exists()


def test_two_animals_do_not_share_by_mistake(owner: Client) -> None:
    CareProfileFactory.create()
    typed = move_typed()
    StayFactory.create(enclosure_id=typed["enclosure"])

    answer = owner.post(url("husbandry.stay"), typed)

    assert "wants each animal alone" in str(errors(answer)) or "lives there" in text(
        answer
    )
    assert Stay.objects.count() == 1


def test_a_weighing_is_at_the_instant_that_was_typed(owner: Client) -> None:
    past = {"weighed_at_0": "2025-07-01", "weighed_at_1": "08:00"}
    typed = weighing_typed()

    owner.post(url("husbandry.weighing"), {**typed, **past})

    row = Weighing.objects.get(mass_g=104)
    assert row.at == datetime(2025, 7, 1, 7, 0, tzinfo=UTC)
    assert row.note == "Before food."


def test_an_unlikely_mass_is_kept_with_a_reason(owner: Client) -> None:
    typed = {**weighing_typed(), "mass_g": "1040", "right_because": "Weighed twice."}

    answer = owner.post(url("husbandry.weighing"), typed)

    assert (answer.status_code, errors(answer)) == (302, [])
    row = Weighing.objects.get(mass_g=1040)
    assert row.note == "Weighed twice.; Before food."
    assert AuditEntry.objects.get().verb == "confirm_weighing"


def test_a_reason_confirms_nothing_that_nobody_doubted(owner: Client) -> None:
    owner.post(
        url("husbandry.weighing"),
        {**weighing_typed(), "right_because": "Just in case."},
    )

    assert AuditEntry.objects.get().verb == "record_weighing"
    assert Weighing.objects.get(mass_g=104).note == "Before food."


def test_an_impossible_mass_stays_refused(owner: Client) -> None:
    typed = {**weighing_typed(), "mass_g": "-4", "right_because": "It is."}

    answer = owner.post(url("husbandry.weighing"), typed)

    assert "it must be more than 0 g" in str(errors(answer))
    assert Weighing.objects.count() == 1


def test_a_home_stays_out_of_the_audit_trail(owner: Client) -> None:
    owner.post(url("placements.home"), home_typed())

    home = Home.objects.get()
    assert (home.name, home.contact) == ("Household Quay", "3 Quay")
    assert "Quay" not in str(list(AuditEntry.objects.values()))


def test_an_animal_has_one_plan_at_a_time(owner: Client) -> None:
    typed = placement_typed()
    owner.post(url("placements.placement"), typed)

    answer = owner.post(url("placements.placement"), typed)

    assert "has a planned placement already" in str(errors(answer))
    assert Placement.objects.count() == 1
