"""How one animal grows, without a database: what is known, and what is said of it."""

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal
from math import exp, inf
from zoneinfo import ZoneInfo

import pytest

from core.units import MassUnit
from husbandry.rules.growth.comparing import (
    NotCompared,
    among_mates,
    by_reference,
    clutch_mates,
)
from husbandry.rules.growth.condition import LengthPoint
from husbandry.rules.growth.pictures import (
    Growth,
    growth_picture,
    trend_of,
)
from husbandry.rules.growth.recorded import Aged, GrowthRecord, Recorded, aged
from husbandry.rules.profiles.values import (
    GrowthPolicy,
    GrowthReference,
    LmsPoint,
    Provenance,
)
from husbandry.rules.sentences import growing
from husbandry.rules.sentences.numbers import Units
from husbandry.rules.trends import Slope
from husbandry.rules.vocabulary import Sex, Standing
from husbandry.rules.weights import GravidSpell, WeighingPoint

LISBON = ZoneInfo("Europe/Lisbon")
HATCHED = date(2026, 1, 1)
ON = date(2026, 3, 2)
WORD = Provenance("invented-2020", Standing.PUBLISHED, ON, "")
POLICY = GrowthPolicy(3, 3, Decimal("2.5"), Decimal(-2), WORD)


def weighed(key: int, on: date, mass_g: str) -> WeighingPoint:
    at = datetime.combine(on, time(9), tzinfo=UTC)
    return WeighingPoint(key, at, Decimal(mass_g))


def animal(key: int = 1, *masses: tuple[int, str], **fields: object) -> Recorded:
    made = Recorded(
        id=key,
        code=f"V-{key}",
        label=f"V-{key} Juno",
        sex=Sex.MALE,
        hatched_on=HATCHED,
        hatched_about=HATCHED,
        dam=90,
        sire=91,
        arrived_on=HATCHED,
        in_care=True,
        weighings=tuple(
            weighed(100 * key + age, HATCHED + timedelta(days=age), mass_g)
            for age, mass_g in masses
        ),
    )
    return replace(made, **fields)  # type: ignore[arg-type] - its own fields


def picture(record: GrowthRecord, mass_g: str | None = None) -> Growth:
    return growth_picture(
        record,
        profile=None,
        policies={},
        on=ON,
        zone=LISBON,
        mass_g=None if mass_g is None else Decimal(mass_g),
    )


def at_age(age_days: int | None, mass_g: str) -> Aged:
    return Aged(1, ON, age_days, Decimal(mass_g))


def test_ages_follow_the_local_day_and_what_lies_ahead_is_left_out() -> None:
    # 23:30 UTC on 2 March is still that day in Lisbon; an hour later it is not.
    late = datetime(2026, 3, 2, 23, 30, tzinfo=UTC)
    points = (
        WeighingPoint(2, late, Decimal(6)),
        WeighingPoint(1, late - timedelta(days=1), Decimal(5)),
        WeighingPoint(3, late + timedelta(hours=1), Decimal(7)),
    )

    found = aged(animal(weighings=points), on=ON, zone=LISBON)

    assert found == (
        Aged(1, date(2026, 3, 1), 59, Decimal(5)),
        Aged(2, ON, 60, Decimal(6)),
    )
    unknown = aged(animal(weighings=points, hatched_on=None), on=ON, zone=LISBON)
    assert [w.age_days for w in unknown] == [None, None]


@pytest.mark.parametrize(
    ("fields", "counts"),
    [
        ({}, True),
        ({"sire": None}, True),
        ({"sire": 92}, False),
        ({"dam": 92}, False),
        ({"hatched_on": None}, False),
        ({"hatched_on": HATCHED + timedelta(days=3)}, True),
        ({"hatched_on": HATCHED + timedelta(days=4)}, False),
        ({"in_care": False}, True),
        ({"id": 1}, False),
    ],
)
def test_who_is_a_clutch_mate(fields: dict[str, object], counts: bool) -> None:
    other = animal(2, **fields)

    assert clutch_mates(animal(), [other], POLICY) == ((other,) if counts else ())


def test_nobody_has_mates_without_dam_age_or_policy() -> None:
    other = animal(2)

    assert clutch_mates(animal(dam=None), [other], POLICY) == ()
    assert clutch_mates(animal(hatched_on=None), [other], POLICY) == ()
    assert clutch_mates(animal(), [other], None) == ()


