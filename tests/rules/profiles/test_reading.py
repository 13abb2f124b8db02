"""What a profile's text is refused for: where, why, and what would be accepted."""

from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from husbandry.rules.profiles.problems import Problem, ProfileErrors
from husbandry.rules.profiles.reading import read_profile
from husbandry.rules.profiles.values import Disagreement, Provenance, Target
from husbandry.rules.vocabulary import Period, Quantity, Standing, Zone
from tests.rules.profiles.samples import SMALL, line_of

REVIEWED = date(2027, 1, 31)
PRACTICE = Provenance("common-practice", Standing.COMMON_PRACTICE, REVIEWED)
SOURCED = ", source: common-practice, standing: common_practice}"


def problems(text: str) -> tuple[Problem, ...]:
    with pytest.raises(ProfileErrors) as refused:
        read_profile(text, name="small.yaml")
    return refused.value.problems


def test_small_profile_is_read_whole() -> None:
    profile = read_profile(SMALL, name="small.yaml")

    assert profile.targets[0] == Target(
        id="basking",
        quantity=Quantity.TEMPERATURE_C,
        zone=Zone.BASKING,
        period=Period.DAY,
        stages=(),
        sex=None,
        reproduction=None,
        low=Decimal(30),
        high=Decimal("32.5"),
        hard_low=Decimal(5),
        hard_high=Decimal(40),
        tolerated_minutes=60,
        provenance=PRACTICE,
        others=(
            Disagreement(
                Decimal(28),
                None,
                Provenance("invented-2020", Standing.PUBLISHED, date(2026, 12, 1)),
            ),
        ),
        hard_provenance=Provenance("invented-2020", Standing.PUBLISHED, REVIEWED),
        tolerance_provenance=None,
    )
    assert profile.supplements[1].month_days == (1, 15)
    assert profile.source("invented-2020").year == 2020


def test_source_that_is_not_there_is_a_key_error() -> None:
    with pytest.raises(KeyError):
        read_profile(SMALL, name="small.yaml").source("nobody")


def test_byte_order_mark_and_foreign_line_ends_are_passed_over() -> None:
    text = "\ufeff" + SMALL.replace("\n", "\r\n")

    assert read_profile(text, name="a") == read_profile(SMALL, name="b")


