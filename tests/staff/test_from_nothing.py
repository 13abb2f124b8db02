"""The first day of an installation: from an empty database to the hand-over."""

import io
import re
from datetime import date, datetime, time, timedelta
from html import unescape
from pathlib import Path
from typing import Any, TypeVar
from zoneinfo import ZoneInfo

import pytest
from django.core.management import call_command
from django.db.models import Model
from django.test import Client
from django.utils import timezone

from core.models import AuditEntry, Organisation, Room, Site, User
from husbandry.models import (
    Animal,
    Enclosure,
    Finding,
    Probe,
    Setup,
    Species,
    Stay,
    Weighing,
)
from placements.models import GateOpening, Home, Packet, Placement
from tests.staff.record_forms import errors, url

pytestmark = pytest.mark.django_db
PASSWORD = "a cool misty night"  # of an invented person
M = TypeVar("M", bound=Model)
ZONE = ZoneInfo("Atlantic/Cape_Verde")  # every local day has 24 hours there


def _days() -> tuple[date, date, date]:
    """Return the last finished local day, the one before it, and a day to come."""
    today = timezone.now().astimezone(ZONE).date()
    return today - timedelta(days=1), today - timedelta(days=2), today + timedelta(10)


def _owner(monkeypatch: pytest.MonkeyPatch) -> Client:
    """Make the first person by hand, and sign in as one does."""
    monkeypatch.setattr("sys.stdin", io.StringIO(f"{PASSWORD}\n"))
    call_command("add_person", "ines", "--role", "owner")
    client = Client()
    answer = client.post("/sign-in/", {"username": "ines", "password": PASSWORD})
    assert answer.status_code == 302
    return client


def _add(client: Client, model: type[M], **typed: Any) -> M:
    """Fill in the form that adds a row, and return the row."""
    answer = client.post(url(model._meta.label_lower), typed)
    assert (answer.status_code, errors(answer)) == (302, [])
    return model._default_manager.latest("pk")


def _log(path: Path, on: date, day_c: float, night_c: float) -> Path:
    """Write what a logger would: a local day, a row every five minutes."""
    start = datetime.combine(on, time.min)
    rows = ["Date,Temperature (°C)"]
    for step in range(288):
        at = start + timedelta(minutes=5 * step)
        base = day_c if time(7) <= at.time() < time(19) else night_c
        rows.append(f"{at:%Y-%m-%d %H:%M:%S},{base + 0.1 * (step % 5):.1f}")
    path.write_text("\n".join(rows) + "\n", "utf-8")
    return path


def _shown(client: Client, path: str) -> str:
    words = re.sub("<[^>]*>", " ", unescape(client.get(path).content.decode()))
    return " ".join(words.split())


def _place(client: Client, since: date) -> Enclosure:
    """Type a site with a room, an enclosure as it stands, and its two probes."""
    _add(client, Organisation, name="Quinta do Freixo", contact="")
    site = _add(
        *(client, Site),
        code="quinta",
        name="Quinta",
        time_zone=ZONE.key,
        latitude_deg="14.9",
        longitude_deg="-23.5",
    )
    room = _add(client, Room, site=site.pk, code="long", name="Long room", position=1)
    enclosure = _add(
        *(client, Enclosure), code="L-01", room=room.pk, kind="screen", position=1
    )
    _add(
        *(client, Setup),
        enclosure=enclosure.pk,
        from_on=since,
        width_cm="61",
        depth_cm="61",
        height_cm="122",
        lights="timer",
        lights_on="07:00",
        lights_off="19:00",
        misting="by_timer",
    )
    for code, zone in (("L-01-bask", "basking"), ("L-01-air", "ambient")):
        _add(
            *(client, Probe),
            code=code,
            enclosure=enclosure.pk,
            zone=zone,
            measures_temperature="on",
            interval_s="300",
            from_on=since,
        )
    return enclosure


def _arrive(client: Client, enclosure: Enclosure, on: date) -> Animal:
    """Type an animal, put it into its enclosure and on the scales."""
    animal = _add(
        *(client, Animal),
        code="V-0001",
        name="Fava",
        species=Species.objects.get(code="veiled_chameleon").pk,
        arrived_on=on,
        sex="male",
        sex_basis="heel_spur",
        sex_confidence="confirmed",
        hatched_on=on - timedelta(days=600),
        hatched_precision="day",
        origin="surrendered",
    )
    _add(
        *(client, Stay),
        animal=animal.pk,
        enclosure=enclosure.pk,
        moved_at_0=on,
        moved_at_1="10:00",
    )
    _add(
        *(client, Weighing),
        animal=animal.pk,
        mass_g="140",
        weighed_at_0=on,
        weighed_at_1="10:15",
    )
    return animal


