"""Ending and mending in the back office; what is on record stays as it is."""

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta

import pytest
from django.db.models import Model
from django.test import Client
from django.utils import timezone

from core.models import AuditEntry
from core.roles import Role
from husbandry.models import Animal, Stay, Weighing
from placements.models import Home, Placement
from tests.factories import (
    NOW,
    HomeFactory,
    PacketFactory,
    PlacementFactory,
    ProbeFactory,
    ReproductiveSpellFactory,
    SightLineFactory,
    StayFactory,
    WeighingFactory,
)
from tests.staff.conftest import Visitor
from tests.staff.record_forms import (
    Form,
    animal_typed,
    errors,
    placement_typed,
    text,
    url,
)

pytestmark = pytest.mark.django_db


def _ended(client: Client, row: Model, typed: Form) -> None:
    answer = client.post(url(row._meta.label_lower, f"{row.pk}/change/"), typed)
    assert (answer.status_code, errors(answer)) == (302, [])
    row.refresh_from_db()
    entry = AuditEntry.objects.latest("pk")
    assert str(entry.by_id) == client.session["_auth_user_id"]


def test_an_enclosure_is_retired_with_its_probes_once_it_is_empty(
    owner: Client,
) -> None:
    stay = StayFactory.create()
    probe = ProbeFactory.create(enclosure=stay.enclosure)
    place = url("husbandry.enclosure", f"{stay.enclosure_id}/change/")
    typed = {"unused_from_on": "2026-02-01", "because": "Rusty."}

    refused = owner.post(place, typed)
    Stay.objects.update(until_at=datetime(2026, 1, 1, tzinfo=UTC))
    _ended(owner, stay.enclosure, typed)

    probe.refresh_from_db()
    assert f"is the home of {stay.animal}; move them first" in str(errors(refused))
    assert 'value="Rusty."' in text(refused)
    assert (stay.enclosure.retired_on, probe.retired_on) == (date(2026, 2, 1),) * 2
    assert owner.post(place, typed).status_code == 403


def test_a_probe_is_retired_once(owner: Client) -> None:
    probe = ProbeFactory.create(from_on=date(2026, 1, 1))
    place = url("husbandry.probe", f"{probe.pk}/change/")

    early = owner.post(place, {"last_on": "2025-12-31"})
    _ended(owner, probe, {"last_on": "2026-02-01", "because": "Broken."})

    assert "its last day cannot lie before that" in str(errors(early))
    assert probe.retired_on == date(2026, 2, 1)
    assert AuditEntry.objects.get().reason == "Broken."
    assert owner.post(place, {"last_on": "2026-02-02"}).status_code == 403


def test_a_sight_line_ends_where_something_stands_between(owner: Client) -> None:
    line = SightLineFactory.create()

    _ended(owner, line, {"last_on": "2026-02-01"})

    assert line.until_on == date(2026, 2, 1)
    assert AuditEntry.objects.get().verb == "remove_sight_line"


def test_an_animal_is_corrected_with_a_reason(owner: Client) -> None:
    owner.post(url("husbandry.animal"), animal_typed())
    animal = Animal.objects.get()
    typed = {**animal_typed(), "sex": "male", "because": "A spur after all."}
    place = url("husbandry.animal", f"{animal.pk}/change/")

    silent = owner.post(place, {**typed, "because": ""})
    idle = owner.post(place, {**animal_typed(), "because": "No reason."})
    _ended(owner, animal, typed)

    assert "This field is required" in str(errors(silent))
    assert "Nothing would change" in str(errors(idle))
    assert animal.sex == "male"
    entry = AuditEntry.objects.latest("pk")
    assert (entry.verb, entry.reason) == ("correct_animal", "A spur after all.")
    assert (entry.before, entry.after) == ({"sex": "female"}, {"sex": "male"})


def test_what_an_animal_became_is_not_typed_over(owner: Client) -> None:
    owner.post(url("husbandry.animal"), animal_typed())
    animal = Animal.objects.get()
    typed = {**animal_typed(), "name": "Juna", "status": "dead", "because": "A slip."}

    _ended(owner, animal, typed)

    assert (animal.name, animal.status, animal.left_on) == ("Juna", "in_care", None)


def test_a_placement_is_called_off_once(visitor: Visitor) -> None:
    coordinator = visitor(Role.ADOPTION_COORDINATOR)
    placement = PlacementFactory.create()
    place = url("placements.placement", f"{placement.pk}/change/")

    _ended(coordinator, placement, {"because": "They moved abroad."})

    assert placement.state == "called_off"
    assert AuditEntry.objects.get().reason == "They moved abroad."
    assert coordinator.post(place, {"because": "Again."}).status_code == 403


def _ended_stay() -> Stay:
    return StayFactory.create(until_at=timezone.now())


def _corrected_weighing() -> Weighing:
    weighing = WeighingFactory.create()
    WeighingFactory.create(animal=weighing.animal, corrects=weighing)
    return weighing


def _erased_home() -> Home:
    return HomeFactory.create(name="(erased)", contact="", erased_at=NOW)


@pytest.mark.parametrize(
    "make",
    [
        _ended_stay,
        _corrected_weighing,
        ReproductiveSpellFactory.create,
        _erased_home,
        PacketFactory.create,
    ],
)
def test_what_is_on_record_is_not_typed_over(
    make: Callable[[], Model], owner: Client
) -> None:
    row = make()
    before = type(row)._default_manager.values().get(pk=row.pk)
    typed = {**before, "mass_g": "1", "name": "Other", "notes": "Other"}

    answer = owner.post(
        url(row._meta.label_lower, f"{row.pk}/change/"),
        {name: value for name, value in typed.items() if value is not None},
    )

    assert answer.status_code == 403
    assert type(row)._default_manager.values().get(pk=row.pk) == before
    assert not AuditEntry.objects.exists()


def test_a_new_record_opens_with_its_details(owner: Client) -> None:
    owner.post(url("placements.placement"), placement_typed())
    row = Placement.objects.get()

    shown = text(owner.get(url("placements.placement", f"{row.pk}/change/")))

    assert str(row.animal) in shown
    assert str(row.home) in shown
    assert "Call it off, because" in shown
    assert row.created_at > timezone.now() - timedelta(minutes=5)
