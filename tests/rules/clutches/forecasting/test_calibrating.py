"""Each past clutch is forecast by all the others."""

import numpy as np
import pytest
from scipy import stats

from clutches.rules.forecasting.calibrating import leave_one_out
from clutches.rules.vocabulary import ForecastBasis
from tests.rules.clutches.forecasting.made import herd, past, profile

RESTING = profile(rest=("50", "80"))


def test_nothing_hatched_yet() -> None:
    found = leave_one_out((), RESTING)

    assert found.trials == ()
    assert (found.held.count, found.held.of) == (0, 0)
    assert (found.bias_days, found.mean_error_days) == (None, None)
    assert found.footing.basis is ForecastBasis.PROFILE_WINDOW


def test_three_alike_leave_two_which_are_too_few() -> None:
    found = leave_one_out(herd([26.0] * 3, zero=16.0, total=1300.0), RESTING)

    assert found.footing.basis is ForecastBasis.OWN_CLUTCHES
    assert [trial.why for trial in found.trials] == ["few_clutches"] * 3
    assert found.held.of == 0
    assert found.bias_days is None


def test_four_alike_by_hand() -> None:
    own = [
        past(days, 26.0, code=f"P-{number}")
        for number, days in enumerate(
            [(190, 194, 198), (192, 196, 200), (194, 198, 202), (230, 234, 238)]
        )
    ]

    found = leave_one_out(own, RESTING)

    last = found.trials[-1]
    # The other three: first eggs on 192 ± 2, last on 200 ± 2; t 2.92, √(4/3).
    wide = stats.t.ppf(0.95, 2) * 2 * np.sqrt(4 / 3)
    assert last.early == int(192 - wide)
    assert last.late == int(np.ceil(200 + wide))
    assert last.likely == 196
    assert (last.asked_on_day, last.held, last.miss_days) == (98, False, 38)
    # The others are held: with the straggler among three their windows are wide.
    assert [trial.held for trial in found.trials] == [True, True, True, False]
    # Newcombe 1998, method 3, 3 of 4.
    assert found.held.low == pytest.approx(0.3006, abs=1e-4)
    assert found.held.high == pytest.approx(0.9544, abs=1e-4)
    likely = [trial.likely or 0 for trial in found.trials]
    misses = np.array([194, 196, 198, 234]) - likely
    assert found.bias_days == pytest.approx(misses.mean())
    assert found.mean_error_days == pytest.approx(np.abs(misses).mean())


def test_rate_from_five_others_tells_a_temperature_between() -> None:
    own = herd([24.0, 25.0, 26.0, 27.0, 28.0, 26.5], zero=16.0, total=1300.0, rest=65)

    found = leave_one_out(own, RESTING)

    assert found.footing.rate is not None
    assert found.trials[-1].why == ""
    miss = found.trials[-1].miss_days
    assert miss is not None
    assert abs(miss) <= 1.5


def test_published_rate_that_runs_late_shows_as_bias() -> None:
    # Booth and others 2022: steady warmth says longer than it takes.
    late = profile(zero="16", degree_days="400")

    found = leave_one_out(herd([25.0, 26.0, 27.0], zero=16.0, total=380.0), late)

    # Two others are too few to mend it: the window of the rate alone is asked.
    assert [trial.why for trial in found.trials] == [""] * 3
    assert found.bias_days is not None
    assert found.bias_days == pytest.approx(-2, abs=0.5)


def test_window_of_a_trial_does_not_lie_before_it_was_asked() -> None:
    fast = profile(zero="16", degree_days="100")

    [trial] = leave_one_out([past((60,), 26.0)], fast).trials

    # Done on day 10 by the rate, but asked on day 30, when nothing had hatched.
    assert (trial.asked_on_day, trial.early, trial.late) == (30, 8, 11)
    assert trial.held is False


def test_an_open_window_is_asked_as_the_night_would_show_it() -> None:
    own = [past((40, 60), 26.0), past((100, 100, 100), 26.0, code="P-2")]
    published = profile(zero="16", degree_days="400")

    first = leave_one_out(own, published).trials[0]

    assert first.asked_on_day == 38
    assert (first.early, first.likely, first.late) == (38, 40, 44)


@pytest.mark.parametrize("clutches", [8, 24])
def test_windows_hold_as_often_as_they_say(clutches: int) -> None:
    # Invented clutches of one rate, each with a rest of its own: the share held
    # over all must be what is stated, but for what chance allows.
    random = np.random.default_rng(5)
    held = told = 0
    for _ in range(30):
        own = []
        for number, celsius in enumerate(random.uniform(24, 28, clutches)):
            day = 65 + random.normal(0, 5) + 1300 / (celsius - 16)
            days = np.rint(day + random.normal(0, 2, 12)).astype(int).tolist()
            own.append(past(days, float(celsius), code=f"P-{number}"))
        found = leave_one_out(own, RESTING)
        held, told = held + found.held.count, told + found.held.of

    assert told > 100
    assert held / told > 0.9 - 4 * np.sqrt(0.09 / told)
