"""Feedings: entered in lists, known again, corrected, remarked on."""

from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest

from core.models import AuditEntry
from husbandry.actions.care_records import CareResult, strike_out
from husbandry.actions.feedings import FeedingRow, record_feedings
from husbandry.models import Animal, Feeding
from tests.factories import (
    NOW,
    TODAY,
    AnimalFactory,
    CareProfileFactory,
    FeedingFactory,
    FeedingOrderFactory,
    SiteFactory,
    SpeciesFactory,
    StayFactory,
    UserFactory,
)
from tests.husbandry.care_lists import (
    KNOWN,
    REFUSED,
    STORED,
    judged,
    queries_of,
    stale_days,
    verbs,
)

pytestmark = pytest.mark.django_db
HOUR, DAY = timedelta(hours=1), timedelta(days=1)


@pytest.fixture
def juno() -> Animal:
    CareProfileFactory.create()
    return AnimalFactory.create(code="V-1", name="Juno")


def row(**given: Any) -> FeedingRow:
    said = {"animal": "V-1", "at": NOW - HOUR, "feeder": "feeder-crickets"}
    return FeedingRow(**(said | {"offered": 5} | given))


def feed(*rows: FeedingRow, by: Any = None) -> tuple[CareResult, ...]:
    return record_feedings(rows=rows, by=by, recorded_at=NOW)


def one(**given: Any) -> CareResult:
    (result,) = feed(row(**given))
    return result


def test_a_feeding_is_kept_with_all_that_was_said_and_its_audit_entry(
    juno: Animal,
) -> None:
    keeper = UserFactory.create()
    said = row(
        eaten=4,
        supplements=("plain-calcium",),
        assisted=True,
        note="The last one got away.",
    )

    (result,) = feed(said, by=keeper)

    stored = Feeding.objects.get()
    assert result == CareResult(STORED, stored.pk, "", "", ())
    assert (stored.animal, stored.at, stored.feeder) == (juno, said.at, said.feeder)
    assert (stored.offered, stored.eaten, stored.assisted) == (5, 4, True)
    assert (stored.supplements, stored.note) == (["plain-calcium"], said.note)
    assert (stored.recorded_by, stored.recorded_at) == (keeper, NOW)
    entry = AuditEntry.objects.get()
    assert (entry.verb, entry.by, entry.at) == ("record_feeding", keeper, NOW)
    assert (entry.subject, entry.subject_id) == ("husbandry.feeding", str(stored.pk))
    assert entry.after == {
        "animal": juno.pk,
        "at": "2026-03-02 11:00:00+00:00",
        "feeder": "feeder-crickets",
        "offered": 5,
        "eaten": 4,
        "supplements": ["plain-calcium"],
        "assisted": True,
        "note": "The last one got away.",
        "corrects": None,
    }
    assert (entry.before, entry.reason) == ({}, "")


def test_good_lines_beside_bad_ones_are_kept_in_their_order(juno: Animal) -> None:
    results = feed(
        row(),
        row(animal="V-9"),
        row(feeder="feeder-roaches"),
        row(offered=0, at=NOW),
        row(),  # twice in one list
        row(offered=6),  # and once otherwise
    )

    assert [r.outcome for r in results] == [
        *(STORED, REFUSED, STORED, REFUSED, KNOWN, REFUSED),
    ]
    assert results[4].record == results[0].record
    assert [r.code for r in results if r.code] == [
        *("care_entry_refused", "feeding_refused", "care_entry_refused"),
    ]
    assert "There is no animal 'V-9'" in results[1].sentence
    assert "Give the code on its label" in results[1].sentence
    assert results[1].record is None
    assert Feeding.objects.count() == AuditEntry.objects.count() == 2


