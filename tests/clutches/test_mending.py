"""What is on record of eggs is mended where it was wrong."""

from datetime import UTC, date, datetime
from typing import Any

import pytest

from clutches.actions.boxes import retire_box
from clutches.actions.eggs import EggChange, place_eggs, set_eggs
from clutches.actions.mending import EggMend, MendResult, mend_egg, mend_eggs
from clutches.models import EggPlace
from clutches.rules.eggs.mending import Mended
from clutches.rules.eggs.states import EggError
from clutches.rules.vocabulary import EggState, FailureCause
from core.models import AuditEntry
from husbandry.rules.care_entries import CareEntryError
from tests.clutches.nest import DAY, LAID, PUT, Nest, make_nest
from tests.factories import NOW, TODAY, EggFactory, HatchlingFactory, UserFactory
from tests.husbandry.care_lists import judged, queries_of, stale_days

pytestmark = pytest.mark.django_db
INCUBATING, PIPPED, HATCHED, FAILED = EggState
THEN = TODAY - 3 * DAY
MOULD = FailureCause.MOULD


@pytest.fixture
def nest() -> Nest:
    """Two eggs that were said to have failed three days ago, and one that lives."""
    nest = make_nest(eggs=3)
    changes = [EggChange(egg, FAILED, MOULD) for egg in nest.eggs[:2]]
    set_eggs(changes=changes, on=THEN, by=None, at=NOW)
    AuditEntry.objects.all()
    return nest


def mend(nest: Nest, mended: Mended, number: int = 1, **given: Any) -> MendResult:
    said: dict[str, Any] = {"reason": "Another egg.", "by": None, "at": NOW}
    return mend_egg(egg=nest.eggs[number - 1], mended=mended, **(said | given))


def spell(nest: Nest, number: int = 1) -> EggPlace:
    return EggPlace.objects.filter(egg=nest.eggs[number - 1]).order_by("-from_at")[0]


def test_an_egg_that_had_not_ended_lies_where_it_lay(nest: Nest) -> None:
    keeper = UserFactory.create()
    judged(nest.site, 1, 3, 4)

    result = mend(nest, Mended(INCUBATING), by=keeper)

    egg = nest.fresh()
    assert result == MendResult((egg,), ())
    assert (egg.state, egg.ended_on, egg.cause) == ("incubating", None, "")
    assert spell(nest).until_at is None
    assert stale_days(nest.site) == {1, 3}
    entry = AuditEntry.objects.order_by("-pk")[0]
    assert (entry.verb, entry.by, entry.reason) == ("mend_egg", keeper, "Another egg.")
    assert (entry.before["state"], entry.after["state"]) == ("failed", "incubating")


def test_where_the_box_was_retired_since_it_lies_nowhere_and_that_is_said(
    nest: Nest,
) -> None:
    set_eggs(changes=[EggChange(nest.eggs[2], FAILED, MOULD)], on=THEN, by=None, at=NOW)
    retire_box(box=nest.box, on=TODAY, by=None, at=NOW)

    result = mend(nest, Mended(INCUBATING))

    assert result.remarks == (
        f"Box BX-mill was retired on {TODAY:%d %b %Y}, so egg 1 of C-mill lies "
        "nowhere. Place it.",
    )
    assert spell(nest).until_at is not None


def test_where_another_was_put_since_it_lies_nowhere_and_that_is_said(
    nest: Nest,
) -> None:
    other = EggFactory.create(clutch=nest.clutch, number=9)
    place_eggs(
        eggs=[other], box=nest.box, places=["A1"], placed_at=NOW, by=None, at=NOW
    )

    result = mend(nest, Mended(INCUBATING))

    assert result.remarks == (
        "At A1 of box BX-mill another egg was put since, so egg 1 of C-mill lies "
        "nowhere. Place it.",
    )
    assert spell(nest).until_at == datetime(2026, 2, 28, tzinfo=UTC)


def test_one_that_was_taken_out_before_stays_out() -> None:
    nest = make_nest(eggs=1)
    EggPlace.objects.update(until_at=NOW - 9 * DAY)
    set_eggs(
        changes=[EggChange(nest.eggs[0], FAILED, MOULD)], on=TODAY, by=None, at=NOW
    )

    assert mend(nest, Mended(INCUBATING)).remarks == ()

    assert spell(nest).until_at == NOW - 9 * DAY


def test_an_end_on_another_day_lets_it_lie_there_until_then(nest: Nest) -> None:
    mend(nest, Mended(HATCHED, ended_on=TODAY - DAY))

    egg = nest.fresh()
    assert (egg.state, egg.ended_on, egg.cause) == ("hatched", TODAY - DAY, "")
    assert spell(nest).until_at == datetime(2026, 3, 2, tzinfo=UTC)


