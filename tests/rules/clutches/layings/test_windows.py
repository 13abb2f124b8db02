"""Laying windows against published intervals between mating, laying and next clutch.

Mating to laying: 20 to 30 days (fact profile of a zoo reviewer, 2014), about 35 days in
one female (Kramer DVM, clinical case); the window is the union of both. Next clutch
from stored sperm: 90 to 120 days (encyclopaedic page). Live-bearer: see `made`.
"""

from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clutches.rules.facts import Laying, Mating
from clutches.rules.layings.windows import (
    ExpectedLaying,
    NextClutch,
    expected_laying,
    next_clutch,
)
from clutches.rules.vocabulary import ClutchKind, LayingSign
from husbandry.rules.profiles.vocabulary import IncubationMatter
from tests.rules.clutches.layings.made import (
    DAY,
    LABEL,
    MATED_ON,
    bearing,
    female,
    laying,
    mating,
    veiled,
)


def days_of(found: ExpectedLaying | None) -> tuple[int, int] | None:
    """Return the window in days after the first mating."""
    if found is None:
        return None
    return (found.window_from - MATED_ON).days, (found.window_until - MATED_ON).days


def test_a_mated_veiled_female_lays_after_20_to_35_days() -> None:
    found = expected_laying(female(mating()), veiled(), on=MATED_ON)

    (row,) = (
        r
        for r in veiled().incubation
        if r.matter is IncubationMatter.MATING_TO_LAYING_DAYS
    )
    assert found == ExpectedLaying(
        kind=ClutchKind.EGGS,
        window_from=date(2026, 3, 21),
        window_until=date(2026, 4, 5),
        because=LayingSign.MATED,
        since_on=MATED_ON,
        sire=LABEL,
        bin_from=MATED_ON,
        watch_from=date(2026, 3, 21),
        most_days=35,
        rule_id="eggs-mating-to-laying",
        provenance=row.provenance,
    )


def test_the_case_that_laid_35_days_after_mating_is_inside_the_window() -> None:
    # Kramer DVM: laid about 35 days after mating.
    laid_on = MATED_ON + 35 * DAY
    found = expected_laying(female(mating()), veiled(), on=laid_on)

    assert found is not None
    assert found.window_from <= laid_on <= found.window_until


@pytest.mark.parametrize(
    ("matings", "layings", "gravid", "on", "window"),
    [
        # Nothing points to eggs.
        ((), (), None, 0, None),
        # What is known on the day itself counts, what comes later does not.
        ((mating(),), (), None, -1, None),
        # Two courtships whose windows both run are joined.
        ((mating(), mating(10)), (), None, 12, (20, 45)),
        ((mating(10), mating()), (), None, 12, (20, 45)),
        # The first window is over: only the second counts.
        ((mating(), mating(10)), (), None, 35, (20, 45)),
        ((mating(), mating(10)), (), None, 36, (30, 45)),
        ((mating(), mating(60)), (), None, 70, (80, 95)),
        # All are over: the last stands.
        ((mating(), mating(10)), (), None, 99, (30, 45)),
        # A laying answers what was before it, on its own day too.
        ((mating(),), (laying(25),), None, 30, None),
        ((mating(25),), (laying(25),), None, 30, None),
        ((mating(), mating(26)), (laying(25),), None, 30, (46, 61)),
        # A laying that is yet to come answers nothing.
        ((mating(),), (laying(25),), None, 24, (20, 35)),
        # Only gravid: at once, or until 35 days after the sign.
        ((), (), 12, 12, (12, 47)),
        ((), (laying(-60),), 12, 12, (12, 47)),
        ((), (laying(12),), 12, 12, None),
        ((), (), 13, 12, None),
        # Gravid after a mating that can have made these eggs, up to its last day.
        ((mating(),), (), 12, 14, (20, 35)),
        ((mating(),), (), 35, 36, (20, 35)),
        # A mating too long before, or only after the sign, cannot.
        ((mating(),), (), 36, 40, (36, 71)),
        ((mating(20),), (), 12, 25, (12, 47)),
        ((mating(), mating(20)), (), 12, 25, (20, 35)),
    ],
)
def test_windows(
    matings: tuple[Mating, ...],
    layings: tuple[Laying, ...],
    gravid: int | None,
    on: int,
    window: tuple[int, int] | None,
) -> None:
    since = None if gravid is None else MATED_ON + gravid * DAY
    known = female(*matings, layings=layings, gravid_since=since)

    found = expected_laying(known, veiled(), on=MATED_ON + on * DAY)

    assert days_of(found) == window


