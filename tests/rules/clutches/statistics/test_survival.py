"""How long things last, against the published example of a trial, and a reference."""

import warnings
from math import isnan

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from clutches.rules.statistics import (
    Lasting,
    clopper_pearson,
    kaplan_meier,
    log_rank,
)
from clutches.rules.statistics.chi_square import upper_tail

# Freireich 1963, remission in weeks with 6-MP (+: still in remission) and with placebo.
TREATED = "6 6 6 6+ 7 9+ 10 10+ 11+ 13 16 17+ 19+ 20+ 22 23 25+ 32+ 32+ 34+ 35+"
PLACEBO = "1 1 2 2 3 4 4 5 5 8 8 8 8 11 11 12 12 15 17 22 23"

Group = tuple[list[float], list[bool]]


def read(text: str) -> Group:
    words = text.split()
    return [float(w.rstrip("+")) for w in words], [not w.endswith("+") for w in words]


def test_the_course_of_the_trial() -> None:
    course = kaplan_meier(*read(TREATED))

    # Computed by a reference library from the published data.
    assert [(s.at, round(s.surviving, 6)) for s in course.steps] == [
        (6, 0.857143),
        (7, 0.806723),
        (10, 0.752941),
        (13, 0.690196),
        (16, 0.627451),
        (22, 0.537815),
        (23, 0.448179),
    ]
    assert [round(s.error, 4) for s in course.steps] == [
        *(0.0764, 0.0869, 0.0963, 0.1068, 0.1141, 0.1282, 0.1346)
    ]
    # Stata's list of the same data, whose intervals are on the scale log(−log); from
    # memory.
    assert [(round(s.low, 4), round(s.high, 4)) for s in course.steps] == [
        (0.6197, 0.9516),
        (0.5631, 0.9228),
        (0.5032, 0.8894),
        (0.4316, 0.8491),
        (0.3675, 0.8049),
        (0.2678, 0.7468),
        (0.1881, 0.6801),
    ]
    assert (course.watched, course.ended, course.median) == (21, 9, 23)
    assert [s.at_risk for s in course.steps] == [21, 17, 15, 12, 11, 7, 6]


def test_the_placebo_of_the_trial() -> None:
    course = kaplan_meier(*read(PLACEBO))

    assert course.median == 8
    assert course.steps[-1].surviving == 0
    assert isnan(course.steps[-1].error)
    assert course.at(100) == Lasting(0, 0, course.steps[-1].high, 0)
    # Seventeen of the twenty-one had relapsed by week 15; the upper end of what comes
    # after is no higher than the one before.
    assert course.steps[-1].high <= course.steps[-2].high < 0.2


def test_the_trial_is_decided() -> None:
    found = log_rank([read(TREATED), read(PLACEBO)])

    assert found.chi_square == pytest.approx(16.7929, abs=1e-4)
    assert found.p == pytest.approx(4.17e-5, abs=1e-7)
    assert found.observed == (9, 21)


def test_nothing_is_said_beyond_what_was_watched() -> None:
    course = kaplan_meier([10, 20, 30], [True, False, False])

    assert course.at(30) == Lasting(
        pytest.approx(2 / 3), course.steps[0].low, course.steps[0].high, 1
    )
    assert course.at(31) is None
    assert course.median is None


def test_before_anything_ends_the_interval_is_that_of_all_who_were_watched() -> None:
    course = kaplan_meier([10, 20, *[30] * 20], [False] * 21 + [True])

    # 20 of 20: the exact interval begins where that of 0 of 20 ends (Newcombe 1998,
    # 0 to 0.1684, from memory).
    assert course.at(25) == Lasting(1, pytest.approx(1 - 0.1684, abs=5e-5), 1, 20)
    assert course.at(0) == Lasting(1, clopper_pearson(22, 22).low, 1, 22)


def test_all_ended_at_once() -> None:
    [step] = kaplan_meier([5] * 20, [True] * 20).steps

    assert (step.surviving, step.low) == (0, 0)
    # 0 of 20, exact (Newcombe 1998, from memory).
    assert step.high == pytest.approx(0.1684, abs=5e-5)


def test_nobody_watched() -> None:
    course = kaplan_meier([], [])

    assert (course.steps, course.longest, course.at(1)) == ((), 0, None)
    assert log_rank([([], []), ([], [])]).p == 1


