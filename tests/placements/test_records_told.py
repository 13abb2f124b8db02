"""Food, treatments, signs and clutch-mates, as a packet tells them; counted by hand."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from husbandry.rules.care.facts import DoseFact, FeedingFact, PrescriptionFact
from husbandry.rules.growth.comparing import among_mates
from husbandry.rules.growth.recorded import GrowthRecord, Recorded
from husbandry.rules.profiles.values import GrowthPolicy
from husbandry.rules.vocabulary import (
    DoseOutcome,
    DoseUnit,
    Observed,
    Route,
    Sex,
    Urgency,
)
from husbandry.rules.weights import WeighingPoint
from placements.rules.packets.appetites import feeding_response
from placements.rules.packets.health import (
    Sighting,
    Treatment,
    sighting_lines,
    treatment_line,
)
from placements.rules.packets.mates import mate_bands
from placements.rules.packets.records import (
    FeederResponse,
    FeedingResponse,
    MateBand,
    SightingLine,
    TreatmentLine,
)
from tests.placements.known import PRACTICE, PROFILE

LISBON = ZoneInfo("Europe/Lisbon")
UNTIL = date(2026, 3, 18)
D = Decimal


def fed(
    on: date,
    offered: int,
    eaten: int | None,
    feeder: str = "crickets",
    hand: bool = False,
) -> FeedingFact:
    at = datetime(on.year, on.month, on.day, 10, tzinfo=LISBON)
    return FeedingFact(0, at, on, feeder, offered, eaten, (), hand)


def test_feeding_response_counts_only_what_somebody_watched() -> None:
    found = feeding_response(
        (
            fed(date(2026, 3, 18), 5, 3),
            fed(date(2026, 3, 17), 4, 0),
            fed(date(2026, 3, 17), 2, None, "waxworms"),
            fed(date(2026, 3, 16), 3, None),
            fed(date(2026, 3, 15), 1, 1, "syrup", hand=True),
        ),
        names={"crickets": "Crickets", "waxworms": "Waxworms"},
        until_on=UNTIL,
    )

    assert found == FeedingResponse(
        from_on=date(2026, 2, 19),
        until_on=UNTIL,
        days_fed=4,
        last_eaten_on=date(2026, 3, 18),
        feeders=(
            FeederResponse("Crickets", 3, 12, 2, 9, 3, 1, 0),
            FeederResponse("Waxworms", 1, 2, 0, 0, 0, 0, 0),
            FeederResponse("syrup", 1, 1, 1, 1, 1, 0, 1),
        ),
    )


def test_feeding_response_holds_the_last_28_days_and_no_more() -> None:
    on_the_edge = (fed(date(2026, 2, 19), 1, 0), fed(date(2026, 3, 18), 1, None))
    outside = (fed(date(2026, 2, 18), 9, 9), fed(date(2026, 3, 19), 9, 9))

    found = feeding_response((*outside, *on_the_edge), names={}, until_on=UNTIL)

    assert found is not None
    assert (found.days_fed, found.last_eaten_on) == (2, None)
    assert found.feeders == (FeederResponse("crickets", 2, 2, 1, 1, 0, 1, 0),)
    assert feeding_response(outside, names={}, until_on=UNTIL) is None
    assert feeding_response((), names={}, until_on=UNTIL) is None


def prescription(*doses: DoseFact, stopped_at: datetime | None = None) -> Treatment:
    fact = PrescriptionFact(
        id=1,
        drug="Invented syrup",
        dose_per_kg=D("10"),
        dose_unit=DoseUnit.MG_PER_KG,
        concentration_mg_per_ml=D("10"),
        route=Route.BY_MOUTH,
        every_hours=24,
        first_at=datetime(2026, 3, 14, 9, tzinfo=UTC),
        until_on=date(2026, 3, 20),
        smallest_step_ml=D("0.01"),
        vet="A vet",
        stopped_at=stopped_at,
        doses=doses,
    )
    return Treatment(fact, "A cough", "Better" if stopped_at else "")


def dose(day: int, outcome: DoseOutcome) -> DoseFact:
    at = datetime(2026, 3, day, 9, tzinfo=UTC)
    return DoseFact(day, at, at, outcome, D("0.1"))


def test_treatment_counts_doses_and_names_no_amount() -> None:
    # Due at 9:00 from the 14th to the 20th; it is the 18th, 15:00.
    given_ = (dose(14, DoseOutcome.GIVEN), dose(15, DoseOutcome.GIVEN))
    treatment = prescription(*given_, dose(16, DoseOutcome.NOT_GIVEN))

    found = treatment_line(
        treatment, zone=LISBON, until_at=datetime(2026, 3, 18, 15, tzinfo=UTC)
    )

    assert found == TreatmentLine(
        drug="Invented syrup",
        reason="A cough",
        from_on=date(2026, 3, 14),
        until_on=date(2026, 3, 20),
        stopped_on=None,
        stopped_reason="",
        due=5,
        given=2,
        not_given=1,
        unrecorded=2,
        open=True,
    )


@pytest.mark.parametrize(
    ("until", "due", "unrecorded", "still_open"),
    [
        (datetime(2026, 3, 14, 8, 59, tzinfo=UTC), 0, 0, True),
        (datetime(2026, 3, 14, 9, 0, tzinfo=UTC), 1, 1, True),
        (datetime(2026, 3, 20, 9, 0, tzinfo=UTC), 7, 7, False),
        (datetime(2026, 4, 1, 9, 0, tzinfo=UTC), 7, 7, False),
    ],
)
def test_doses_to_come_are_not_missed(
    until: datetime, due: int, unrecorded: int, still_open: bool
) -> None:
    found = treatment_line(prescription(), zone=LISBON, until_at=until)

    assert (found.due, found.unrecorded, found.open) == (due, unrecorded, still_open)


def test_stopped_treatment_is_over() -> None:
    stopped_at = datetime(2026, 3, 16, 9, tzinfo=UTC)

    found = treatment_line(
        prescription(stopped_at=stopped_at),
        zone=LISBON,
        until_at=datetime(2026, 3, 16, 12, tzinfo=UTC),
    )

    # What is due at the very instant of the stop is not due any more.
    assert (found.due, found.open, found.stopped_on) == (2, False, date(2026, 3, 16))
    assert found.stopped_reason == "Better"


def seen(day: int, observed: Observed, sign: str = "orange") -> Sighting:
    return Sighting(sign, date(2026, 3, day), observed)


def test_sightings_of_a_sign_are_put_together() -> None:
    found = sighting_lines(
        (
            seen(1, Observed.GONE),
            seen(2, Observed.PRESENT),
            seen(3, Observed.GONE),
            seen(5, Observed.PRESENT),
            seen(6, Observed.PRESENT, "retired-sign"),
            seen(8, Observed.GONE),
            seen(9, Observed.GONE),
        ),
        PROFILE,
    )

    assert found == (
        SightingLine("retired sign", None, date(2026, 3, 6), date(2026, 3, 6), 1, None),
        SightingLine(
            "Mostly orange urates",
            Urgency.WATCH,
            date(2026, 3, 2),
            date(2026, 3, 5),
            2,
            date(2026, 3, 8),
        ),
    )


def test_sign_that_was_only_ever_gone_is_not_told() -> None:
    assert sighting_lines((seen(1, Observed.GONE),), PROFILE) == ()
    assert sighting_lines((), None) == ()


POLICY = GrowthPolicy(3, 3, D(3), D(-2), PRACTICE)
HATCHED = date(2025, 9, 1)


def weighed(*points: tuple[int, str], start: int = 0) -> tuple[WeighingPoint, ...]:
    """Weighings at noon of an age in days."""
    noon = datetime(2025, 9, 1, 12, tzinfo=LISBON)
    return tuple(
        WeighingPoint(start + n, noon + timedelta(days=age), D(mass))
        for n, (age, mass) in enumerate(points)
    )


def kin(id_: int, *points: tuple[int, str], **more: object) -> Recorded:
    told: dict[str, object] = {
        "id": id_,
        "code": f"V-{id_}",
        "label": f"V-{id_}",
        "sex": Sex.UNKNOWN,
        "hatched_on": HATCHED,
        "hatched_about": HATCHED,
        "dam": 900,
        "sire": None,
        "arrived_on": HATCHED,
        "in_care": True,
        "weighings": weighed(*points, start=100 * id_),
    }
    return Recorded(**{**told, **more})  # type: ignore[arg-type] - written out above


MATES = (
    kin(2, (26, "9"), (31, "10"), (60, "20")),
    kin(3, (29, "8"), (31, "12"), (60, "22")),  # 29 and 31 are equally near: 29
    kin(4, (33, "11")),  # three days away, which is near enough
    kin(5, (34, "99")),  # four are not
    kin(6, (30, "70"), dam=901),  # another dam's
    kin(7, (30, "80"), hatched_on=date(2025, 9, 5)),  # hatched too late
)


def bands(animal: Recorded) -> tuple[MateBand, ...]:
    return mate_bands(
        GrowthRecord(animal, MATES), policy=POLICY, until_on=UNTIL, zone=LISBON
    )


def test_band_of_the_mates_at_each_age_by_hand() -> None:
    animal = kin(1, (30, "9.5"), (60, "21"))

    # At 30 days 10, 8 and 11 g; at 60 two mates only, and three are needed.
    assert bands(animal) == (MateBand(date(2025, 10, 1), 3, D(8), D(10), D(11)),)


@given(st.integers(24, 36), st.integers(0, 6), st.integers(0, 6))
def test_band_agrees_with_what_the_night_compares_with(
    age: int, first: int, second: int
) -> None:
    """The median is that of the nightly comparison, which is written for herds."""
    animal = kin(1, (age, "9.5"))
    mates = (
        kin(2, (age - first, "9"), (age + second, "10")),
        kin(3, (age + first, "8"), (age + second, "12.5")),
        kin(4, (age - second, "11"), (age - second, "11.5")),
    )

    found = mate_bands(
        GrowthRecord(animal, mates), policy=POLICY, until_on=UNTIL, zone=LISBON
    )
    beside = among_mates(animal, mates, policy=POLICY, on=UNTIL, zone=LISBON)

    if beside.found is None:
        assert found == ()
    else:
        (band,) = found
        assert float(band.median_g) == beside.found.median_g
        assert band.mates == beside.found.mates


def test_without_policy_dam_or_day_of_hatching_there_is_no_band() -> None:
    animal = kin(1, (30, "9.5"))

    assert (
        mate_bands(
            GrowthRecord(animal, MATES), policy=None, until_on=UNTIL, zone=LISBON
        )
        == ()
    )
    assert bands(kin(1, (30, "9.5"), dam=None)) == ()
    assert bands(kin(1, (30, "9.5"), hatched_on=None)) == ()