# What is changed, into what; path and sentence of the one problem that follows. The
# line is that of the changed part.
DAMAGES = [
    # numbers
    ("high: 32.5", "high: '32.5'", "targets[0].high", "text; write a number without"),
    ("high: 32.5", "high: 32,5", "targets[0].high", "'32,5' is no number; write it as 26.7"),
    ("high: 32.5", "high: 32.5001", "targets[0].high", "is no number"),
    ("high: 32.5", "high: 3.25e1", "targets[0].high", "is no number"),
    ("high: 32.5", "high: 0x20", "targets[0].high", "is no number"),
    ("high: 32.5", "high: .inf", "targets[0].high", "is no number"),
    ("high: 32.5", "high: 1:30", "targets[0].high", "is no number"),
    ("high: 32.5", "high: yes", "targets[0].high", "is no number"),
    ("high: 32.5", "high:", "targets[0].high", "'' is no number"),
    ("high: 32.5", "high: [32.5]", "targets[0].high", "Here stand a list; write a number"),
    ("high: 32.5", "high: {a: 1}", "targets[0].high", "Here stand key: value pairs"),
    ("high: 32.5", "high: 90", "targets[0].high", "90 cannot be meant; give -10 to 60 °C"),
    ("year: 2020", "year: 20.5", "sources[1].year", "'20.5' is no whole number"),
    ("year: 2020", "year: -5", "sources[1].year", "no whole number"),
    ("year: 2020", "year: 1066", "sources[1].year", "1066 cannot be meant"),
    ("hours_high: 13", "hours_high: 25", "light_hours[0].hours_high", "give 0 to 24 hours"),
    # words, texts, days, names
    ("period: day", "period: noon", "targets[0].period", "'noon' is not known here. Accepted: day, night"),
    ("zone: basking", "zone: baking", "targets[0].zone", "; 'basking' is perhaps meant"),
    ("kind: paper", "kind: [paper]", "sources[1].kind", "Here stand a list; write a word"),
    ("where: nowhere", "where: 2020", "sources[1].where", "'2020' is not read as text; put it in quotes"),
    ("where: nowhere", "where: on", "sources[1].where", "put it in quotes"),
    ("where: nowhere", "where:", "sources[1].where", "The value is missing"),
    ("where: nowhere", "where: '  '", "sources[1].where", "The text is empty"),
    ("where: nowhere", f"where: {'x' * 1501}", "sources[1].where", "has 1501 characters; keep it to 1500"),
    ("2026-12-01", "2026-13-01", "targets[0].others[0].reviewed_on", "'2026-13-01' is no day; write year"),
    ("2026-12-01", "1.12.2026", "targets[0].others[0].reviewed_on", "is no day"),
    ("reviewed_on: 2027-01-31", "reviewed_on: soon", "reviewed_on", "'soon' is no day"),
    ("alone: false", "alone: no", "company[0].alone", "'no' is neither true nor false"),
    ("alone: false", "alone: 'false'", "company[0].alone", "neither true nor false"),
    ("species: glass_lizard", "species: Glass Lizard", "species", "such as veiled_chameleon"),
    ("id: basking-adult", "id: Basking_adult", "targets[1].id", "is no name"),
    ("id: basking-adult", f"id: {'a' * 61}", "targets[1].id", "at most 60 characters"),
    # keys
    ("high: 32.5", "hihg: 32.5", "targets[0].hihg", "'hihg' is not known here; 'high' is perhaps meant"),
    ("high: 32.5", "high: 32.5\n    high: 33", "targets[0].high", "The key 'high' stands on line 24 too"),
    ("high: 32.5", "high: 32.5\n    [a]: 1", "targets[0]", "A key must be a plain word"),
    ("species: glass_lizard", "species: glass_lizard\n<<: {a: 1}", "<<", "'<<' is not known here"),
    ("name: Crickets, ", "name: Crickets, and others, ", "feeders[0].and others", "put that text in quotes"),
    # order and limits
    ("low: 30\n", "low: 33\n", "targets[0].low", "'low' is 33, more than 'high', 32.5"),
    ("hours_low: 11.5", "hours_low: 13.5", "light_hours[0].hours_low", "more than 'hours_high'"),
    ("every_days_low: 2", "every_days_low: 4", "feeding[0].every_days_low", "more than"),
    ("portion_low: 4", "portion_low: 7", "feeding[0].portion_low", "more than"),
    ("low_g: 0.5", "low_g: 81", "weight_bands[0].low_g", "more than 'high_g', 80"),
    ("every_days: 7", "every_days: 15", "weighing[0].every_days", "more than 'overdue_after_days'"),
    ("loss_watch_pct: 5", "loss_watch_pct: 11", "weight_policy.loss_watch_pct", "more than"),
    ("low: 50, high: 70", "low: 71, high: 70", "incubation[0].low", "more than 'high', 70"),
    ("{low: 28, s", "{low: 28, high: 27, s", "targets[0].others[0].low", "more than 'high', 27"),
    ("hard: {low: 5,", "hard: {low: 31,", "targets[0].hard", "The hard low, 31, lies inside the band; give 30 or below"),
    ("high: 40,", "high: 32,", "targets[0].hard", "The hard high, 32, lies inside the band; give 32.5 or above"),
    ("tolerated: {minutes: 30}", "tolerated: 30", "targets[2].tolerated", "Here must stand key: value pairs"),
    ("tolerated: {minutes: 30}", "tolerated: {minutes: 1441}", "targets[2].tolerated.minutes", "give 0 to 1440 minutes"),
    ("hard: {low: 5, high: 40,", "hard: {low: 41, high: 40,", "targets[0].hard.low", "more than 'high', 40"),
    # stages
    ("to_days: 100", "to_days: 0", "stages[0].to_days", "must lie after 'from_days', 0"),
    ("stages: [adult]", "stages: [adlut]", "targets[1].stages", "'adlut' is no stage of this profile; 'adult' is perhaps meant. Accepted: adult, young"),
    ("stages: [adult]", "stages: []", "targets[1].stages", "No stage is named"),
    ("stages: [adult]", "stages: adult", "targets[1].stages", "is no list"),
    ("stages: [adult]", "stages: [adult, adult]", "targets[1].stages", "A value stands twice"),
    ("stages: [adult]", "stages: [Adult]", "targets[1].stages[0]", "'Adult' is no name"),
    ("stall_stages: [young]", "stall_stages: [old]", "weight_policy.stall_stages", "'old' is no stage"),
    # sources
    ("{low: 28, source: invented-2020", "{low: 28, source: invented-2021", "targets[0].others[0].source", "'invented-2021' is not among the sources; 'invented-2020' is perhaps meant"),
    # rows of their own kind
    ("max_group: 2", "max_group: 1", "company[0].max_group", "a group has 2 or more"),
    ("month_days: [1, 15]", "month_days: [15, 1]", "supplements[1].month_days", "out of order"),
    ("month_days: [1, 15]", "month_days: [1, 31]", "supplements[1].month_days[1]", "31 cannot be meant; give 1 to 28"),
    ("instead_of: calcium", "instead_of: calcum", "supplements[1].instead_of", "'calcum' is no other supplement of this profile; 'calcium' is perhaps meant"),
    ("instead_of: calcium", "instead_of: vitamins", "supplements[1].instead_of", "no other supplement"),
    ("id: basking-adult", "id: basking", "targets[1].id", "The id 'basking' stands on line 19 too"),
    ("id: note,", "id: check,", "notes[0].id", "The id 'check' stands on line"),
]  # fmt: skip


