"""What ends with a page of its own: an animal leaves. And what is put right later."""

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

import pytest
from django.contrib import admin
from django.db.models import Model
from django.test import Client
from django.utils import timezone

from core.admin import SteppedDesk
from core.models import AuditEntry
from core.roles import Role
from husbandry.models import Setup, Stay, Weighing
from husbandry.rules.vocabulary import AnimalStatus
from placements.models import Packet, Placement
from tests.factories import (
    NOW,
    AnimalFactory,
    ApiTokenFactory,
    DeathFactory,
    DeviceFactory,
    HealthTestFactory,
    HomeFactory,
    PacketFactory,
    PlacementFactory,
    PrescriptionFactory,
    SetupFactory,
    StayFactory,
    UnclaimedReadingsFactory,
    WebhookFactory,
    WeighingFactory,
)
from tests.staff.conftest import Visitor
from tests.staff.record_forms import errors, text, url
from tests.staff.test_backoffice import AUDIT, CARE, HANDS, MANAGE, OWNER, PLACE

pytestmark = pytest.mark.django_db
# Each step's address, and who may take it; a test below holds it complete.
STEPS = {
    ("core.apitoken", "revoke"): OWNER,
    ("husbandry.device", "bind"): MANAGE,
    ("husbandry.device", "unbind"): MANAGE,
    ("husbandry.device", "revoke"): MANAGE,
    ("core.webhook", "test"): MANAGE,
    ("core.webhook", "rotate"): MANAGE,
    ("core.webhook", "pause"): MANAGE,
    ("core.webhook", "resume"): MANAGE,
    ("core.webhook", "end"): MANAGE,
    ("husbandry.animal", "left"): MANAGE,
    ("husbandry.prescription", "give"): CARE,
    ("husbandry.prescription", "not-given"): CARE,
    ("husbandry.prescription", "stop"): AUDIT,
    ("husbandry.healthtest", "result"): CARE,
    ("husbandry.healthtest", "seen-by-vet"): CARE,
    ("husbandry.death", "necropsy"): MANAGE,
    ("husbandry.unclaimedreadings", "claim"): MANAGE,
    ("husbandry.unclaimedreadings", "discard"): MANAGE,
    ("placements.home", "keep"): PLACE,
    ("placements.home", "erase"): MANAGE,
    ("placements.placement", "hand-over"): PLACE,
    ("placements.placement", "make-lasting"): PLACE,
    ("placements.placement", "extend"): PLACE,
    ("placements.placement", "died-there"): PLACE,
}
LEAVING = [("husbandry.animal", "left"), ("placements.placement", "hand-over")]
MAKE: dict[str, Callable[[], Model]] = {
    "core.apitoken": ApiTokenFactory.create,
    "husbandry.device": DeviceFactory.create,
    "core.webhook": WebhookFactory.create,
    "husbandry.animal": AnimalFactory.create,
    "husbandry.prescription": PrescriptionFactory.create,
    "husbandry.healthtest": lambda: HealthTestFactory.create(
        result="found", result_on=date(2026, 2, 24), finding="Oocysts, few"
    ),
    "husbandry.death": DeathFactory.create,
    "husbandry.unclaimedreadings": UnclaimedReadingsFactory.create,
    "placements.home": HomeFactory.create,
    "placements.placement": PlacementFactory.create,
}
# Of those that have left already.
AFTERWARDS = ("make-lasting", "extend", "died-there")


def _made(label: str, slug: str) -> Model:
    if slug in AFTERWARDS:
        due_on = date(2026, 9, 1)
        return PlacementFactory.create(
            kind="foster", due_back_on=due_on, handed_over=True
        )
    if slug == "resume":
        return WebhookFactory.create(paused_at=NOW)
    return MAKE[label]()


SETUP = {
    "width_cm": "61",
    "depth_cm": "61",
    "height_cm": "122",
    "lights": "timer",
    "lights_on": "07:00",
    "lights_off": "19:00",
    "laying_bin": "",
    "misting": "by_hand",
    "notes": "",
}


def _entry(client: Client) -> AuditEntry:
    entry = AuditEntry.objects.latest("pk")
    assert str(entry.by_id) == client.session["_auth_user_id"]
    return entry