def test_nothing_sent_is_nothing_answered() -> None:
    assert feed() == ()


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"at": NOW + timedelta(seconds=1)}, "has not come yet. Give the instant"),
        ({"at": datetime(2024, 8, 31, 12, tzinfo=UTC)}, "hatched on 01 Sep 2024"),
        ({"offered": 0}, "0 offered cannot be: give 1 to 1000"),
        ({"offered": 1001}, "1001 offered cannot be: give 1 to 1000"),
        ({"eaten": 6}, "6 eaten of 5 offered cannot be: give 0 to 5"),
        ({"eaten": -1}, "-1 eaten of 5 offered cannot be"),
        ({"feeder": "wasps"}, "knows no feeder 'wasps'. It knows feeder-roaches, "),
        ({"supplements": ("salt",)}, "knows no supplement 'salt'. It knows plain-calc"),
        ({"note": "x" * 301}, "The note has 301 characters; at most 300 are kept"),
    ],
)
def test_what_cannot_be_is_refused_with_what_would_be_accepted(
    given: dict[str, Any], said: str, juno: Animal
) -> None:
    result = one(**given)

    assert result.outcome is REFUSED
    assert said in result.sentence
    assert not Feeding.objects.exists()
    assert not AuditEntry.objects.exists()


@pytest.mark.parametrize(
    "given",
    [
        {"at": NOW},
        {"at": datetime(2024, 9, 1, 0, 0, tzinfo=UTC)},
        {"offered": 1000, "eaten": 1000},
        {"offered": 1, "eaten": 0},
        {"note": "x" * 300},
    ],
)
def test_what_just_can_be_is_kept(given: dict[str, Any], juno: Animal) -> None:
    assert one(**given).outcome is STORED


def test_a_rough_date_of_hatching_refuses_nothing(juno: Animal) -> None:
    Animal.objects.update(hatched_precision="year")

    assert one(at=datetime(2024, 8, 31, 12, tzinfo=UTC)).outcome is STORED


def test_until_its_last_day_here_an_animal_can_have_been_fed(juno: Animal) -> None:
    Animal.objects.update(status="placed", left_on=TODAY)
    StayFactory.create(animal=juno)  # Lisbon: UTC in March

    assert one(at=NOW).outcome is STORED
    Animal.objects.update(left_on=TODAY - DAY)
    late = one(at=NOW - HOUR)
    assert "left on 01 Mar 2026; nothing can have been done or seen" in late.sentence


# Sent again.


def test_the_same_again_is_known_and_changes_nothing(juno: Animal) -> None:
    said = row(supplements=("plain-calcium", "multivitamin-d3"))
    (first,) = feed(said)

    (again,) = feed(said)
    turned = one(supplements=("multivitamin-d3", "plain-calcium"))

    assert (again.outcome, again.record) == (KNOWN, first.record)
    assert (turned.outcome, turned.record) == (KNOWN, first.record)
    assert Feeding.objects.count() == AuditEntry.objects.count() == 1


@pytest.mark.parametrize(
    "other",
    [
        {"offered": 6},
        {"eaten": 5},
        {"supplements": ("plain-calcium",)},
        {"assisted": True},
        {"note": "In the evening."},
    ],
)
def test_other_content_at_the_same_instant_is_refused(
    other: dict[str, Any], juno: Animal
) -> None:
    one()

    result = one(**other)

    assert result.outcome is REFUSED
    assert (
        "At 2026-03-02 11:00 UTC there is another feeding on record" in result.sentence
    )
    assert "Correct that one" in result.sentence
    assert Feeding.objects.count() == 1


def test_what_is_known_is_known_even_where_it_would_be_refused_now(
    juno: Animal,
) -> None:
    (first,) = feed(row())
    Animal.objects.update(status="placed", left_on=TODAY - 9 * DAY)

    assert feed(row())[0] == CareResult(KNOWN, first.record, "", "", ())


def test_a_list_sent_again_does_not_undo_a_strike_out(juno: Animal) -> None:
    one()
    strike_out(record=Feeding.objects.get(), reason="Another animal.", by=None, at=NOW)

    again = one()

    assert again.outcome is KNOWN
    (remark,) = again.remarks
    assert "was struck out: Another animal." in remark
    assert "an instant a minute later" in remark
    assert not Feeding.objects.filter(struck_at__isnull=True).exists()
    # Other content is a new entry: the place is free.
    assert one(offered=3).outcome is STORED