def test_exactly_as_many_mates_as_needed_are_compared_with() -> None:
    asked = animal(1, (50, "5"))
    mates = [animal(key, (49, str(key + 4))) for key in (2, 3, 4)]

    enough = among_mates(asked, mates, policy=POLICY, on=ON, zone=LISBON)
    fewer = among_mates(asked, mates[:2], policy=POLICY, on=ON, zone=LISBON)

    # Masses of 6, 7 and 8: a median of 7, a median deviation of 1.
    assert enough.found is not None
    assert (enough.found.mates, enough.found.median_g) == (3, 7)
    assert enough.found.score == pytest.approx(-2 / 1.4826)
    assert (fewer.found, fewer.why_not) == (None, NotCompared.TOO_FEW_MATES)
    assert [one.weighed.age_days for one in fewer.mates] == [49, 49]


REFERENCE = GrowthReference(
    "growth",
    None,
    (
        LmsPoint(0, Decimal(1), Decimal(1), Decimal("0.1")),
        LmsPoint(100, Decimal(1), Decimal(11), Decimal("0.1")),
    ),
    WORD,
)


def test_a_place_in_a_reference() -> None:
    found = by_reference(at_age(50, "6.6"), REFERENCE)

    # (6.6 / 6 − 1) / 0.1 = 1; 84.13 % of a normal distribution lie below 1.
    assert found is not None
    assert (round(found.z, 6), round(found.centile, 2)) == (1.0, 84.13)
    assert not found.unlikely


@pytest.mark.parametrize("last", [None, at_age(None, "6"), at_age(101, "6")])
def test_where_a_reference_says_nothing(last: Aged | None) -> None:
    assert by_reference(last, REFERENCE) is None
    assert by_reference(at_age(50, "6"), None) is None


def test_far_out_the_scale_is_to_be_checked() -> None:
    found = by_reference(at_age(50, "30"), REFERENCE)

    growth = replace(picture(GrowthRecord(animal(1, (50, "30")))), reference=found)

    assert growing.told_comparison(growth)[1] == (
        "So far out that the scale and the day of hatching should be checked."
    )


def test_a_trend_needs_two_days_and_looks_back_over_its_window() -> None:
    def on(days_ago: int, mass_g: str) -> Aged:
        return Aged(1, ON - timedelta(days=days_ago), None, Decimal(mass_g))

    assert trend_of((), (), window_days=30) is None
    assert trend_of((on(0, "5"), on(0, "6")), (), window_days=30) is None
    assert trend_of((on(31, "5"), on(0, "6")), (), window_days=30) is None
    exactly = trend_of((on(30, "5"), on(0, "35")), (), window_days=30)
    assert exactly is not None
    assert exactly.slope == Slope(1, -inf, inf, 2)


def test_a_trend_begins_after_the_last_laying_of_its_window() -> None:
    weighings = [
        Aged(1, ON - timedelta(days=days), None, Decimal(mass_g))
        for days, mass_g in ((20, "140"), (10, "100"), (5, "105"), (0, "110"))
    ]
    spells = [
        GravidSpell(ON - timedelta(days=60), ON - timedelta(days=45)),
        GravidSpell(ON - timedelta(days=30), ON - timedelta(days=11)),
        GravidSpell(ON - timedelta(days=1), None),
    ]

    anew = trend_of(weighings, spells, window_days=30)
    longer_ago = trend_of(weighings, spells[:1], window_days=30)

    assert anew is not None
    assert (anew.slope.slope, anew.slope.n, anew.since_laying) == (1, 3, True)
    assert longer_ago is not None
    assert (longer_ago.slope.n, longer_ago.since_laying) == (4, False)
    told = growing.told_trend(replace(picture(GrowthRecord(animal())), trend=anew))
    assert "(since it laid; the eggs are gone)" in told


def test_lengths_that_lie_ahead_are_left_out() -> None:
    record = GrowthRecord(
        animal(1, (59, "6")),
        lengths=(
            LengthPoint(datetime(2026, 3, 1, 12, tzinfo=UTC), Decimal(3)),
            LengthPoint(datetime(2026, 3, 4, 12, tzinfo=UTC), Decimal(3)),
        ),
    )

    (point,) = picture(record).conditions

    assert point.g_per_cm == Decimal("2.000")


def test_what_is_not_known_is_said() -> None:
    nothing = picture(GrowthRecord(animal()), "20")
    never = picture(
        GrowthRecord(
            animal(1, (20, "6")),
            lengths=(LengthPoint(datetime(2026, 3, 1, tzinfo=UTC), Decimal(3)),),
        )
    )

    assert growing.told_trend(nothing).startswith("No trend: weighings on two days")
    assert growing.told_curves(nothing) == ("No curve: it was never weighed.",)
    assert growing.told_projection(nothing).startswith("No age is given for 20.0 g")
    assert growing.told_projection(never) == ""
    assert growing.told_comparison(nothing) == (
        "Nothing to compare with: no care profile says which clutch-mates count.",
    )
    assert growing.told_condition(never)[0] == (
        "No condition index: no length was measured within seven days of a weighing."
    )
    assert not growing.needs_caution(nothing)


