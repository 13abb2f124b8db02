"""Lists of weighings: in few queries, and held to the same rules as single ones."""

from dataclasses import replace
from datetime import date, datetime, timedelta
from decimal import Decimal as G
from typing import Any

import pytest
from django.db import IntegrityError, connection
from django.test.utils import CaptureQueriesContext

from core.errors import DomainError
from core.models import AuditEntry, User
from core.row_refusals import RowRefusal, RowsRefusedError
from husbandry.actions import weighing_lists
from husbandry.actions.weighing_lists import (
    WeighingRow,
    record_all_weighings,
    record_weighings,
)
from husbandry.actions.weights import (
    WeighingError,
    confirm_weighing,
    correct_weighing,
    record_weighing,
)
from husbandry.models import Animal, ReviewRun, Weighing
from tests.factories import (
    NOW,
    TODAY,
    AnimalFactory,
    CareProfileFactory,
    EarlierCareFactory,
    EnclosureFactory,
    ReviewRunFactory,
    StayFactory,
    UserFactory,
    WeighingFactory,
)

pytestmark = pytest.mark.django_db
MINUTE, HOUR, DAY = timedelta(minutes=1), timedelta(hours=1), timedelta(days=1)
WEEK_AGO = NOW - 7 * DAY


def codes(results: Any) -> list[str]:
    return [result.code for result in results]


def _herd(prefix: str) -> None:
    """Make animals of which much is on record, the same under each prefix."""
    here = EnclosureFactory(room__site__time_zone="Pacific/Auckland")
    for name, more in {
        "juno": {},
        "hatchling": {"hatched_on": TODAY - 5 * DAY, "arrived_on": TODAY - 5 * DAY},
        "gone": {"left": True},
        "ancestor": {"status": "elsewhere", "left_on": TODAY},
        "back": {"arrived_on": TODAY - 3 * DAY},
        "unprofiled": {"hatched_on": None, "hatched_precision": "unknown"},
    }.items():
        animal = AnimalFactory(code=prefix + name, name="", **more)
        if name in ("juno", "hatchling"):
            StayFactory(
                animal=animal,
                enclosure=EnclosureFactory(room=here.room),
                from_at=NOW - 100 * DAY,
            )
    back = Animal.objects.get(code=prefix + "back")
    EarlierCareFactory(
        animal=back, arrived_on=date(2025, 1, 1), left_on=TODAY - 20 * DAY
    )
    juno = Animal.objects.get(code=prefix + "juno")
    WeighingFactory(animal=juno, at=WEEK_AGO, mass_g=G(100))
    wrong = WeighingFactory(animal=juno, at=WEEK_AGO + DAY, mass_g=G(1000))
    WeighingFactory(animal=juno, at=WEEK_AGO + DAY, mass_g=G(101), corrects=wrong)
    moved = WeighingFactory(animal=juno, at=WEEK_AGO + 2 * DAY, mass_g=G(102))
    WeighingFactory(
        animal=juno, at=WEEK_AGO + 2 * DAY + HOUR, mass_g=G(102), corrects=moved
    )
    # Ahead of some lines, in the middle of the list's instants.
    WeighingFactory(animal=juno, at=NOW - 2 * HOUR, mass_g=G(140))


ROWS = [
    WeighingRow("juno", WEEK_AGO, G(100)),  # known
    WeighingRow("juno", WEEK_AGO + DAY, G(1000)),  # known, corrected since
    WeighingRow("juno", WEEK_AGO + DAY, G(101)),  # known, the correction
    WeighingRow("juno", WEEK_AGO + DAY, G(99)),  # another mass
    WeighingRow("juno", WEEK_AGO + 2 * DAY, G(99)),  # corrected to another instant
    WeighingRow("juno", NOW - 3 * HOUR, G("52.50")),  # half of the one before
    WeighingRow("juno", NOW - 2 * HOUR - MINUTE, G("26.25")),  # of that half again
    WeighingRow("juno", NOW - HOUR, G(250)),  # held against 140
    WeighingRow("juno", NOW - HOUR + MINUTE, G("281.01")),  # against 250, within
    WeighingRow("juno", NOW - 30 * MINUTE, G(10)),
    WeighingRow("juno", NOW - 20 * MINUTE, G(10), reason="abscess removed"),
    WeighingRow("juno", NOW - 10 * MINUTE, G(20)),
    WeighingRow("juno", NOW - 10 * MINUTE, G(20)),  # twice in the list
    WeighingRow("juno", NOW - 10 * MINUTE, G(21)),  # twice, another mass
    WeighingRow("juno", NOW - 9 * MINUTE, G(20), reason=" "),
    WeighingRow("juno", NOW - 9 * MINUTE, G(20), reason="x" * 201),
    WeighingRow("juno", NOW - 9 * MINUTE, G("0.001")),
    WeighingRow("juno", NOW + MINUTE, G(20)),
    WeighingRow("hatchling", NOW - DAY, G("1.2")),
    WeighingRow("hatchling", NOW - 7 * DAY, G("1.2")),  # before it hatched
    WeighingRow("hatchling", NOW - 5 * DAY, G(110)),  # an adult's
    WeighingRow("gone", NOW, G(100)),
    WeighingRow("gone", NOW + DAY, G(100)),
    WeighingRow("gone", NOW - DAY, G(100)),
    WeighingRow("ancestor", NOW - DAY, G(100)),
    WeighingRow("back", NOW - 10 * DAY, G(100)),  # away
    WeighingRow("back", NOW - 30 * DAY, G(100)),
    WeighingRow("unprofiled", NOW - DAY, G(5)),
    WeighingRow("nobody", NOW - DAY, G(5)),
]


