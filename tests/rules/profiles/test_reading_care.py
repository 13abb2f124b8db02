"""What a profile's text says of daily care, growth and doses, and what is refused."""

from datetime import date
from decimal import Decimal

import pytest

from husbandry.rules.profiles.problems import Problem, ProfileErrors
from husbandry.rules.profiles.reading import read_profile
from husbandry.rules.profiles.values import (
    DosingPolicy,
    GrowthPolicy,
    GrowthReference,
    GutLoadRule,
    LampRule,
    LmsPoint,
    MistingRule,
    Profile,
    Provenance,
    SettlingRule,
)
from husbandry.rules.vocabulary import LampKind, MistingTime, Sex, Standing
from tests.rules.profiles.care_samples import CARE, CARED
from tests.rules.profiles.samples import SMALL, line_of

REVIEWED = date(2027, 1, 31)
PRACTICE = Provenance("common-practice", Standing.COMMON_PRACTICE, REVIEWED)
MEMORY = Provenance("common-practice", Standing.FROM_MEMORY, REVIEWED)
INVENTED = Provenance("invented-2020", Standing.PUBLISHED, REVIEWED)


def read(text: str) -> Profile:
    return read_profile(text, name="small.yaml")


def problems(text: str) -> tuple[Problem, ...]:
    with pytest.raises(ProfileErrors) as refused:
        read(text)
    return refused.value.problems


def test_every_section_is_read_whole() -> None:
    profile = read(CARED)

    dawn, dusk = MistingTime.BEFORE_LIGHTS_ON, MistingTime.AFTER_LIGHTS_OFF
    assert profile.misting == (
        MistingRule("mist-dawn", (), dawn, 2, 4, "Quietly.", PRACTICE),
        MistingRule("mist-dawn-young", ("young",), dawn, 1, 1, "", PRACTICE),
        MistingRule("mist-dusk", (), dusk, 3, 5, "", PRACTICE),
    )
    assert profile.gut_load == GutLoadRule("gut-load", 12, 2, "Greens.", PRACTICE)
    assert profile.lamps == (
        LampRule("tube", LampKind.UVB_TUBE, 28, 4000, 6, "", PRACTICE),
        LampRule("warmth", LampKind.HEAT, 7, None, 12, "", PRACTICE),
    )
    assert profile.settling == SettlingRule("settling", 14, "In peace.", PRACTICE)
    assert profile.growth_references[0] == GrowthReference(
        "growth",
        None,
        (
            LmsPoint(0, Decimal("0.3487"), Decimal("1.1"), Decimal("0.14602")),
            LmsPoint(30, Decimal(0), Decimal("3.25"), Decimal("0.13")),
        ),
        INVENTED,
    )
    assert profile.growth_references[1].sex is Sex.MALE
    assert profile.growth_policy == GrowthPolicy(3, 5, Decimal(3), Decimal(-2), MEMORY)
    assert profile.dosing == DosingPolicy(7, Decimal("0.01"), MEMORY)


def test_supplement_and_weight_policy_are_read_whole() -> None:
    profile = read(CARED)

    found = [(s.contains_d3, s.most_a_month) for s in profile.supplements]
    assert found == [(False, None), (True, 3)]
    assert profile.weight_policy.shed_days == 7


def test_a_text_from_before_there_was_any_of_it_still_reads() -> None:
    profile = read(SMALL)

    assert (profile.misting, profile.lamps, profile.growth_references) == ((), (), ())
    assert profile.gut_load is profile.settling is None
    assert profile.growth_policy is profile.dosing is None
    assert profile.weight_policy.shed_days == 0
    assert [s.contains_d3 for s in profile.supplements] == [False, False]


