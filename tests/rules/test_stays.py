"""Moves that can be, and who gets which place."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from husbandry.rules.profiles.values import CompanyRule, Provenance
from husbandry.rules.stays import (
    BreaksQuarantineError,
    Destination,
    EnclosureOccupiedError,
    MoveError,
    Mover,
    Occupant,
    Places,
    check_instant,
    check_move,
    find_places,
)
from husbandry.rules.vocabulary import AnimalStatus, Standing

SAID = Provenance("someone", Standing.COMMON_PRACTICE, date(2026, 1, 1))
ALONE = CompanyRule("alone", (), True, 1, True, SAID)
GROUP_OF_3 = CompanyRule("group", (), False, 3, False, SAID)
NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)
MINUTE = timedelta(minutes=1)
MOVER = Mover(
    "V-1 Juno", 7, AnimalStatus.IN_CARE, 10, "E-10", NOON - 60 * MINUTE, None, ALONE
)
NOWHERE = replace(MOVER, enclosure=None, enclosure_code="", since_at=None)
TO = Destination(11, "E-11", None)


def test_a_move_that_can_be() -> None:
    check_move(MOVER, to=TO, moved_on=NOON.date())
    check_move(MOVER, to=None, moved_on=NOON.date())
    check_instant(MOVER, moved_at=NOON, at=NOON)


@pytest.mark.parametrize(
    ("mover", "to", "said"),
    [
        (replace(MOVER, status=AnimalStatus.PLACED), TO, "not in care any more"),
        (replace(MOVER, status=AnimalStatus.ELSEWHERE), TO, "was never in care here"),
        (NOWHERE, None, "in no enclosure already"),
        (MOVER, replace(TO, id=10), "is in E-11 already"),
        (MOVER, replace(TO, retired_on=date(2026, 3, 2)), "retired on 02 Mar 2026"),
    ],
)
def test_a_move_that_cannot_be(mover: Mover, to: Destination | None, said: str) -> None:
    with pytest.raises(MoveError, match=said):
        check_move(mover, to=to, moved_on=NOON.date())


def test_an_enclosure_that_is_retired_later_can_be_moved_into() -> None:
    later = replace(TO, retired_on=date(2026, 3, 3))

    check_move(MOVER, to=later, moved_on=NOON.date())


@pytest.mark.parametrize(
    ("mover", "moved_at", "said"),
    [
        (MOVER, NOON + MINUTE, "has not come yet"),
        (MOVER, NOON - 60 * MINUTE, "can only leave after that"),
        (MOVER, NOON - 61 * MINUTE, "came to E-10 at 2026-03-02 11:00 UTC"),
        (
            replace(NOWHERE, last_until_at=NOON),
            NOON - MINUTE,
            "elsewhere until 2026-03-02 12:00 UTC",
        ),
    ],
)
def test_an_instant_that_cannot_be(mover: Mover, moved_at: datetime, said: str) -> None:
    with pytest.raises(MoveError, match=said) as refused:
        check_instant(mover, moved_at=moved_at, at=NOON)

    assert set(refused.value.fields) == {"moved_at"}


def test_an_instant_exactly_at_the_limit_can_be() -> None:
    check_instant(MOVER, moved_at=NOON - 59 * MINUTE, at=NOON)
    check_instant(replace(NOWHERE, last_until_at=NOON), moved_at=NOON, at=NOON)


def occupant(place: int | None, company: CompanyRule | None = GROUP_OF_3) -> Occupant:
    return Occupant(100 + (place or 0), f"V-{place}", 7, place, company)


SOCIAL = replace(MOVER, company=GROUP_OF_3)


@pytest.mark.parametrize(
    ("mover", "occupants", "places"),
    [
        (MOVER, (), Places(None, ())),
        (replace(MOVER, company=None), (), Places(None, ())),
        (SOCIAL, (), Places(1, ())),
        (SOCIAL, (occupant(1),), Places(2, ())),
        (SOCIAL, (occupant(1), occupant(3)), Places(2, ())),
        (SOCIAL, (occupant(2),), Places(1, ())),
        (SOCIAL, (occupant(None),), Places(2, ((100, 1),))),
        (SOCIAL, (occupant(None), occupant(1)), Places(3, ((100, 2),))),
    ],
)
def test_places(mover: Mover, occupants: tuple[Occupant, ...], places: Places) -> None:
    assert find_places(mover, to=TO, occupants=occupants) == places


@pytest.mark.parametrize(
    ("mover", "occupants", "said"),
    [
        (MOVER, (occupant(None, ALONE),), "wants each animal alone"),
        (SOCIAL, (occupant(None, ALONE),), "wants each animal alone"),
        (MOVER, (occupant(1),), "wants each animal alone"),
        (SOCIAL, (occupant(1, None),), "wants each animal alone"),
        (SOCIAL, (occupant(1), occupant(2), occupant(3)), "allows a group of 3"),
        (SOCIAL, (replace(occupant(1), species=8),), "different species"),
    ],
)
def test_no_place(mover: Mover, occupants: tuple[Occupant, ...], said: str) -> None:
    with pytest.raises(EnclosureOccupiedError, match=said) as refused:
        find_places(mover, to=TO, occupants=occupants)

    assert refused.value.sentence.startswith(
        f"E-11 is occupied by {occupants[0].label}"
    )
    assert refused.value.code == "enclosure_occupied"


# Quarantine: kept apart from those that are not in it (AZA guidance, Miller 1996).

HERE = replace(MOVER, room=3)
HELD = replace(HERE, in_quarantine=True)
APART = replace(TO, room=4, room_name="Arrivals", keeps_apart=True)
ADULTS = replace(TO, room=5, room_name="Adults")


@pytest.mark.parametrize(
    ("mover", "to"),
    [
        (HERE, ADULTS),
        (HERE, APART),
        (HELD, APART),
        (HELD, replace(APART, held=("V-2",))),
        # Within the room it is in already, nothing changes.
        (HELD, replace(ADULTS, room=3)),
        (HERE, replace(APART, room=3, held=("V-2",))),
        (replace(HELD, room=None), APART),
        (HELD, None),
    ],
)
def test_a_move_that_keeps_apart_who_is_in_quarantine(
    mover: Mover, to: Destination | None
) -> None:
    check_move(mover, to=to, moved_on=NOON.date())


@pytest.mark.parametrize(
    ("mover", "to", "said"),
    [
        (
            HELD,
            ADULTS,
            "V-1 Juno is in quarantine, and Adults is no room of quarantine",
        ),
        (replace(HELD, room=None), ADULTS, "is no room of quarantine"),
        (
            HERE,
            replace(APART, held=("V-2",)),
            "V-2 in Arrivals is in quarantine, and V-1",
        ),
        (
            replace(HERE, room=None),
            replace(ADULTS, held=("V-2", "V-3")),
            "V-2, V-3 in Adults are in quarantine",
        ),
    ],
)
def test_a_move_that_would_break_quarantine_is_refused(
    mover: Mover, to: Destination, said: str
) -> None:
    with pytest.raises(BreaksQuarantineError, match=said) as refused:
        check_move(mover, to=to, moved_on=NOON.date())

    assert list(refused.value.fields) == ["to"]
