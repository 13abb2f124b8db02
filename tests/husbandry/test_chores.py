"""Chores of enclosures and rooms: entered in lists, known again, corrected."""

from datetime import date, timedelta
from typing import Any

import pytest

from core.models import AuditEntry, Room
from husbandry.actions.care_records import CareResult, strike_out
from husbandry.actions.chores import ChoreRow, record_chores
from husbandry.models import Chore, Enclosure
from husbandry.rules.vocabulary import ChoreKind
from tests.factories import (
    NOW,
    CareProfileFactory,
    EnclosureFactory,
    RoomFactory,
    SiteFactory,
    UserFactory,
)
from tests.husbandry.care_lists import (
    KNOWN,
    REFUSED,
    STORED,
    judged,
    queries_of,
    stale_days,
)

pytestmark = pytest.mark.django_db
HOUR, DAY = timedelta(hours=1), timedelta(days=1)
AT = NOW - HOUR


@pytest.fixture
def room() -> Room:
    CareProfileFactory.create()
    return RoomFactory.create(code="warm", site__code="mill")


@pytest.fixture
def tub(room: Room) -> Enclosure:
    return EnclosureFactory.create(code="E-1", room=room)


def mist(**given: Any) -> ChoreRow:
    return ChoreRow(
        **({"kind": ChoreKind.MISTING, "at": AT, "enclosure": "E-1"} | given)
    )


def load(**given: Any) -> ChoreRow:
    said = {"kind": ChoreKind.GUT_LOADING, "at": AT, "room": ("mill", "warm")}
    return ChoreRow(**(said | {"feeder": "feeder-crickets"} | given))


def do(*rows: ChoreRow, by: Any = None) -> tuple[CareResult, ...]:
    return record_chores(rows=rows, by=by, recorded_at=NOW)


def test_chores_are_kept_where_they_were_done(tub: Enclosure) -> None:
    keeper = UserFactory.create()

    results = do(
        mist(note="Twice round."),
        mist(kind=ChoreKind.CLEANING),
        load(),
        by=keeper,
    )

    rows = [Chore.objects.get(pk=r.record) for r in results]
    assert [(c.kind, c.enclosure, c.room, c.feeder) for c in rows] == [
        ("misting", tub, None, ""),
        ("cleaning", tub, None, ""),
        ("gut_loading", None, tub.room, "feeder-crickets"),
    ]
    assert rows[0].note == "Twice round."
    assert {(c.at, c.recorded_by, c.recorded_at) for c in rows} == {(AT, keeper, NOW)}
    entries = AuditEntry.objects.order_by("pk")
    assert {e.verb for e in entries} == {"record_chore"}
    assert entries[2].after == {
        "kind": "gut_loading",
        "enclosure": None,
        "room": tub.room_id,
        "feeder": "feeder-crickets",
        "at": "2026-03-02 11:00:00+00:00",
        "note": "",
        "corrects": None,
    }


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        (mist(enclosure="E-9"), "There is no enclosure 'E-9'"),
        (mist(enclosure=""), "Misting is done for one enclosure: give its code"),
        (mist(room=("mill", "warm")), "neither a room nor a feeder"),
        (mist(feeder="feeder-crickets"), "neither a room nor a feeder"),
        (load(room=("mill", "cold")), "Site 'mill' has no room 'cold'"),
        (load(room=("moor", "warm")), "Site 'moor' has no room 'warm'"),
        (load(room=None), "for the insects of one room"),
        (load(enclosure="E-1"), "for the insects of one room"),
        (load(feeder=""), "for the insects of one room"),
        (
            load(feeder="wasps"),
            "No care profile knows a feeder 'wasps'. Known are feed",
        ),
        (mist(at=NOW + HOUR), "has not come yet"),
        (load(at=NOW + HOUR), "has not come yet"),
        (mist(note="x" * 301), "301 characters; at most 300"),
    ],
)
def test_what_cannot_be_is_refused_and_the_others_are_kept(
    wrong: ChoreRow, said: str, tub: Enclosure
) -> None:
    before, refused, after = do(mist(), wrong, load())

    assert (before.outcome, after.outcome) == (STORED, STORED)
    assert refused.outcome is REFUSED
    assert said in refused.sentence
    assert Chore.objects.count() == AuditEntry.objects.count() == 2