# What is changed, into what; path and sentence of the one problem that follows. The
# line is that of the changed part, or of its mapping's beginning.
DAMAGES = [
    # misting
    ("minutes_low: 2", "minutes_low: 5", "misting[0].minutes_low", "'minutes_low' is 5, more than 'minutes_high', 4"),
    ("minutes_low: 2", "minutes_low: 0", "misting[0].minutes_low", "0 cannot be meant; give 1 to 240 minutes"),
    ("minutes_high: 4", "minutes_high: 241", "misting[0].minutes_high", "give 1 to 240 minutes"),
    ("minutes_high: 4", "minutes_high: 4.5", "misting[0].minutes_high", "'4.5' is no whole number"),
    ("time: after_lights_off", "time: at_noon", "misting[2].time", "'at_noon' is not known here. Accepted: before_lights_on, after_lights_off"),
    ("id: mist-dusk, time: after_lights_off", "id: mist-dusk, time: before_lights_on", "misting[2].id", "'mist-dusk' and 'mist-dawn' on line"),
    ("stages: [young], time", "stages: [yuong], time", "misting[1].stages", "'yuong' is no stage of this profile; 'young' is perhaps meant"),
    ("text: Quietly.", "txet: Quietly.", "misting[0].txet", "'text' is perhaps meant"),
    # gut-load
    ("hours_before: 12", "hours_before: 0", "gut_load.hours_before", "give 1 to 72 hours"),
    ("hours_before: 12", "hours_before: 73", "gut_load.hours_before", "give 1 to 72 hours"),
    ("hours_before: 12, ", "", "gut_load", "The key 'hours_before' is missing"),
    ("lights_on: 2", "lights_on: 13", "gut_load.feed_hours_after_lights_on", "give 0 to 12 hours"),
    ("text: Greens.", "text: ''", "gut_load.text", "The text is empty"),
    ("id: gut-load", "id: tube", "gut_load.id", "The id 'tube' stands on line"),
    # lamps
    ("kind: heat", "kind: uvb_tube", "lamps[1].kind", "'uvb_tube' stands on line"),
    ("kind: heat", "kind: hot", "lamps[1].kind", "Accepted: uvb_tube, heat"),
    ("meter_every_days: 28", "meter_every_days: 0", "lamps[0].meter_every_days", "give 1 to 3650 days"),
    ("replace_after_hours: 4000", "replace_after_hours: 0", "lamps[0].replace_after_hours", "give 1 to 100000 hours burnt"),
    ("replace_after_months: 6", "replace_after_months: 121", "lamps[0].replace_after_months", "give 1 to 120 months"),
    (", replace_after_months: 12", "", "lamps[1]", "It is not said when the lamp is spent; give replace_after_hours, replace_after_months or both."),
    # settling
    ("days: 14, text", "days: 0, text", "settling.days", "give 1 to 365 days"),
    ("days: 14, text", "days: 366, text", "settling.days", "give 1 to 365 days"),
    # references
    ("sex: male\n    source", "sex: mael\n    source", "growth_references[1].sex", "'male' is perhaps meant. Accepted: female, male, unknown"),
    ("    sex: male\n    source", "    source", "growth_references[1].sex", "A reference of both sexes stands on line"),
    ("age_days: 31", "age_days: 0", "growth_references[1].points[1].age_days", "Day 0 does not follow on day 0; give each age once, the younger first"),
    ("median_g: 1.1,", "median_g: 0,", "growth_references[0].points[0].median_g", "0 cannot be meant; give 0.001 to 100000 g"),
    ("median_g: 1.1,", "median_g: -1.1,", "growth_references[0].points[0].median_g", "give 0.001 to 100000 g"),
    ("variation: 0.13}", "variation: 0}", "growth_references[0].points[1].variation", "give 0.001 to 2 (Cole's S)"),
    ("variation: 0.13}", "variation: 2.1}", "growth_references[0].points[1].variation", "give 0.001 to 2"),
    ("power: 0,", "power: 21,", "growth_references[0].points[1].power", "give -20 to 20 (Cole's L)"),
    ("power: 0,", "power: 0.1234567891,", "growth_references[0].points[1].power", "no number of at most 9 decimals; round it"),
    ("power: 0,", "power: 0, lambda: 0,", "growth_references[0].points[1].lambda", "'lambda' is not known here. Accepted: age_days, median_g, power, variation"),
    ("      - {age_days: 31, power: -0.5, median_g: 4, variation: 0.12}\n", "", "growth_references[1].points", "There is 1 point; give at least 2"),
    ("      - {age_days: 31, power: -0.5, median_g: 4, variation: 0.12}\n", "      - 31\n", "growth_references[1].points[1]", "Here must stand key: value pairs"),
    # policies
    ("mates_within_days: 3", "mates_within_days: 61", "growth_policy.mates_within_days", "give 0 to 60 days"),
    ("mates_least: 5", "mates_least: 2", "growth_policy.mates_least", "give 3 to 1000 clutch-mates"),
    ("behind_mads: 3", "behind_mads: 0.4", "growth_policy.behind_mads", "give 0.5 to 20 scaled median deviations"),
    ("behind_z: -2", "behind_z: 2", "growth_policy.behind_z", "2 cannot be meant; give -10 to -0.1 (a z-score)"),
    ("behind_z: -2", "behind_z: 0", "growth_policy.behind_z", "give -10 to -0.1"),
    ("weight_max_age_days: 7", "weight_max_age_days: 0", "dosing.weight_max_age_days", "give 1 to 365 days"),
    ("smallest_step_ml: 0.01", "smallest_step_ml: 0.0001", "dosing.smallest_step_ml", "0.0001 is no number of at most 3 decimals; round it"),
    ("smallest_step_ml: 0.01", "smallest_step_ml: 0", "dosing.smallest_step_ml", "give 0.001 to 10 ml"),
    ("smallest_step_ml: 0.01", "smallest_step_ml: '0.01'", "dosing.smallest_step_ml", "'0.01' is text; write a number without quotes"),
    ("shed_days: 7", "shed_days: 61", "weight_policy.shed_days", "give 0 to 60 days"),
    ("shed_days: 7", "shed_days: -1", "weight_policy.shed_days", "'-1' is no whole number"),
    # supplements
    ("contains_d3: true", "contains_d3: yes", "supplements[1].contains_d3", "'yes' is neither true nor false; write one of them"),
    ("most_a_month: 3", "most_a_month: 1", "supplements[1].most_a_month", "At most 1 a month, and 2 days of the month are named; give 2 or more, or name fewer 'month_days'"),
    ("most_a_month: 3", "most_a_month: 0", "supplements[1].most_a_month", "give 1 to 31 days of a month"),
    ("most_a_month: 3", "most_a_month: 32", "supplements[1].most_a_month", "give 1 to 31 days of a month"),
]  # fmt: skip