@pytest.mark.parametrize(("part", "damage", "path", "sentence"), DAMAGES)
def test_damage_is_named_with_its_place(
    part: str, damage: str, path: str, sentence: str
) -> None:
    (found,) = problems(SMALL.replace(part, damage, 1))

    assert found.path == path
    assert sentence in found.sentence
    last_line = line_of(part) + damage.count("\n")
    assert found.line in {line_of(part), last_line}


# Lines that are taken out; the problem stands where the mapping begins.
MISSING = [
    ("common_name: Glass lizard\n", 1, "", "The key 'common_name' is missing; add it."),
    ("    tolerated: {minutes: 30}\n", 40, "targets[2]", "tolerated: {minutes: 60}"),
    ("    high: 33\n", 40, "targets[2]", "No band is given; give low, high or both."),
    ("    month_days: [1, 15]\n", 63, "supplements[1].month_days", "give both, such as month_days: [1, 15]"),
    ("    kind: paper\n", 10, "sources[1]", "The key 'kind' is missing"),
    (SMALL[SMALL.index("notes:"):], 1, "", "The key 'notes' is missing; write 'notes: []' for none."),
    (", standing: common_practice}\nhousing", 50, "light_hours[0]", "The key 'standing' is missing"),
]  # fmt: skip


@pytest.mark.parametrize(("part", "line", "path", "sentence"), MISSING)
def test_what_is_missing_is_named(
    part: str, line: int, path: str, sentence: str
) -> None:
    kept = "}\nhousing" if part.endswith("housing") else ""

    (found,) = problems(SMALL.replace(part, kept, 1))

    assert (found.line, found.path) == (line, path)
    assert sentence in found.sentence


def test_review_day_is_asked_of_each_row_without_one_for_the_file() -> None:
    text = SMALL.replace("reviewed_on: 2027-01-31\n", "", 1)

    found = problems(text)

    assert all("'reviewed_on' is missing" in p.sentence for p in found)
    # Every provenance but the one that has its own: rows, hard limits, tolerances.
    assert len(found) == SMALL.count("standing: ") - 1


