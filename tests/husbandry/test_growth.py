"""How one animal grows: who counts as its mate, and what its site has decided."""

from collections.abc import Callable
from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal
from math import exp, log

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from core.models import Site
from husbandry.models import Animal
from husbandry.queries.growth import GrowthOf, growth_of
from husbandry.rules.growth.comparing import NotCompared
from husbandry.rules.growth.fits import AsymptoteDoubt
from husbandry.rules.policies import POLICY_SOURCE
from husbandry.rules.vocabulary import FindingKind, GrowthModel, Urgency
from tests.factories import (
    NOW,
    TODAY,
    AnimalFactory,
    CareProfileFactory,
    EnclosureFactory,
    MeasuringFactory,
    ObservationFactory,
    ReproductiveSpellFactory,
    ReviewPolicyFactory,
    RoomFactory,
    SiteFactory,
    SpeciesFactory,
    StayFactory,
    UserFactory,
    WeighingFactory,
)

K = FindingKind
AGE = 60
HATCHED = TODAY - timedelta(days=AGE)
pytestmark = pytest.mark.django_db
Hatch = Callable[..., Animal]


@pytest.fixture(autouse=True)
def _profile(db: None) -> None:
    CareProfileFactory.create()


@pytest.fixture
def site(db: None) -> Site:
    return SiteFactory.create()


@pytest.fixture
def hatch(site: Site) -> Hatch:
    """Make hatchlings of one pair, weighed on one day, each in its own tub."""
    pair = {
        "dam": AnimalFactory.create(),
        "sire": AnimalFactory.create(male=True),
    }
    room = RoomFactory.create(site=site)

    def make(
        mass_g: str | None = None, *, on: date = TODAY, **fields: object
    ) -> Animal:
        found = {"hatched_on": HATCHED, "arrived_on": HATCHED, **pair, **fields}
        animal = AnimalFactory.create(male=True, **found)
        enclosure = EnclosureFactory.create(room=room)
        StayFactory.create(animal=animal, enclosure=enclosure)
        if mass_g is not None:
            weigh(animal, on, mass_g)
        return animal

    return make


def weigh(animal: Animal, on: date, mass_g: str, **fields: object) -> object:
    return WeighingFactory.create(
        animal=animal,
        at=datetime.combine(on, time(9), tzinfo=UTC),
        mass_g=Decimal(mass_g),
        **fields,
    )


def found(animal: Animal, mass_g: str | None = None) -> GrowthOf:
    asked = None if mass_g is None else Decimal(mass_g)
    return growth_of(animal=animal, at=NOW, mass_g=asked)


def kinds(animal: Animal) -> dict[FindingKind, Urgency]:
    return {a.kind: a.urgency for a in found(animal).growth.assessments}


def test_mates_are_compared_also_those_that_left(hatch: Hatch) -> None:
    animal = hatch("6.0")
    for mass_g in ("9.0", "10.0", "11.0"):
        hatch(mass_g)
    for mass_g in ("9.5", "10.5"):
        hatch(mass_g, left=True)

    among = found(animal).growth.among_mates

    # By hand: the median of 9, 9.5, 10, 10.5, 11 is 10; their deviations from it are
    # 1, 0.5, 0, 0.5, 1 with a median of 0.5; 0.5 × 1.4826 = 0.7413; −4 / 0.7413 =
    # −5.396.
    assert (among.on_record, among.why_not) == (5, None)
    assert [one.mate.in_care for one in among.mates].count(False) == 2
    assert among.found is not None
    assert among.found.median_g == 10
    assert among.found.scaled_mad_g == pytest.approx(0.7413)
    assert among.found.score == pytest.approx(-5.396, abs=0.001)
    assert among.found.rank == 6
    assert kinds(animal)[K.GROWTH_BEHIND] is Urgency.WATCH


def test_only_what_a_mate_weighed_at_the_same_age_counts(hatch: Hatch) -> None:
    animal = hatch("6.0")
    for days in (3, 4):
        gone = hatch("9.0", on=TODAY - timedelta(days=days), left=True)
        weigh(gone, TODAY - timedelta(days=40), "2.0")
    hatch()

    growth = found(animal).growth

    assert growth.among_mates.on_record == 3
    assert [one.weighed.age_days for one in growth.among_mates.mates] == [AGE - 3]
    assert growth.among_mates.why_not is NotCompared.TOO_FEW_MATES
    assert growth.among_mates.found is None
    assert [len(s.weighings) for s in growth.siblings] == [2, 2, 0]
    assert K.GROWTH_BEHIND not in kinds(animal)


def test_who_is_no_clutch_mate_is_not_compared_with(hatch: Hatch) -> None:
    animal = hatch("6.0")
    hatch("9.0", sire=AnimalFactory.create(male=True))
    hatch("9.0", dam=AnimalFactory.create())
    hatch("9.0", hatched_on=HATCHED - timedelta(days=4))
    hatch("9.0", hatched_precision="month")
    mate = hatch("9.0", hatched_on=HATCHED - timedelta(days=3), sire=None)

    growth = found(animal).growth

    assert [s.animal.id for s in growth.siblings] == [mate.pk]
    assert growth.among_mates.on_record == 1


