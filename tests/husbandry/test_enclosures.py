"""Enclosures, how they stand, what sees what, and probes."""

from datetime import date, time, timedelta
from decimal import Decimal
from typing import Any

import pytest

from core.models import AuditEntry
from husbandry.actions.enclosures import (
    EnclosureError,
    add_enclosure,
    add_probe,
    correct_setup,
    note_sight_line,
    remove_sight_line,
    retire_enclosure,
    retire_probe,
    set_up_enclosure,
)
from husbandry.actions.probes import ProbeError
from husbandry.actions.setups import SetupError
from husbandry.actions.sight_lines import SightLineError
from husbandry.models import Enclosure, Probe, ReviewRun, Setup, SightLine
from husbandry.queries.enclosures import enclosure_lines, setup_in_force
from husbandry.rules.vocabulary import EnclosureKind, Lights, Misting, Quantity, Zone
from tests.factories import (
    NOW,
    TODAY,
    AnimalFactory,
    EnclosureFactory,
    ProbeFactory,
    ReviewRunFactory,
    RoomFactory,
    SetupFactory,
    SightLineFactory,
    SiteFactory,
    StayFactory,
    UserFactory,
)

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)
CM = Decimal


def stale_days(enclosure: Enclosure) -> set[int]:
    runs = ReviewRun.objects.filter(site=enclosure.room.site, stale_since=NOW)
    return {(TODAY - on).days for on in runs.values_list("on", flat=True)}


def reviewed(enclosure: Enclosure, days: int = 4) -> None:
    for n in range(1, days + 1):
        ReviewRunFactory(site=enclosure.room.site, on=TODAY - n * DAY)
        ReviewRunFactory(on=TODAY - n * DAY)  # elsewhere


# Adding and retiring.


def test_an_enclosure_is_added() -> None:
    room, person = RoomFactory(), UserFactory()

    enclosure = add_enclosure(
        code=" N-12 ",
        room=room,
        kind=EnclosureKind.GLASS,
        by=person,
        at=NOW,
        position=3,
        notes="by the window",
    )

    enclosure.refresh_from_db()
    assert (enclosure.code, enclosure.room, enclosure.kind) == ("N-12", room, "glass")
    entry = AuditEntry.objects.get()
    assert (entry.verb, entry.by) == ("add_enclosure", person)
    assert entry.after == {
        "code": "N-12",
        "room": room.pk,
        "position": 3,
        "kind": "glass",
        "notes": "by the window",
    }


@pytest.mark.parametrize(
    ("code", "said"),
    [("", "no code"), ("x" * 21, "1 to 20"), ("TAKEN", "TAKEN already")],
)
def test_an_enclosure_that_cannot_be_is_refused(code: str, said: str) -> None:
    EnclosureFactory(code="TAKEN")

    with pytest.raises(EnclosureError, match=said):
        add_enclosure(
            code=code, room=RoomFactory(), kind=EnclosureKind.TUB, by=None, at=NOW
        )

    assert Enclosure.objects.count() == 1
    assert not AuditEntry.objects.exists()


def test_an_enclosure_is_retired_with_its_probes() -> None:
    enclosure = EnclosureFactory()
    probe, coming = (
        ProbeFactory(enclosure=enclosure),
        ProbeFactory(enclosure=enclosure, from_on=TODAY + DAY),
    )
    gone = ProbeFactory(enclosure=enclosure, retired_on=TODAY - 9 * DAY)

    retire_enclosure(enclosure=enclosure, on=TODAY, by=None, at=NOW, reason="broken")

    assert Enclosure.objects.get().retired_on == TODAY
    assert dict(Probe.objects.values_list("pk", "retired_on")) == {
        probe.pk: TODAY,
        coming.pk: TODAY + DAY,
        gone.pk: TODAY - 9 * DAY,
    }
    assert sorted(AuditEntry.objects.values_list("verb", "reason")) == [
        ("retire_enclosure", "broken"),
        ("retire_probe", ""),
        ("retire_probe", ""),
    ]