def test_a_falling_trend_asks_for_caution_in_the_readers_unit() -> None:
    record = GrowthRecord(animal(1, *((40 + 4 * n, str(20 - n)) for n in range(6))))

    growth = picture(record)

    # A gram less every four days is 1.75 g a week, or 0.06 ounces.
    assert growing.needs_caution(growth)
    told = growing.told_trend(growth, Units(mass=MassUnit.OZ))
    assert told.startswith("−0.06 oz a week from 10 Feb 2026 to 2 Mar 2026, by 6 ")
    assert "95 % interval −0.06 oz to −0.06 oz." in told


def test_an_interval_about_nothing_is_not_certain() -> None:
    masses = ("10", "11", "10", "11", "10", "11")
    record = GrowthRecord(
        animal(1, *((40 + 4 * n, mass_g) for n, mass_g in enumerate(masses)))
    )

    told = growing.told_trend(picture(record))

    assert told.endswith("Whether it gains or loses is not certain.")


def test_mates_that_weigh_the_same_give_no_deviation() -> None:
    asked = animal(1, (50, "5"))
    mates = [animal(key, (50, "6")) for key in (2, 3, 4)]
    among = among_mates(asked, mates, policy=POLICY, on=ON, zone=LISBON)

    growth = replace(picture(GrowthRecord(asked)), among_mates=among)

    assert growing.told_comparison(growth) == (
        "n = 3 clutch-mates of the same age (within 3 days), median 6.00 g; it weighed "
        "5.00 g at 50 days, place 4 of 4 by weight; most of them weigh the same, so no "
        "deviation is told.",
    )


def test_one_mate_is_too_few_and_told_as_one() -> None:
    asked, mate = animal(1, (50, "5")), animal(2, (50, "6"), in_care=False)
    among = among_mates(asked, [mate], policy=POLICY, on=ON, zone=LISBON)

    growth = replace(picture(GrowthRecord(asked)), among_mates=among)

    assert growing.told_comparison(growth) == (
        "Nothing to compare with: 1 mate of the same age, 3 are needed.",
        "1 of these mates has left; what they weighed at this age still counts.",
    )


def test_an_age_at_a_mass_needs_a_mass_above_zero() -> None:
    # Gompertz: 150 g, 0.03 a day, fastest at 40 days.
    masses = ((n, f"{150 * exp(-exp(-0.03 * (n - 40))):.2f}") for n in range(0, 60, 4))
    record = GrowthRecord(animal(1, *masses))

    assert picture(record, "50").projection is not None
    with pytest.raises(ValueError, match="above 0"):
        picture(record, "0")


def test_what_it_weighed_with_eggs_bends_no_curve() -> None:
    # Gompertz as above; ten grams of eggs from the 40th to the 48th day.
    masses = {n: 150 * exp(-exp(-0.03 * (n - 40))) for n in range(0, 60, 4)}
    eggs = {n: 10 * (40 <= n <= 48) for n in masses}
    plain = animal(1, *((n, f"{g:.2f}") for n, g in masses.items()))
    heavier = animal(1, *((n, f"{g + eggs[n]:.2f}") for n, g in masses.items()))
    spell = GravidSpell(HATCHED + timedelta(days=40), HATCHED + timedelta(days=48))

    found = picture(GrowthRecord(heavier, gravid=(spell,)), "50")
    without = picture(GrowthRecord(plain), "50")

    assert (found.gravid_weighings, without.gravid_weighings) == (3, 0)
    assert found.choice is not None
    assert found.choice.n == len(masses) - 3
    assert found.projection is not None
    assert without.projection is not None
    assert found.projection.age_days == pytest.approx(
        without.projection.age_days, abs=0.1
    )
    assert growing.told_curves(found)[-1] == (
        "Left out: 3 weighings while it was gravid, for eggs are no growth."
    )


def test_one_weighed_only_with_eggs_has_no_curve() -> None:
    spell = GravidSpell(HATCHED, None)

    growth = picture(GrowthRecord(animal(1, (40, "90")), gravid=(spell,)))

    assert growing.told_curves(growth) == (
        "No curve: it was weighed only while it was gravid.",
    )