def _hand_over(client: Client, animal: Animal, planned_on: date) -> None:
    """Plan a sale, print its packet, open the gate that is shut, and hand it over."""
    home = _add(
        *(client, Home),
        name="Household Quay",
        contact="3 Quay",
        kind="household",
        units="metric",
        paper="a4",
        language="en",
    )
    placement = _add(
        *(client, Placement),
        animal=animal.pk,
        home=home.pk,
        kind="sale",
        planned_on=planned_on,
    )
    _add(client, Packet, placement=placement.pk)
    left_on = timezone.now().astimezone(ZONE).date()
    place = url("placements.placement", f"{placement.pk}/hand-over/")
    refused = client.post(place, {"on": left_on})
    assert "This has to be seen to first: below target since" in str(errors(refused))
    # The lamp burnt out here; where it goes a new one hangs.
    _add(
        *(client, GateOpening),
        placement=placement.pk,
        gate="nothing_urgent",
        reason="The lamp burnt out here; a new one hangs there.",
    )
    packet = _add(client, Packet, placement=placement.pk)
    printed = client.get(f"/packets/{packet.pk}.pdf")
    assert (printed.status_code, printed.content[:5]) == (200, b"%PDF-")
    answer = client.post(place, {"on": left_on})

    assert (answer.status_code, errors(answer)) == (302, [])
    placement.refresh_from_db()
    animal.refresh_from_db()
    assert (placement.state, placement.handed_over_on) == ("handed_over", left_on)
    assert (animal.status, animal.left_on) == ("placed", left_on)
    assert not Stay.objects.filter(until_at__isnull=True).exists()


def _typed_by(name: str) -> list[str]:
    entries = AuditEntry.objects.filter(by__username=name).order_by("pk")
    return list(entries.values_list("verb", flat=True))


def test_from_an_empty_database_to_the_hand_over(
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    tmp_path: Path,
) -> None:
    assert not User.objects.exists()
    on, before, later = _days()

    client = _owner(monkeypatch)
    enclosure = _place(client, before)
    call_command("load_profiles")
    animal = _arrive(client, enclosure, before)

    # A night: the lamp burnt out, the air was as wanted.
    basking = _log(tmp_path / "bask.csv", on, day_c=21, night_c=16)
    ambient = _log(tmp_path / "air.csv", on, day_c=24, night_c=16)
    call_command("import_readings", str(basking), "--probe", "L-01-bask")
    call_command("import_readings", str(ambient), "--probe", "L-01-air")
    call_command("nightly", on.isoformat())

    said = capsys.readouterr().out
    assert said.count("288 readings stored, 0 known already.") == 2
    assert f"Quinta, night of {on:%d %b %Y}: done, 1 animal, 2 probes" in said
    found = set(Finding.objects.values_list("kind", "urgency", "animal"))
    assert found == {
        ("below_target", "today", animal.pk),
        ("unmeasured_target", "watch", animal.pk),
        ("care_unrecorded", "watch", None),
    }
    morning = _shown(client, "/")
    assert "for 1 animal. 100 % of the data from 2 probes were there." in morning
    assert "V-0001 Fava (Long room, L-01)" in morning
    # The band is the shipped profile's for grown males; the rest is from the file.
    assert (
        "Temperature at the basking spot by day: below the wanted 28.3–30.6 °C "
        "for 12 h of 12 h measured (1 h tolerated), 12 h at a stretch from 07:00; "
        "mean 21.2 °C, lowest 21.0 °C."
    ) in morning
    assert (
        "Wanted, but measured by nothing: humidity in the enclosure, "
        "UV index at the basking spot."
    ) in morning

    _hand_over(client, animal, later)

    assert _typed_by("ines") == [
        *("name_organisation", "add_site", "add_room", "add_enclosure"),
        *("set_up_enclosure", "add_probe", "add_probe"),
        *("register_animal", "move_animal", "record_weighing"),
        *("add_home", "plan_placement", "make_packet"),
        *("open_gate", "make_packet", "mark_left"),
        *("plan_follow_up",) * 3,
        "hand_over",
        "write_register",
    ]