def _one_by_one(rows: list[WeighingRow], by: User) -> dict[int, tuple[str, str]]:
    """Record rows one after the other, in the order of their instants."""
    said = {}
    for place, row in sorted(enumerate(rows), key=lambda one: one[1].at):
        animal = Animal.objects.filter(code=row.animal).first()
        given: dict[str, Any] = {
            "animal": animal,
            "mass_g": row.mass_g,
            "at": row.at,
            "by": by,
            "recorded_at": NOW,
        }
        try:
            if row.reason:
                confirm_weighing(**given, reason=row.reason)
            else:
                record_weighing(**given)
        except DomainError as refusal:
            said[place] = (refusal.code, refusal.sentence)
        else:
            said[place] = ("", "")
    return said


def _stored(prefix: str) -> list[tuple[Any, ...]]:
    found = Weighing.objects.filter(animal__code__startswith=prefix)
    names = ("animal__code", "at", "mass_g", "note", "recorded_at", "corrects")
    rows = found.filter(recorded_by__isnull=False).order_by("animal__code", "at")
    return [
        (code.removeprefix(prefix), *rest) for code, *rest in rows.values_list(*names)
    ]


def _audited(prefix: str) -> list[tuple[Any, ...]]:
    keys = {
        str(pk): code.removeprefix(prefix)
        for pk, code in Weighing.objects.filter(
            animal__code__startswith=prefix
        ).values_list("pk", "animal__code")
    }
    return sorted(
        (keys[e.subject_id], e.after["at"], e.verb, e.after["mass_g"], e.reason)
        for e in AuditEntry.objects.filter(subject_id__in=keys)
    )


def test_a_list_says_and_stores_what_its_lines_would_one_by_one() -> None:
    CareProfileFactory()
    for prefix in ("l-", "s-"):
        _herd(prefix)
    person = UserFactory()
    single = [replace(r, animal=f"s-{r.animal}") for r in ROWS if r.animal != "nobody"]
    listed = [replace(r, animal=f"l-{r.animal}") for r in ROWS]

    said = _one_by_one(single, person)
    results = record_weighings(rows=listed, by=person, recorded_at=NOW)

    found = {
        place: (r.code, r.sentence.replace("l-", "s-"))
        for place, r in enumerate(results[: len(single)])
    }
    assert found == said
    taken = [place for place in sorted(said) if not said[place][0]]
    assert taken == [0, 1, 2, 5, 6, 7, 8, 10, 11, 12, 18, 21, 23, 26, 27]
    assert _stored("l-") == _stored("s-")
    assert _audited("l-") == _audited("s-")
    assert results[-1].sentence.startswith("There is no animal 'l-nobody'")


def test_as_many_queries_for_many_as_for_one() -> None:
    CareProfileFactory()
    animals = [StayFactory(animal__code=f"V-{n}").animal for n in range(30)]
    for animal in animals:
        WeighingFactory(animal=animal, at=NOW - DAY, mass_g=G(100))

    def queries(rows: list[WeighingRow]) -> int:
        with CaptureQueriesContext(connection) as seen:
            results = record_weighings(rows=rows, by=None, recorded_at=NOW)
        assert codes(results) == [""] * len(rows)
        return len(seen)

    many = [
        WeighingRow(f"V-{n}", NOW - at, G(100)) for n in range(30) for at in (HOUR, DAY)
    ]
    assert queries([WeighingRow("V-0", NOW, G(101))]) == queries(many)