# Steps


def test_the_table_names_every_step() -> None:
    found = {
        (model._meta.label_lower, step.slug)
        for model, desk in admin.site._registry.items()
        if isinstance(desk, SteppedDesk)
        for step in desk.steps
    }

    assert found == set(STEPS)


@pytest.mark.parametrize("role", Role)
@pytest.mark.parametrize(("label", "slug"), STEPS)
def test_a_step_is_for_the_roles_of_the_table(
    label: str, slug: str, role: Role, visitor: Visitor
) -> None:
    row = _made(label, slug)
    place = url(label, f"{row.pk}/{slug}/")
    client = visitor(role)

    may = role in STEPS[label, slug]
    assert client.get(place).status_code == (200 if may else 403)
    assert client.post(place, {}).status_code == (200 if may else 403)
    shown = client.get(url(label, f"{row.pk}/change/"))
    assert (place in text(shown)) is may
    assert not AuditEntry.objects.exists()


@pytest.mark.parametrize(("label", "slug"), STEPS)
def test_a_step_of_nothing_is_not_there(label: str, slug: str, owner: Client) -> None:
    assert owner.get(url(label, f"7777/{slug}/")).status_code == 404


@pytest.mark.parametrize("status", ["dead", "lost"])
def test_an_animal_is_noted_as_dead_or_lost(status: str, owner: Client) -> None:
    stay = StayFactory.create()
    place = url("husbandry.animal", f"{stay.animal_id}/left/")
    left_on = timezone.now().date() - timedelta(days=2)
    typed = {"status": status, "on": left_on, "because": "Found in the morning."}

    answer = owner.post(place, typed, follow=True)

    stay.refresh_from_db()
    stay.animal.refresh_from_db()
    assert (stay.animal.status, stay.animal.left_on) == (status, left_on)
    assert stay.until_at is not None
    assert f"{stay.animal} is noted as dead or lost." in text(answer)
    assert place not in text(answer)
    _entry(owner)
    entry = AuditEntry.objects.get(verb="mark_left")
    assert entry.reason == "Found in the morning."


def test_an_animal_that_cannot_have_left_then_stays(owner: Client) -> None:
    animal = StayFactory.create().animal
    place = url("husbandry.animal", f"{animal.pk}/left/")
    typed = {"status": "dead", "on": "2199-01-01", "because": "Typed wrongly."}

    early = owner.post(place, typed)
    placed = owner.post(place, {**typed, "status": "placed"})
    gone = owner.post(
        url("husbandry.animal", f"{AnimalFactory.create(left=True).pk}/left/"),
        {**typed, "on": "2026-01-01"},
    )

    animal.refresh_from_db()
    assert "has not come yet" in str(errors(early))
    assert 'value="Typed wrongly."' in text(early)
    assert "Select a valid choice" in str(errors(placed))
    assert "already (placed)" in str(errors(gone))
    assert animal.status == AnimalStatus.IN_CARE
    assert not AuditEntry.objects.exists()


@pytest.mark.parametrize(("label", "slug"), LEAVING)
def test_who_lets_an_animal_go_reads_the_cautions(
    label: str, slug: str, owner: Client
) -> None:
    animal, placement = AnimalFactory.create(), PlacementFactory.create()
    row = animal if label == "husbandry.animal" else placement

    shown = text(owner.get(url(label, f"{row.pk}/{slug}/")))

    assert "Local law" in shown
    assert "release" in shown


def test_an_animal_is_handed_over_with_its_packet(visitor: Visitor) -> None:
    coordinator = visitor(Role.ADOPTION_COORDINATOR)
    stay = StayFactory.create()
    placement = PlacementFactory.create(animal=stay.animal, kind="sale")
    place = url("placements.placement", f"{placement.pk}/hand-over/")
    today = timezone.now().date() - timedelta(days=1)

    bare = coordinator.post(place, {"on": today})
    PacketFactory.create(placement=placement)
    early = coordinator.post(place, {"on": "2199-01-01"})
    placement.refresh_from_db()
    assert placement.state == "planned"
    assert not AuditEntry.objects.exists()
    taken = coordinator.post(place, {"on": today}, follow=True)
    again = coordinator.post(place, {"on": today})

    placement.refresh_from_db()
    stay.animal.refresh_from_db()
    assert "has no packet yet. Make one" in str(errors(bare))
    assert "has not come yet" in str(errors(early))
    assert f"{placement} is handed over." in text(taken)
    assert "it has to be planned" in str(errors(again))
    assert (placement.state, placement.handed_over_on) == ("handed_over", today)
    assert stay.animal.status == "placed"
    verbs = AuditEntry.objects.filter(by=coordinator.session["_auth_user_id"])
    assert set(verbs.values_list("verb", flat=True)) == {
        "mark_left",
        "plan_follow_up",
        "hand_over",
        "write_register",
    }


