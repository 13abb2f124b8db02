"""The shipped profile of the veiled chameleon, held to the figures it stands on.

Rows of common practice carry no publication and are marked so; published figures
are held to their citations, which docs/sources.md lists by the same keys.
"""

from datetime import date, timedelta
from decimal import Decimal
from pathlib import Path

import pytest

import husbandry
from core.units import LengthUnit, TemperatureUnit, celsius, centimetres
from husbandry.rules.profiles.care_rows import (
    lamp_rule_for,
    misting_for,
    staples_for,
)
from husbandry.rules.profiles.reading import read_profile
from husbandry.rules.profiles.resolving import (
    ResolvedTarget,
    company_for,
    egg_targets,
    feeding_for,
    housing_for,
    incubation_for,
    laying_for,
    light_hours_for,
    resolve_targets,
    stage_on,
    supplements_for,
    weighing_for,
    weight_band_for,
)
from husbandry.rules.profiles.values import Profile, Provenance
from husbandry.rules.profiles.vocabulary import (
    CareTopic,
    FeederUse,
    IncubationMatter,
    SourceKind,
)
from husbandry.rules.profiles.writing import write_profile
from husbandry.rules.vocabulary import (
    LampKind,
    MistingTime,
    Period,
    Quantity,
    Reproduction,
    Sex,
    Standing,
    Urgency,
    Zone,
)

PATH = Path(husbandry.__file__).parent / "profiles" / "veiled_chameleon.yaml"
ON = date(2027, 3, 12)
PRACTICE, PUBLISHED, MEMORY = (
    Standing.COMMON_PRACTICE,
    Standing.PUBLISHED,
    Standing.FROM_MEMORY,
)
FEMALE, MALE, UNKNOWN = Sex.FEMALE, Sex.MALE, Sex.UNKNOWN
TEMPERATURE, HUMIDITY, UV = (
    Quantity.TEMPERATURE_C,
    Quantity.HUMIDITY_PCT,
    Quantity.UV_INDEX,
)


@pytest.fixture(scope="module")
def veiled() -> Profile:
    return read_profile(PATH.read_text(encoding="utf-8"), name=PATH.name)


def wanted(
    profile: Profile,
    spot: tuple[Quantity, Zone, Period],
    *,
    stage: str | None = "adult",
    sex: Sex = FEMALE,
) -> ResolvedTarget:
    found = {
        (t.quantity, t.zone, t.period): t
        for t in resolve_targets(
            profile,
            stage=stage,
            sex=sex,
            reproduction=Reproduction.RESTING,
            overrides=(),
            on=ON,
        )
    }
    return found[spot]


def fahrenheit(value: int) -> Decimal:
    """Return °C with the decimal that the profile writes."""
    return celsius(Decimal(value), TemperatureUnit.F).quantize(Decimal("0.1"))


def said_by(target: ResolvedTarget, source: str) -> list[tuple[object, object]]:
    return [(o.low, o.high) for o in target.others if o.provenance.source == source]


BASKING_DAY = (TEMPERATURE, Zone.BASKING, Period.DAY)


# common practice, no source: about 80 °F for a female, about 85 °F for a male, each
# taken as ±2 °F; young animals are from memory.
@pytest.mark.parametrize(
    ("stage", "sex", "low_f", "high_f", "standing"),
    [
        ("adult", FEMALE, 78, 82, PRACTICE),
        ("adult", MALE, 83, 87, PRACTICE),
        ("adult", UNKNOWN, 78, 82, PRACTICE),
        (None, MALE, 78, 82, PRACTICE),  # of unknown age: the cautious figure
        ("subadult", FEMALE, 78, 82, PRACTICE),
        ("subadult", MALE, 83, 87, PRACTICE),
        ("juvenile", MALE, 76, 81, MEMORY),
        ("hatchling", UNKNOWN, 76, 81, MEMORY),
    ],
)
def test_basking_spot(
    veiled: Profile,
    stage: str | None,
    sex: Sex,
    low_f: int,
    high_f: int,
    standing: Standing,
) -> None:
    found = wanted(veiled, BASKING_DAY, stage=stage, sex=sex)

    assert (found.low, found.high) == (fahrenheit(low_f), fahrenheit(high_f))
    assert found.provenance.standing is standing