# Corrected.


def test_a_correction_strikes_out_the_old_one_and_names_it(juno: Animal) -> None:
    keeper = UserFactory.create()
    old = Feeding.objects.get(pk=one(offered=50, eaten=5).record)
    right = row(offered=5, eaten=5, note="A digit too many.", corrects=old.pk)

    (result,) = feed(right, by=keeper)

    old.refresh_from_db()
    assert (old.offered, old.struck_at, old.struck_by) == (50, NOW, keeper)
    assert old.struck_reason == "A digit too many."
    new = Feeding.objects.get(pk=result.record)
    assert (new.offered, new.corrects, new.struck_at) == (5, old, None)
    entry = AuditEntry.objects.latest("pk")
    assert (entry.verb, entry.reason) == ("correct_feeding", "A digit too many.")
    assert entry.before == {"offered": 50, "note": ""}
    assert entry.after["corrects"] == old.pk
    # Sent again it is known, by what stands for it now.
    assert feed(right)[0] == CareResult(KNOWN, new.pk, "", "", ())
    # So is the old one: a list sent again does not undo what was mended since.
    again = one(offered=50, eaten=5)
    assert (again.outcome, again.record) == (KNOWN, old.pk)
    assert "was struck out: A digit too many." in again.remarks[0]
    assert one(offered=49, eaten=5).outcome is REFUSED
    assert Feeding.objects.count() == 2


def test_a_feeding_of_the_wrong_animal_is_moved_to_the_right_one(juno: Animal) -> None:
    AnimalFactory.create(code="V-2")
    old = Feeding.objects.get(pk=one().record)

    (result,) = feed(row(animal="V-2", note="It was the other.", corrects=old.pk))

    assert Feeding.objects.get(pk=result.record).animal.code == "V-2"
    assert not Feeding.objects.filter(animal=juno, struck_at__isnull=True).exists()


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"offered": 4}, "Say what was wrong"),
        ({"offered": 4, "note": " "}, "Say what was wrong"),
        ({"offered": 4, "note": "x" * 201}, "201 characters; at most 200"),
        ({"note": "A note makes no correction."}, "nothing would change"),
        ({"offered": 0, "note": "Slip."}, "0 offered cannot be"),
        ({"at": NOW - 5 * HOUR, "note": "Earlier."}, "there is another feeding"),
    ],
)
def test_a_correction_that_cannot_be_leaves_the_old_one(
    given: dict[str, Any], said: str, juno: Animal
) -> None:
    one(at=NOW - 5 * HOUR, offered=9)
    old = one().record

    result = one(**given, corrects=old)

    assert result.outcome is REFUSED
    assert said in result.sentence
    assert not Feeding.objects.filter(struck_at__isnull=False).exists()
    assert Feeding.objects.count() == 2


def test_what_is_struck_out_or_nowhere_cannot_be_corrected(juno: Animal) -> None:
    old = Feeding.objects.get(pk=one().record)
    strike_out(record=old, reason="Never happened.", by=None, at=NOW)

    struck = one(offered=4, note="Slip.", corrects=old.pk)
    nowhere = one(offered=4, note="Slip.", corrects=old.pk + 9)

    assert "was struck out already: Never happened." in struck.sentence
    assert f"There is no feeding {old.pk + 9} to correct" in nowhere.sentence
    assert Feeding.objects.count() == 1


def test_two_corrections_of_one_feeding_in_one_list(juno: Animal) -> None:
    old = one().record

    first, second, third = feed(
        row(offered=4, note="Four.", corrects=old),
        row(offered=3, note="Three.", corrects=old),
        row(offered=4, note="Four.", corrects=old),
    )

    assert first.outcome is STORED
    assert "was struck out already: Four." in second.sentence
    assert (third.outcome, third.record) == (KNOWN, first.record)


