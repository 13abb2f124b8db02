"""Wrong entries of the care book are struck out: legible, and of no more effect."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest

from core.models import AuditEntry
from husbandry.actions.care_records import mark_judged_by, strike_out
from husbandry.models import Animal, Chore, Enclosure
from husbandry.models.records import CareRecord
from husbandry.rules.care_entries import CareEntryError
from tests.factories import (
    NOW,
    AnimalFactory,
    ChoreFactory,
    DoseFactory,
    FeedingFactory,
    LampCheckFactory,
    MeasuringFactory,
    ObservationFactory,
    RoomFactory,
    SiteFactory,
    StayFactory,
    UserFactory,
)
from tests.husbandry.care_lists import judged, stale_days

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)
Make = Callable[[Animal, Enclosure], CareRecord]
AT = NOW - 2 * DAY


def _dose(animal: Animal, enclosure: Enclosure) -> CareRecord:
    # Due the day before it is noted.
    return DoseFactory.create(
        prescription__animal=animal, due_at=AT, at=AT + DAY, recorded_at=NOW
    )


def _gut_load(animal: Animal, enclosure: Enclosure) -> CareRecord:
    where = {"room": enclosure.room, "enclosure": None, "feeder": "feeder-crickets"}
    return ChoreFactory.create(kind="gut_loading", at=AT, **where)


MAKE: dict[str, Make] = {
    "feeding": lambda animal, _: FeedingFactory.create(animal=animal, at=AT),
    "observation": lambda animal, _: ObservationFactory.create(animal=animal, at=AT),
    "measuring": lambda animal, _: MeasuringFactory.create(animal=animal, at=AT),
    "dose": _dose,
    "misting": lambda _, enclosure: ChoreFactory.create(
        kind="misting", enclosure=enclosure, at=AT
    ),
    "gut load": _gut_load,
    "lamp check": lambda _, enclosure: LampCheckFactory.create(
        lamp__enclosure=enclosure, at=AT
    ),
}


def test_every_kind_of_record_is_tried_below() -> None:
    here = StayFactory.create()
    made = {type(make(here.animal, here.enclosure)) for make in MAKE.values()}

    kinds = CareRecord.__subclasses__()
    assert made == {k for k in kinds if k._meta.app_label == "husbandry"}


@pytest.mark.parametrize("make", MAKE.values(), ids=MAKE)
def test_a_wrong_entry_is_struck_out_and_what_it_made_is_judged_again(
    make: Make,
) -> None:
    here, elsewhere = StayFactory.create(), SiteFactory.create()
    record, keeper = make(here.animal, here.enclosure), UserFactory.create()
    site = here.enclosure.room.site
    judged(site, 1, 2, 3)
    judged(elsewhere, 1, 2)

    strike_out(record=record, reason=" Another one. ", by=keeper, at=NOW)

    record.refresh_from_db()
    assert (record.struck_at, record.struck_by) == (NOW, keeper)
    assert record.struck_reason == "Another one."
    assert record.at is not None
    assert stale_days(site) == {1, 2}
    assert stale_days(elsewhere) == set()
    entry = AuditEntry.objects.get()
    assert (entry.verb, entry.by, entry.reason) == (
        "strike_out",
        keeper,
        "Another one.",
    )
    assert (entry.subject, entry.subject_id) == (
        record._meta.label_lower,
        str(record.pk),
    )
    assert entry.before["at"] == str(record.at)
    assert "struck_at" not in entry.before
    assert entry.after == {"struck_at": "2026-03-02 12:00:00+00:00"}


@pytest.mark.parametrize(
    ("reason", "said"),
    [
        ("", "Say what was wrong"),
        (" \n", "Say what was wrong"),
        ("x" * 201, "201 characters; at most 200 are kept"),
    ],
)
def test_nothing_is_struck_out_without_a_word_why(reason: str, said: str) -> None:
    feeding = FeedingFactory.create()

    with pytest.raises(CareEntryError, match=said):
        strike_out(record=feeding, reason=reason, by=None, at=NOW)

    feeding.refresh_from_db()
    assert feeding.struck_at is None
    assert not AuditEntry.objects.exists()


def test_an_entry_is_struck_out_once() -> None:
    feeding = FeedingFactory.create()
    as_seen_before = type(feeding).objects.get()
    strike_out(record=feeding, reason="x" * 200, by=None, at=NOW)

    with pytest.raises(CareEntryError, match="was struck out already: xxx"):
        strike_out(record=as_seen_before, reason="Again.", by=None, at=NOW)

    assert AuditEntry.objects.count() == 1


def test_a_kind_of_record_that_no_review_knows_is_a_fault() -> None:
    unheard_of: Any = AnimalFactory.create()

    with pytest.raises(TypeError, match="no review is known to judge"):
        mark_judged_by(unheard_of, NOW)


def test_a_day_is_the_local_day_of_the_site() -> None:
    site = SiteFactory.create(time_zone="Pacific/Auckland")  # UTC+13 in March
    enclosure: Any = ChoreFactory.create(
        enclosure__room=RoomFactory.create(site=site), at=NOW - DAY
    ).enclosure
    judged(site, 0, 1, 2)

    strike_out(record=Chore.objects.get(), reason="Not this one.", by=None, at=NOW)

    assert enclosure.room.site == site
    assert stale_days(site) == {0}