def test_basking_advice_that_disagrees_is_carried(veiled: Profile) -> None:
    found = wanted(veiled, BASKING_DAY)

    # willems-dvm 85–90 °F, exotic-clinic-sheet 90–95 °F, care-sheets 85–95 °F,
    # magazine-1997 90–105 °F.
    for source, low_f, high_f in (
        ("willems-dvm", 85, 90),
        ("exotic-clinic-sheet", 90, 95),
        ("care-sheets", 85, 95),
        ("magazine-1997", 90, 105),
    ):
        assert said_by(found, source) == [(fahrenheit(low_f), fahrenheit(high_f))]
    # adw-chamaeleo: the species' overall range ends at 95 °F.
    assert found.hard_high == fahrenheit(95)
    assert found.hard_provenance is not None
    assert found.hard_provenance.source == "adw-chamaeleo"


def test_36_c_is_high_by_two_sheets_and_fine_by_the_magazine(veiled: Profile) -> None:
    found = wanted(veiled, BASKING_DAY, sex=MALE)

    high_by = {
        o.provenance.source for o in found.others if o.high and Decimal(36) > o.high
    }
    assert high_by == {"willems-dvm", "exotic-clinic-sheet", "care-sheets"}


def test_rest_and_night(veiled: Profile) -> None:
    # common practice, no source: 70–79 °F by day, 55–65 °F by night.
    day = wanted(veiled, (TEMPERATURE, Zone.AMBIENT, Period.DAY), stage="hatchling")
    night = wanted(veiled, (TEMPERATURE, Zone.AMBIENT, Period.NIGHT), stage=None)

    assert (day.low, day.high) == (fahrenheit(70), fahrenheit(79))
    assert (night.low, night.high) == (fahrenheit(55), fahrenheit(65))
    assert day.provenance.standing is night.provenance.standing is PRACTICE
    # care-sheets: nights of 65–70 °F.
    assert said_by(night, "care-sheets") == [(fahrenheit(65), fahrenheit(70))]
    # exotic-clinic-sheet: a gradient of 70–85 °F; adw-chamaeleo: 75–95 °F overall.
    assert said_by(day, "exotic-clinic-sheet") == [(fahrenheit(70), fahrenheit(85))]
    assert said_by(day, "adw-chamaeleo") == [(fahrenheit(75), fahrenheit(95))]


def test_hard_limits_are_marked_with_their_own_standing(veiled: Profile) -> None:
    night = wanted(veiled, (TEMPERATURE, Zone.AMBIENT, Period.NIGHT))

    assert (night.hard_low, night.hard_high) == (Decimal(10), fahrenheit(85))
    assert night.hard_provenance is not None
    assert night.hard_provenance.standing is MEMORY
    assert night.provenance.standing is PRACTICE


def test_humidity(veiled: Profile) -> None:
    # common practice, no source: about 40 % by day, 70 % or more by night.
    day = wanted(veiled, (HUMIDITY, Zone.AMBIENT, Period.DAY))
    night = wanted(veiled, (HUMIDITY, Zone.AMBIENT, Period.NIGHT))

    assert (day.low, day.high) == (Decimal(30), Decimal(50))
    assert (night.low, night.high) == (Decimal(70), Decimal(100))
    # From memory: 40–60 % by day, 80–100 % by night.
    assert said_by(day, "memory") == [(Decimal(40), Decimal(60))]
    assert said_by(night, "memory") == [(Decimal(80), Decimal(100))]


def test_uv_index_carries_both_figures(veiled: Profile) -> None:
    day = wanted(veiled, (UV, Zone.BASKING, Period.DAY))

    # common practice, no source: about 3.0 at the perch.
    assert day.low is not None
    assert day.high is not None
    assert (day.low + day.high) / 2 == 3
    # baines-2016, zone 3: mean 1.0–2.6, highest 2.9–7.4.
    assert said_by(day, "baines-2016") == [
        (Decimal("1.0"), Decimal("2.6")),
        (Decimal("2.9"), Decimal("7.4")),
    ]
    assert day.hard_high == Decimal("7.4")