def test_an_enclosure_that_is_a_home_or_retired_is_not_retired() -> None:
    home = StayFactory(animal__code="V-1", animal__name="Juno").enclosure
    retired = EnclosureFactory(retired_on=TODAY - DAY)

    with pytest.raises(EnclosureError, match="the home of V-1 Juno; move them first"):
        retire_enclosure(enclosure=home, on=TODAY, by=None, at=NOW)
    with pytest.raises(EnclosureError, match="retired on 01 Mar 2026 already"):
        retire_enclosure(enclosure=retired, on=TODAY, by=None, at=NOW)

    assert not AuditEntry.objects.exists()


# Set-ups.

STANDS = {
    "from_on": TODAY - 2 * DAY,
    "width_cm": CM("61"),
    "depth_cm": CM("45.72"),
    "height_cm": CM("122"),
    "lights": Lights.TIMER,
    "lights_on": time(7),
    "lights_off": time(19),
    "laying_bin": True,
}
NATURAL = {"lights": Lights.NATURAL, "lights_on": None, "lights_off": None}


def test_a_set_up_holds_from_its_day_on() -> None:
    enclosure, person = EnclosureFactory(), UserFactory()
    reviewed(enclosure)

    setup = set_up_enclosure(**STANDS, enclosure=enclosure, by=person, at=NOW)

    setup.refresh_from_db()
    assert (setup.width_cm, setup.depth_cm, setup.height_cm) == (61, CM("45.7"), 122)
    assert stale_days(enclosure) == {1, 2}
    entry = AuditEntry.objects.get()
    assert (entry.verb, entry.by, entry.before) == ("set_up_enclosure", person, {})
    assert entry.after == {
        "from_on": "2026-02-28",
        "width_cm": "61.0",
        "depth_cm": "45.7",
        "height_cm": "122.0",
        "lights": "timer",
        "lights_on": "07:00:00",
        "lights_off": "19:00:00",
        "laying_bin": True,
        "misting": "by_hand",
        "notes": "",
    }


def test_who_mists_is_said_and_mended() -> None:
    enclosure = EnclosureFactory()

    setup = set_up_enclosure(
        **STANDS, enclosure=enclosure, misting=Misting.BY_TIMER, by=None, at=NOW
    )
    said = AuditEntry.objects.get()
    correct_setup(
        setup=setup, misting=Misting.BY_HAND, by=None, at=NOW, reason="no timer yet"
    )

    setup.refresh_from_db()
    assert (said.after["misting"], setup.misting) == ("by_timer", "by_hand")
    entry = AuditEntry.objects.latest("pk")
    assert (entry.before["misting"], entry.after["misting"]) == ("by_timer", "by_hand")


def test_natural_light_has_no_times() -> None:
    setup = set_up_enclosure(
        **(STANDS | NATURAL), enclosure=EnclosureFactory(), by=None, at=NOW
    )

    assert (setup.lights_on, setup.lights_off) == (None, None)


def test_the_same_set_up_again_changes_nothing() -> None:
    given = {"enclosure": EnclosureFactory(), "by": None, "at": NOW}

    first = set_up_enclosure(**STANDS, **given)

    assert set_up_enclosure(**STANDS, **given) == first
    assert Setup.objects.count() == AuditEntry.objects.count() == 1


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"width_cm": CM(0)}, "width_cm"),
        ({"depth_cm": CM("-1")}, "depth_cm"),
        ({"height_cm": CM("10000")}, "height_cm"),
        ({"height_cm": CM("NaN")}, "height_cm"),
        ({"height_cm": CM("0.04")}, "height_cm"),
        ({"lights_off": None}, "lights_off"),
        ({"lights_off": time(7)}, "lights_off"),
        ({"lights": Lights.NATURAL}, "lights_on"),
        ({"from_on": date(2026, 1, 1)}, "from_on"),
    ],
)
def test_a_set_up_that_cannot_be_is_refused(
    changes: dict[str, Any], field: str
) -> None:
    there = SetupFactory(from_on=date(2026, 1, 1))

    with pytest.raises(SetupError) as refused:
        set_up_enclosure(
            **(STANDS | changes), enclosure=there.enclosure, by=None, at=NOW
        )

    assert field in refused.value.fields
    assert Setup.objects.count() == 1
    assert not AuditEntry.objects.exists()


