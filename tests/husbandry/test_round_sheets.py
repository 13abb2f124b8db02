"""The sheet of a round from the database: what it holds, and by how many queries."""

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.db import connection
from django.test.utils import CaptureQueriesContext
from pypdf import PdfReader

from core.errors import NotFoundError
from husbandry.queries.rounds import room_named, rooms_in_walking_order, round_sheet
from husbandry.rules.round_sheets import LastWeight, RoundProfile
from husbandry.rules.vocabulary import RoundNoteKind, TaskKind, Urgency
from tests.factories import (
    AnimalFactory,
    EnclosureFactory,
    FeedingFactory,
    FeedingOrderFactory,
    FindingFactory,
    LampFactory,
    ObservationFactory,
    PrescriptionFactory,
    QuarantineFactory,
    ReproductiveSpellFactory,
    ReviewRunFactory,
    RoomFactory,
    SetupFactory,
    SiteFactory,
    StayFactory,
)
from tests.nightly.world import World, make_world, weigh

pytestmark = pytest.mark.django_db
ON = date(2026, 3, 2)
AT = datetime(2026, 3, 2, 6, 10, tzinfo=UTC)
OVERDUE = {"every_days": 7, "last_on": "2026-02-01", "days": 29, "last_g": "101.0"}


@pytest.fixture
def world() -> World:
    return make_world()


def another(world: World) -> None:
    """One more animal in the room, with something of every kind on record."""
    enclosure = EnclosureFactory.create(room=world.room)
    SetupFactory.create(enclosure=enclosure)
    LampFactory.create(enclosure=enclosure)
    animal = AnimalFactory.create(species=world.species)
    StayFactory.create(animal=animal, enclosure=enclosure)
    weigh(animal, ON - timedelta(days=1), "101.5")
    FeedingFactory.create(animal=animal, at=AT - timedelta(days=1))
    FeedingOrderFactory.create(animal=animal)
    ObservationFactory.create(animal=animal, at=AT - timedelta(days=1))
    PrescriptionFactory.create(animal=animal)
    ReproductiveSpellFactory.create(animal=animal)
    for subject in ({"animal": animal}, {"animal": None, "enclosure": enclosure}):
        FindingFactory.create(
            site=world.site,
            key=f"weighing_overdue:{animal.pk}:{len(subject)}",
            evidence=OVERDUE,
            opened_on=ON - timedelta(days=1),
            last_seen_on=ON - timedelta(days=1),
            **subject,
        )


def reviewed(world: World, on: date) -> None:
    ReviewRunFactory.create(site=world.site, on=on)


def test_a_sheet_holds_the_rooms_day(world: World) -> None:
    reviewed(world, ON - timedelta(days=1))

    sheet = round_sheet(room=world.room, on=ON, at=AT)

    assert (sheet.place.site, sheet.place.room.name) == (world.site.code, "Adults")
    assert (sheet.on, sheet.made_at, sheet.night) == (ON, AT, date(2026, 3, 1))
    assert sheet.profiles == (RoundProfile("Veiled chameleon", 1),)
    (stop,) = sheet.stops
    (animal,) = stop.animals
    assert (stop.code, animal.code) == ("A-01", world.animal.code)
    assert animal.last_weight == LastWeight(Decimal("140.00"), date(2026, 3, 1))
    assert {task.kind for task in stop.tasks} == {TaskKind.MIST}
    assert animal.stage == "Adult"


def test_more_animals_cost_no_more_queries(world: World) -> None:
    reviewed(world, ON - timedelta(days=1))
    another(world)
    counts = []
    for _ in range(2):
        with CaptureQueriesContext(connection) as caught:
            round_sheet(room=world.room, on=ON, at=AT)
        counts.append(len(caught))
        another(world)
        another(world)

    assert counts[0] == counts[1]


