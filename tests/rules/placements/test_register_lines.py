"""What the register still needs to say."""

from dataclasses import replace
from datetime import date

from placements.rules.register.facts import (
    AnimalRecord,
    CareTime,
    IntakeFact,
    Movement,
)
from placements.rules.register.lines import Entered, Line, NewLine, lines_needed
from placements.rules.vocabulary import Direction, IntakeSource, RegisterHow
from tests.rules.placements.test_movements import placed, record, time

DAY = date(2025, 1, 1)


def entered(new: tuple[NewLine, ...], first: int = 1) -> list[Entered]:
    return [Entered(900 + n, n, one.line) for n, one in enumerate(new, start=first)]


def said(new: tuple[NewLine, ...]) -> list[tuple[str, str, int | None]]:
    return [
        (
            one.line.movement.how.value,
            one.line.movement.on.isoformat(),
            one.corrects.number if one.corrects else None,
        )
        for one in new
    ]


def test_nobody_needs_no_line() -> None:
    assert lines_needed([], []) == ()


def test_each_movement_needs_a_line_by_day_then_code() -> None:
    second = replace(record(time(0, None)), id=8, code="A-1")

    found = lines_needed([record(time(0, 3, "dead")), second], [])

    assert [(one.line.code, one.line.movement.how.value) for one in found] == [
        ("A-1", "not_said"),
        ("V-7", "not_said"),
        ("V-7", "death"),
    ]


def test_what_is_said_is_not_said_again() -> None:
    known = record(time(0, 3, "dead"))

    assert lines_needed([known], entered(lines_needed([known], []))) == ()


def test_a_day_put_right_is_a_line_that_corrects() -> None:
    before = entered(lines_needed([record(time(0, 3, "dead"))], []))

    found = lines_needed([record(time(1, 3, "dead"))], before)

    assert said(found) == [("not_said", "2025-01-02", 1)]
    assert found[0].note == "Line 1: day 2025-01-01 was put right to 2025-01-02"


def test_how_it_died_known_later_corrects_the_same_day() -> None:
    before = entered(lines_needed([record(time(0, 3, "dead"))], []))

    found = lines_needed([record(time(0, 3, "dead"), put_to_sleep=True)], before)

    assert said(found) == [("put_to_sleep", "2025-01-04", 2)]
    assert found[0].note == "Line 2: how death was put right to put to sleep"


def test_another_species_or_label_corrects_every_line_of_the_animal() -> None:
    known = record(time(0, 3, "dead"))
    before = entered(lines_needed([known], []))

    found = lines_needed([replace(known, species="panther", code="P-1")], before)

    assert [one.corrects.number for one in found if one.corrects] == [1, 2]
    assert found[0].note == (
        "Line 1: label V-7 was put right to P-1; species veiled was put right to panther"
    )


def test_a_revised_scientific_name_corrects_nothing() -> None:
    known = record(time(0, None))
    before = entered(lines_needed([known], []))

    assert lines_needed([replace(known, scientific_name="Another name")], before) == ()


def test_who_it_went_to_is_put_right_without_a_name() -> None:
    known = record(time(0, 5), placements=(placed(1, 5),))
    before = entered(lines_needed([known], []))
    moved = replace(placed(1, 5), home=200)

    found = lines_needed([replace(known, placements=(moved,))], before)

    assert [one.note for one in found] == ["Line 2: from or to whom"]


def test_what_is_no_more_on_record_is_struck_out() -> None:
    before = entered(lines_needed([record(time(0, 3, "lost"))], []))

    found = lines_needed([record(time(0, None))], before)

    assert [(one.strikes, one.note) for one in found] == [
        (True, "Line 2 is struck out: no such going is on record any more.")
    ]
    assert lines_needed([record()], before[:1])[0].note == (
        "Line 1 is struck out: no such coming is on record any more."
    )


def test_an_animal_that_is_not_known_any_more_is_struck_out_too() -> None:
    movement = Movement(99, Direction.CAME, DAY, RegisterHow.STRAY)
    before = [Entered(1, 1, Line(movement, "V-99", "veiled"))]

    assert [one.strikes for one in lines_needed([], before)] == [True]


def test_the_later_of_two_times_keeps_its_line_when_the_earlier_is_mended() -> None:
    first, again = time(0, 3, "lost"), time(9, None)
    before = entered(lines_needed([record(first, again)], []))

    mended = CareTime(DAY.replace(day=2), first.left_on, first.status)
    found = lines_needed([record(mended, again)], before)

    assert said(found) == [("not_said", "2025-01-02", 1)]


def test_a_line_is_matched_by_its_placement_before_its_day() -> None:
    fostered = placed(1, 5, kind="foster", state="made_lasting", ended=5)
    lasting = placed(2, 5, follows=1)
    known: AnimalRecord = record(time(0, 5), placements=(fostered, lasting))
    before = entered(lines_needed([known], []))
    sold = placed(2, 5, kind="sale", follows=1)

    found = lines_needed([replace(known, placements=(fostered, sold))], before)

    assert said(found) == [("sale", "2025-01-06", 3)]


def test_a_line_is_matched_by_its_delivery_before_its_day() -> None:
    late = IntakeFact(3, DAY.replace(day=8), IntakeSource.STRAY, None, None)
    again = time(7, None)
    before = entered(
        lines_needed([record(time(0, 3, "lost"), again, intakes=(late,))], [])
    )
    # The first time in care was not one; the delivery's day was two days later.
    moved = replace(late, on=DAY.replace(day=10))

    found = lines_needed([record(time(9, None), intakes=(moved,))], before)

    assert said(found) == [
        ("not_said", "2025-01-01", 1),
        ("loss", "2025-01-04", 2),
        ("stray", "2025-01-10", 3),
    ]
    assert [one.strikes for one in found] == [True, True, False]