# Remarked on.


def test_a_fast_is_remarked_on_its_days_only(juno: Animal) -> None:
    FeedingOrderFactory.create(
        animal=juno, from_on=date(2026, 3, 1), until_on=date(2026, 3, 2)
    )
    withdrawn = {"withdrawn_at": NOW, "from_on": date(2026, 2, 1)}
    FeedingOrderFactory.create(animal=juno, until_on=date(2026, 2, 27), **withdrawn)
    FeedingOrderFactory.create()

    days = {on: one(at=NOW - (TODAY - on)) for on in _days(date(2026, 2, 26), TODAY)}

    assert {on.day for on, result in days.items() if result.remarks} == {1, 2}
    assert all(result.outcome is STORED for result in days.values())
    (remark,) = days[TODAY].remarks
    assert "A fast is ordered from 01 Mar 2026 to 02 Mar 2026" in remark
    assert "Nothing before surgery" in remark


def _days(first: date, last: date) -> list[date]:
    return [first + n * DAY for n in range((last - first).days + 1)]


def test_food_that_is_never_fed_is_kept_and_remarked_on(juno: Animal) -> None:
    result = one(feeder="feeder-dead")

    assert result.outcome is STORED
    (remark,) = result.remarks
    assert "Freeze-dried or dead insects are never fed. Movement is what" in remark


def test_a_treat_before_its_age_is_remarked_on(juno: Animal) -> None:
    # The shipped profile allows waxworms from day 180 on (common practice).
    Animal.objects.update(hatched_on=TODAY - 180 * DAY, arrived_on=TODAY - 180 * DAY)

    early = one(feeder="feeder-waxworms", at=NOW - DAY)
    grown = one(feeder="feeder-waxworms")

    assert early.remarks == (
        "By its profile, Waxworms are a treat from day 180 on; it was 179 days old.",
    )
    assert grown.remarks == ()


def test_vitamin_d3_beyond_the_months_days_is_remarked_on(juno: Animal) -> None:
    # The shipped profile: two days a month (common practice).
    powder = {"supplements": ("multivitamin-d3",)}
    FeedingFactory.create(
        animal=juno, at=datetime(2026, 2, 28, 9, tzinfo=UTC), **_list(powder)
    )
    struck = {"struck_at": NOW, "struck_reason": "Another animal."}
    first = datetime(2026, 3, 1, 9, tzinfo=UTC)
    FeedingFactory.create(animal=juno, at=first, **_list(powder), **struck)
    FeedingFactory.create(at=first, **_list(powder))  # of another animal

    second = {"at": datetime(2026, 3, 1, 18, tzinfo=UTC), **powder}
    same_day = {"at": datetime(2026, 3, 2, 11, 30, tzinfo=UTC), **powder}
    third = {"at": datetime(2026, 3, 3, 9, tzinfo=UTC), **powder}
    results = record_feedings(
        rows=[row(**powder), row(**second), row(**same_day), row(**third)],
        by=None,
        recorded_at=NOW + 9 * DAY,
    )

    assert [r.remarks for r in results[:3]] == [(), (), ()]
    (remark,) = results[3].remarks
    assert "That makes 3 days with vitamin D3 in March 2026" in remark
    # Moved to another day, the third is not counted beside itself.
    (moved,) = record_feedings(
        rows=[
            row(
                at=datetime(2026, 3, 2, 15, tzinfo=UTC),
                note="The day before.",
                corrects=results[3].record,
                **powder,
            )
        ],
        by=None,
        recorded_at=NOW + 9 * DAY,
    )
    assert (moved.outcome, moved.remarks) == (STORED, ())