def test_no_uv_by_night(veiled: Profile) -> None:
    night = wanted(veiled, (UV, Zone.BASKING, Period.NIGHT))

    assert (night.low, night.high) == (None, 0)


def test_every_animal_has_one_target_for_each_spot(veiled: Profile) -> None:
    spots = {(t.quantity, t.zone, t.period) for t in veiled.targets}
    animals_spots = {s for s in spots if s[1] is not Zone.EGGS}

    for stage in (None, *(s.code for s in veiled.stages)):
        for sex in Sex:
            for state in Reproduction:
                found = resolve_targets(
                    veiled,
                    stage=stage,
                    sex=sex,
                    reproduction=state,
                    overrides=(),
                    on=ON,
                )
                assert {(t.quantity, t.zone, t.period) for t in found} == animals_spots


def test_eggs_lie_between_the_regimes_that_were_studied(veiled: Profile) -> None:
    # andrews-2008: 25, 28 and 30 °C; long-2008: 24.5 to 29 °C.
    day, night = egg_targets(veiled)

    assert (day.period, night.period) == (Period.DAY, Period.NIGHT)
    for found in (day, night):
        assert (found.low, found.high, found.hard_high) == (25, 28, 30)
        assert found.provenance.source == "andrews-2008"
        assert said_by(found, "long-2008") == [(Decimal("24.5"), Decimal(29))]


@pytest.mark.parametrize(
    ("age_days", "stage"),
    [
        (0, "hatchling"),
        (89, "hatchling"),
        (90, "juvenile"),  # andrews-2008: 90 days is just before maturity
        (269, "juvenile"),
        (270, "subadult"),
        (365, "adult"),
    ],
)
def test_stage(veiled: Profile, age_days: int, stage: str) -> None:
    found = stage_on(veiled, hatched_on=ON - timedelta(days=age_days), on=ON)

    assert found is not None
    assert found.code == stage


def test_lights_fit_the_native_day(veiled: Profile) -> None:
    found = light_hours_for(veiled, "adult")

    # Ta'izz has 11.32 to 12.92 h; a fixed 12 h fits, 14 h does not.
    assert found is not None
    assert found.hours_low <= Decimal("11.32")
    assert Decimal("12.92") <= found.hours_high < 14


def test_adult_enclosure_is_24_by_24_by_48_inches(veiled: Profile) -> None:
    found = housing_for(veiled, "adult", MALE)  # common practice, no source

    assert found is not None
    for least, inches in (
        (found.min_width_cm, 24),
        (found.min_depth_cm, 24),
        (found.min_height_cm, 48),
    ):
        exact = centimetres(Decimal(inches), LengthUnit.IN)
        assert exact - Decimal("0.1") < least <= exact
    assert {o.provenance.source for o in found.others} == {
        "willems-dvm",
        "exotic-clinic-sheet",
        "barriervets",
        "barnard-1996",
    }


def test_juvenile_enclosure_is_16_by_16_by_30_inches(veiled: Profile) -> None:
    found = housing_for(veiled, "juvenile", FEMALE)  # willems-dvm

    assert found is not None
    assert found.provenance.source == "willems-dvm"
    assert (found.min_width_cm, found.min_depth_cm, found.min_height_cm) == (
        Decimal("40.6"),
        Decimal("40.6"),
        Decimal("76.2"),
    )
    assert housing_for(veiled, "hatchling", FEMALE) is None


@pytest.mark.parametrize(
    ("stage", "alone", "max_group", "no_sight", "source"),
    [
        # ballen-2014: hatchlings in fours did better than loners.
        ("hatchling", False, 4, False, "ballen-2014"),
        (None, True, 1, True, "common-practice"),
        ("juvenile", True, 1, True, "common-practice"),
        ("adult", True, 1, True, "common-practice"),
    ],
)
def test_company(
    veiled: Profile,
    stage: str | None,
    alone: bool,
    max_group: int,
    no_sight: bool,
    source: str,
) -> None:
    found = company_for(veiled, stage)

    assert found is not None
    assert (found.alone, found.max_group, found.no_sight_of_others) == (
        alone,
        max_group,
        no_sight,
    )
    assert found.provenance.source == source


