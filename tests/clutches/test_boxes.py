"""Boxes are made up, moved, checked and retired; what was judged goes stale."""

from collections.abc import Callable
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import IntegrityError, transaction

from clutches.actions.box_checks import BoxCheckRow, record_box_checks
from clutches.actions.boxes import make_box, move_box, retire_box
from clutches.models import BoxCheck, BoxStay, EggBox, EggPlace
from clutches.rules.boxes.boxes import BoxError
from clutches.rules.vocabulary import Substrate
from core.models import AuditEntry
from husbandry.actions.care_records import strike_out
from husbandry.models import Enclosure
from tests.clutches.nest import DAY, HOUR, LAID, PUT, make_nest
from tests.factories import (
    NOW,
    TODAY,
    BoxStayFactory,
    EggBoxFactory,
    EggPlaceFactory,
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
    verbs,
)

pytestmark = pytest.mark.django_db


def make(**given: Any) -> EggBox:
    said: dict[str, Any] = {
        "code": " BX-1 ",
        "rows": 5,
        "columns": 8,
        "substrate": Substrate.PERLITE,
        "substrate_g": Decimal("200.04"),
        "water_g": Decimal(160),
        "made_on": TODAY,
        "by": None,
        "at": NOW,
    }
    return make_box(**(said | given))


@pytest.fixture
def shelf(db: None) -> Enclosure:
    return EnclosureFactory.create(code="I-9", kind="incubator")


def test_a_box_is_made_up_and_put_into_its_incubator(shelf: Enclosure) -> None:
    keeper = UserFactory.create()

    box = make(incubator=shelf, note="From the old stock.", by=keeper)

    box.refresh_from_db()
    assert (box.code, box.rows, box.columns, box.substrate) == ("BX-1", 5, 8, "perlite")
    assert (box.substrate_g, box.water_g) == (Decimal("200.0"), Decimal("160.0"))
    assert (box.made_on, box.note) == (TODAY, "From the old stock.")
    stay = BoxStay.objects.get()
    assert (stay.box, stay.incubator, stay.from_at) == (box, shelf, NOW)
    assert (stay.until_at, stay.moved_by) == (None, keeper)
    assert verbs() == ["make_box", "move_box"]
    entry = AuditEntry.objects.order_by("pk")[0]
    assert (entry.by, entry.subject_id) == (keeper, str(box.pk))
    assert entry.after["water_g"] == "160.0"


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"rows": 27}, "A box of 27 rows cannot be"),
        ({"water_g": Decimal(0)}, "0 g cannot be"),
        ({"note": "x" * 301}, "The note has 301 characters; at most 300 are kept"),
        ({"code": "BX-0"}, "There is a box BX-0 already, in use or not"),
    ],
)
def test_a_box_that_cannot_be_is_refused_whole(given: Any, said: str) -> None:
    EggBoxFactory.create(code="BX-0")

    with pytest.raises(BoxError, match=said):
        make(**given)

    assert not EggBox.objects.exclude(code="BX-0").exists()
    assert not AuditEntry.objects.exists()


def test_a_box_is_not_made_up_where_it_cannot_stand() -> None:
    with pytest.raises(BoxError, match="is no incubator"):
        make(incubator=EnclosureFactory.create(kind="tub"))

    assert not EggBox.objects.exists()


def test_a_late_move_ends_one_stay_begins_the_next_and_marks_both_sites() -> None:
    nest = make_nest()
    other = EnclosureFactory.create(
        code="I-2", room=RoomFactory.create(), kind="incubator"
    )
    judged(nest.site, 1, 3, 4)
    judged(other.room.site, 2, 3, 4)

    stay = move_box(
        box=nest.box,
        incubator=other,
        moved_at=NOW - 3 * DAY,
        by=None,
        at=NOW,
        reason=" Too cool. ",
    )

    old, new = BoxStay.objects.order_by("from_at")
    assert (old.from_at, old.until_at) == (PUT, NOW - 3 * DAY)
    assert stay == new
    assert (new.incubator, new.from_at, new.until_at) == (other, NOW - 3 * DAY, None)
    assert new.reason == "Too cool."
    assert (stale_days(nest.site), stale_days(other.room.site)) == ({1, 3}, {2, 3})
    entry = AuditEntry.objects.get()
    assert (entry.verb, entry.before) == ("move_box", {"incubator": "I-mill"})
    assert entry.after == {"incubator": "I-2", "moved_at": "2026-02-27T12:00:00+00:00"}