@pytest.mark.parametrize(
    ("matings", "gravid", "because"),
    [
        ((mating(mated=False),), None, LayingSign.NOT_WATCHED),
        ((mating(mated=False), mating(1)), None, LayingSign.MATED),
        ((mating(), mating(1, mated=False)), None, LayingSign.MATED),
        ((), MATED_ON, LayingSign.GRAVID),
    ],
)
def test_the_surest_of_what_is_known_is_told(
    matings: tuple[Mating, ...], gravid: date | None, because: LayingSign
) -> None:
    known = female(*matings, gravid_since=gravid)

    found = expected_laying(known, veiled(), on=MATED_ON + DAY)

    assert found is not None
    assert found.because is because


def test_a_bin_is_there_from_the_mating_and_she_is_watched_from_the_first_sign() -> (
    None
):
    # Common practice, no source: a place to dig from the start.
    known = female(mating(), mating(3), gravid_since=MATED_ON + 12 * DAY)

    found = expected_laying(known, veiled(), on=MATED_ON + 13 * DAY)

    assert found is not None
    assert (found.bin_from, found.watch_from) == (MATED_ON, MATED_ON + 12 * DAY)


def test_a_live_bearer_is_expected_after_five_to_six_months_without_a_bin() -> None:
    found = expected_laying(female(mating()), bearing(), on=MATED_ON)

    assert found is not None
    assert found.kind is ClutchKind.LIVE_YOUNG
    # 1 March and 150 or 183 days: 29 July and 31 August.
    assert (found.window_from, found.window_until) == (
        date(2026, 7, 29),
        date(2026, 8, 31),
    )
    assert found.bin_from is None
    gravid = expected_laying(female(gravid_since=MATED_ON), bearing(), on=MATED_ON)
    assert gravid is not None
    assert gravid.bin_from is None


def test_where_the_profile_names_no_days_nothing_is_expected() -> None:
    silent = replace(veiled(), incubation=())

    assert expected_laying(female(mating()), silent, on=MATED_ON) is None
    assert expected_laying(female(mating()), None, on=MATED_ON) is None


def test_stored_sperm_makes_the_next_clutch_after_90_days_without_a_male() -> None:
    found = next_clutch((laying(5), laying(0)), veiled(), on=MATED_ON + 30 * DAY)

    assert found is not None
    assert found == NextClutch(
        MATED_ON + 95 * DAY,
        MATED_ON + 125 * DAY,
        "eggs-next-clutch",
        found.provenance,
    )


def test_without_a_laying_or_days_there_is_no_next_clutch() -> None:
    assert next_clutch((), veiled(), on=MATED_ON) is None
    assert next_clutch((laying(1),), veiled(), on=MATED_ON) is None
    assert next_clutch((laying(0),), bearing(), on=MATED_ON) is None
    open_ended = replace(
        veiled(),
        incubation=tuple(
            replace(r, high=None)
            for r in veiled().incubation
            if r.matter is IncubationMatter.LAYING_TO_NEXT_CLUTCH_DAYS
        ),
    )
    found = next_clutch((laying(0),), open_ended, on=MATED_ON)
    assert found is not None
    assert found.until_on is None


DAYS = st.lists(st.integers(0, 200), min_size=1, max_size=8)


@given(DAYS, st.integers(0, 240), st.randoms(use_true_random=False))
def test_the_order_of_matings_does_not_matter(
    days: list[int], on: int, random: object
) -> None:
    matings = [mating(n, sire=n % 3) for n in days]
    shuffled = matings[:]
    random.shuffle(shuffled)  # type: ignore[attr-defined] # a random.Random

    one = expected_laying(female(*matings), veiled(), on=MATED_ON + on * DAY)

    assert one == expected_laying(female(*shuffled), veiled(), on=MATED_ON + on * DAY)


@given(DAYS, st.integers(0, 240))
def test_the_window_holds_that_of_the_last_mating(days: list[int], on: int) -> None:
    day = MATED_ON + on * DAY
    known = [n for n in days if n <= on]
    found = expected_laying(female(*map(mating, days)), veiled(), on=day)

    if not known:
        assert found is None
        return
    assert found is not None
    last_on = MATED_ON + max(known) * DAY
    assert found.window_until == last_on + timedelta(days=35)
    assert found.window_from <= last_on + timedelta(days=20)
    assert found.window_from >= MATED_ON + min(known) * DAY + timedelta(days=20)
    assert found.bin_from is not None
    assert found.bin_from <= found.watch_from <= found.window_until
