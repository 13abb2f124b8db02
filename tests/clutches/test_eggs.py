"""Eggs are put into places, moved, and become what they become; many at once."""

from collections.abc import Sequence
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from django.db import IntegrityError, transaction

from clutches.actions.eggs import EggChange, move_eggs, place_eggs, set_eggs
from clutches.models import Egg, EggPlace
from clutches.rules.boxes.places import Place, PlacesError
from clutches.rules.eggs.placing import PlacingError
from clutches.rules.eggs.states import EggError
from clutches.rules.vocabulary import EggState, FailureCause
from core.models import AuditEntry
from tests.clutches.nest import DAY, HOUR, LAID, PUT, Nest, make_nest
from tests.factories import (
    NOW,
    TODAY,
    EggBoxFactory,
    EggFactory,
    EggPlaceFactory,
    UserFactory,
)
from tests.husbandry.care_lists import judged, queries_of, stale_days, verbs

pytestmark = pytest.mark.django_db
PIPPED, HATCHED, FAILED = EggState.PIPPED, EggState.HATCHED, EggState.FAILED


def put(nest: Nest, places: Sequence[str] | None = None, **given: Any) -> list[str]:
    said: dict[str, Any] = {"eggs": nest.eggs, "box": nest.box, "placed_at": NOW}
    rows = place_eggs(places=places, at=NOW, **({"by": None} | said | given))
    return [Place(row.row, row.column).label for row in rows]


def lies() -> dict[int, str]:
    """Return where each egg lies now, by its number."""
    rows = EggPlace.objects.filter(until_at__isnull=True).select_related("egg", "box")
    return {r.egg.number: f"{r.box.code} {Place(r.row, r.column).label}" for r in rows}


def test_eggs_are_put_into_the_free_places_in_order() -> None:
    nest = make_nest(eggs=4, lying=False)
    EggPlaceFactory.create(box=nest.box, row=1, column=2)
    keeper = UserFactory.create()

    assert put(nest, by=keeper) == ["A1", "C1", "A2", "B2"]

    assert {p.from_at for p in EggPlace.objects.filter(egg__in=nest.eggs)} == {NOW}
    assert verbs() == ["place_egg"] * 4
    entry = AuditEntry.objects.order_by("pk")[1]
    assert (entry.by, entry.subject_id) == (keeper, str(nest.eggs[1].pk))
    assert entry.before == {"place": None}
    assert entry.after["place"] == "C1 of BX-mill"


def test_eggs_fill_the_places_that_are_named() -> None:
    nest = make_nest(eggs=3, lying=False)

    assert put(nest, ["C4", "row 2"]) == ["C4", "A2", "B2"]


def test_eggs_put_late_mark_the_nights_since() -> None:
    nest = make_nest(lying=False)
    judged(nest.site, 1, 2, 3)

    put(nest, placed_at=NOW - 2 * DAY)

    assert stale_days(nest.site) == {1, 2}


@pytest.mark.parametrize(
    ("places", "given", "refusal", "said"),
    [
        (["D1"], {}, PlacesError, "The box has no D1. It has 4 rows and 3 columns"),
        (["A1", "B1"], {}, PlacingError, "2 places of box BX-mill are named for 3 egg"),
        (
            ["row 4"],
            {},
            PlacingError,
            "At B4 of box BX-mill lies egg 9 of C-9; choose a free place for egg 2 of",
        ),
        (None, {"placed_at": NOW + HOUR}, PlacingError, "has not come yet"),
        (
            None,
            {"placed_at": PUT - 2 * DAY},
            PlacingError,
            "Egg 1 of C-mill was laid on 01 Jan 2026; it cannot have been put anywhere",
        ),
    ],
)
def test_eggs_that_cannot_lie_there_are_refused_whole(
    places: Any, given: Any, refusal: type[Exception], said: str
) -> None:
    nest = make_nest(lying=False)
    stranger = EggFactory.create(clutch__code="C-9", number=9)
    EggPlaceFactory.create(egg=stranger, box=nest.box, row=4, column=2)

    with pytest.raises(refusal, match=said):
        put(nest, places, **given)

    assert EggPlace.objects.count() == 1
    assert not AuditEntry.objects.exists()