def test_source_that_no_row_uses_is_refused() -> None:
    text = SMALL.replace("source: invented-2020", "source: common-practice")

    assert problems(text) == (
        Problem(
            10, 10, "sources[1].key",
            "No row names the source 'invented-2020'; use it or remove it.",
        ),
    )  # fmt: skip


def test_source_that_stands_twice_is_refused() -> None:
    text = SMALL.replace("key: invented-2020", "key: common-practice")

    first = problems(text)[0]

    assert (first.line, first.path) == (10, "sources[1].key")
    assert "'common-practice' stands on line 6 too" in first.sentence


STAGES = SMALL[SMALL.index("  - {code: young") : SMALL.index("targets:")]


@pytest.mark.parametrize(
    ("bands", "path", "sentence"),
    [
        ([("young", 0, 100), ("adult", 120, None)], "stages[1].from_days", "Day 120 leaves a gap: the stages must follow on one another; give 100."),
        ([("young", 0, 100), ("adult", 90, None)], "stages[1].from_days", "Day 90 overlaps"),
        ([("young", 1, 100), ("adult", 100, None)], "stages[0].from_days", "Day 1 leaves a gap"),
        ([("young", 0, 100), ("adult", 100, 900)], "stages[1].to_days", "The last stage has no end"),
        ([("young", 0, None), ("adult", 100, None)], "stages[1].from_days", "The stage before this one has no end"),
        ([("adult", 0, 9), ("young", 9, 100), ("adult", 100, None)], "stages[2].code", "'adult' stands twice"),
    ],
)  # fmt: skip
def test_stages_that_do_not_follow_on_one_another_are_refused(
    bands: list[tuple[str, int, int | None]], path: str, sentence: str
) -> None:
    rows = "".join(
        f"  - {{code: {code}, name: A, from_days: {start}"
        + (f", to_days: {end}" if end is not None else "")
        + SOURCED
        + "\n"
        for code, start, end in bands
    )

    found = problems(SMALL.replace(STAGES, rows))

    assert [(p.path, sentence in p.sentence) for p in found] == [(path, True)]


def test_profile_without_stages_is_refused() -> None:
    text = SMALL.replace("stages:\n" + STAGES, "stages: []\n")

    assert any("There is no stage" in p.sentence for p in problems(text))


def test_all_problems_are_told_at_once_in_the_order_of_lines() -> None:
    text = SMALL
    for part, damage, _, _ in (DAMAGES[0], DAMAGES[19], DAMAGES[26], DAMAGES[31]):
        text = text.replace(part, damage, 1)

    found = problems(text)

    assert [p.path for p in found] == [
        "reviewed_on",
        "sources[1].where",
        "targets[0].high",
        "targets[1].id",
    ]
    with pytest.raises(ProfileErrors) as refused:
        read_profile(text, name="small.yaml")
    said = refused.value.sentence.splitlines()
    assert said[0] == "small.yaml has 4 problems:"
    assert said[3].startswith("small.yaml, line 24, column 11, targets[0].high: '32.5'")


def test_hard_limits_that_say_nothing_are_refused() -> None:
    text = SMALL.replace("hard: {low: 5, high: 40,", "hard: {", 1)

    assert "No hard limit is given" in problems(text)[0].sentence


def test_other_source_that_says_nothing_is_refused() -> None:
    text = SMALL.replace("{low: 28, source", "{source", 1)

    assert "It says nothing" in problems(text)[0].sentence


def test_other_source_may_say_it_in_words() -> None:
    text = SMALL.replace("{low: 28, source", "{source_note: Warmer., source", 1)

    others = read_profile(text, name="small.yaml").targets[0].others

    assert [(o.low, o.high, o.provenance.note) for o in others] == [
        (None, None, "Warmer.")
    ]


def test_figure_about_eggs_without_numbers_is_refused() -> None:
    text = SMALL.replace("low: 50, high: 70, ", "", 1)

    assert [p.sentence for p in problems(text)] == [
        "No figure is given; give low, high or both."
    ]