def test_adult_female_always_has_a_laying_bin(veiled: Profile) -> None:
    assert laying_for(veiled, "adult", FEMALE) is not None
    assert laying_for(veiled, "adult", MALE) is None
    assert laying_for(veiled, "juvenile", FEMALE) is None


@pytest.mark.parametrize(
    ("stage", "every", "portion", "standing"),
    [
        ("hatchling", (1, 1), (10, 15), PRACTICE),
        ("juvenile", (1, 1), (10, 15), PRACTICE),
        ("subadult", (2, 2), (10, 12), PUBLISHED),  # care-site, a weak source
        ("adult", (2, 3), (3, 4), PRACTICE),
    ],
)
def test_feeding(
    veiled: Profile,
    stage: str,
    every: tuple[int, int],
    portion: tuple[int, int],
    standing: Standing,
) -> None:
    found = feeding_for(veiled, stage)

    assert found is not None
    assert (found.every_days_low, found.every_days_high) == every
    assert (found.portion_low, found.portion_high) == portion
    assert found.provenance.standing is standing


def test_feeders(veiled: Profile) -> None:
    # common practice, no source
    by_use = {use: {f.id for f in veiled.feeders if f.use is use} for use in FeederUse}

    assert by_use[FeederUse.STAPLE] == {
        "feeder-roaches",
        "feeder-crickets",
        "feeder-silkworms",
        "feeder-soldier-fly-larvae",
    }
    assert {f.from_days for f in veiled.feeders if f.use is FeederUse.TREAT} == {180}
    assert by_use[FeederUse.NEVER] == {"feeder-dead", "feeder-greens"}


def test_supplements(veiled: Profile) -> None:
    calcium, vitamins = supplements_for(veiled, "adult")

    assert calcium.month_days == ()
    assert len(vitamins.month_days) == 2
    assert vitamins.instead_of == calcium.id
    # common practice, no source: without D3 at every feeding, with it twice a month.
    assert (calcium.contains_d3, calcium.most_a_month) == (False, None)
    assert (vitamins.contains_d3, vitamins.most_a_month) == (True, 2)
    assert {calcium.provenance.standing, vitamins.provenance.standing} == {PRACTICE}


@pytest.mark.parametrize("stage", [None, "hatchling", "juvenile", "subadult", "adult"])
def test_misting(veiled: Profile, stage: str | None) -> None:
    # common practice, no source: 2 to 4 minutes before lights-on and after lights-off.
    before, after = misting_for(veiled, stage)

    assert before.time is MistingTime.BEFORE_LIGHTS_ON
    assert after.time is MistingTime.AFTER_LIGHTS_OFF
    for found in (before, after):
        assert (found.minutes_low, found.minutes_high) == (2, 4)
        assert found.provenance.standing is PRACTICE


def test_insects_are_fed_twelve_hours_before(veiled: Profile) -> None:
    found = veiled.gut_load

    # common practice, no source: the evening before, 12 hours ahead. The hour of
    # feeding is from memory, and said to be.
    assert found is not None
    assert (found.hours_before, found.feed_hours_after_lights_on) == (12, 2)
    assert found.provenance.standing is PRACTICE
    assert "two hours after lights-on" in found.provenance.note
    assert "from memory" in found.provenance.note


def test_uvb_tube_is_measured_and_replaced(veiled: Profile) -> None:
    found = lamp_rule_for(veiled, LampKind.UVB_TUBE)

    # nevarez-lamps: a tube lost half of its UV in six months, though it still shone.
    assert found is not None
    assert (found.replace_after_months, found.replace_after_hours) == (6, None)
    assert found.provenance.source == "nevarez-lamps"
    # common practice, no source: a linear T5 tube of the 5 to 6 % class, UV index 3.
    assert "linear high-output T5 tube of the 5 to 6 % class" in found.text
    assert "UV index of about 3 at the perch" in found.text
    assert "common practice without a source" in found.provenance.note
    # A convention: every four weeks.
    assert found.meter_every_days == 28
    assert "is a convention" in found.provenance.note
    # Nothing was found on when a heat lamp is spent.
    assert lamp_rule_for(veiled, LampKind.HEAT) is None


