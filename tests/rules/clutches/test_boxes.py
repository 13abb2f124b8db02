"""Boxes: what cannot be is refused; the water in them is told by weighing."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest

from clutches.rules.boxes.boxes import (
    BoxError,
    Shelf,
    StandingBox,
    check_box,
    check_box_move,
    check_retirement,
    round_grams,
)
from clutches.rules.boxes.water import (
    BoxLook,
    Loss,
    WaterBalance,
    mass_ratio,
    water_balance,
)

NOON = datetime(2026, 3, 2, 12, 0, tzinfo=UTC)
TODAY = NOON.date()
HOUR, DAY = timedelta(hours=1), timedelta(days=1)
G = Decimal


def box(**given: Any) -> StandingBox:
    said: dict[str, Any] = {
        "code": "BX-1",
        "made_on": date(2026, 2, 10),
        "retired_on": None,
        "incubator": "I-1",
        "since_at": NOON - 5 * DAY,
        "last_until_at": None,
    }
    return StandingBox(**(said | given))


def shelf(**given: Any) -> Shelf:
    said: dict[str, Any] = {"code": "I-2", "is_incubator": True, "retired_on": None}
    return Shelf(**(said | given))


def move(standing: StandingBox, to: Shelf | None, *, moved_at: datetime = NOON) -> None:
    check_box_move(
        standing, to=to, moved_at=moved_at, moved_on=moved_at.date(), at=NOON
    )


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"code": ""}, "'' is no code for a box: give 1 to 20 characters"),
        ({"code": "x" * 21}, "is no code for a box"),
        ({"code": "A/1"}, "and no slash"),
        ({"rows": 0}, "A box of 0 rows cannot be; give 1 to 26"),
        ({"columns": 27}, "A box of 27 columns cannot be; give 1 to 26"),
        ({"made_on": TODAY + DAY}, "03 Mar 2026 has not come yet"),
    ],
)
def test_a_box_that_cannot_be_is_refused(given: dict[str, Any], said: str) -> None:
    usual: dict[str, Any] = {"code": "BX-1", "rows": 26, "columns": 1, "made_on": TODAY}
    check_box(**usual, today=TODAY)

    with pytest.raises(BoxError, match=said):
        check_box(**(usual | given), today=TODAY)


@pytest.mark.parametrize("wrong", ["0", "-1", "0.04", "1000000", "NaN", "Infinity"])
def test_masses_that_cannot_be_are_refused(wrong: str) -> None:
    with pytest.raises(BoxError, match=r"cannot be; give 0\.1 to 999999\.9 g"):
        round_grams("water_g", G(wrong))


def test_masses_are_kept_to_a_tenth() -> None:
    assert round_grams("water_g", None) is None
    assert round_grams("water_g", G("402.54")) == G("402.5")
    assert round_grams("water_g", G("0.1")) == G("0.1")


def test_a_box_moves_to_another_incubator_or_out_of_its_own() -> None:
    move(box(), shelf())
    move(box(), None)
    move(box(incubator="", since_at=None), shelf())
    move(box(), shelf(retired_on=TODAY + DAY))
    move(
        box(since_at=NOON - HOUR), shelf(), moved_at=NOON - HOUR + timedelta(seconds=1)
    )


@pytest.mark.parametrize(
    ("standing", "to", "moved_at", "said"),
    [
        (box(), shelf(), NOON + HOUR, "has not come yet"),
        (box(retired_on=TODAY), shelf(), NOON, "was retired on 02 Mar 2026; it stands"),
        (
            box(incubator="", since_at=None),
            shelf(),
            NOON - 30 * DAY,
            "was made up on 10 Feb 2026; it cannot have been moved on 31 Jan 2026",
        ),
        (box(), shelf(), NOON - 5 * DAY, "came to I-1 at 2026-02-25 12:00 UTC; it can"),
        (
            box(incubator="", since_at=None, last_until_at=NOON - DAY),
            shelf(),
            NOON - 2 * DAY,
            "stood elsewhere until 2026-03-01 12:00 UTC",
        ),
        (
            box(incubator="", since_at=None),
            None,
            NOON,
            "stands in no incubator already",
        ),
        (box(), shelf(is_incubator=False), NOON, "I-2 is no incubator"),
        (box(), shelf(code="I-1"), NOON, "BX-1 stands in I-1 already"),
        (
            box(),
            shelf(retired_on=TODAY),
            NOON,
            "I-2 was retired on 02 Mar 2026; choose",
        ),
    ],
)
def test_a_move_that_cannot_have_been_is_refused(
    standing: StandingBox, to: Shelf | None, moved_at: datetime, said: str
) -> None:
    with pytest.raises(BoxError, match=said):
        move(standing, to, moved_at=moved_at)


@pytest.mark.parametrize(
    ("standing", "given", "said"),
    [
        (box(retired_on=TODAY), {}, "was retired on 02 Mar 2026 already"),
        (box(), {"eggs": 1}, "1 egg lies in box BX-1; move them into another box"),
        (box(), {"eggs": 12}, "12 eggs lie in box BX-1"),
        (box(), {"on": TODAY + DAY}, "on a day from then until today, not on 03 Mar"),
        (box(), {"on": date(2026, 2, 9)}, "not on 09 Feb 2026"),
        (box(), {"last_egg_on": TODAY + DAY}, "An egg still lay in box BX-1 on 03 Mar"),
    ],
)
def test_only_an_empty_box_is_retired(
    standing: StandingBox, given: dict[str, Any], said: str
) -> None:
    usual: dict[str, Any] = {"on": TODAY, "eggs": 0, "last_egg_on": TODAY}
    check_retirement(box(), **usual, today=TODAY)

    with pytest.raises(BoxError, match=said):
        check_retirement(standing, **(usual | given), today=TODAY)


@pytest.mark.parametrize(
    ("water", "substrate", "ratio"),
    [
        ("160.0", "200.0", "0.80"),  # 0.8 : 1
        ("200.0", "200.0", "1.00"),
        ("100", "150", "0.67"),
        (None, "200", None),
        ("160", None, None),
    ],
)
def test_a_ratio_is_water_by_substrate(
    water: str | None, substrate: str | None, ratio: str | None
) -> None:
    found = mass_ratio(
        water_g=G(water) if water else None,
        substrate_g=G(substrate) if substrate else None,
    )

    assert found == (G(ratio) if ratio else None)


def look(day: int, mass: str | None, water: str | None = None) -> BoxLook:
    return BoxLook(
        NOON + day * DAY, G(mass) if mass else None, G(water) if water else None
    )


def loss(first: int, last: int, grams: str | None) -> Loss:
    return Loss(NOON + first * DAY, NOON + last * DAY, G(grams) if grams else None)


# Worked out by hand.
@pytest.mark.parametrize(
    ("looks", "moved", "balance"),
    [
        ([], [], WaterBalance((), None, None, G(0), 0)),
        ([look(0, "400")], [], WaterBalance((), None, None, G(0), 0)),
        # Watered without ever being weighed: what was added is known, no more.
        ([look(0, None, "5")], [], WaterBalance((), None, None, G(5), 0)),
        (
            [look(0, "400"), look(7, "394")],
            [],
            WaterBalance((loss(0, 7, "6"),), G(6), G(6), G(0), 0),
        ),
        # 6 g lost, 6 g made up; then 5 g lost and 3 g made up: 2 g are missing.
        (
            [look(0, "400"), look(7, "394", "6"), look(14, "395", "3")],
            [],
            WaterBalance((loss(0, 7, "6"), loss(7, 14, "5")), G(11), G(2), G(9), 0),
        ),
        # Out of order, and watered between two weighings without weighing.
        (
            [look(14, "398"), look(0, "400"), look(7, None, "4")],
            [],
            WaterBalance((loss(0, 14, "6"),), G(6), G(2), G(4), 0),
        ),
        # More was added than lost: nothing is missing.
        (
            [look(0, "400"), look(7, "398", "5")],
            [],
            WaterBalance((loss(0, 7, "2"),), G(2), G(0), G(5), 0),
        ),
        # An egg came on day 8: what went between the weighings around is not known.
        (
            [look(0, "400"), look(7, "394"), look(14, "420", "4"), look(21, "421")],
            [8],
            WaterBalance(
                (loss(0, 7, "6"), loss(7, 14, None), loss(14, 21, "3")),
                G(9),
                G(5),
                G(4),
                1,
            ),
        ),
        # At the instant of the first weighing it lies in it; at the second's, too.
        (
            [look(0, "400"), look(7, "394")],
            [0],
            WaterBalance((loss(0, 7, "6"),), G(6), G(6), G(0), 0),
        ),
        (
            [look(0, "400"), look(7, "394")],
            [7],
            WaterBalance((loss(0, 7, None),), None, None, G(0), 1),
        ),
        # It gained: water was poured that nobody wrote down.
        (
            [look(0, "400"), look(7, "403")],
            [],
            WaterBalance((loss(0, 7, "-3"),), G(-3), G(0), G(0), 0),
        ),
    ],
)
def test_water_is_told_by_weighing(
    looks: list[BoxLook], moved: list[int], balance: WaterBalance
) -> None:
    changed = [NOON + day * DAY for day in moved]

    found = water_balance(looks, eggs_changed_at=changed)

    assert found == balance
    assert found.since_last == (balance.losses[-1] if balance.losses else None)