def test_a_set_up_is_mended_and_what_it_said_is_told() -> None:
    setup = SetupFactory(from_on=TODAY - 3 * DAY, height_cm=CM("12.2"))
    reviewed(setup.enclosure)

    mended = correct_setup(
        setup=setup,
        by=None,
        at=NOW,
        reason="a digit too few",
        height_cm=CM("121.92"),
        **NATURAL,
    )

    mended.refresh_from_db()
    assert (mended.height_cm, mended.lights) == (CM("121.9"), "natural")
    assert stale_days(setup.enclosure) == {1, 2, 3}
    entry = AuditEntry.objects.get()
    assert (entry.verb, entry.reason) == ("correct_setup", "a digit too few")
    assert (entry.before["height_cm"], entry.after["height_cm"]) == ("12.2", "121.9")


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"reason": ""}, "what was wrong"),
        ({}, "Nothing would change"),
        ({"height_cm": CM("122.0")}, "Nothing would change"),
        ({"height_cm": CM(0)}, "cannot be"),
        ({"lights_on": time(20)}, "must go off later"),
    ],
)
def test_a_mend_that_cannot_be_is_refused(changes: dict[str, Any], said: str) -> None:
    setup = SetupFactory()
    before = Setup.objects.values().get()

    with pytest.raises(SetupError, match=said):
        correct_setup(**({"reason": "x"} | changes), setup=setup, by=None, at=NOW)

    assert Setup.objects.values().get() == before


def test_the_newest_set_up_begun_by_a_day_is_in_force() -> None:
    old = SetupFactory(from_on=TODAY - 9 * DAY)
    new = SetupFactory(enclosure=old.enclosure, from_on=TODAY - 3 * DAY)
    days = [TODAY - n * DAY for n in (10, 9, 4, 3, 0)]

    found = [setup_in_force(enclosure=old.enclosure, on=on) for on in days]

    assert found == [None, old, old, new, new]


# Lines of sight.


def test_a_line_of_sight_is_noted_lower_first_and_removed() -> None:
    room = RoomFactory()
    one, two = EnclosureFactory(room=room), EnclosureFactory(room=room)
    reviewed(one)
    given = {"by": None, "at": NOW}

    line = note_sight_line(enclosure=two, other=one, from_on=TODAY - 2 * DAY, **given)

    assert (line.enclosure, line.other) == (one, two)
    assert stale_days(one) == {1, 2}
    remove_sight_line(enclosure=two, other=one, until_on=TODAY - DAY, **given)
    line.refresh_from_db()
    assert line.until_on == TODAY - DAY
    assert list(AuditEntry.objects.order_by("pk").values_list("verb", flat=True)) == [
        "note_sight_line",
        "remove_sight_line",
    ]
    # Taken away again, what stood between: a new line.
    assert note_sight_line(enclosure=one, other=two, from_on=TODAY, **given)


def test_a_line_of_sight_that_cannot_be_is_refused() -> None:
    line = SightLineFactory(
        other__room=RoomFactory(), from_on=TODAY - 5 * DAY
    )  # at two sites: only the action looks
    near = EnclosureFactory(room=line.enclosure.room)
    known = SightLineFactory(
        enclosure=line.enclosure, other=near, from_on=TODAY - 5 * DAY
    )
    note = {"enclosure": line.enclosure, "from_on": TODAY, "by": None, "at": NOW}
    remove = {"enclosure": line.enclosure, "by": None, "at": NOW}

    with pytest.raises(SightLineError, match="in sight of itself"):
        note_sight_line(**note, other=line.enclosure)
    with pytest.raises(SightLineError, match="different sites"):
        note_sight_line(**note, other=line.other)
    with pytest.raises(SightLineError, match="already"):
        note_sight_line(**note, other=known.other)
    with pytest.raises(SightLineError, match="cannot lie before that"):
        remove_sight_line(**remove, other=near, until_on=TODAY - 6 * DAY)
    with pytest.raises(SightLineError, match="not noted"):
        remove_sight_line(**remove, other=EnclosureFactory(), until_on=TODAY)

    assert SightLine.objects.count() == 2
    assert not AuditEntry.objects.exists()


# Probes.

MEASURES = {
    "code": "P-1",
    "zone": Zone.BASKING,
    "quantities": (Quantity.TEMPERATURE_C, Quantity.UV_INDEX),
    "interval_s": 300,
    "from_on": TODAY - 2 * DAY,
}