def test_but_never_beyond_the_egg_that_came_after(nest: Nest) -> None:
    came_at = datetime(2026, 3, 1, 9, tzinfo=UTC)
    other = EggFactory.create(clutch=nest.clutch, number=9)
    place_eggs(
        eggs=[other], box=nest.box, places=["A1"], placed_at=came_at, by=None, at=NOW
    )

    mend(nest, Mended(FAILED, ended_on=TODAY, cause=FailureCause.COLLAPSED))

    assert spell(nest).until_at == came_at


def test_a_living_egg_is_mended_to_one_that_ended(nest: Nest) -> None:
    mend(nest, Mended(HATCHED, pipped_on=TODAY - DAY, ended_on=TODAY), 3)

    egg = nest.fresh(3)
    assert (egg.state, egg.pipped_on, egg.ended_on) == ("hatched", TODAY - DAY, TODAY)
    assert spell(nest, 3).until_at == NOW


def test_a_pipping_is_mended_away(nest: Nest) -> None:
    set_eggs(changes=[EggChange(nest.eggs[2], PIPPED)], on=TODAY, by=None, at=NOW)

    mend(nest, Mended(INCUBATING), 3)

    assert (nest.fresh(3).state, nest.fresh(3).pipped_on) == ("incubating", None)
    assert spell(nest, 3).from_at == PUT


@pytest.mark.parametrize(
    ("mended", "said"),
    [
        (Mended(FAILED, ended_on=THEN, cause=MOULD), "stands so on record already"),
        (Mended(FAILED, ended_on=THEN), "Say why egg 1 of C-mill failed"),
        (Mended(HATCHED), "hatched takes the day of that"),
        (Mended(INCUBATING, ended_on=THEN), "incubating takes no day of an end"),
        (Mended(PIPPED), "give the day on which it pipped"),
        (Mended(INCUBATING, pipped_on=THEN), "an egg that pipped is not incubating"),
        (Mended(HATCHED, ended_on=LAID), "was laid on 01 Jan 2026; it cannot have hat"),
        (Mended(PIPPED, pipped_on=TODAY + DAY), "03 Mar 2026 has not come yet"),
        (Mended(PIPPED, pipped_on=LAID), "it cannot have pipped on 01 Jan 2026"),
        (
            Mended(HATCHED, pipped_on=TODAY, ended_on=THEN),
            "pipped on 02 Mar 2026; it cannot have hatched on 27 Feb 2026",
        ),
        (
            Mended(FAILED, ended_on=THEN, cause=FailureCause.INFERTILE),
            "is on day 57, and before day 90",
        ),
    ],
)
def test_what_cannot_be_on_record_is_refused(
    mended: Mended, said: str, nest: Nest
) -> None:
    with pytest.raises(EggError, match=said):
        mend(nest, mended)

    assert nest.fresh().state == "failed"


def test_an_egg_from_which_an_animal_hatched_stays_hatched() -> None:
    nest = make_nest(eggs=1)
    set_eggs(changes=[EggChange(nest.eggs[0], HATCHED)], on=TODAY, by=None, at=NOW)
    HatchlingFactory.create(
        clutch=nest.clutch, egg=nest.eggs[0], animal__code="V-9", animal__name="Ivo"
    )

    with pytest.raises(EggError, match="V-9 Ivo is on record as hatched from egg 1"):
        mend(nest, Mended(INCUBATING))


def test_one_wrong_line_mends_none(nest: Nest) -> None:
    mends = [
        EggMend(nest.eggs[0], Mended(INCUBATING)),
        EggMend(nest.eggs[1], Mended(HATCHED)),
        EggMend(nest.eggs[2], Mended(PIPPED)),
    ]

    with pytest.raises(EggError) as caught:
        mend_eggs(mends=mends, reason="A slip.", by=None, at=NOW)

    assert len(caught.value.sentence.splitlines()) == 2
    assert set(caught.value.fields) == {"ended_on", "pipped_on"}
    assert nest.fresh().state == "failed"


def test_each_egg_is_given_once_with_a_reason(nest: Nest) -> None:
    twice = [EggMend(nest.eggs[0], Mended(INCUBATING))] * 2

    with pytest.raises(EggError, match="given more than once"):
        mend_eggs(mends=twice, reason="A slip.", by=None, at=NOW)
    with pytest.raises(CareEntryError, match="Say what was wrong"):
        mend(nest, Mended(INCUBATING), reason=" ")
    assert mend_eggs(mends=[], reason="Nothing.", by=None, at=NOW) == MendResult((), ())


def test_ninety_eggs_take_as_many_queries_as_one() -> None:
    def do(nest: Nest) -> int:
        changes = [EggChange(egg, FAILED, MOULD) for egg in nest.eggs]
        set_eggs(changes=changes, on=date(2026, 3, 1), by=None, at=NOW)
        mends = [EggMend(egg, Mended(INCUBATING)) for egg in nest.eggs]
        return queries_of(
            lambda: mend_eggs(mends=mends, reason="A slip.", by=None, at=NOW)
        )

    many = make_nest(eggs=90, site="moor", rows=10, columns=9)

    assert do(many) == do(make_nest(eggs=1))