def test_the_month_is_that_of_the_place(juno: Animal) -> None:
    # 11:00 by UTC on the last of January is the first of February in Auckland.
    StayFactory.create(animal=juno, enclosure__room__site__time_zone="Pacific/Auckland")
    powder = {"supplements": ("multivitamin-d3",)}
    for day in (14, 27):
        FeedingFactory.create(
            animal=juno, at=datetime(2026, 2, day, 9, tzinfo=UTC), **_list(powder)
        )

    january = one(at=datetime(2026, 1, 31, 10, 59, tzinfo=UTC), **powder)
    february = one(at=datetime(2026, 1, 31, 11, 0, tzinfo=UTC), **powder)

    assert january.remarks == ()
    assert "3 days with vitamin D3 in February 2026" in february.remarks[0]


def _list(powder: dict[str, tuple[str, ...]]) -> dict[str, list[str]]:
    return {name: list(ids) for name, ids in powder.items()}


def test_a_species_without_a_profile_is_fed_by_any_word() -> None:
    AnimalFactory.create(code="V-1", species=SpeciesFactory.create(code="unheard_of"))

    result = one(feeder="leaves", supplements=("chalk",))
    blank = one(feeder="", at=NOW)
    long = one(feeder="leaves", supplements=("x" * 61,), at=NOW)

    assert result.outcome is STORED
    assert "No care profile is published for its species" in result.remarks[0]
    assert "use 1 to 60 characters" in blank.sentence
    assert "use 1 to 60 characters" in long.sentence


# Reviews, queries.


def test_late_feedings_make_the_reviews_of_their_sites_stale(juno: Animal) -> None:
    here, elsewhere = SiteFactory.create(), SiteFactory.create()
    StayFactory.create(animal=juno, enclosure__room__site=here)
    other = StayFactory.create(enclosure__room__site=here).animal
    judged(here, 1, 2, 3, 4)
    judged(elsewhere, 1, 2)

    feed(row(at=NOW - 2 * DAY), row(at=NOW - 3 * DAY, animal=other.code))

    assert stale_days(here) == {1, 2, 3}
    assert stale_days(elsewhere) == set()


def test_a_correction_marks_from_the_earlier_of_both_days(juno: Animal) -> None:
    site = StayFactory.create(animal=juno).enclosure.room.site
    old = FeedingFactory.create(animal=juno, at=NOW - 4 * DAY)
    judged(site, 1, 2, 3, 4, 5)

    one(at=NOW - 2 * DAY, note="Another day.", corrects=old.pk)

    assert stale_days(site) == {1, 2, 3, 4}


def test_what_changes_nothing_marks_nothing(juno: Animal) -> None:
    site = StayFactory.create(animal=juno).enclosure.room.site
    FeedingFactory.create(
        animal=juno, at=NOW - 2 * DAY, offered=5, eaten=None, supplements=[]
    )
    judged(site, 1, 2, 3)

    known = one(at=NOW - 2 * DAY)
    refused = one(at=NOW - 2 * DAY, offered=7)

    assert (known.outcome, refused.outcome) == (KNOWN, REFUSED)
    assert stale_days(site) == set()
    assert verbs() == []


def test_many_lines_take_as_many_queries_as_one(juno: Animal) -> None:
    others = [StayFactory.create().animal for _ in range(30)]
    powder = ("multivitamin-d3",)
    old = [FeedingFactory.create(animal=a, at=NOW - 9 * DAY) for a in others]

    def work(animals: list[Animal], day: int) -> None:
        at = NOW - day * DAY
        results = feed(
            *(row(animal=a.code, at=at, supplements=powder) for a in animals),
            *(
                row(animal=f.animal.code, at=at - HOUR, note="Day.", corrects=f.pk)
                for f in old
                if f.animal in animals and f.struck_at is None
            ),
        )
        assert {r.outcome for r in results} == {STORED}

    work(others[:1], 1)  # what is kept for the process is fetched once
    old = old[1:]
    one_line = queries_of(lambda: work(others[1:2], 2))
    old = old[1:]

    assert queries_of(lambda: work(others[2:], 3)) == one_line
    assert Feeding.objects.filter(corrects__isnull=False).count() == 30