def test_a_full_box_and_one_out_of_use_take_no_egg() -> None:
    nest = make_nest(eggs=3, lying=False, rows=1, columns=2)
    with pytest.raises(PlacingError, match="has 2 places free, and 3 eggs need one"):
        put(nest)
    with pytest.raises(PlacingError, match="was retired on 02 Mar 2026"):
        put(nest, box=EggBoxFactory.create(retired_on=TODAY))
    with pytest.raises(PlacingError, match=r"was made up on 02 Mar 2026; no egg can"):
        put(nest, box=EggBoxFactory.create(made_on=TODAY), placed_at=NOW - DAY)


def test_every_egg_that_cannot_be_put_is_named() -> None:
    nest = make_nest(eggs=3)
    Egg.objects.filter(number=2).update(state="hatched", ended_on=TODAY)
    EggPlace.objects.filter(egg__number=2).update(until_at=NOW)

    with pytest.raises(PlacingError) as caught:
        put(nest, eggs=[*nest.eggs, nest.eggs[2]])

    assert caught.value.sentence.splitlines() == [
        "Egg 3 of C-mill is given more than once; each egg lies at one place.",
        "Egg 1 of C-mill lies at A1 of BX-mill already; move it instead of placing it.",
        "Egg 2 of C-mill has hatched and lies nowhere any more.",
        *[
            "Egg 3 of C-mill lies at C1 of BX-mill already; move it instead of placing "
            "it."
        ]
        * 2,
    ]


def test_no_place_of_a_past_spell_is_shared() -> None:
    nest = make_nest(eggs=1, lying=False)
    EggPlaceFactory.create(box=nest.box, until_at=NOW)

    with pytest.raises(PlacingError, match="At A1 of box BX-mill lies egg"):
        put(nest, ["A1"], placed_at=NOW - HOUR)
    assert put(nest, ["A1"], placed_at=NOW) == ["A1"]


def test_eggs_change_places_and_boxes_in_one_go() -> None:
    nest = make_nest(eggs=3)
    other = EggBoxFactory.create(code="BX-2", rows=2, columns=2)

    def move(numbers: list[int], to: Any, places: Any, at: datetime = NOW) -> Any:
        return move_eggs(
            eggs=[nest.eggs[n - 1] for n in numbers],
            box=to,
            places=places,
            moved_at=at,
            by=None,
            at=NOW + DAY,
            reason="Turned round.",
        )

    move([1, 2], nest.box, ["B1", "A1"])
    assert lies() == {1: "BX-mill B1", 2: "BX-mill A1", 3: "BX-mill C1"}
    move([3], other, None)
    assert lies()[3] == "BX-2 A1"
    assert move([2], None, None, NOW + HOUR) == []
    assert lies() == {1: "BX-mill B1", 3: "BX-2 A1"}

    history = EggPlace.objects.filter(egg=nest.eggs[1]).order_by("from_at")
    assert [(p.from_at, p.until_at) for p in history] == [
        (PUT, NOW),
        (NOW, NOW + HOUR),
    ]
    entry = AuditEntry.objects.order_by("-pk")[0]
    assert (entry.verb, entry.reason) == ("move_egg", "Turned round.")
    assert (entry.before, entry.after["place"]) == ({"place": "A1 of BX-mill"}, None)


def test_an_egg_that_lies_nowhere_or_came_later_is_not_moved() -> None:
    nest = make_nest(eggs=1)
    later = make_nest(eggs=1, lying=False, site="moor")

    for eggs, moved_at, said in (
        (later.eggs, NOW, "lies in no box; place it instead of moving it"),
        (nest.eggs, PUT, "came to A1 of BX-mill at 2026-01-01 12:00 UTC"),
    ):
        with pytest.raises(PlacingError, match=said):
            move_eggs(
                eggs=eggs,
                box=nest.box,
                places=["B2"],
                moved_at=moved_at,
                by=None,
                at=NOW,
            )
    EggPlace.objects.update(until_at=NOW)
    with pytest.raises(PlacingError, match="lay elsewhere until 2026-03-02 12:00 UTC"):
        put(nest, placed_at=NOW - HOUR)