def test_a_stay_is_extended_and_planned_to_last(visitor: Visitor) -> None:
    coordinator = visitor(Role.ADOPTION_COORDINATOR)
    stay = _made("placements.placement", "extend")

    def take(slug: str, typed: dict[str, object]) -> str:
        place = url("placements.placement", f"{stay.pk}/{slug}/")
        return text(coordinator.post(place, typed, follow=True))

    late = take("extend", {"due_back_on": "2026-01-01"})
    extended = take("extend", {"due_back_on": "2026-12-01"})
    lent = take("make-lasting", {"kind": "loan", "planned_on": "2026-03-03"})
    lasting = take("make-lasting", {"kind": "sale", "planned_on": "2026-03-03"})

    assert "it is due back later" in late
    assert f"{stay} is due back on another day." in extended
    assert "Select a valid choice" in lent
    assert f"{stay} is planned to be made lasting." in lasting
    assert Placement.objects.get(follows=stay).kind == "sale"


def test_a_death_there_is_noted(owner: Client) -> None:
    stay = _made("placements.placement", "died-there")
    place = url("placements.placement", f"{stay.pk}/died-there/")

    owner.post(place, {"on": "2026-03-04", "because": "Found in the morning."})

    stay.refresh_from_db()
    assert (stay.state, stay.ended_on) == ("died_there", date(2026, 3, 4))


def test_a_placement_leads_to_its_packet(owner: Client) -> None:
    placement = PlacementFactory.create()
    off = PlacementFactory.create(state="called_off")
    form = f"/admin/placements/packet/add/?placement={placement.pk}"

    shown = text(owner.get(url("placements.placement", f"{placement.pk}/change/")))
    called_off = text(owner.get(url("placements.placement", f"{off.pk}/change/")))
    asked = text(owner.get(form))

    assert f'href="{form}"' in shown
    assert "Make its packet" not in called_off
    assert f'<option value="{placement.pk}" selected>' in asked
    assert f'<option value="{off.pk}"' not in asked


def test_a_packet_with_nothing_new_to_say_is_the_one_on_record(owner: Client) -> None:
    typed = {"placement": PlacementFactory.create().pk}

    first = owner.post(url("placements.packet"), typed, follow=True)
    owner.post(url("placements.packet"), typed)

    packet = Packet.objects.get()
    assert f"Packet {packet.number}, version 1: print it" in text(first)
    assert f'href="/packets/{packet.pk}.pdf"' in text(first)
    assert packet.sha256 in text(first)


# Put right


def test_an_animal_is_taken_out_now_or_as_it_was_done(keeper: Client) -> None:
    now = timezone.now()
    first, second = StayFactory.create(), StayFactory.create()
    one = url("husbandry.stay", f"{first.pk}/change/")
    other = url("husbandry.stay", f"{second.pk}/change/")
    # Lisbon keeps UTC in March, until its last Sunday.
    there = {"out_at_0": "2026-03-01", "out_at_1": "10:30", "because": "To the vet."}

    early = keeper.post(other, {**there, "out_at_0": "2199-01-01"})
    keeper.post(one, {"because": ""})
    done = keeper.post(other, there)

    first.refresh_from_db()
    second.refresh_from_db()
    assert "has not come yet" in str(errors(early))
    assert 'value="2199-01-01"' in text(early)
    assert (done.status_code, errors(done)) == (302, [])
    assert first.until_at is not None
    assert now <= first.until_at <= timezone.now()
    assert second.until_at == datetime(2026, 3, 1, 10, 30, tzinfo=UTC)
    assert second.animal.status == AnimalStatus.IN_CARE
    assert not Stay.objects.filter(until_at__isnull=True).exists()
    entry = _entry(keeper)
    assert (entry.verb, entry.reason) == ("move_animal", "To the vet.")
    assert entry.after["enclosure"] is None
    assert keeper.post(other, there).status_code == 403