@pytest.mark.parametrize(("part", "damage", "path", "sentence"), DAMAGES)
def test_damage_is_named_with_its_place(
    part: str, damage: str, path: str, sentence: str
) -> None:
    (found,) = problems(CARED.replace(part, damage, 1))

    assert found.path == path
    assert sentence in found.sentence
    # What is missing, or too little, is told where the mapping begins.
    assert line_of(part, CARED) - 6 <= found.line <= line_of(part, CARED) + 1


@pytest.mark.parametrize(
    "changes",
    [
        [("minutes_low: 2, minutes_high: 4", "minutes_low: 1, minutes_high: 1")],
        [("minutes_low: 2, minutes_high: 4", "minutes_low: 240, minutes_high: 240")],
        [("hours_before: 12", "hours_before: 1"), ("lights_on: 2", "lights_on: 0")],
        [("hours_before: 12", "hours_before: 72"), ("lights_on: 2", "lights_on: 12")],
        [(", replace_after_months: 6", "")],
        [("replace_after_hours: 4000, ", "")],
        [("days: 14, text", "days: 1, text")],
        [("days: 14, text", "days: 365, text")],
        [("age_days: 31", "age_days: 1")],
        [("power: 0,", "power: -20,"), ("median_g: 1.1,", "median_g: 0.001,")],
        [("variation: 0.13}", "variation: 2}"), ("power: 0,", "power: 0.123456789,")],
        [("mates_within_days: 3", "mates_within_days: 0")],
        [("mates_least: 5", "mates_least: 3"), ("behind_z: -2", "behind_z: -0.1")],
        [("behind_mads: 3", "behind_mads: 0.5"), ("behind_z: -2", "behind_z: -10")],
        [("smallest_step_ml: 0.01", "smallest_step_ml: 0.001")],
        [("weight_max_age_days: 7", "weight_max_age_days: 1")],
        [("shed_days: 7", "shed_days: 0")],
        [("shed_days: 7", "shed_days: 60")],
        [("most_a_month: 3", "most_a_month: 2")],  # as many as the days named
        [("most_a_month: 3", "most_a_month: 31")],
        [("contains_d3: true", "contains_d3: false")],
    ],
)  # fmt: skip
def test_what_lies_at_a_limit_is_taken(changes: list[tuple[str, str]]) -> None:
    text = CARED
    for part, other in changes:
        assert part in text
        text = text.replace(part, other, 1)

    assert read(text).species == "glass_lizard"