@pytest.mark.parametrize(
    ("fields", "why"),
    [
        ({"hatched_precision": "month"}, NotCompared.AGE_NOT_KNOWN),
        ({"dam": None}, NotCompared.DAM_NOT_KNOWN),
    ],
)
def test_what_is_not_known_keeps_from_comparing(
    hatch: Hatch, fields: dict[str, object], why: NotCompared
) -> None:
    animal = hatch("6.0", **fields)
    hatch("9.0")

    assert found(animal).growth.among_mates.why_not is why


def test_one_never_weighed_is_told_so(hatch: Hatch) -> None:
    growth = found(hatch()).growth

    assert growth.among_mates.why_not is NotCompared.NEVER_WEIGHED
    assert (growth.trend, growth.choice, growth.weighings) == (None, None, ())


def test_a_corrected_weighing_does_not_count(hatch: Hatch) -> None:
    animal = hatch()
    wrong = weigh(animal, TODAY, "60.0")
    right = weigh(animal, TODAY, "6.0", corrects=wrong)

    (weighing,) = found(animal).growth.weighings

    assert weighing.id == right.pk  # type: ignore[attr-defined] - a weighing
    assert (weighing.mass_g, weighing.age_days) == (Decimal("6.00"), AGE)


def test_later_weighings_do_not_count(hatch: Hatch) -> None:
    animal = hatch("6.0")
    weigh(animal, TODAY + timedelta(days=1), "7.0")

    assert len(found(animal).growth.weighings) == 1


def test_the_trend_is_of_the_last_thirty_days(hatch: Hatch) -> None:
    animal = hatch()
    for weeks in range(9):
        weigh(animal, TODAY - timedelta(days=7 * weeks), str(80 - 7 * weeks))

    trend = found(animal).growth.trend

    # 30 days is the longest window of the shipped policy; a gram a day by hand.
    assert trend is not None
    assert (trend.slope.slope, trend.slope.n) == (1, 5)
    assert (trend.slope.low, trend.slope.high) == (1, 1)
    assert (trend.from_on, trend.to_on) == (TODAY - timedelta(days=28), TODAY)
    assert not trend.since_laying


def test_the_trend_begins_anew_after_laying(site: Site) -> None:
    animal = AnimalFactory.create(hatched_on=date(2024, 9, 1))
    laid = TODAY - timedelta(days=10)
    ReproductiveSpellFactory.create(
        animal=animal, from_on=TODAY - timedelta(days=40), until_on=laid
    )
    ObservationFactory.create(
        animal=animal,
        kind="laying",
        observed="finished",
        eggs=30,
        at=datetime.combine(laid, time(9), tzinfo=UTC),
    )
    for days, mass_g in ((20, "140"), (10, "142"), (7, "104"), (0, "111")):
        weigh(animal, TODAY - timedelta(days=days), mass_g)

    growth = found(animal).growth

    assert growth.trend is not None
    assert (growth.trend.slope.slope, growth.trend.slope.n) == (1, 2)
    assert growth.trend.since_laying
    assert growth.record.laid_on == (laid,)
    assert K.WEIGHT_LOSS not in kinds(animal)


def test_limits_of_the_site_hold(hatch: Hatch, site: Site) -> None:
    animal = hatch("6.0")
    for mass_g in ("9.0", "10.0", "11.0"):
        hatch(mass_g)
    assert K.GROWTH_BEHIND not in kinds(animal)
    ReviewPolicyFactory.create(
        site=site,
        kind=K.GROWTH_BEHIND.value,
        switched_on=True,
        urgency=Urgency.TODAY.value,
        limits={"mates_least": "3"},
    )

    growth = found(animal).growth

    assert growth.among_mates.found is not None
    (behind,) = (a for a in growth.assessments if a.kind is K.GROWTH_BEHIND)
    assert behind.urgency is Urgency.TODAY
    assert behind.provenance is not None
    assert behind.provenance.source == POLICY_SOURCE


def test_what_the_site_does_not_want_to_hear_is_named(site: Site) -> None:
    animal = AnimalFactory.create(male=True)
    enclosure = EnclosureFactory.create(room=RoomFactory.create(site=site))
    StayFactory.create(animal=animal, enclosure=enclosure)
    weigh(animal, TODAY - timedelta(days=10), "140")
    weigh(animal, TODAY, "120")
    assert kinds(animal) == {K.WEIGHT_LOSS: Urgency.NOW}
    ReviewPolicyFactory.create(
        site=site, kind=K.WEIGHT_LOSS.value, switched_on=False, limits={}
    )

    growth = found(animal).growth

    assert growth.assessments == ()
    assert growth.switched_off == (K.WEIGHT_LOSS,)