def test_a_box_is_taken_out_and_put_back() -> None:
    nest = make_nest()

    assert move_box(box=nest.box, incubator=None, moved_at=NOW, by=None, at=NOW) is None

    assert BoxStay.objects.get().until_at == NOW
    with pytest.raises(BoxError, match="stands in no incubator already"):
        move_box(box=nest.box, incubator=None, moved_at=NOW, by=None, at=NOW)
    later = NOW + HOUR
    move_box(box=nest.box, incubator=nest.incubator, moved_at=later, by=None, at=later)
    assert BoxStay.objects.count() == 2


def test_a_box_stands_in_one_place_on_both_databases() -> None:
    nest = make_nest()

    for wrong in (
        {"from_at": NOW},
        {"from_at": NOW, "until_at": NOW},
    ):
        with pytest.raises(IntegrityError), transaction.atomic():
            BoxStayFactory.create(box=nest.box, incubator=nest.incubator, **wrong)


def test_a_move_that_cannot_be_changes_nothing() -> None:
    nest = make_nest()

    for wrong in (
        {"moved_at": PUT},
        {"moved_at": NOW + HOUR},
        {"reason": "x" * 201},
        {"incubator": nest.incubator},
    ):
        given: dict[str, Any] = {"incubator": None, "moved_at": NOW, "reason": ""}
        with pytest.raises(BoxError):
            move_box(box=nest.box, by=None, at=NOW, **(given | wrong))
    assert BoxStay.objects.get().until_at is None


def test_only_an_empty_box_is_retired_and_it_leaves_its_incubator() -> None:
    nest = make_nest(eggs=2)
    with pytest.raises(BoxError, match="2 eggs lie in box BX-mill; move them"):
        retire_box(box=nest.box, on=TODAY, by=None, at=NOW)
    EggPlace.objects.update(until_at=NOW - 3 * DAY)
    with pytest.raises(BoxError, match="An egg still lay in box BX-mill on 27 Feb"):
        retire_box(box=nest.box, on=TODAY - 4 * DAY, by=None, at=NOW)

    box = retire_box(
        box=nest.box, on=TODAY - 2 * DAY, by=None, at=NOW, reason="Mouldy."
    )

    box.refresh_from_db()
    assert box.retired_on == TODAY - 2 * DAY
    # The end of that day in Lisbon, which keeps UTC in winter.
    assert BoxStay.objects.get().until_at == NOW.replace(hour=0) - DAY
    assert verbs() == ["retire_box"]
    with pytest.raises(BoxError, match="already"):
        retire_box(box=nest.box, on=TODAY, by=None, at=NOW)


def test_a_box_retired_today_stood_there_until_now() -> None:
    nest = make_nest(lying=False)

    retire_box(box=nest.box, on=TODAY, by=None, at=NOW)

    assert BoxStay.objects.get().until_at == NOW


def test_an_egg_that_left_at_midnight_lay_there_the_day_before() -> None:
    nest = make_nest(eggs=1)
    EggPlace.objects.update(until_at=NOW.replace(hour=0))

    retire_box(box=nest.box, on=TODAY - DAY, by=None, at=NOW)

    nest.box.refresh_from_db()
    assert nest.box.retired_on == TODAY - DAY


def test_a_box_is_not_retired_before_it_came_where_it_stands() -> None:
    nest = make_nest(lying=False)
    BoxStay.objects.update(from_at=NOW - HOUR)

    with pytest.raises(BoxError, match="came to I-mill on 02 Mar 2026"):
        retire_box(box=nest.box, on=TODAY - DAY, by=None, at=NOW)


def test_a_box_that_never_stood_anywhere_is_retired_too() -> None:
    box = EggBoxFactory.create()

    assert retire_box(box=box, on=TODAY, by=None, at=NOW).retired_on == TODAY


def test_a_box_that_never_stood_is_spoken_of_by_the_clock_of_its_eggs() -> None:
    auckland = SiteFactory.create(time_zone="Pacific/Auckland")
    place = EggPlaceFactory.create(egg__clutch__site=auckland, until_at=NOW)

    # At noon UTC of the 2nd it is the 3rd there.
    assert retire_box(
        box=place.box, on=TODAY + DAY, by=None, at=NOW
    ).retired_on == date(2026, 3, 3)