def test_other_rooms_stand_on_other_sheets(world: World) -> None:
    other = RoomFactory.create(site=world.site, name="Nursery")
    enclosure = EnclosureFactory.create(room=other)
    animal = AnimalFactory.create(species=world.species)
    StayFactory.create(animal=animal, enclosure=enclosure)
    reviewed(world, ON - timedelta(days=1))
    for subject in ({"animal": animal}, {"animal": None, "enclosure": enclosure}):
        FindingFactory.create(
            site=world.site,
            key=f"k{len(subject)}",
            evidence=OVERDUE,
            opened_on=date(2026, 3, 1),
            **subject,
        )

    sheet = round_sheet(room=world.room, on=ON, at=AT)

    assert [a.code for a in sheet.animals] == [world.animal.code]
    assert sheet.findings == ()
    assert [s.findings for s in sheet.stops] == [()]


def test_findings_are_those_of_the_night_before(world: World) -> None:
    def found(key: str, opened_on: date, closed_on: date | None, **more: Any) -> int:
        return FindingFactory.create(
            site=world.site,
            key=key,
            animal=world.animal,
            evidence=OVERDUE,
            opened_on=opened_on,
            last_seen_on=opened_on,
            closed_on=closed_on,
            **more,
        ).pk

    stands = found("a", date(2026, 2, 27), None, urgency=Urgency.TODAY.value)
    until_later = found("b", date(2026, 2, 27), ON)
    found("c", date(2026, 2, 27), date(2026, 3, 1))
    found("d", ON, None)
    reviewed(world, date(2026, 3, 1))
    reviewed(world, ON)

    sheet = round_sheet(room=world.room, on=ON, at=AT)

    assert sheet.night == date(2026, 3, 1)
    assert [f.id for f in sheet.animals[0].findings] == [stands, until_later]


def test_what_concerns_the_room_or_the_site_stands_at_the_head(world: World) -> None:
    def found(key: str, **evidence: str) -> int:
        return FindingFactory.create(
            site=world.site,
            key=key,
            animal=None,
            evidence={**OVERDUE, **evidence},
            opened_on=date(2026, 3, 1),
        ).pk

    # Two rooms of one name; and the night's name for a room may have changed since.
    other = RoomFactory.create(site=world.site, name="Adults")
    of_site = found(f"care_unrecorded:site:{world.site.pk}")
    of_room = found(f"gut_load_missed:room:{world.room.pk}:roaches", room="Old name")
    found(f"gut_load_missed:room:{other.pk}:roaches", room="Adults")
    reviewed(world, date(2026, 3, 1))

    sheet = round_sheet(room=world.room, on=ON, at=AT)

    assert {f.id for f in sheet.findings} == {of_site, of_room}


def test_what_is_wrong_where_nobody_lives_is_a_stop(world: World) -> None:
    empty = EnclosureFactory.create(room=world.room, code="Z-09")
    finding = FindingFactory.create(
        site=world.site,
        key="no_data:probe:1",
        animal=None,
        enclosure=empty,
        evidence=OVERDUE,
        opened_on=date(2026, 3, 1),
    )
    reviewed(world, date(2026, 3, 1))

    sheet = round_sheet(room=world.room, on=ON, at=AT)

    assert [(s.code, s.animals) for s in sheet.stops[1:]] == [("Z-09", ())]
    assert [f.id for f in sheet.stops[1].findings] == [finding.pk]


def test_a_night_that_was_never_reviewed_is_said_so(world: World) -> None:
    FindingFactory.create(site=world.site, animal=world.animal, evidence=OVERDUE)

    sheet = round_sheet(room=world.room, on=ON, at=AT)

    assert sheet.night is None
    assert sheet.animals[0].findings == ()


def test_a_past_day_is_as_it_was(world: World) -> None:
    past = ON - timedelta(days=3)
    before = round_sheet(room=world.room, on=past, at=AT)

    weigh(world.animal, ON, "150")
    FindingFactory.create(
        site=world.site, animal=world.animal, evidence=OVERDUE, opened_on=ON
    )
    ReproductiveSpellFactory.create(animal=world.animal, from_on=ON)
    FeedingOrderFactory.create(animal=world.animal, from_on=ON, until_on=ON)

    assert round_sheet(room=world.room, on=past, at=AT) == before