def test_a_probe_is_added() -> None:
    enclosure = EnclosureFactory()
    reviewed(enclosure)

    probe = add_probe(**MEASURES, enclosure=enclosure, by=None, at=NOW)

    probe.refresh_from_db()
    assert (probe.code, probe.zone, probe.interval_s) == ("P-1", "basking", 300)
    assert (
        probe.measures_temperature,
        probe.measures_humidity,
        probe.measures_uv_index,
    ) == (True, False, True)
    assert stale_days(enclosure) == {1, 2}
    entry = AuditEntry.objects.get()
    assert entry.verb == "add_probe"
    assert entry.after == {
        "code": "P-1",
        "enclosure": enclosure.pk,
        "zone": "basking",
        "interval_s": 300,
        "from_on": "2026-02-28",
        "quantities": ["temperature_c", "uv_index"],
    }


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"code": ""}, "no code for a probe"),
        ({"code": "x" * 41}, "1 to 40"),
        ({"code": "TAKEN"}, "TAKEN already"),
        ({"quantities": ()}, "must measure something"),
        ({"interval_s": 0}, "interval of 0 s"),
        ({"interval_s": 86_401}, "interval of 86401 s"),
        ({"from_on": TODAY}, "retired on 02 Mar 2026"),
    ],
)
def test_a_probe_that_cannot_be_is_refused(changes: dict[str, Any], said: str) -> None:
    ProbeFactory(code="TAKEN")
    enclosure = EnclosureFactory(retired_on=TODAY)

    with pytest.raises(ProbeError, match=said):
        add_probe(**(MEASURES | changes), enclosure=enclosure, by=None, at=NOW)

    assert Probe.objects.count() == 1
    assert not AuditEntry.objects.exists()


def test_a_probe_is_retired_once_and_not_before_it_began() -> None:
    probe = ProbeFactory(from_on=TODAY - 3 * DAY)
    reviewed(probe.enclosure)
    given = {"by": None, "at": NOW, "reason": "cable cut"}

    with pytest.raises(ProbeError, match="cannot lie before that"):
        retire_probe(probe=probe, on=TODAY - 4 * DAY, **given)
    retire_probe(probe=probe, on=TODAY - 2 * DAY, **given)
    with pytest.raises(ProbeError, match="retired on 28 Feb 2026 already"):
        retire_probe(probe=probe, on=TODAY, **given)

    assert Probe.objects.get().retired_on == TODAY - 2 * DAY
    assert stale_days(probe.enclosure) == {1, 2}
    entry = AuditEntry.objects.get()
    assert (entry.verb, entry.after, entry.reason) == (
        "retire_probe",
        {"retired_on": "2026-02-28"},
        "cable cut",
    )


# Queries.


def test_enclosures_as_people_list_them(django_assert_num_queries: Any) -> None:
    site = SiteFactory()
    room = RoomFactory(site=site, name="Nursery", position=1)
    second = EnclosureFactory(code="N-2", room=room, position=2)
    first = EnclosureFactory(code="N-1", room=room, position=1)
    EnclosureFactory()  # elsewhere
    SetupFactory(enclosure=first, from_on=TODAY - 9 * DAY, height_cm=CM(90))
    SetupFactory(enclosure=first, from_on=TODAY, height_cm=CM(122))
    SetupFactory(enclosure=first, from_on=TODAY + DAY, height_cm=CM(150))
    for place, code in ((2, "V-2"), (1, "V-1")):
        animal = AnimalFactory(code=code, name="")
        StayFactory(animal=animal, enclosure=first, place=place)
    ProbeFactory(code="P-2", enclosure=first)
    ProbeFactory(code="P-1", enclosure=first, retired_on=TODAY)
    ProbeFactory(code="P-0", enclosure=first, retired_on=TODAY - DAY)
    SightLineFactory(enclosure=second, other=first)

    with django_assert_num_queries(5):
        found = enclosure_lines(site=site, on=TODAY)

    assert [e.code for e in found] == ["N-1", "N-2"]
    n1, n2 = found
    assert n1.setup is not None
    assert (n1.setup.height_cm, n1.setup.lights) == (122, Lights.TIMER)
    assert (n1.animals, n1.probes, n1.in_sight_of) == (
        ("V-1", "V-2"),
        ("P-1", "P-2"),
        ("N-2",),
    )
    assert (n2.setup, n2.animals, n2.probes, n2.in_sight_of) == (None, (), (), ("N-1",))