def test_a_weighing_is_corrected_by_a_new_row(keeper: Client) -> None:
    stay = StayFactory.create()
    at = datetime(2026, 3, 1, 9, tzinfo=UTC)
    old = WeighingFactory.create(animal=stay.animal, at=at, mass_g=Decimal(1040))
    place = url("husbandry.weighing", f"{old.pk}/change/")
    typed = {"right_mass_g": "104", "because": "A digit too many."}

    offered = text(keeper.get(place))
    silent = keeper.post(place, {**typed, "because": ""})
    idle = keeper.post(place, {**typed, "right_mass_g": "1040"})
    impossible = keeper.post(place, {**typed, "right_mass_g": "-4"})
    done = keeper.post(place, {**typed, "mass_g": "7", "note": "Typed over."})

    assert 'name="right_mass_g" value="1040.00"' in offered
    assert "This field is required" in str(errors(silent))
    assert "nothing would change" in str(errors(idle))
    assert "it must be more than 0 g" in str(errors(impossible))
    assert (done.status_code, errors(done)) == (302, [])
    new = Weighing.objects.get(corrects=old)
    assert (new.mass_g, new.at, new.note) == (104, at, "A digit too many.")
    old.refresh_from_db()
    assert (old.mass_g, old.at, old.note) == (1040, at, "")
    entry = _entry(keeper)
    assert (entry.verb, entry.before["mass_g"]) == ("correct_weighing", "1040.00")
    assert keeper.post(place, typed).status_code == 403


def test_the_time_of_a_weighing_is_corrected_by_the_sites_clock(keeper: Client) -> None:
    stay = StayFactory.create(from_at=datetime(2025, 6, 1, tzinfo=UTC))
    old = WeighingFactory.create(
        animal=stay.animal, at=datetime(2025, 7, 2, 7, tzinfo=UTC)
    )
    typed = {"right_mass_g": str(old.mass_g), "because": "The day before."}
    typed |= {"right_at_0": "2025-07-01", "right_at_1": "08:00"}

    keeper.post(url("husbandry.weighing", f"{old.pk}/change/"), typed)

    # Lisbon keeps UTC+1 in July.
    assert Weighing.objects.get(corrects=old).at == datetime(2025, 7, 1, 7, tzinfo=UTC)


def test_a_setup_is_corrected_with_a_reason(owner: Client) -> None:
    setup = SetupFactory.create(
        width_cm=Decimal(16), depth_cm=Decimal(61), height_cm=Decimal(122)
    )
    since = setup.from_on
    place = url("husbandry.setup", f"{setup.pk}/change/")
    typed = {**SETUP, "because": "Two digits changed places."}

    dark = owner.post(place, {**typed, "lights_on": ""})
    owner.post(place, {**typed, "from_on": "2020-01-01"})
    idle = owner.post(place, typed)

    setup = Setup.objects.get()
    assert "A timer needs both times" in str(errors(dark))
    assert "Nothing would change" in str(errors(idle))
    assert (setup.width_cm, setup.from_on) == (61, since)
    entry = _entry(owner)
    assert (entry.verb, entry.reason) == ("correct_setup", "Two digits changed places.")


@pytest.mark.parametrize("role", Role)
def test_who_may_not_puts_nothing_right(role: Role, visitor: Visitor) -> None:
    client = visitor(role)
    rows = (
        (StayFactory.create(), HANDS),
        (WeighingFactory.create(), CARE),
        (SetupFactory.create(), MANAGE),
    )

    for row, roles in rows:
        # Without a word why, nothing is done where it would be let in.
        place = url(row._meta.label_lower, f"{row.pk}/change/")
        answer = client.post(place, {"out_at_0": "2026-03-01"})
        assert answer.status_code == (200 if role in roles else 403), row

    assert not AuditEntry.objects.exists()