def test_newcomers_settle_for_two_weeks(veiled: Profile) -> None:
    found = veiled.settling  # common practice, no source: at least two weeks

    assert found is not None
    assert (found.days, found.provenance.standing) == (14, PRACTICE)
    assert "No handling" in found.text


def test_no_growth_reference_is_published_for_the_species(veiled: Profile) -> None:
    assert veiled.growth_references == ()


def test_clutch_mates_are_compared_by_convention(veiled: Profile) -> None:
    found = veiled.growth_policy

    # convention: the same age within 3 days, 5 mates at least, and 3 median absolute
    # deviations, scaled by 1.4826; a z-score of −2.
    assert found is not None
    assert (found.mates_within_days, found.mates_least) == (3, 5)
    assert (found.behind_mads, found.behind_z) == (Decimal("2.5"), -2)
    assert (found.provenance.source, found.provenance.standing) == (
        "convention",
        MEMORY,
    )


def test_doses_are_bounded_by_convention(veiled: Profile) -> None:
    found = veiled.dosing  # convention; a vet's word goes before it

    assert found is not None
    assert (found.weight_max_age_days, found.smallest_step_ml) == (7, Decimal("0.01"))
    assert found.provenance.source == "convention"
    assert "licensed vet" in found.provenance.note


def test_every_staple_suits_a_hatchling(veiled: Profile) -> None:
    # common practice, no source: nothing is told of an age for staples.
    assert [f.name for f in staples_for(veiled, 0)] == [
        "Roaches",
        "Crickets",
        "Silkworms",
        "Black soldier fly larvae",
    ]
    assert staples_for(veiled, 400) == staples_for(veiled, 0)


@pytest.mark.parametrize(
    ("stage", "sex", "band", "standing"),
    [
        ("adult", FEMALE, (85, 118), PUBLISHED),  # encyclopaedic-page, weak
        ("adult", MALE, (85, 170), PUBLISHED),
        ("adult", UNKNOWN, (85, 170), PUBLISHED),
        ("hatchling", UNKNOWN, (Decimal("0.3"), 30), MEMORY),
    ],
)
def test_weight_band(
    veiled: Profile,
    stage: str,
    sex: Sex,
    band: tuple[Decimal, Decimal],
    standing: Standing,
) -> None:
    found = weight_band_for(veiled, stage, sex)

    assert found is not None
    assert (found.low_g, found.high_g) == band
    assert found.provenance.standing is standing


def test_weight_of_growing_animals_has_no_band(veiled: Profile) -> None:
    assert weight_band_for(veiled, "juvenile", FEMALE) is None


def test_weighing_and_policy_are_marked_as_weak(veiled: Profile) -> None:
    grown = weighing_for(veiled, "adult")
    policy = veiled.weight_policy

    # pet-care-blog: every 2 to 4 weeks.
    assert grown is not None
    assert (grown.every_days, grown.overdue_after_days) == (14, 28)
    assert veiled.source(grown.provenance.source).kind is SourceKind.WEAK_WEB_PAGE
    # convention: 5 % to look again, 10 % to see a vet; nothing published.
    assert (policy.loss_watch_pct, policy.loss_now_pct) == (5, 10)
    assert policy.provenance.source == "convention"
    # convention, from memory: a loss within 7 days of a shed is less urgent.
    assert policy.shed_days == 7
    assert "7 days of a shed" in policy.provenance.note