def test_a_neighbour_that_was_weighed_in_the_same_list_is_named() -> None:
    room = EnclosureFactory().room
    for code in ("V-1", "V-2"):
        animal = StayFactory(animal__code=code, enclosure__room=room).animal
        WeighingFactory(animal=animal, at=NOW - DAY, mass_g=G(60))
    rows = [
        WeighingRow("V-1", NOW - HOUR, G(141)),
        WeighingRow("V-2", NOW - 2 * HOUR, G(119)),  # so it weighs this now
        WeighingRow("V-2", NOW - HOUR - MINUTE, G(140)),
        WeighingRow("V-2", NOW, G(150)),  # not yet
    ]

    results = record_weighings(rows=rows, by=None, recorded_at=NOW)

    assert codes(results) == ["implausible_mass", "", "", ""]
    assert "close to the last weighing of V-2" in results[0].sentence
    assert "(140 g)" in results[0].sentence


def test_reviews_are_stale_from_the_first_new_line_on() -> None:
    stay = StayFactory(animal__code="V-1")
    site = stay.enclosure.room.site
    runs = {d: ReviewRunFactory(site=site, on=TODAY - d * DAY) for d in (0, 1, 2, 3)}
    WeighingFactory(animal=stay.animal, at=NOW - 3 * DAY, mass_g=G(100))
    rows = [
        WeighingRow("V-1", NOW - 3 * DAY, G(100)),  # known
        WeighingRow("V-1", NOW - DAY, G(100)),
        WeighingRow("V-1", NOW - 2 * DAY, G(100)),
    ]

    record_weighings(rows=rows, by=None, recorded_at=NOW)

    marked = ReviewRun.objects.filter(stale_since=NOW)
    assert {run.on for run in marked} == {runs[d].on for d in (0, 1, 2)}


def test_all_or_none() -> None:
    AnimalFactory(code="V-1")
    rows = [WeighingRow("V-1", NOW, G(100)), WeighingRow("V-9", NOW, G(100))]
    unread = [RowRefusal(0, "unreadable", "mass_g cannot be read.")]

    with pytest.raises(RowsRefusedError) as caught:
        record_all_weighings(rows=rows, unread=unread, by=None, recorded_at=NOW)

    refused = [(r.place, r.code) for r in caught.value.refusals]
    assert refused == [(0, "unreadable"), (2, "weighing_refused")]
    assert not Weighing.objects.exists()
    assert not AuditEntry.objects.exists()

    results = record_all_weighings(rows=rows[:1], by=None, recorded_at=NOW)

    assert codes(results) == [""]
    assert Weighing.objects.count() == 1


def test_a_race_records_none_of_them(monkeypatch: pytest.MonkeyPatch) -> None:
    """The database refuses a second one at an instant that was free when looked up."""
    animal = AnimalFactory(code="V-1")
    WeighingFactory(animal=animal, at=NOW, mass_g=G(100))
    looked_up = weighing_lists.open_weighing_book

    def too_early(**given: Any) -> Any:
        book = looked_up(**given)
        book.there.clear()
        return book

    monkeypatch.setattr(weighing_lists, "open_weighing_book", too_early)
    rows = [WeighingRow("V-1", NOW, G(100)), WeighingRow("V-1", NOW - HOUR, G(100))]

    with pytest.raises(WeighingError, match="at the same moment") as caught:
        record_weighings(rows=rows, by=None, recorded_at=NOW)

    assert isinstance(caught.value.__cause__, IntegrityError)
    assert Weighing.objects.count() == 1


def test_a_list_does_not_undo_a_correction_between_its_instants() -> None:
    animal = AnimalFactory(code="V-1")
    wrong = record_weighing(
        animal=animal, mass_g=G(100), at=NOW - DAY, by=None, recorded_at=NOW
    )
    correct_weighing(
        weighing=wrong, mass_g=G(40), at=wrong.at, by=None, recorded_at=NOW, reason="x"
    )
    instants: list[datetime] = [NOW - 2 * DAY, NOW - DAY, NOW]
    rows = [
        WeighingRow("V-1", at, G(m))
        for at, m in zip(instants, (50, 100, 79), strict=True)
    ]

    results = record_weighings(rows=rows, by=None, recorded_at=NOW)

    # 79 g is held against the 40 g that are in force, not against the 100 g.
    assert [r.outcome.value for r in results] == ["stored", "known", "stored"]
    assert results[1].weighing == wrong.pk
