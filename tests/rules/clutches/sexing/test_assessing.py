"""Who waits for another look, and for how long that is no finding yet."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from clutches.rules.facts import HeelsSeen, Unsettled
from clutches.rules.sexing import assess_sexing
from husbandry.rules.assessments import Assessment
from husbandry.rules.clock import LocalDay
from husbandry.rules.sentences.breeding_steps import STEPS
from husbandry.rules.sentences.findings import describe
from husbandry.rules.vocabulary import FindingKind, Sex, Urgency
from tests.rules.clutches.incubation.made import night

BERLIN = ZoneInfo("Europe/Berlin")
# The day in Berlin that ends on 21 Aug at 22:00 UTC.
ON = date(2026, 8, 21)
ENDS_AT = datetime(2026, 8, 21, 22, tzinfo=UTC)
DAY = LocalDay(ON, int(ENDS_AT.timestamp()) - 86400, int(ENDS_AT.timestamp()))
ANNA, BEN = 1, 2


def seen(left: str, right: str, by: int | None = ANNA, *, ago: timedelta) -> HeelsSeen:
    name = {ANNA: "anna", BEN: "ben", None: ""}[by]
    return HeelsSeen(left, right, by, ENDS_AT - ago, name)


def found(*looks: HeelsSeen, second_look: bool = True) -> list[Assessment]:
    young = Unsettled(7, "C-1-01", Sex.UNKNOWN, None, looks)
    made = night(unsettled=(young,), second_look=second_look, day=DAY, zone=BERLIN)
    return list(assess_sexing(made))


# Seven days are a convention of the house, no source.
@pytest.mark.parametrize(
    ("ago", "days"),
    [
        (timedelta(0), None),
        (timedelta(days=7), None),
        (timedelta(days=8) - timedelta(seconds=1), None),
        (timedelta(days=8), 8),
        (timedelta(days=30), 30),
    ],
)
def test_a_second_look_is_missed_after_seven_days(
    ago: timedelta, days: int | None
) -> None:
    told = found(seen("present", "present", ago=ago))

    assert [one.facts["days"] for one in told] == ([] if days is None else [days])


def test_what_is_told_is_what_was_seen_by_whom_on_which_day_here() -> None:
    # A quarter to midnight UTC is the next day in Berlin.
    ago = timedelta(days=9, hours=22, minutes=15)

    [told] = found(seen("absent", "absent", ago=ago))

    assert (told.kind, told.urgency, told.animal, told.enclosure) == (
        *(FindingKind.SPUR_LOOK_DUE, Urgency.WATCH),
        *(7, None),
    )
    assert told.facts == {
        "looks": [
            {"left": "absent", "right": "absent", "by": "anna", "on": "2026-08-12"}
        ],
        "why": "second_look",
        "days": 9,
    }


@pytest.mark.parametrize(
    ("looks", "why"),
    [
        ((("present", "present", ANNA), ("absent", "absent", BEN)), "disagree"),
        ((("present", "absent", ANNA),), "one_sided"),
        ((("unclear", "absent", ANNA),), "unclear"),
        ((("present", "present", ANNA), ("unclear", "present", BEN)), "unclear"),
        # Nobody knows whose it was: it is nobody else's second look.
        ((("present", "present", None), ("present", "present", ANNA)), "second_look"),
        ((("present", "present", ANNA), ("present", "present", BEN)), None),
        ((("absent", "absent", ANNA), ("absent", "absent", ANNA)), "second_look"),
    ],
)
def test_why_it_is_open(
    looks: tuple[tuple[str, str, int | None], ...], why: str | None
) -> None:
    told = found(
        *(
            seen(left, right, by, ago=timedelta(days=20 - place))
            for place, (left, right, by) in enumerate(looks)
        )
    )

    assert [one.facts["why"] for one in told] == ([] if why is None else [why])


def test_the_newest_look_counts_for_how_long_it_has_been_open() -> None:
    first = seen("present", "absent", ago=timedelta(days=40))
    again = seen("present", "absent", ago=timedelta(days=10))

    [told] = found(again, first)

    assert told.facts["days"] == 10
    assert found(first, seen("unclear", "absent", ago=timedelta(days=2))) == []


def test_where_one_look_is_enough_only_what_is_unclear_is_open() -> None:
    month = timedelta(days=30)

    assert found(seen("present", "present", ago=month), second_look=False) == []
    assert found(seen("present", "absent", ago=month), second_look=False) != []


def test_it_is_told_in_a_sentence_with_a_first_step() -> None:
    [told] = found(seen("present", "absent", ago=timedelta(days=9)))

    assert "anna" in str(describe(told.kind, told.facts))
    assert told.kind in STEPS
