"""Dose arithmetic: the answer, and the refusal. Every drug here is invented."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from husbandry.rules.care.dosing import (
    DoseRefusedError,
    DoseVolume,
    compute_dose,
    dose_from,
    doses_due,
)
from husbandry.rules.vocabulary import DoseUnit
from husbandry.rules.weights import WeighingPoint
from tests.rules.health.facts import BAND, LISBON, POLICY, TODAY, prescription

D = Decimal
DAY = timedelta(days=1)


def dose(mass_g: str | Decimal, **changes: Any) -> DoseVolume:
    rest = {"weighed_on": TODAY, "on": TODAY, "policy": POLICY, "band": None}
    rest |= {k: changes.pop(k) for k in list(changes) if k in rest}
    return compute_dose(prescription(**changes), mass_g=D(mass_g), **rest)


def refusal(mass_g: str, **changes: Any) -> DoseRefusedError:
    with pytest.raises(DoseRefusedError) as refused:
        dose(mass_g, **changes)
    return refused.value


@pytest.mark.parametrize(
    ("mass_g", "per_kg", "in_ml", "amount_mg", "volume_ml"),
    [
        # Veterinary-nursing arithmetic, from memory: 20 mg/kg × 20 kg at 100 mg/mL.
        ("20000", "20", "100", "400", "4.00"),
        # By hand: 0.12 kg × 10 mg/kg = 1.2 mg; at 10 mg/mL 0.12 mL.
        ("120", "10", "10", "1.2", "0.12"),
        # By hand: 0.1 kg × 1 mg/kg = 0.1 mg; at 3 mg/mL a third of a tenth.
        ("100", "1", "3", "0.1", "0.03"),
        # A page of dose rounding: 0.1822 becomes 0.18 and 0.1872 becomes 0.19.
        ("100", "1.822", "1", "0.1822", "0.18"),
        ("100", "1.872", "1", "0.1872", "0.19"),
        # Halves up, by hand; one half step up from an even step and from an odd one.
        ("100", "1.85", "1", "0.185", "0.19"),
        ("100", "1.95", "1", "0.195", "0.20"),
        # Exactly one step is measured.
        ("100", "0.1", "1", "0.01", "0.01"),
    ],
)
def test_dose_is_what_is_multiplied_on_paper(
    mass_g: str, per_kg: str, in_ml: str, amount_mg: str, volume_ml: str
) -> None:
    found = dose(mass_g, dose_per_kg=D(per_kg), concentration_mg_per_ml=D(in_ml))

    assert found.amount_mg == D(amount_mg)
    assert found.volume_ml == D(volume_ml)
    assert (found.mass_g, found.weighed_on) == (D(mass_g), TODAY)
    assert found.exact_ml == D(amount_mg) / D(in_ml)


def test_dose_by_volume_needs_no_concentration() -> None:
    # Reptile maintenance of 30 mL/kg for 150 g is 4.5 mL (lafeber-fluids).
    found = dose(
        "150",
        dose_per_kg=D(30),
        dose_unit=DoseUnit.ML_PER_KG,
        concentration_mg_per_ml=None,
    )

    assert (found.volume_ml, found.exact_ml, found.amount_mg) == (D("4.5"), 4.5, None)


@pytest.mark.parametrize("concentration", [None, D(0)])
def test_dose_without_a_concentration_is_refused(concentration: Decimal | None) -> None:
    refused = refusal("120", concentration_mg_per_ml=concentration)

    assert refused.code == "concentration"
    assert "how many mg a mL holds is not on record" in refused.sentence


def test_dose_below_a_step_is_diluted_and_never_rounded() -> None:
    # 0.12 kg × 0.2 mg/kg = 0.024 mg; at 5 mg/mL 0.0048 mL. Concentration invented.
    refused = refusal("120", dose_per_kg=D("0.2"), concentration_mg_per_ml=D(5))

    assert refused.code == "dose_too_small"
    assert "0.0048 mL" in refused.sentence
    assert "0.01 mL" in refused.sentence
    assert "dilute, ask the vet" in refused.sentence


@pytest.mark.parametrize(
    ("mass_g", "shown"), [("120", "0.12"), ("100", "0.1"), ("100000", "100")]
)
def test_volume_reads_without_zeros_that_say_nothing(mass_g: str, shown: str) -> None:
    assert str(dose(mass_g, smallest_step_ml=D("0.0100")).volume_ml) == shown


def test_dose_of_buckets_is_refused() -> None:
    refused = refusal("9999999", dose_per_kg=D(10_000), concentration_mg_per_ml=D(1))

    assert refused.code == "dose_too_large"


@pytest.mark.parametrize(
    ("exact_ml", "volume_ml"),
    [
        # By hand, steps of 0.01 mL. 0.05 for 0.045 is 11.1 % off, 0.04 for 0.0445 is
        # 10.1 % off, 0.05 for 0.0455 is 9.9 % off, 0.01 for 0.0111 is 9.9 % off.
        ("0.045", None),
        ("0.0445", None),
        ("0.0455", "0.05"),
        ("0.0111", "0.01"),
        ("0.0125", None),
        # 0.02 for 0.0182 is 9.89 % off; 0.02 for 0.0181 is 10.5 % off.
        ("0.0182", "0.02"),
        ("0.0181", None),
    ],
)
def test_rounding_may_change_a_dose_by_a_tenth(
    exact_ml: str, volume_ml: str | None
) -> None:
    asked = {"dose_per_kg": D(exact_ml) * 10, "concentration_mg_per_ml": D(1)}

    if volume_ml is not None:
        assert dose("100", **asked).volume_ml == D(volume_ml)
        return
    refused = refusal("100", **asked)
    assert refused.code == "dose_rounding_too_coarse"
    assert "more than 10 % off" in refused.sentence


def test_rounding_by_exactly_a_tenth_is_accepted() -> None:
    # Steps of 0.011: 0.011 for 0.01222… is 10 % off to the last digit:
    # 0.11 mg at 9 mg/mL is 0.0122…, and 0.9 of it is 0.011.
    found = dose(
        "100",
        dose_per_kg=D("1.1"),
        concentration_mg_per_ml=D(9),
        smallest_step_ml=D("0.011"),
    )

    assert found.volume_ml == D("0.011")


@pytest.mark.parametrize("days", [0, 6, 7])
def test_weighing_within_the_policy_is_computed_from(days: int) -> None:
    assert dose("120", weighed_on=TODAY - days * DAY).volume_ml == D("0.12")


def test_older_weighing_is_refused() -> None:
    refused = refusal("120", weighed_on=TODAY - 8 * DAY)

    assert refused.code == "weight_too_old"
    assert "8 days old (22 Feb 2026)" in refused.sentence
    assert "Weigh it first" in refused.sentence


def test_without_a_policy_or_band_it_is_said_what_was_not_judged() -> None:
    found = dose("120", weighed_on=TODAY - 400 * DAY, policy=None)

    assert found.volume_ml == D("0.12")
    assert [r.split(":")[0] for r in found.remarks] == [
        "No dosing policy stands for this species",
        "No band of plausible masses is known for it",
    ]
    assert "400 days old" in found.remarks[0]
    assert dose("120", band=BAND).remarks == ()


@pytest.mark.parametrize(
    ("mass_g", "refused"),
    [
        # The band is 90–180 g; half and twice it are still accepted.
        ("44.99", True),
        ("45", False),
        ("360", False),
        ("360.01", True),
        # 120 g typed as 120 kg: a thousand times the dose.
        ("120000", True),
    ],
)
def test_mass_outside_twice_the_band_is_refused(mass_g: str, refused: bool) -> None:
    if not refused:
        assert dose(mass_g, band=BAND, dose_per_kg=D(20)).mass_g == D(mass_g)
        return
    error = refusal(mass_g, band=BAND, dose_per_kg=D(20))
    assert error.code == "weight_out_of_band"
    assert "45 to 360 g" in error.sentence


def test_dose_is_computed_from_the_local_day_of_the_weighing() -> None:
    # 22 February 23:30 UTC is the 23rd in Helsinki: seven days, not eight.
    weighing = WeighingPoint(5, datetime(2026, 2, 22, 23, 30, tzinfo=UTC), D(120))
    asked: dict[str, Any] = {
        "weighing": weighing,
        "on": TODAY,
        "policy": POLICY,
        "band": BAND,
    }

    found = dose_from(prescription(), zone=ZoneInfo("Europe/Helsinki"), **asked)
    with pytest.raises(DoseRefusedError, match="8 days old"):
        dose_from(prescription(), zone=LISBON, **asked)

    assert found.weighed_on == date(2026, 2, 23)


def test_animal_that_was_never_weighed_gets_no_dose() -> None:
    with pytest.raises(DoseRefusedError) as refused:
        dose_from(
            prescription(),
            weighing=None,
            zone=LISBON,
            on=TODAY,
            policy=POLICY,
            band=BAND,
        )

    assert refused.value.code == "no_weight"
    assert "Weigh it on 02 Mar 2026" in refused.value.sentence


@given(
    mass_g=st.decimals("50", "1000", places=2),
    per_kg=st.decimals("10", "50", places=4),
    in_ml=st.decimals("0.5", "1", places=4),
    factor=st.integers(2, 50),
)
def test_so_many_times_the_mass_is_so_many_times_the_dose(
    mass_g: Decimal, per_kg: Decimal, in_ml: Decimal, factor: int
) -> None:
    one = dose(mass_g, dose_per_kg=per_kg, concentration_mg_per_ml=in_ml)
    many = dose(mass_g * factor, dose_per_kg=per_kg, concentration_mg_per_ml=in_ml)

    assert one.amount_mg is not None
    assert many.amount_mg == one.amount_mg * factor
    assert many.exact_ml == pytest.approx(one.exact_ml * factor)


@given(
    mass_g=st.decimals("10", "5000", places=2),
    per_kg=st.decimals("1", "500", places=4),
    in_ml=st.decimals("0.1", "10", places=4),
    step=st.sampled_from([D("0.01"), D("0.02"), D("0.05"), D("0.1")]),
)
def test_what_is_drawn_up_is_the_nearest_whole_step(
    mass_g: Decimal, per_kg: Decimal, in_ml: Decimal, step: Decimal
) -> None:
    exact_ml = mass_g * per_kg / 1000 / in_ml
    asked = {
        "dose_per_kg": per_kg,
        "concentration_mg_per_ml": in_ml,
        "smallest_step_ml": step,
    }
    # Half a step is a tenth of five steps: from there on nothing is refused.
    assume(exact_ml >= 5 * step)

    found = dose(mass_g, **asked)

    assert found.volume_ml % step == 0
    assert abs(found.volume_ml - exact_ml) <= step / 2 + D("1e-20")


# When doses are due


def at(day: int, hour: int, month: int = 3) -> datetime:
    return datetime(2026, month, day, hour, tzinfo=UTC)


def test_doses_fall_from_the_first_to_the_end_of_the_last_day() -> None:
    # By hand: every 12 hours from 1 March 09:00, the last on 2 March 21:00.
    found = doses_due(
        prescription(every_hours=12, until_on=date(2026, 3, 2)),
        zone=LISBON,
        from_on=date(2026, 2, 1),
        until_on=date(2026, 4, 1),
    )

    assert found == (at(1, 9), at(1, 21), at(2, 9), at(2, 21))


@pytest.mark.parametrize(
    ("from_day", "until_day", "expected"),
    [
        (3, 3, (at(3, 15),)),
        (2, 3, (at(2, 3), at(3, 15))),
        (4, 2, ()),
        (8, 20, ()),
    ],
)
def test_doses_of_some_days_keep_step_with_the_first(
    from_day: int, until_day: int, expected: tuple[datetime, ...]
) -> None:
    # By hand: every 36 hours from 2 March 03:00: 2 at 03, 3 at 15, 5 at 03, 6 at 15.
    found = doses_due(
        prescription(every_hours=36, first_at=at(2, 3)),
        zone=LISBON,
        from_on=date(2026, 3, from_day),
        until_on=date(2026, 3, until_day),
    )

    assert found == expected


def test_doses_follow_hours_that_pass_not_the_clock_on_the_wall() -> None:
    # Lisbon puts the clock forward on 29 March 2026 at 01:00 UTC.
    found = doses_due(
        prescription(first_at=at(28, 9), until_on=date(2026, 3, 30)),
        zone=LISBON,
        from_on=date(2026, 3, 28),
        until_on=date(2026, 3, 30),
    )

    assert found == (at(28, 9), at(29, 9), at(30, 9))
    assert [d.astimezone(LISBON).hour for d in found] == [9, 10, 10]


def test_last_local_day_ends_by_the_sites_clock() -> None:
    # 23:30 UTC in summer is 00:30 of the next day in Lisbon.
    late = prescription(
        first_at=datetime(2026, 7, 1, 23, 30, tzinfo=UTC), until_on=date(2026, 7, 3)
    )

    found = doses_due(
        late, zone=LISBON, from_on=date(2026, 7, 1), until_on=date(2026, 7, 9)
    )

    assert [d.day for d in found] == [1, 2]


@pytest.mark.parametrize(
    ("stopped_at", "count"),
    [(at(1, 8), 0), (at(1, 9), 0), (at(3, 9), 2), (at(3, 10), 3), (None, 7)],
)
def test_nothing_is_due_once_it_was_stopped(
    stopped_at: datetime | None, count: int
) -> None:
    found = doses_due(
        prescription(stopped_at=stopped_at),
        zone=LISBON,
        from_on=date(2026, 3, 1),
        until_on=date(2026, 3, 31),
    )

    assert len(found) == count


@given(
    every_hours=st.integers(1, 720),
    offset=st.integers(0, 40),
    length=st.integers(0, 20),
)
def test_days_asked_about_apart_are_the_days_asked_about_together(
    every_hours: int, offset: int, length: int
) -> None:
    long = prescription(every_hours=every_hours, until_on=date(2026, 5, 1))
    first, last = date(2026, 2, 25), date(2026, 5, 3)
    whole = doses_due(long, zone=LISBON, from_on=first, until_on=last)
    some = first + offset * DAY, first + (offset + length) * DAY

    found = doses_due(long, zone=LISBON, from_on=some[0], until_on=some[1])

    assert found == tuple(
        d for d in whole if some[0] <= d.astimezone(LISBON).date() <= some[1]
    )