def test_notes_come_from_what_is_on_record(world: World) -> None:
    world.room.quarantine = True
    world.room.save()
    ReproductiveSpellFactory.create(animal=world.animal, from_on=date(2026, 2, 20))
    FeedingOrderFactory.create(animal=world.animal)

    (animal,) = round_sheet(room=world.room, on=ON, at=AT).animals

    assert [(note.kind, note.since_on) for note in animal.notes] == [
        (RoundNoteKind.GRAVID, date(2026, 2, 20)),
        (RoundNoteKind.FASTING, date(2026, 3, 1)),
        (RoundNoteKind.QUARANTINE, None),
    ]
    assert TaskKind.FEED not in {task.kind for task in animal.tasks}


def test_quarantine_is_told_as_of_the_day(world: World) -> None:
    QuarantineFactory.create(
        animal=world.animal,
        began_on=ON - timedelta(days=5),
        ended_on=ON,
        ended_at=AT,
    )

    def notes(on: date) -> list[tuple[RoundNoteKind, date | None]]:
        (animal,) = round_sheet(room=world.room, on=on, at=AT).animals
        return [(note.kind, note.since_on) for note in animal.notes]

    began_on = ON - timedelta(days=5)
    assert notes(ON - timedelta(days=1)) == [(RoundNoteKind.QUARANTINE, began_on)]
    assert notes(ON) == notes(ON - timedelta(days=6)) == []


def test_rooms_are_walked_by_position_and_quarantine_last(
    django_assert_num_queries: Callable[..., Any],
) -> None:
    site = SiteFactory.create()
    RoomFactory.create(site=site, code="sick", position=0, quarantine=True)
    RoomFactory.create(site=site, code="b", position=2)
    RoomFactory.create(site=site, code="a", position=1)
    RoomFactory.create()

    with django_assert_num_queries(1):
        rooms = rooms_in_walking_order(site=site)

    assert [room.code for room in rooms] == ["a", "b", "sick"]


def test_a_room_is_named_by_its_site_and_itself() -> None:
    room = RoomFactory.create(site__code="vescora", code="nursery")
    RoomFactory.create(code="nursery")

    assert room_named("vescora/nursery") == room
    for name in ("nursery", "vescora/", "/", "vescora/attic", "", "\x00/\x00"):
        with pytest.raises(NotFoundError, match="SITE/ROOM"):
            room_named(name)


def test_the_command_prints_a_sheet(world: World, tmp_path: Path) -> None:
    out, path = StringIO(), tmp_path / "round.pdf"
    name = f"{world.site.code}/{world.room.code}"

    call_command("round_sheet", name, "2026-03-02", file=path, stdout=out)

    text = " ".join(page.extract_text() for page in PdfReader(path).pages)
    assert "Mon 2 Mar 2026" in text
    assert world.animal.code in text
    assert out.getvalue().startswith(f"{path}: Adults, 02 Mar 2026, 1 animal, ")


def test_the_command_prints_today_into_a_file_of_that_name(
    world: World, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)

    call_command(
        "round_sheet", f"{world.site.code}/{world.room.code}", stdout=StringIO()
    )

    (made,) = tmp_path.iterdir()
    assert made.name.startswith(f"round-{world.site.code}-{world.room.code}-20")


def test_the_command_says_what_it_cannot_do(world: World, tmp_path: Path) -> None:
    name = f"{world.site.code}/{world.room.code}"

    with pytest.raises(CommandError, match="There is no room 'nowhere'"):
        call_command("round_sheet", "nowhere")
    with pytest.raises(CommandError, match="cannot be written"):
        call_command("round_sheet", name, file=tmp_path / "no" / "folder.pdf")