def test_two_references_of_one_sex_are_refused() -> None:
    row = CARED[CARED.index("  - id: growth-male") : CARED.index("growth_policy:")]
    again = row.replace("growth-male", "growth-male-again")

    (found,) = problems(CARED.replace(row, row + again))

    assert (found.path, found.line) == (
        "growth_references[2].sex",
        line_of("id: growth-male", CARED) + row.count("\n") + 1,
    )
    line = line_of("id: growth-male", CARED)
    assert f"A reference of sex 'male' stands on line {line} too" in found.sentence


def test_ages_that_run_backwards_are_each_told() -> None:
    points = CARED[CARED.index("      - {age_days: 0,") :].splitlines()[:2]
    text = CARED.replace(
        "\n".join(points), "\n".join([points[1], points[0], points[0]]), 1
    )

    assert [p.sentence for p in problems(text)] == [
        f"Day 0 does not follow on day {day}; give each age once, the younger first."
        for day in (30, 0)
    ]


def test_a_reference_without_points_is_refused() -> None:
    start = CARED.index("    points:\n", CARED.index("growth-male"))
    end = CARED.index("growth_policy:")

    (found,) = problems(CARED[:start] + CARED[end:])
    (empty,) = problems(CARED[:start] + "    points: []\n" + CARED[end:])

    assert found.sentence == (
        "The key 'points' is missing; write 'points: []' for none."
    )
    assert empty.sentence.startswith("There are 0 points; give at least 2")


@pytest.mark.parametrize(
    ("section", "sentence"),
    [
        ("gut_load: 12\n", "Here must stand key: value pairs."),
        ("settling: [14]\n", "Here must stand key: value pairs."),
        ("dosing:\n", "Here must stand key: value pairs."),
        ("misting: often\n", "'misting' is no list; write its items behind dashes."),
        ("lamps: {kind: heat}\n", "'lamps' is no list"),
        ("growth_references:\n", "'growth_references' is no list"),
        ("lamp: []\n", "The key 'lamp' is not known here; 'lamps' is perhaps meant."),
    ],
)
def test_a_section_of_the_wrong_shape_is_refused(section: str, sentence: str) -> None:
    (found,) = problems(SMALL + section)

    assert sentence in found.sentence
    assert found.line == SMALL.count("\n") + 1


def test_an_empty_list_says_nothing() -> None:
    text = SMALL + "misting: []\nlamps: []\ngrowth_references: []\n"

    assert read(text) == read(SMALL)


def test_every_source_of_the_new_sections_must_be_known() -> None:
    text = SMALL + CARE.replace("source: common-practice", "source: nobody")

    found = problems(text)

    assert len(found) == CARE.count("source: common-practice")
    assert all("'nobody' is not among the sources" in p.sentence for p in found)