def test_matter_answered_twice_is_refused() -> None:
    row = SMALL[SMALL.index("  - {id: hatch") : SMALL.index("cautions:")]
    text = SMALL.replace(row, row + row.replace("id: hatch", "id: hatch-again"))

    (found,) = problems(text)

    assert found.path == "incubation[1].matter"
    assert f"'hatch_days' stands on line {line_of('id: hatch')} too" in found.sentence


def test_eggs_have_no_sex() -> None:
    text = SMALL.replace("zone: basking", "zone: eggs", 1).replace(
        "period: day\n", "period: day\n    sex: male\n", 1
    )

    assert [p.path for p in problems(text)] == ["targets[0].zone"]


@pytest.mark.parametrize("section", ["targets: 5\n", "targets: {a: 1}\n"])
def test_section_that_is_no_list_is_refused(section: str) -> None:
    rows = SMALL[SMALL.index("targets:") : SMALL.index("light_hours:")]

    sentences = [p.sentence for p in problems(SMALL.replace(rows, section))]

    assert "'targets' is no list; write its items behind dashes." in sentences


def test_item_that_is_no_mapping_is_refused() -> None:
    text = SMALL.replace("cautions:\n", "cautions:\n  - It bites.\n")

    (found,) = problems(text)

    assert (found.path, found.sentence) == (
        "cautions[0]",
        "Here must stand key: value pairs.",
    )


@pytest.mark.parametrize("policy", ["", "weight_policy: strict\n"])
def test_profile_needs_a_weight_policy(policy: str) -> None:
    rows = SMALL[SMALL.index("weight_policy:") : SMALL.index("warning_signs:")]

    paths = {p.path for p in problems(SMALL.replace(rows, policy))}

    assert paths == ({"weight_policy"} if policy else {""})


# Two rows that could both be the most specific for some animal.
@pytest.mark.parametrize(
    ("change", "tied"),
    [
        ({"stages: [adult]\n": "sex: male\n"}, False),  # nothing named by both
        ({"reproduction: gravid\n": "stages: [young, adult]\n"}, True),
        ({"reproduction: gravid\n": "stages: [young]\n"}, False),
        ({"    stages: [adult]\n": ""}, True),
    ],
)
def test_ties_are_refused_with_both_lines(change: dict[str, str], tied: bool) -> None:
    text = SMALL
    for part, into in change.items():
        text = text.replace(part, into)

    if not tied:
        assert read_profile(text, name="small.yaml")
        return
    (found,) = [p for p in problems(text) if "equally specific" in p.sentence]
    assert found.path.endswith(".id")
    later, first = found.sentence.split("'")[1], found.sentence.split("'")[3]
    assert found.line == line_of(f"id: {later}\n", text)
    assert f"on line {line_of(f'id: {first}', text)} hold" in found.sentence


def test_ties_are_refused_in_every_section_where_one_row_wins() -> None:
    text = SMALL
    for section in (
        "light_hours",
        "housing",
        "company",
        "laying",
        "feeding",
        "weight_bands",
        "weighing",
    ):
        start = text.index(f"\n{section}:\n") + len(f"\n{section}:\n")
        row = text[start : text.index("\n", start) + 1]
        text = (
            text[:start]
            + row
            + row.replace("{id: ", "{id: second-")
            + text[start + len(row) :]
        )

    found = problems(text)

    assert {p.path.split("[")[0] for p in found} == {
        "light_hours", "housing", "company", "laying", "feeding", "weight_bands", "weighing",
    }  # fmt: skip
    assert all("equally specific" in p.sentence for p in found)


@settings(deadline=None)
@given(st.data())
def test_no_damage_escapes_as_anything_but_problems(data: st.DataObject) -> None:
    start = data.draw(st.integers(0, len(SMALL) - 1))
    length = data.draw(st.integers(0, 40))
    noise = data.draw(st.text(max_size=8))

    text = SMALL[:start] + noise + SMALL[start + length :]

    try:
        read_profile(text, name="noise")
    except ProfileErrors as refused:
        places = [(p.line, p.column) for p in refused.problems]
    else:
        places = [(1, 1)]
    assert places
    assert min(min(place) for place in places) >= 1
