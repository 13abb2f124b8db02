"""Eggs: the changes there are, and what candling says on which day."""

from datetime import date, timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clutches.rules.eggs.stages import (
    candle_from,
    expected_stage,
    judged_from_days,
    remarks_on_candling,
)
from clutches.rules.eggs.states import (
    ENDED,
    LIVING,
    MOVES,
    Change,
    EggError,
    EggStanding,
    check_change,
    state_on,
)
from clutches.rules.vocabulary import Candled, EggStage, EggState, FailureCause
from husbandry.rules.profiles.reading import read_profile
from husbandry.rules.profiles.values import Profile
from tests.factories import SHIPPED_PROFILE

LAID = date(2026, 1, 1)
LABEL = "egg 7 of C-001 (B3 of BX-1)"
INCUBATING, PIPPED, HATCHED, FAILED = EggState


@pytest.fixture(scope="module")
def veiled() -> Profile:
    return read_profile(SHIPPED_PROFILE.read_text("utf-8"), name="veiled")


def egg(**given: Any) -> EggStanding:
    said: dict[str, Any] = {
        "label": LABEL,
        "state": INCUBATING,
        "laid_on": LAID,
        "pipped_on": None,
        "ended_on": None,
        "judged_from_days": 90,
    }
    return EggStanding(**(said | given))


def day(number: int) -> date:
    return LAID + timedelta(days=number)


def change(
    standing: EggStanding, state: EggState, on: int, cause: str = "", note: str = ""
) -> None:
    check_change(
        standing,
        Change(state, FailureCause(cause) if cause else None, note),
        on=day(on),
        today=day(300),
    )


# The whole table, by hand: from, to, and whether there is such a change.
@pytest.mark.parametrize("to", EggState)
@pytest.mark.parametrize("state", EggState)
def test_only_changes_of_the_table_are_made(state: EggState, to: EggState) -> None:
    allowed = {
        (INCUBATING, PIPPED),
        (INCUBATING, HATCHED),
        (INCUBATING, FAILED),
        (PIPPED, HATCHED),
        (PIPPED, FAILED),
    }
    ended_on = day(200) if state in ENDED else None
    standing = egg(state=state, ended_on=ended_on)
    cause = "unknown" if to is FAILED else ""

    if (state, to) in allowed:
        change(standing, to, 200, cause)
    else:
        with pytest.raises(EggError, match="mend the egg"):
            change(standing, to, 200, cause)


def test_the_table_is_closed_and_what_ended_stays_ended() -> None:
    assert set(MOVES) == set(EggState)
    assert {to for following in MOVES.values() for to in following} <= set(MOVES)
    assert (set(LIVING), set(ENDED)) == ({INCUBATING, PIPPED}, {HATCHED, FAILED})


@given(st.lists(st.sampled_from(EggState), max_size=6))
def test_no_way_leads_back_from_an_end(ways: list[EggState]) -> None:
    at, ended = INCUBATING, False
    for to in ways:
        if to in MOVES[at]:
            assert not ended
            at, ended = to, to in ENDED
    assert ended is (at in ENDED)


@pytest.mark.parametrize(
    ("standing", "given", "said"),
    [
        (egg(), (HATCHED, 0), "was laid on 01 Jan 2026; it cannot have hatched on 01"),
        (egg(), (HATCHED, -1), "cannot have hatched on 31 Dec 2025"),
        (egg(), (PIPPED, 0), "cannot have pipped on 01 Jan 2026"),
        (egg(), (FAILED, -1, "mould"), "cannot have failed on 31 Dec 2025"),
        (egg(), (HATCHED, 301), "29 Oct 2026 has not come yet"),
        (
            egg(),
            (FAILED, 20),
            "Say why egg 7 of C-001 .B3 of BX-1. failed: infertile, ",
        ),
        (egg(), (HATCHED, 200, "mould"), "a cause belongs to an egg that failed"),
        (egg(), (FAILED, 200, "mould", "x" * 201), "has 201 characters; at most 200"),
        (
            egg(state=PIPPED, pipped_on=day(200)),
            (HATCHED, 199),
            "Egg 7 of C-001 .B3 of BX-1. pipped on 20 Jul 2026; it cannot have hatched",
        ),
        (
            egg(state=HATCHED, ended_on=day(200)),
            (FAILED, 201, "mould"),
            "hatched on 20 Jul 2026 already. If that is wrong, mend the egg first",
        ),
        (
            egg(state=PIPPED, pipped_on=day(200)),
            (PIPPED, 201),
            "is pipped and cannot become pipped; it can become hatched or failed",
        ),
    ],
)
def test_what_cannot_have_become_of_an_egg_is_refused(
    standing: EggStanding, given: tuple[Any, ...], said: str
) -> None:
    with pytest.raises(EggError, match=said):
        change(standing, *given)