def test_an_enclosure_out_of_use_is_not_misted(tub: Enclosure) -> None:
    Enclosure.objects.update(retired_on=date(2026, 3, 1))

    last, late = do(mist(at=NOW - DAY), mist())

    assert last.outcome is STORED
    assert "E-1 was retired on 01 Mar 2026; nothing can have been done" in late.sentence


def test_without_any_profile_insects_have_any_name() -> None:
    RoomFactory.create(code="warm", site__code="mill")

    kept, long = do(load(feeder="leaf hoppers"), load(feeder="x" * 61))

    assert kept.outcome is STORED
    assert "at most 60 characters" in long.sentence


def test_the_same_again_is_known(tub: Enclosure) -> None:
    first = do(mist(), load())

    again = do(mist(), load(), mist(note="Other words."))

    assert [r.outcome for r in again] == [KNOWN, KNOWN, REFUSED]
    assert [r.record for r in again[:2]] == [r.record for r in first]
    assert "there is another chore on record (misting E-1)" in again[2].sentence
    # Another room's insects at the same instant are another chore.
    RoomFactory.create(code="cold", site=tub.room.site)
    assert do(load(room=("mill", "cold")))[0].outcome is STORED


def test_a_chore_of_the_wrong_enclosure_is_corrected(tub: Enclosure) -> None:
    EnclosureFactory.create(code="E-2", room=tub.room)
    (old,) = do(mist())

    (right,) = do(mist(enclosure="E-2", note="It was the next.", corrects=old.record))
    (idle,) = do(mist(enclosure="E-2", note="Once more.", corrects=right.record))

    assert right.outcome is STORED
    assert Chore.objects.get(pk=old.record).struck_reason == "It was the next."
    assert "nothing would change" in idle.sentence
    assert AuditEntry.objects.latest("pk").verb == "correct_chore"


def test_a_struck_out_chore_stays_so(tub: Enclosure) -> None:
    do(mist())
    strike_out(record=Chore.objects.get(), reason="Not done.", by=None, at=NOW)

    (again,) = do(mist())

    assert again.outcome is KNOWN
    assert "was struck out: Not done." in again.remarks[0]


def test_late_chores_make_the_reviews_of_their_sites_stale(tub: Enclosure) -> None:
    # Noon by UTC is one in the morning of the next day in Auckland (UTC+13 in March).
    south = SiteFactory.create(code="south", time_zone="Pacific/Auckland")
    RoomFactory.create(code="warm", site=south)
    elsewhere = SiteFactory.create()
    for site in (tub.room.site, south, elsewhere):
        judged(site, 0, 1, 2, 3)

    do(
        mist(at=NOW - 2 * DAY),
        mist(at=NOW - DAY),
        load(room=("south", "warm"), at=NOW - 2 * DAY),
    )

    assert stale_days(tub.room.site) == {0, 1, 2}
    assert stale_days(south) == {0, 1}
    assert stale_days(elsewhere) == set()


def test_many_lines_take_as_many_queries_as_one(room: Room) -> None:
    tubs = [EnclosureFactory.create() for _ in range(30)]
    rooms = [tub.room for tub in tubs]
    old = list(do(*(mist(enclosure=t.code, at=NOW - 9 * DAY) for t in tubs)))

    def work(first: int, last: int, day: int) -> None:
        at = NOW - day * DAY
        results = do(
            *(
                mist(enclosure=t.code, at=at, note="Day.", corrects=o.record)
                for t, o in zip(tubs[first:last], old[first:last], strict=True)
            ),
            *(load(room=(r.site.code, r.code), at=at) for r in rooms[first:last]),
        )
        assert {r.outcome for r in results} == {STORED}

    work(0, 1, 1)
    one_line = queries_of(lambda: work(1, 2, 2))

    assert queries_of(lambda: work(2, 30, 3)) == one_line