def test_the_database_lets_no_two_eggs_lie_at_one_place() -> None:
    nest = make_nest(eggs=2)

    for wrong in (
        {"egg": EggFactory.create(), "row": 1, "column": 1},
        {"egg": nest.eggs[0], "row": 4, "column": 3},
    ):
        with pytest.raises(IntegrityError), transaction.atomic():
            EggPlaceFactory.create(box=nest.box, **wrong)


def test_what_another_writer_did_at_once_is_refused_in_words(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    nest = make_nest(eggs=1, lying=False)
    stranger = EggPlaceFactory.create(box=nest.box, row=1, column=1)
    # It came between the look and the write.
    monkeypatch.setattr(
        "clutches.queries.placing.EggPlace.objects",
        EggPlace.objects.exclude(pk=stranger.pk),
    )

    with pytest.raises(PlacingError, match="at the same moment"):
        put(nest, ["A1"])


@pytest.mark.parametrize("act", ["place", "move", "set"])
def test_ninety_eggs_take_as_many_queries_as_one(act: str) -> None:
    def do(nest: Nest) -> None:
        if act == "place":
            put(nest)
        elif act == "move":
            move_eggs(
                eggs=nest.eggs,
                box=EggBoxFactory.create(rows=10, columns=9),
                places=None,
                moved_at=NOW,
                by=None,
                at=NOW,
            )
        else:
            changes = [EggChange(egg, FAILED, FailureCause.MOULD) for egg in nest.eggs]
            set_eggs(changes=changes, on=TODAY, by=None, at=NOW)

    lying = act != "place"
    few = make_nest(eggs=1, lying=lying)
    many = make_nest(eggs=90, lying=lying, site="moor", rows=10, columns=9)

    assert queries_of(lambda: do(many)) == queries_of(lambda: do(few))


# What became of them


def become(nest: Nest, *changes: tuple[Any, ...], on: date = TODAY) -> list[Egg]:
    """Say of eggs, by number, what became of them."""
    told = [EggChange(nest.eggs[number - 1], *rest) for number, *rest in changes]
    return set_eggs(changes=told, on=on, by=None, at=NOW)


def test_eggs_become_what_is_said_and_those_that_ended_lie_nowhere() -> None:
    nest = make_nest(eggs=4)

    eggs = become(
        nest, (1, PIPPED), (2, HATCHED), (3, FAILED, FailureCause.MOULD, " Green. ")
    )

    assert [e.number for e in eggs] == [1, 2, 3]
    found = list(
        Egg.objects.order_by("number").values_list(
            *("state", "pipped_on", "ended_on", "cause", "note")
        )
    )
    assert found == [
        ("pipped", TODAY, None, "", ""),
        ("hatched", None, TODAY, "", ""),
        ("failed", None, TODAY, "mould", "Green."),
        ("incubating", None, None, "", ""),
    ]
    assert lies() == {1: "BX-mill A1", 4: "BX-mill A2"}
    # Today's lay there until now; so the place can be taken again.
    assert EggPlace.objects.get(egg=nest.eggs[1]).until_at == NOW
    assert verbs() == ["set_egg"] * 3
    entry = AuditEntry.objects.order_by("pk")[2]
    assert entry.before["state"] == "incubating"
    assert (entry.after["state"], entry.after["cause"]) == ("failed", "mould")


def test_one_of_the_past_lay_there_until_its_days_end_and_marks_the_nights() -> None:
    nest = make_nest(eggs=2)
    judged(nest.site, 1, 2, 3, 4)

    become(nest, (1, HATCHED), on=TODAY - 3 * DAY)

    # The end of 27 Feb in Lisbon, which keeps UTC in winter.
    assert EggPlace.objects.get(egg=nest.eggs[0]).until_at == datetime(
        2026, 2, 28, tzinfo=UTC
    )
    assert stale_days(nest.site) == {1, 2, 3}


def test_one_that_ended_before_it_was_put_there_leaves_at_once() -> None:
    nest = make_nest(eggs=1)
    EggPlace.objects.update(from_at=NOW - HOUR)

    become(nest, (1, FAILED, FailureCause.BROKEN), on=TODAY - 3 * DAY)

    spell = EggPlace.objects.get()
    assert spell.until_at == NOW - HOUR + timedelta(seconds=1)


def test_one_that_lay_nowhere_can_end_too() -> None:
    nest = make_nest(eggs=1, lying=False)

    become(nest, (1, FAILED, FailureCause.UNKNOWN))

    assert nest.fresh().state == "failed"


def test_one_that_pipped_hatches_later() -> None:
    nest = make_nest(eggs=1)

    become(nest, (1, PIPPED), on=TODAY - DAY)
    become(nest, (1, HATCHED))

    egg = nest.fresh()
    assert (egg.state, egg.pipped_on, egg.ended_on) == ("hatched", TODAY - DAY, TODAY)


def test_one_wrong_line_changes_none_and_each_is_named_with_its_place() -> None:
    nest = make_nest(eggs=4)
    become(nest, (4, HATCHED))
    before = AuditEntry.objects.count()

    with pytest.raises(EggError) as caught:
        become(
            nest,
            (1, HATCHED),
            (2, FAILED),
            (3, FAILED, FailureCause.INFERTILE),
            (4, PIPPED),
        )

    first, second, third = caught.value.sentence.splitlines()
    assert first.startswith("Say why egg 2 of C-mill (B1 of BX-mill) failed")
    assert second.startswith(
        "Egg 3 of C-mill (C1 of BX-mill) is on day 60, and before day 90 an egg without"
    )
    assert third.startswith("Egg 4 of C-mill hatched on 02 Mar 2026 already")
    assert set(caught.value.fields) == {"cause", "state"}
    assert nest.fresh(1).state == "incubating"
    assert AuditEntry.objects.count() == before


def test_a_day_before_laying_or_to_come_is_refused_by_the_clock_of_the_site() -> None:
    nest = make_nest(eggs=1)
    with pytest.raises(EggError, match="was laid on 01 Jan 2026; it cannot have"):
        become(nest, (1, HATCHED), on=LAID)
    with pytest.raises(EggError, match="03 Mar 2026 has not come yet"):
        become(nest, (1, HATCHED), on=TODAY + DAY)
    # At noon UTC of the 2nd it is the 3rd there.
    nest.site.time_zone = "Pacific/Auckland"
    nest.site.save()

    become(nest, (1, HATCHED), on=TODAY + DAY)


def test_of_one_egg_one_thing_is_said() -> None:
    nest = make_nest(eggs=1)

    with pytest.raises(
        EggError, match="More than one thing is said of egg 1 of C-mill"
    ):
        become(nest, (1, PIPPED), (1, HATCHED))


def test_nothing_said_changes_nothing() -> None:
    assert set_eggs(changes=[], on=TODAY, by=None, at=NOW) == []
    assert (
        place_eggs(
            eggs=[],
            box=EggBoxFactory.create(),
            places=None,
            placed_at=NOW,
            by=None,
            at=NOW,
        )
        == []
    )


@pytest.mark.parametrize(
    "wrong",
    [
        {"state": "hatched"},
        {"state": "failed", "ended_on": TODAY},
        {"state": "incubating", "ended_on": TODAY},
        {"state": "hatched", "ended_on": TODAY, "cause": "mould"},
        {"state": "pipped"},
        {"state": "hatched", "ended_on": TODAY, "pipped_on": TODAY + DAY},
        {"number": 0},
    ],
)
def test_the_database_keeps_no_impossible_egg(wrong: dict[str, Any]) -> None:
    with pytest.raises(IntegrityError), transaction.atomic():
        EggFactory.create(**wrong)