# Checks


def look(**given: Any) -> BoxCheckRow:
    return BoxCheckRow(**({"box": "BX-mill", "at": NOW - HOUR} | given))


def check(*rows: BoxCheckRow) -> Any:
    return record_box_checks(rows=rows, by=None, recorded_at=NOW)


def test_checks_are_kept_and_good_ones_beside_bad_ones() -> None:
    nest = make_nest()
    judged(nest.site, 1, 2, 3)

    results = check(
        look(mass_g=Decimal("402.52"), water_g=Decimal(6)),
        look(at=NOW - 2 * DAY),
        look(box="BX-9"),
        look(at=NOW + HOUR),
        look(mass_g=Decimal("402.5"), water_g=Decimal("6.0")),
        look(mass_g=Decimal(-1)),
        look(note="x" * 301),
        look(at=PUT - 2 * DAY),
    )

    outcomes = [r.outcome for r in results]
    assert outcomes == [STORED, STORED, REFUSED, REFUSED, KNOWN, *[REFUSED] * 3]
    assert "There is no box 'BX-9'" in results[2].sentence
    assert "was made up on 01 Jan 2026; nobody can have" in results[7].sentence
    first, second = BoxCheck.objects.order_by("-at")
    assert (first.mass_g, first.water_g) == (Decimal("402.5"), Decimal("6.0"))
    assert (second.mass_g, second.water_g) == (None, None)
    assert verbs() == ["record_box_check", "record_box_check"]
    assert stale_days(nest.site) == {1, 2}


def test_a_check_is_corrected_and_struck_out() -> None:
    nest = make_nest()
    (first,) = check(look(mass_g=Decimal(402)))
    judged(nest.site, 1)

    (second,) = check(
        look(mass_g=Decimal(420), note="Read it wrongly.", corrects=first.record)
    )
    wrong = BoxCheck.objects.get(pk=first.record)
    assert (wrong.struck_at, wrong.struck_reason) == (NOW, "Read it wrongly.")
    right = BoxCheck.objects.get(pk=second.record)
    strike_out(record=right, reason="Another box.", by=None, at=NOW)

    assert not BoxCheck.objects.filter(struck_at__isnull=True).exists()


def test_a_retired_box_is_looked_into_no_more() -> None:
    nest = make_nest(lying=False)
    EggBox.objects.update(retired_on=TODAY - 3 * DAY)

    (result,) = check(look())

    assert "was retired on 27 Feb 2026; nobody can have looked" in result.sentence
    assert nest.box.retired_on is None


def test_many_checks_take_as_many_queries_as_one() -> None:
    make_nest()
    for number in range(5):
        box = EggBoxFactory.create(code=f"BX-{number}", made_on=LAID)
        BoxStayFactory.create(box=box)

    one = queries_of(lambda: check(look()))
    many = queries_of(
        lambda: check(*(look(box=f"BX-{n}", at=NOW - n * HOUR) for n in range(5)))
    )

    assert many == one


def test_nothing_sent_is_nothing_answered() -> None:
    assert check() == ()


@pytest.mark.parametrize(
    "wrong", [{"mass_g": Decimal(0)}, {"water_g": Decimal(-1)}, {"struck_at": NOW}]
)
def test_the_database_keeps_no_impossible_check(
    wrong: dict[str, Any], django_assert_num_queries: Callable[..., object]
) -> None:
    box = EggBoxFactory.create()

    with pytest.raises(IntegrityError), transaction.atomic():
        BoxCheck.objects.create(box=box, at=NOW, recorded_at=NOW, **wrong)


def test_a_check_marks_where_the_box_stood_since_even_elsewhere_now() -> None:
    nest = make_nest()
    elsewhere = EnclosureFactory.create(code="I-2", kind="incubator")
    move_box(box=nest.box, incubator=elsewhere, moved_at=NOW - 5 * DAY, by=None, at=NOW)
    judged(nest.site, 3, 6)
    judged(elsewhere.room.site, 3, 6)

    check(look(at=NOW - timedelta(days=4)))

    assert stale_days(elsewhere.room.site) == {3}
    assert stale_days(nest.site) == {3}  # the clutch belongs there