@pytest.mark.parametrize(
    ("matter", "low", "high", "source"),
    [
        (IncubationMatter.HATCH_DAYS, 180, 275, "long-2008"),
        (IncubationMatter.DIAPAUSE_DAYS, 50, 80, "andrews-donoghue-2004"),
        (IncubationMatter.FERTILITY_JUDGED_FROM_DAYS, 80, 90, "andrews-donoghue-2004"),
        (IncubationMatter.CLUTCH_EGGS, 30, 90, "diaz-2015"),
        (IncubationMatter.MATING_TO_LAYING_DAYS, 20, 35, "zoo-profile-2014"),
        (IncubationMatter.LAYING_TO_NEXT_CLUTCH_DAYS, 90, 120, "encyclopaedic-page"),
        (IncubationMatter.LAYING_STOPPED_HOURS, None, 48, "wikivet"),
        (IncubationMatter.HATCHLING_MASS_G, Decimal("0.3"), Decimal("2.5"), "memory"),
    ],
)
def test_eggs(
    veiled: Profile,
    matter: IncubationMatter,
    low: Decimal | None,
    high: Decimal | None,
    source: str,
) -> None:
    found = incubation_for(veiled, matter)

    assert found is not None
    assert (found.low, found.high, found.provenance.source) == (low, high, source)


def test_first_captive_clutch_lies_in_the_hatching_window(veiled: Profile) -> None:
    # stahl-review: laid in September 1990, hatched in March 1991.
    found = incubation_for(veiled, IncubationMatter.HATCH_DAYS)
    laid_on = date(1990, 9, 15)

    assert found is not None
    first, last = (
        laid_on + timedelta(days=int(days or 0)) for days in (found.low, found.high)
    )
    assert first <= date(1991, 3, 31)
    assert last >= date(1991, 3, 1)


@pytest.mark.parametrize(
    ("sign", "urgency"),
    [
        ("sign-gravid-fasting", Urgency.WATCH),  # vca-dystocia: bright, so no alarm
        ("sign-laying-stopped", Urgency.NOW),  # wikivet: treat within 48 h
        ("sign-bone-disease", Urgency.NOW),
        ("sign-collapse", Urgency.NOW),
        ("sign-eyes-closed", Urgency.TODAY),
    ],
)
def test_urgency_of_warning_signs(veiled: Profile, sign: str, urgency: Urgency) -> None:
    assert {s.id: s.urgency for s in veiled.warning_signs}[sign] is urgency


def test_every_warning_sign_ends_at_a_licensed_reptile_vet(veiled: Profile) -> None:
    assert [
        s.id for s in veiled.warning_signs if "licensed reptile vet" not in s.do
    ] == []


def test_cautions_cover_the_known_dangers(veiled: Profile) -> None:
    assert {c.id for c in veiled.cautions} >= {
        "caution-salmonella",
        "caution-heat-electricity",
        "caution-never-release",
        "caution-permits",
        "caution-vitamin-d3",
    }


def test_there_is_a_note_on_every_topic(veiled: Profile) -> None:
    assert {n.topic for n in veiled.notes} | {CareTopic.SUPPLEMENTS} == set(CareTopic)


def every_provenance(value: object) -> list[Provenance]:
    """Return all provenances within a value, however deep."""
    if isinstance(value, Provenance):
        return [value]
    if isinstance(value, tuple):
        return [p for item in value for p in every_provenance(item)]
    names = getattr(type(value), "__dataclass_fields__", ())
    return [p for name in names for p in every_provenance(getattr(value, name))]


def test_standing_fits_the_kind_of_source(veiled: Profile) -> None:
    fits = {
        SourceKind.PRACTICE: {PRACTICE, MEMORY},
        SourceKind.CONVENTION: {MEMORY},
        SourceKind.MEMORY: {MEMORY},
    }

    for found in every_provenance(veiled):
        kind = veiled.source(found.source).kind
        assert found.standing in fits.get(kind, {PUBLISHED}), found


def test_tolerances_and_hard_limits_name_their_own_source(veiled: Profile) -> None:
    for target in veiled.targets:
        assert target.tolerance_provenance is not None
        assert target.tolerance_provenance.source == "convention"
        limited = target.hard_low is not None or target.hard_high is not None
        assert (target.hard_provenance is not None) is limited


def test_shipped_profile_comes_back_from_its_normal_form(veiled: Profile) -> None:
    assert read_profile(write_profile(veiled), name="written") == veiled