def test_an_egg_may_fail_on_the_day_it_was_laid() -> None:
    change(egg(), FAILED, 0, "broken")
    change(egg(), HATCHED, 1)
    change(egg(state=PIPPED, pipped_on=day(200)), HATCHED, 200)


# Andrews & Donoghue 2004: embryos rest for 50 to 80 and more days at 25 °C, so that no
# egg is called infertile before; the shipped profile takes day 90, with a margin.
@pytest.mark.parametrize(
    ("on", "kept"), [(0, False), (45, False), (89, False), (90, True)]
)
def test_no_egg_is_infertile_before_that_can_be_told(on: int, *, kept: bool) -> None:
    for cause in set(FailureCause) - {FailureCause.INFERTILE}:
        change(egg(), FAILED, on, cause.value)
    if kept:
        change(egg(), FAILED, on, "infertile")
        return
    with pytest.raises(EggError) as caught:
        change(egg(), FAILED, on, "infertile")
    assert caught.value.sentence == (
        f"Egg 7 of C-001 (B3 of BX-1) is on day {on}, and before day 90 an egg without "
        "vessels is resting, not infertile. Keep it; if it collapsed or moulds, give "
        "that as the cause."
    )


def test_where_the_profile_does_not_say_a_person_decides() -> None:
    change(egg(judged_from_days=None), FAILED, 3, "infertile")


@pytest.mark.parametrize(
    ("on", "stands"),
    [(199, INCUBATING), (200, PIPPED), (201, PIPPED), (202, HATCHED), (300, HATCHED)],
)
def test_how_an_egg_stood_at_the_end_of_a_day(on: int, stands: EggState) -> None:
    found = state_on(state=HATCHED, pipped_on=day(200), ended_on=day(202), on=day(on))

    assert found is stands


def test_an_egg_that_has_not_ended_stands_as_it_does() -> None:
    for on in (0, 500):
        found = state_on(state=INCUBATING, pipped_on=None, ended_on=None, on=day(on))
        assert found is INCUBATING


# Andrews & Donoghue 2004, abstract: 50–60 to 80 and more days.
@pytest.mark.parametrize(
    ("on", "stage"),
    [
        (0, EggStage.DIAPAUSE),
        (45, EggStage.DIAPAUSE),
        (49, EggStage.DIAPAUSE),
        (50, EggStage.MAY_HAVE_BEGUN),
        (79, EggStage.MAY_HAVE_BEGUN),
        (80, EggStage.DEVELOPING),
        (95, EggStage.DEVELOPING),
    ],
)
def test_what_is_expected_of_a_veiled_chameleons_egg(
    on: int, stage: EggStage, veiled: Profile
) -> None:
    found = expected_stage(veiled, day=on)

    assert (found.stage, found.rule_id) == (stage, "eggs-diapause")


def test_without_a_profile_nothing_is_expected() -> None:
    assert expected_stage(None, day=45).stage is EggStage.NOT_SAID
    assert judged_from_days(None) is None
    assert candle_from(None, laid_on=LAID) is None


def test_candling_tells_from_the_day_of_the_profile(veiled: Profile) -> None:
    assert judged_from_days(veiled) == 90
    assert candle_from(veiled, laid_on=LAID) == date(2026, 4, 1)  # day 90


@pytest.mark.parametrize(
    ("seen", "on", "remark"),
    [
        (Candled.NO_VESSELS, 45, True),
        (Candled.NO_VESSELS, 89, True),
        (Candled.NO_VESSELS, 90, False),
        (Candled.VESSELS, 45, False),
        (Candled.UNCLEAR, 45, False),
        (None, 45, False),
    ],
)
def test_no_vessels_early_are_kept_with_a_remark(
    seen: Candled | None, on: int, remark: bool, veiled: Profile
) -> None:
    found = remarks_on_candling(seen, label=LABEL, day=on, profile=veiled)

    said = (
        f"Egg 7 of C-001 (B3 of BX-1): no vessels on day {on}: resting, not infertile. "
        "From day 90 on it tells.",
    )
    assert found == (said if remark else ())


def test_no_vessels_without_a_profile_are_kept_as_they_are() -> None:
    assert (
        remarks_on_candling(Candled.NO_VESSELS, label=LABEL, day=3, profile=None) == ()
    )