@pytest.mark.parametrize(
    ("times", "ended", "said"),
    [
        ([1.0], [], "1 times and 0 endings"),
        ([-1.0], [True], "negative"),
        ([float("nan")], [True], "no number"),
    ],
)
def test_what_cannot_be_is_refused(
    times: list[float], ended: list[bool], said: str
) -> None:
    with pytest.raises(ValueError, match=said):
        kaplan_meier(times, ended)
    with pytest.raises(ValueError, match=said):
        log_rank([(times, ended), ([], [])])


def test_one_group_is_no_comparison() -> None:
    with pytest.raises(ValueError, match="two groups"):
        log_rank([read(PLACEBO)])


def test_a_group_that_was_never_watched_in_time_decides_nothing() -> None:
    found = log_rank([([5, 6], [True, True]), ([1, 2], [False, False])])

    assert (found.chi_square, found.p) == (0, 1)


groups = st.lists(
    st.tuples(st.integers(0, 20).map(float), st.booleans()), min_size=1, max_size=25
)


@given(groups)
def test_the_course_is_that_of_the_reference(rows: list[tuple[float, bool]]) -> None:
    times = [t for t, _ in rows]
    ended = [e for _, e in rows]
    censored = stats.CensoredData(
        uncensored=[t for t, e in rows if e], right=[t for t, e in rows if not e]
    )
    reference = stats.ecdf(censored).sf

    course = kaplan_meier(times, ended)

    with warnings.catch_warnings():
        warnings.simplefilter("ignore", RuntimeWarning)  # where none is left
        interval = reference.confidence_interval(method="log-log")
    for step in course.steps:
        assert step.surviving == pytest.approx(
            float(reference.evaluate(step.at)), abs=1e-12
        )
        assert 0 <= step.low <= step.surviving <= step.high <= 1
        if step.surviving > 0:
            ends = (interval.low, interval.high)
            assert (step.low, step.high) == pytest.approx(
                [float(end.evaluate(step.at)) for end in ends], abs=1e-9
            )
    shares = [1.0, *(s.surviving for s in course.steps)]
    assert shares == sorted(shares, reverse=True)


@given(groups, groups)
def test_two_groups_are_compared_as_by_the_reference(
    one: list[tuple[float, bool]], two: list[tuple[float, bool]]
) -> None:
    pairs = [([t for t, _ in g], [e for _, e in g]) for g in (one, two)]
    found = log_rank(pairs)
    if not found.chi_square:
        return

    x, y = (
        stats.CensoredData(
            uncensored=[t for t, e in g if e], right=[t for t, e in g if not e]
        )
        for g in (one, two)
    )

    assert found.p == pytest.approx(stats.logrank(x, y).pvalue, rel=1e-8, abs=1e-12)
    turned = log_rank(pairs[::-1])
    assert turned.chi_square == pytest.approx(found.chi_square)


@given(st.lists(groups, min_size=3, max_size=5), st.randoms(use_true_random=False))
def test_the_order_of_groups_and_rows_changes_nothing(
    many: list[list[tuple[float, bool]]], random: object
) -> None:
    def compared(rows: list[list[tuple[float, bool]]]) -> float:
        return log_rank([([t for t, _ in g], [e for _, e in g]) for g in rows]).p

    mixed = [list(g) for g in many]
    for group in mixed:
        random.shuffle(group)  # type: ignore[attr-defined] # a Random
    random.shuffle(mixed)  # type: ignore[attr-defined] # as above

    assert compared(mixed) == pytest.approx(compared(many), rel=1e-6, abs=1e-9)


@given(st.floats(0, 200), st.integers(1, 12))
def test_the_tail_is_that_of_the_reference(value: float, freedom: int) -> None:
    assert upper_tail(value, freedom=freedom) == pytest.approx(
        float(stats.chi2.sf(value, freedom)), rel=1e-9, abs=1e-15
    )


@pytest.mark.parametrize(("value", "freedom"), [(-1.0, 1), (1.0, 0)])
def test_no_tail_of_what_is_no_chi_square(value: float, freedom: int) -> None:
    with pytest.raises(ValueError, match="at least one degree"):
        upper_tail(value, freedom=freedom)