def test_a_shed_eases_a_small_loss_unless_it_was_struck_out(hatch: Hatch) -> None:
    animal = hatch("10.0", on=TODAY - timedelta(days=5))
    weigh(animal, TODAY, "9.4")
    shed = ObservationFactory.create(animal=animal, at=NOW - timedelta(days=2))
    assert kinds(animal)[K.WEIGHT_LOSS] is Urgency.WATCH
    shed.struck_at, shed.struck_by, shed.struck_reason = NOW, UserFactory(), "A slip."
    shed.save()

    assert kinds(animal)[K.WEIGHT_LOSS] is Urgency.TODAY
    assert found(animal).growth.record.shed_on == ()


def test_nothing_is_wrong_with_one_that_left(hatch: Hatch) -> None:
    animal = hatch("10.0", on=TODAY - timedelta(days=5), left=True)
    weigh(animal, TODAY - timedelta(days=1), "6.0")

    growth = found(animal).growth

    assert growth.assessments == ()
    assert len(growth.weighings) == 2


def test_lengths_meet_the_weighing_beside_them(hatch: Hatch) -> None:
    animal = hatch("12.0")
    MeasuringFactory.create(animal=animal, at=NOW, snout_vent_cm=Decimal("6.0"))
    MeasuringFactory.create(
        animal=animal,
        at=NOW - timedelta(days=1),
        snout_vent_cm=Decimal("60.0"),
        struck_at=NOW,
        struck_reason="A slip.",
        struck_by=UserFactory(),
    )
    MeasuringFactory.create(
        animal=animal,
        at=NOW - timedelta(days=2),
        snout_vent_cm=None,
        total_cm=Decimal("13.0"),
    )

    (point,) = found(animal).growth.conditions

    # 12 g by 6 cm.
    assert point.g_per_cm == Decimal("2.000")


def test_a_mass_is_projected_by_the_curve_that_fits(hatch: Hatch) -> None:
    animal = hatch(hatched_on=TODAY - timedelta(days=500))
    for age in range(0, 500, 10):
        # Gompertz with 150 g, 0.012 a day, fastest at 140 days, rounded to 0.01 g.
        mass_g = 150 * exp(-exp(-0.012 * (age - 140)))
        weigh(animal, TODAY - timedelta(days=500 - age), f"{mass_g:.2f}")

    growth = found(animal, "100").growth

    assert growth.choice is not None
    assert growth.choice.best is not None
    assert growth.choice.best.model in {GrowthModel.GOMPERTZ, GrowthModel.RICHARDS}
    assert growth.choice.asymptote_supported
    # Solved for the age by hand: 140 − ln(−ln(100 / 150)) / 0.012.
    by_hand = 140 - log(-log(100 / 150)) / 0.012
    assert growth.projection is not None
    assert growth.projection.age_days == pytest.approx(by_hand, abs=0.1)
    assert growth.asked_g == 100


def test_too_short_a_history_supports_no_asymptote(hatch: Hatch) -> None:
    animal = hatch()
    for age in range(0, AGE + 1, 5):
        mass_g = 150 * exp(-exp(-0.012 * (age - 140)))
        weigh(animal, HATCHED + timedelta(days=age), f"{mass_g:.2f}")

    growth = found(animal, "100").growth

    assert growth.choice is not None
    assert growth.choice.best is not None
    assert growth.choice.best.why is AsymptoteDoubt.INFLECTION_NOT_PASSED
    assert growth.projection is not None
    assert growth.projection.age_days is None


def test_without_a_profile_nothing_is_assessed(site: Site) -> None:
    animal = AnimalFactory.create(species=SpeciesFactory.create(code="unheard_of"))
    weigh(animal, TODAY - timedelta(days=10), "140")
    weigh(animal, TODAY, "100")

    got = found(animal, "90")

    assert (got.version, got.growth.profile, got.growth.assessments) == (None, None, ())
    assert got.growth.among_mates.why_not is NotCompared.NO_POLICY
    assert got.growth.bands == ()
    # Two weighings have a trend, but no curve.
    assert got.growth.trend is not None
    assert got.growth.projection is None


def test_masses_that_are_none_are_refused(hatch: Hatch) -> None:
    animal = hatch(hatched_on=TODAY - timedelta(days=500))
    for age in range(0, 500, 25):
        mass_g = 150 * exp(-exp(-0.012 * (age - 140)))
        weigh(animal, TODAY - timedelta(days=500 - age), f"{mass_g:.2f}")

    with pytest.raises(ValueError, match="above 0"):
        found(animal, "-1")


def test_six_mates_take_the_queries_of_one(hatch: Hatch) -> None:
    animal = hatch("6.0")

    def count() -> int:
        with CaptureQueriesContext(connection) as caught:
            found(animal)
        return len(caught)

    hatch("9.0")
    one = count()
    for _ in range(5):
        hatch("9.0")

    # Site, policies, profile, mates, weighings, observations, lengths, spells.
    assert count() == one == 8
