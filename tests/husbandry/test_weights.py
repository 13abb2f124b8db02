"""Weighings: appended, confirmed, corrected, and what becomes stale by them."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from core.models import AuditEntry
from husbandry.actions import weights as weight_actions
from husbandry.actions.weighing_lists import WeighingRow, record_weighings
from husbandry.actions.weights import (
    WeighingError,
    confirm_weighing,
    correct_weighing,
    record_weighing,
)
from husbandry.models import ReviewRun, Weighing
from husbandry.queries.weights import (
    WeighingLine,
    last_weighings,
    weighed_in_its_room,
    weighing_history,
    weighings_by_animal,
)
from husbandry.rules.masses import ImplausibleMassError, ImpossibleMassError
from husbandry.rules.weights import WeighingPoint
from tests.factories import (
    NOW,
    TODAY,
    AnimalFactory,
    CareProfileFactory,
    EnclosureFactory,
    ReviewRunFactory,
    SiteFactory,
    StayFactory,
    UserFactory,
    WeighingFactory,
)

pytestmark = pytest.mark.django_db
HOUR, DAY = timedelta(hours=1), timedelta(days=1)
G = Decimal


def weigh(animal: Any, mass_g: str, at: datetime = NOW - HOUR, **more: Any) -> Weighing:
    given = {"by": None, "recorded_at": NOW} | more
    return record_weighing(animal=animal, mass_g=G(mass_g), at=at, **given)


def test_a_weighing_is_recorded_with_its_audit_entry() -> None:
    animal, person = AnimalFactory(), UserFactory()

    row = weigh(animal, "113.398", by=person, note="before feeding")

    row.refresh_from_db()
    assert (row.animal, row.at, row.mass_g) == (animal, NOW - HOUR, G("113.40"))
    assert (row.recorded_by, row.recorded_at, row.note) == (
        person,
        NOW,
        "before feeding",
    )
    entry = AuditEntry.objects.get()
    assert (entry.verb, entry.by, entry.at) == ("record_weighing", person, NOW)
    assert (entry.subject, entry.subject_id) == ("husbandry.weighing", str(row.pk))
    assert entry.after == {
        "animal": animal.pk,
        "at": "2026-03-02 11:00:00+00:00",
        "mass_g": "113.40",
        "corrects": None,
        "note": "before feeding",
    }


def test_the_same_weighing_again_changes_nothing() -> None:
    animal = AnimalFactory()
    first = weigh(animal, "100")

    assert weigh(animal, "100.001") == first
    assert (
        confirm_weighing(
            animal=animal,
            mass_g=G(100),
            at=NOW - HOUR,
            by=None,
            recorded_at=NOW,
            reason="again",
        )
        == first
    )
    assert AuditEntry.objects.count() == Weighing.objects.count() == 1


def test_another_mass_for_the_same_instant_is_refused() -> None:
    animal = AnimalFactory(code="V-7", name="Juno")
    weigh(animal, "100")

    with pytest.raises(WeighingError, match="V-7 Juno already has 100"):
        weigh(animal, "101")

    assert Weighing.objects.count() == 1


def test_the_database_refuses_a_second_one_in_the_same_words(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    # As if another writer had come between the look and the write.
    animal = AnimalFactory()
    weigh(animal, "100")
    monkeypatch.setattr(weight_actions, "_known", lambda row: None)

    with pytest.raises(WeighingError, match="at the same moment"):
        weigh(animal, "101")

    assert Weighing.objects.count() == AuditEntry.objects.count() == 1


def test_a_sent_list_does_not_undo_a_correction() -> None:
    animal = AnimalFactory()
    wrong = weigh(animal, "100")
    correct_weighing(
        weighing=wrong, mass_g=G(90), at=wrong.at, by=None, recorded_at=NOW, reason="x"
    )

    assert weigh(animal, "100") == wrong
    assert Weighing.objects.count() == 2


def test_a_weighing_where_another_was_corrected_away_is_told_what_to_do() -> None:
    animal = AnimalFactory()
    wrong = weigh(animal, "100", NOW - 2 * HOUR)
    correct_weighing(
        weighing=wrong,
        mass_g=G(100),
        at=NOW - HOUR,
        by=None,
        recorded_at=NOW,
        reason="the clock was wrong",
    )

    # Correcting the old one, as otherwise advised, is not possible any more.
    with pytest.raises(WeighingError, match="give this weighing one a minute later"):
        weigh(animal, "101", NOW - 2 * HOUR)

    minute = timedelta(minutes=1)
    assert weigh(animal, "101", NOW - 2 * HOUR + minute).mass_g == G(101)


@pytest.mark.parametrize(
    ("at", "said"),
    [
        (NOW + timedelta(seconds=1), "has not come yet"),
        (datetime(2024, 8, 31, 12, tzinfo=UTC), "hatched on 01 Sep 2024"),
    ],
)
def test_an_instant_that_cannot_be_is_refused(at: datetime, said: str) -> None:
    animal = AnimalFactory(hatched_on=date(2024, 9, 1))

    with pytest.raises(WeighingError, match=said):
        weigh(animal, "100", at)

    assert not Weighing.objects.exists()
    assert not AuditEntry.objects.exists()


def test_the_day_of_leaving_is_the_last_that_can_be_weighed() -> None:
    animal = AnimalFactory(status="placed", left_on=TODAY - DAY)

    weigh(animal, "100", NOW - DAY)
    with pytest.raises(WeighingError, match="left on 01 Mar 2026"):
        weigh(animal, "100", NOW)


def test_history_from_before_the_arrival_and_before_a_rough_hatch_date_counts() -> None:
    animal = AnimalFactory(
        arrived_on=TODAY, hatched_on=date(2025, 7, 1), hatched_precision="year"
    )

    assert weigh(animal, "20", datetime(2025, 3, 1, tzinfo=UTC)).pk


@pytest.mark.parametrize("mass_g", ["0", "-3", "NaN", "0.001"])
def test_a_mass_that_cannot_be_is_refused_even_if_confirmed(mass_g: str) -> None:
    animal = AnimalFactory()
    for verb, more in ((record_weighing, {}), (confirm_weighing, {"reason": "sure"})):
        with pytest.raises(ImpossibleMassError):
            verb(
                animal=animal,
                mass_g=G(mass_g),
                at=NOW,
                by=None,
                recorded_at=NOW,
                **more,
            )

    assert not Weighing.objects.exists()


def test_a_slip_of_unit_is_refused_by_the_last_weighing() -> None:
    animal = AnimalFactory()
    weigh(animal, "120", NOW - DAY)

    with pytest.raises(ImplausibleMassError, match="taken for kg"):
        weigh(animal, "120000", NOW)

    assert Weighing.objects.count() == 1


def test_a_neighbours_mass_makes_one_ask_who_was_on_the_scale(
    django_assert_num_queries: Any,
) -> None:
    here, elsewhere = EnclosureFactory(), EnclosureFactory()
    animal = AnimalFactory(code="V-0101")
    bas = AnimalFactory(code="V-0102", name="Bas")
    gone, away = AnimalFactory(code="V-0103"), AnimalFactory(code="V-0104")
    fresh, new = AnimalFactory(code="V-0105"), AnimalFactory(code="V-0106")
    StayFactory(animal=animal, enclosure=here)
    for other in (bas, fresh, new):
        StayFactory(animal=other, enclosure=EnclosureFactory(room=here.room))
    StayFactory(
        animal=gone,
        enclosure=EnclosureFactory(room=here.room),
        until_at=NOW - DAY,
    )
    StayFactory(animal=away, enclosure=elsewhere)
    WeighingFactory(animal=bas, at=NOW - 9 * DAY, mass_g=G(100))
    wrong = WeighingFactory(animal=bas, at=NOW - 3 * DAY, mass_g=G(410))
    WeighingFactory(animal=bas, at=NOW - 2 * DAY, mass_g=G(141), corrects=wrong)
    WeighingFactory(animal=new, at=NOW + HOUR, mass_g=G(141))  # after it
    for other in (gone, away):
        WeighingFactory(animal=other, at=NOW - 2 * DAY, mass_g=G(141))
    weigh(animal, "60", NOW - DAY)

    with django_assert_num_queries(1):
        found = weighed_in_its_room(animal=animal, before_at=NOW)
    assert found == (("V-0102 Bas", G(141)),)
    with pytest.raises(
        ImplausibleMassError,
        match=r"close to the last weighing of V-0102 Bas \(141 g\): was that one",
    ):
        weigh(animal, "140", NOW)
    assert weighed_in_its_room(animal=AnimalFactory(), before_at=NOW) == ()


def test_only_an_unlikely_weighing_asks_about_neighbours() -> None:
    animal, other, enclosure = AnimalFactory(), AnimalFactory(), EnclosureFactory()
    StayFactory(animal=animal, enclosure=enclosure, place=1)
    StayFactory(animal=other, enclosure=enclosure, place=2)
    WeighingFactory(animal=other, at=NOW - DAY, mass_g=G(141))
    WeighingFactory(animal=animal, at=NOW - DAY, mass_g=G(60))

    with CaptureQueriesContext(connection) as likely:
        weigh(animal, "61", NOW - HOUR)
    with (
        CaptureQueriesContext(connection) as unlikely,
        pytest.raises(ImplausibleMassError),
    ):
        weigh(animal, "141", NOW)

    def asked(queries: CaptureQueriesContext) -> list[bool]:
        return ["last_g" in q["sql"] for q in queries]

    assert sum(asked(likely)) == 0
    assert sum(asked(unlikely)) == 1


def test_the_first_weighing_is_held_against_the_profile_of_that_day() -> None:
    CareProfileFactory()
    adult = AnimalFactory(hatched_on=date(2024, 9, 1))
    hatchling = AnimalFactory(hatched_on=TODAY - 5 * DAY, arrived_on=TODAY - 5 * DAY)

    weigh(adult, "110")
    weigh(hatchling, "1.2")
    with pytest.raises(ImplausibleMassError, match="by its profile"):
        weigh(adult, "1.2", NOW - 2 * HOUR)
    with pytest.raises(ImplausibleMassError, match="by its profile"):
        weigh(hatchling, "110", NOW - 2 * HOUR)


def test_a_confirmed_mass_is_kept_with_its_reason() -> None:
    animal, person = AnimalFactory(), UserFactory()
    weigh(animal, "120", NOW - DAY)
    given = {"animal": animal, "mass_g": G(50), "at": NOW, "recorded_at": NOW}

    with pytest.raises(WeighingError, match="Say why"):
        confirm_weighing(**given, by=person, reason=" ")
    row = confirm_weighing(**given, by=person, reason="weighed twice, abscess removed")

    assert row.note == "weighed twice, abscess removed"
    entry = AuditEntry.objects.latest("pk")
    assert (entry.verb, entry.reason) == ("confirm_weighing", row.note)
    # From now on it is the last weighing that others are held against.
    weigh(animal, "55", NOW + HOUR, recorded_at=NOW + HOUR)


@pytest.mark.parametrize("length", [200, 201])
def test_a_note_has_a_length(length: int) -> None:
    animal = AnimalFactory()
    if length <= 200:
        assert weigh(animal, "100", note="x" * length).note == "x" * length
    else:
        with pytest.raises(WeighingError, match="201 characters; at most 200"):
            weigh(animal, "100", note="x" * length)


def test_a_correction_names_what_it_replaces() -> None:
    animal, person = AnimalFactory(), UserFactory()
    wrong = weigh(animal, "100")

    right = correct_weighing(
        weighing=wrong,
        mass_g=G("10.0"),
        at=wrong.at,
        by=person,
        recorded_at=NOW,
        reason="a digit too many",
    )

    wrong.refresh_from_db()
    assert wrong.mass_g == G(100)
    assert (right.corrects, right.mass_g, right.note) == (
        wrong,
        G("10.00"),
        "a digit too many",
    )
    entry = AuditEntry.objects.latest("pk")
    assert (entry.verb, entry.by, entry.reason) == (
        "correct_weighing",
        person,
        "a digit too many",
    )
    assert entry.before == {"at": "2026-03-02 11:00:00+00:00", "mass_g": "100.00"}
    assert (entry.after["corrects"], entry.after["mass_g"]) == (wrong.pk, "10.00")


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"reason": ""}, "Say why"),
        ({"mass_g": G(100)}, "nothing would change"),
        ({"at": NOW + HOUR}, "has not come yet"),
        ({"at": NOW - 2 * DAY}, "already has 99.00 g"),
    ],
)
def test_a_correction_that_cannot_be_is_refused(
    changes: dict[str, Any], said: str
) -> None:
    animal = AnimalFactory()
    weigh(animal, "99", NOW - 2 * DAY)
    wrong = weigh(animal, "100")
    given = {"weighing": wrong, "mass_g": G(90), "at": wrong.at, "reason": "typo"}

    with pytest.raises(WeighingError, match=said):
        correct_weighing(**(given | changes), by=None, recorded_at=NOW)

    assert Weighing.objects.count() == 2


def test_what_was_corrected_already_cannot_be_again() -> None:
    animal = AnimalFactory()
    first = weigh(animal, "100")
    given = {"at": first.at, "by": None, "recorded_at": NOW, "reason": "typo"}
    second = correct_weighing(weighing=first, mass_g=G(90), **given)

    with pytest.raises(WeighingError, match=r"already has 90.00 g|corrected already"):
        correct_weighing(weighing=first, mass_g=G(80), **given)
    with pytest.raises(WeighingError, match="corrected already"):
        correct_weighing(weighing=first, mass_g=G(80), **(given | {"at": NOW}))
    third = correct_weighing(weighing=second, mass_g=G(80), **given)

    assert [w.mass_g for w in Weighing.objects.order_by("pk")] == [100, 90, 80]
    points = weighings_by_animal(animal_ids=[animal.pk], until_at=NOW)
    assert points == {animal.pk: (WeighingPoint(third.pk, first.at, G("80.00")),)}


# Lists.


def test_a_bad_line_does_not_keep_the_others_out() -> None:
    juno = AnimalFactory(code="V-1")
    AnimalFactory(code="V-2")
    weigh(juno, "100", NOW - 9 * DAY)
    rows = [
        WeighingRow("V-1", NOW - DAY, G(104)),  # after the next line
        WeighingRow("V-1", NOW - 2 * DAY, G(102)),
        WeighingRow("V-9", NOW, G(100)),
        WeighingRow("V-1", NOW - 9 * DAY, G(100)),  # known
        WeighingRow("V-1", NOW - HOUR, G(105000)),
        WeighingRow("V-1", NOW - HOUR, G(300), reason="weighed three times"),
        WeighingRow("V-2", NOW + HOUR, G(100)),
        WeighingRow("V-2", NOW, G(100)),
        WeighingRow("V-2", NOW, G(100)),  # twice in one list
        WeighingRow("V-2", NOW - DAY, G(-1)),
    ]

    results = record_weighings(rows=rows, by=None, recorded_at=NOW)

    assert [(r.outcome.value, r.code) for r in results] == [
        ("stored", ""),
        ("stored", ""),
        ("refused", "weighing_refused"),
        ("known", ""),
        ("refused", "implausible_mass"),
        ("stored", ""),
        ("refused", "weighing_refused"),
        ("stored", ""),
        ("known", ""),
        ("refused", "impossible_mass"),
    ]
    assert "There is no animal 'V-9'" in results[2].sentence
    assert Weighing.objects.count() == 1 + 4
    assert results[3].weighing == Weighing.objects.earliest("pk").pk
    again = record_weighings(rows=rows, by=None, recorded_at=NOW)
    assert [r.outcome.value for r in again] == [
        "known" if r.weighing else "refused" for r in results
    ]
    assert Weighing.objects.count() == 5


def test_an_empty_list_is_an_empty_answer() -> None:
    assert record_weighings(rows=[], by=None, recorded_at=NOW) == ()


# Stale reviews.


def runs(site: Any, *days: int, **more: Any) -> dict[int, ReviewRun]:
    return {d: ReviewRunFactory(site=site, on=TODAY - d * DAY, **more) for d in days}


def stale(made: dict[int, ReviewRun]) -> set[int]:
    fresh = ReviewRun.objects.filter(stale_since__isnull=False)
    marked = set(fresh.values_list("pk", flat=True))
    return {d for d, run in made.items() if run.pk in marked}


def test_a_late_weighing_makes_reviews_of_its_site_stale_from_its_day_on() -> None:
    here, elsewhere = SiteFactory(), SiteFactory()
    animal = AnimalFactory()
    StayFactory(animal=animal, enclosure=EnclosureFactory(room__site=here))
    judged, other = runs(here, 1, 2, 3, 4), runs(elsewhere, 1, 2, 3, 4)
    failed = runs(here, 5, state="failed")

    weigh(animal, "100", NOW - 3 * DAY)

    assert stale(judged) == {1, 2, 3}
    assert stale(other) == stale(failed) == set()
    assert {r.stale_since for r in ReviewRun.objects.filter(pk=judged[1].pk)} == {NOW}


def test_each_site_is_marked_for_the_days_the_animal_was_there() -> None:
    north, south = SiteFactory(), SiteFactory()
    animal, moved_at = AnimalFactory(), NOW - 3 * DAY
    StayFactory(animal=animal, enclosure__room__site=north, until_at=moved_at)
    StayFactory(animal=animal, enclosure__room__site=south, from_at=moved_at)
    at_north, at_south = runs(north, 1, 2, 3, 4, 5), runs(south, 1, 2, 3, 4, 5)

    weigh(animal, "100", NOW - 4 * DAY)

    assert stale(at_north) == {3, 4}  # the day of moving is judged at both
    assert stale(at_south) == {1, 2, 3}


def test_without_any_stay_every_site_may_have_judged_it() -> None:
    one, two = runs(SiteFactory(), 1, 3), runs(SiteFactory(), 1, 3)

    weigh(AnimalFactory(), "100", NOW - 2 * DAY)

    assert stale(one) == stale(two) == {1}


def test_the_first_mark_stays() -> None:
    animal = AnimalFactory()
    judged = runs(SiteFactory(), 1)

    weigh(animal, "100", NOW - 2 * DAY)
    weigh(animal, "101", NOW - DAY, recorded_at=NOW + HOUR)

    assert ReviewRun.objects.get(pk=judged[1].pk).stale_since == NOW


def test_a_correction_marks_from_the_earlier_of_both_days() -> None:
    animal = AnimalFactory()
    wrong = weigh(animal, "100", NOW - 4 * DAY)
    judged = runs(SiteFactory(), 1, 2, 3, 4, 5)

    correct_weighing(
        weighing=wrong,
        mass_g=G(100),
        at=NOW - 2 * DAY,
        by=None,
        recorded_at=NOW,
        reason="wrong day",
    )

    assert stale(judged) == {1, 2, 3, 4}


# Queries.


def test_the_newest_before_an_instant(django_assert_num_queries: Any) -> None:
    one, two, three = AnimalFactory(), AnimalFactory(), AnimalFactory()
    for days, mass in ((3, 90), (2, 95), (1, 99)):
        WeighingFactory(animal=one, at=NOW - days * DAY, mass_g=mass)
    old = WeighingFactory(animal=two, at=NOW - 40 * DAY, mass_g=50)
    ids = [one.pk, two.pk, three.pk]

    with django_assert_num_queries(1):
        found = last_weighings(animal_ids=ids, before_at=NOW - DAY)

    assert {a: p.mass_g for a, p in found.items()} == {one.pk: 95, two.pk: 50}
    assert found[two.pk] == WeighingPoint(old.pk, NOW - 40 * DAY, G(50))


def test_weighings_by_animal_come_oldest_first(django_assert_num_queries: Any) -> None:
    one, two = AnimalFactory(), AnimalFactory()
    for days, mass in ((1, 99), (3, 90), (2, 95)):
        WeighingFactory(animal=one, at=NOW - days * DAY, mass_g=mass)
    WeighingFactory(animal=two, at=NOW, mass_g=50)

    with django_assert_num_queries(1):
        found = weighings_by_animal(animal_ids=[one.pk, two.pk], until_at=NOW - DAY)

    assert {a: [p.mass_g for p in points] for a, points in found.items()} == {
        one.pk: [90, 95, 99]
    }


def test_the_history_shows_what_corrected_what(django_assert_num_queries: Any) -> None:
    animal, person = AnimalFactory(), UserFactory(username="mara")
    wrong = weigh(animal, "100", by=person)
    right = correct_weighing(
        weighing=wrong,
        mass_g=G(90),
        at=wrong.at,
        by=person,
        recorded_at=NOW,
        reason="typo",
    )

    with django_assert_num_queries(1):
        found = weighing_history(animal_id=animal.pk)

    at = NOW - HOUR
    assert found == (
        WeighingLine(right.pk, at, G("90.00"), "mara", NOW, "typo", wrong.pk, None),
        WeighingLine(wrong.pk, at, G("100.00"), "mara", NOW, "", None, right.pk),
    )
