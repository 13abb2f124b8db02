"""What a pedigree file would change, line by line."""

from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from clutches.rules.pedigrees.errors import PedigreeUndecidedError
from clutches.rules.pedigrees.records import FilledIn, LineOutcome, NewAncestor
from clutches.rules.pedigrees.reports import report_of
from husbandry.rules.vocabulary import Confidence, DatePrecision, Sex
from tests.rules.clutches.pedigrees.files_made import (
    HEADER,
    carried_out,
    known,
    lines,
    new,
    parents,
    plan,
    records,
    said,
    shuffled,
)

REGISTERED, FILLED_IN = LineOutcome.REGISTERED, LineOutcome.FILLED_IN
KNOWN, REFUSED = LineOutcome.KNOWN, LineOutcome.REFUSED
# Mrode, Linear Models for the Prediction of Animal Breeding Values, table 2.1.
MRODE = ("3,2,1", "4,unk,1", "5,3,4", "6,2,5", "1,0,0", "2,?,--")
MRODE_PARENTS = {
    "1": (None, None),
    "2": (None, None),
    "3": ("2", "1"),
    "4": (None, "1"),
    "5": ("3", "4"),
    "6": ("2", "5"),
}


def outcomes(text: str, **given_: object) -> dict[int, LineOutcome]:
    return {line.line: line.outcome for line in plan(text, **given_).lines}  # type: ignore[arg-type] # of plan


def test_mrodes_table_has_the_parents_of_the_book() -> None:
    found = plan(lines(*MRODE, header="id,dam,sire"))

    assert parents(found) == MRODE_PARENTS
    assert {code: animal.sex for code, animal in new(found).items()} == {
        "1": Sex.MALE,
        "2": Sex.FEMALE,
        "3": Sex.FEMALE,
        "4": Sex.MALE,
        "5": Sex.MALE,
        "6": Sex.UNKNOWN,
    }
    assert [sorted(a.code for a in g) for g in found.generations] == [
        ["1", "2"],
        ["3", "4"],
        ["5"],
        ["6"],
    ]


def test_who_is_only_named_is_registered_with_the_sex_of_the_part() -> None:
    found = plan(lines("V-1,V-2,V-3,f,2024-05-31"))

    assert new(found) == {
        "V-1": NewAncestor(
            line=2,
            code="V-1",
            name="",
            species=1,
            sex=Sex.FEMALE,
            confidence=Confidence.LIKELY,
            hatched_on=date(2024, 5, 31),
            hatched_precision=DatePrecision.DAY,
            dam="V-2",
            sire="V-3",
        ),
        "V-2": _only_named("V-2", Sex.FEMALE),
        "V-3": _only_named("V-3", Sex.MALE),
    }
    assert said(found) == {}


def _only_named(code: str, sex: Sex) -> NewAncestor:
    return NewAncestor(
        line=None,
        code=code,
        name="",
        species=1,
        sex=sex,
        confidence=Confidence.LIKELY,
        hatched_on=None,
        hatched_precision=DatePrecision.UNKNOWN,
        dam=None,
        sire=None,
    )


def test_parents_are_filled_in_on_record_and_never_overwritten() -> None:
    on_record = records(
        known(1, "V-1"),
        known(2, "V-2", sex=Sex.FEMALE),
        known(3, "V-3", dam=4),
        known(4, "V-4", sex=Sex.FEMALE),
    )

    found = plan(lines("v-1,V-2,", "V-3,V-2,V-9", header="code,dam,sire"), on_record)

    assert found.filled == (
        FilledIn(2, 1, 2, None, "", None, None, None, None),
        FilledIn(3, 3, None, "V-9", "", None, None, None, None),
    )
    assert said(found) == {
        3: (
            "V-3 has another dam on record than V-2. Correct the animal first if the "
            "file is right. It was left out; the animal stays.",
        )
    }


def test_only_of_an_animal_never_here_a_line_says_more() -> None:
    on_record = records(known(1, "V-1"), known(2, "V-2", never_here=True))

    found = plan(lines("V-1,,,m,2024", "V-2,,,m?,2024-05"), on_record)

    assert found.filled == (
        FilledIn(
            3,
            2,
            None,
            None,
            "",
            Sex.MALE,
            Confidence.UNCERTAIN,
            date(2024, 5, 1),
            DatePrecision.MONTH,
        ),
    )
    assert [line.outcome for line in found.lines] == [KNOWN, FILLED_IN]


def test_kin_on_record_keep_a_sex_and_a_date_off() -> None:
    on_record = records(
        known(1, "V-1", never_here=True),
        known(2, "V-2", dam=1, hatched_on=date(2020, 1, 1)),
        known(3, "V-3", never_here=True),
        known(4, "V-4", dam=3),
    )

    found = plan(lines("V-1,,,f,2021-01-01", "V-3,,,m,"), on_record)

    assert found.filled == ()
    assert {line: text[0].split(" So ")[0] for line, text in said(found).items()} == {
        2: "V-1 hatched 01 Jan 2021, not before V-2 (01 Jan 2020), and cannot be its "
        "dam.",
        3: "V-3 is male and cannot be the dam of V-4.",
    }


LEFT_OUT = " It was left out; the animal stays."


@pytest.mark.parametrize(
    ("rows", "line", "sentence", "kept"),
    [
        (
            ("A,B,,f,", "B,A,,f,"),
            2,
            "A would descend from itself: A ← B ← A. Mend one of these parents.",
            {"A": (None, None), "B": (None, None)},
        ),
        (
            ("A,B,,,", "B,,C,,", "C,,D,,", "D,E,,,", "E,A,,,"),
            4,
            "C would descend from itself: C ← D ← E ← A ← B ← C. Mend one of these "
            "parents.",
            dict.fromkeys("ABCDE", (None, None)),
        ),
        (("A,A,,,",), 2, "A is named as its own dam.", {"A": (None, None)}),
        (
            ("A,B,B,,",),
            2,
            "B is named as both dam and sire of A.",
            {"A": (None, None)},
        ),
        (
            ("A,B,,,", "C,,B,,"),
            2,
            "B is named as dam here and as sire in another place (line 3). Give its "
            "sex, and correct the other.",
            {"A": (None, None), "C": (None, None)},
        ),
        (
            ("A,B,C,,", "B,,,m,"),
            2,
            "B is male and cannot be the dam of A.",
            {"A": (None, "C"), "B": (None, None), "C": (None, None)},
        ),
        (
            ("A,B,,,2024-01-01", "B,,,,2024-01-01"),
            2,
            "B hatched 01 Jan 2024, not before A (01 Jan 2024), and cannot be its dam.",
            {"A": (None, None), "B": (None, None)},
        ),
        (
            ("A,B,,,2024", "B,,,,2024"),
            None,
            "",
            {"A": ("B", None), "B": (None, None)},
        ),
        (
            ("A,B,,,", "B,,,f,2020", "B,,,f,2021"),
            2,
            "Its dam B was refused (line 3, 4).",
            {"A": (None, None)},
        ),
    ],
)
def test_what_cannot_be_is_left_out_and_the_animal_kept(
    rows: tuple[str, ...],
    line: int | None,
    sentence: str,
    kept: dict[str, tuple[str | None, str | None]],
) -> None:
    found = plan(lines(*rows))

    assert parents(found) == kept
    if line is None:
        assert said(found) == {}
    else:
        assert said(found)[line] == (sentence + LEFT_OUT,)


def test_of_a_long_loop_some_lines_name_the_path_and_all_are_refused() -> None:
    around = [f"L-{n},,L-{(n + 1) % 24},m," for n in range(24)]
    across = ["L-0x,L-1x,,,", "L-1x,L-2x,,f,", "L-2x,L-0x,,f,"]

    found = plan(lines(*around, *across))

    assert set(parents(found).values()) == {(None, None)}
    assert sum("←" in text for texts in said(found).values() for text in texts) == 23
    assert "L-0 ← L-1 ← L-2 ← L-3 ← L-4 ← L-5 ← (13 more) ← " in said(found)[2][0]
    assert said(found)[25][0].startswith("L-23 would descend from itself. Mend one")


def test_a_loop_through_the_record_is_refused() -> None:
    on_record = records(
        known(1, "V-1", dam=2), known(2, "V-2", dam=3, sex=Sex.FEMALE), known(3, "V-3")
    )

    found = plan(lines("V-3,V-1,,,", "V-2,V-3,,f,"), on_record)

    assert found.filled == ()
    assert said(found) == {
        2: (
            "V-3 would descend from itself: V-3 ← V-1 ← V-2 ← V-3. Mend one of these "
            "parents." + LEFT_OUT,
        )
    }


def test_an_unsexed_dam_on_record_is_no_sire() -> None:
    on_record = records(known(1, "V-1"), known(2, "V-2", dam=1))

    found = plan(lines("V-3,,V-1,,"), on_record)

    assert parents(found) == {"V-3": (None, None)}
    assert (
        "named as sire here and as dam in another place (on record)"
        in (said(found)[2][0])
    )


def test_candidate_sires_on_record_are_not_passed_over() -> None:
    on_record = records(known(1, "V-1", candidates=(3,)), known(3, "V-3"))

    found = plan(lines("V-1,,V-2,,", "V-3,,V-1,,", "V-5,V-3,,,"), on_record)

    assert (found.filled, parents(found)) == ((), {"V-5": (None, None)})
    assert said(found)[2][0].startswith("Candidate sires of V-1 are on record")
    assert "V-3 ← V-1 ← V-3" in said(found)[3][0]
    assert "V-3 is named as dam here and as sire in another place" in said(found)[4][0]


@pytest.mark.parametrize(
    ("row", "sentence"),
    [
        ("?,,,,", "'?' is no code for an animal. Give the code on its label."),
        (",A,,,", "'' is no code for an animal. Give the code on its label."),
        (
            f"{'A' * 21},,,,",
            f"'{'A' * 21}' has 21 characters; a code has at most 20. Shorten it, "
            "everywhere in the file.",
        ),
        (
            "A,B,C,m,2024,more",
            "has 6 cells under 5 headings (the last is 'more'). Put a cell that holds "
            "the delimiter in quotation marks.",
        ),
        (
            "A\ufffd,,,,",
            "'A\ufffd' has characters that cannot be read. Save the file as UTF-8 and "
            "look at this code.",
        ),
    ],
)
def test_a_bad_line_is_refused_and_the_others_kept(row: str, sentence: str) -> None:
    found = plan(lines("V-1,V-2,,,", row, "V-4,,V-5,,"))

    assert set(new(found)) == {"V-1", "V-2", "V-4", "V-5"}
    assert [line.outcome for line in found.lines] == [REGISTERED, REFUSED, REGISTERED]
    assert said(found) == {3: (sentence,)}


def test_values_that_cannot_be_read_are_left_out_one_by_one() -> None:
    long = "x" * 81
    header = "code,dam,sire,sex,hatched,name"
    found = plan(lines(f"V-1,{'D' * 21},,both,2030-01-01,{long}", header=header))

    animal = new(found)["V-1"]
    assert (animal.sex, animal.hatched_on, animal.name) == (Sex.UNKNOWN, None, "")
    assert [text.partition(";")[0] for text in said(found)[2]] == [
        "'2030-01-01' is no day on which it can have hatched, in the order of this "
        "file and up to today",
        "'both' is no sex",
        f"Its dam was left out: '{'D' * 21}' has 21 characters",
        f"The name {'x' * 20!r}… was left out",
    ]


def test_repeated_lines_count_once_and_contradicting_ones_not_at_all() -> None:
    found = plan(lines("A,,,m,", "A,,,m,", "B,,,m,", "B,,,f,", "b,,,f,"))

    assert set(new(found)) == {"A"}
    assert [line.outcome for line in found.lines] == [
        REGISTERED,
        KNOWN,
        REFUSED,
        REFUSED,
        REFUSED,
    ]
    assert said(found)[3] == ("It repeats line 2.",)
    assert said(found)[4] == (
        "B stands in line 5, 6 as well and says something else there. Keep the one "
        "that is true.",
    )


@pytest.mark.parametrize(
    ("row", "against"),
    [
        ("V-1,V-2,,m,", "female, not male"),
        ("V-1,V-2,,f,,ball python", "another species than 'ball python'"),
        ("V-1,V-2,,f,2023-01-01", "hatched 01 Feb 2023 (known to the day), not then"),
        ("V-1,V-2,,f,2023-01", "hatched 01 Feb 2023 (known to the day), not then"),
        ("V-1,V-2,,f,2022", "hatched 01 Feb 2023 (known to the day), not then"),
    ],
)
def test_a_line_against_the_record_is_refused(row: str, against: str) -> None:
    animal = known(1, "V-1", sex=Sex.FEMALE, hatched_on=date(2023, 2, 1))

    found = plan(lines(row, header=f"{HEADER},species"), records(animal))

    assert (found.filled, new(found)) == ((), {})
    assert said(found) == {
        2: (
            f"V-1 is on record as {against}. Correct the file or the animal; nothing "
            "of this line was taken.",
        )
    }


def test_a_year_that_holds_the_day_on_record_fits() -> None:
    animal = known(1, "V-1", hatched_on=date(2023, 2, 1))

    assert outcomes(lines("V-1,,,,2023"), on_record=records(animal)) == {2: KNOWN}
    assert outcomes(lines("V-1,,,,Feb 2023"), on_record=records(animal)) == {2: KNOWN}


def test_capitals_aside_a_code_is_the_same_unless_the_record_has_both() -> None:
    assert set(new(plan(lines("V-1,v-2,,,", "v-1x,V-2,,,")))) == {"V-1", "v-1x", "V-2"}

    both = records(known(1, "v-2", sex=Sex.FEMALE), known(2, "V-2", sex=Sex.MALE))
    assert parents(plan(lines("V-1,v-2,V-2,,"), both)) == {"V-1": (1, 2)}


def test_the_species_is_asked_where_nothing_says_it() -> None:
    several = records(only_species=None)

    with pytest.raises(
        PedigreeUndecidedError, match="Of which species is V-1"
    ) as asked:
        plan(lines("V-1,,,,"), several)

    assert asked.value.fields == {"species": "code of a species"}
    assert new(plan(lines("V-1,V-2,,,"), several, species=2))["V-2"].species == 2
    named = lines(
        "V-1,V-2,Ball Python", "V-3,V-2,", "V-4,,gecko", header="id,dam,species"
    )
    found = plan(named, several, species=1)
    assert {code: animal.species for code, animal in new(found).items()} == {
        "V-1": 2,
        "V-2": 2,
        "V-3": 1,
    }
    assert "V-2 is of another species than V-3" in said(found)[3][0]
    assert said(found)[4][0].startswith("'gecko' is no species on record")


FILE = (
    *("V-1,V-2,V-3,f,2024-05-31", "V-2,V-4,V-5,f,2022", "V-3,V-4,V-6,1.0,2022"),
    *("V-6,V-1,?,m,", "V-7,V-8,V-8,,", "V-9,V-10,V-10x,,", "V-10,,V-9,,"),
    *("V-11,V-12,,,2020", "V-12,,,f,2021", "V-13,V-14,,,", "V-14,,,,1.1.1"),
    *("V-15,V-99,V-98,,", "V-15,V-99,V-97,,", "V-16,V-15,,,", "V-21,V-20,V-22,,"),
)
HELD = records(
    known(1, "V-20", sex=Sex.FEMALE),
    known(2, "V-21", dam=3),
    known(3, "V-23", sex=Sex.FEMALE),
    known(4, "V-4", never_here=True),
)


@settings(max_examples=60)
@given(st.permutations(range(len(FILE))))
def test_the_order_of_lines_does_not_matter(order: list[int]) -> None:
    first, other = plan(lines(*FILE), HELD), plan(shuffled(FILE, order), HELD)

    assert parents(other) == parents(first)
    assert {c: (a.sex, a.hatched_on) for c, a in new(other).items()} == {
        c: (a.sex, a.hatched_on) for c, a in new(first).items()
    }
    assert [(f.id, f.dam, f.sire) for f in other.filled] == [
        (f.id, f.dam, f.sire) for f in first.filled
    ]


CODES = st.sampled_from("ABCDEFGH")
ROWS = st.lists(
    st.tuples(
        CODES,
        st.one_of(CODES, st.just("?")),
        st.one_of(CODES, st.just("unk")),
        st.sampled_from(["m", "f", "", "0.1"]),
        st.sampled_from(["", "2019", "2020", "2021-05-01"]),
    ).map(",".join),
    max_size=12,
)


@settings(max_examples=150)
@given(ROWS, ROWS)
def test_a_file_once_more_changes_nothing_and_no_animal_is_its_own_ancestor(
    before: list[str], rows: list[str]
) -> None:
    held = carried_out(records(), plan(lines(*before)))
    first = plan(lines(*rows), held)
    after = carried_out(held, first)

    again = plan(lines(*rows), after)

    assert (again.generations, again.filled) == ((), ())
    _assert_sound({a.id: (a.dam, a.sire) for a in after.animals})
    for animal in after.animals:
        assert animal.dam is None or animal.dam != animal.sire


def _assert_sound(held: dict[int, tuple[int | None, int | None]]) -> None:
    done: set[int] = set()
    while len(done) < len(held):
        ready = {
            pk
            for pk, pair in held.items()
            if pk not in done and all(p is None or p in done for p in pair)
        }
        assert ready, "a loop of descent"
        done |= ready


def test_a_report_counts_and_tells_the_lines_that_lost_something() -> None:
    on_record = records(known(1, "V-1"), known(2, "V-2", sex=Sex.FEMALE))
    rows = ("V-1,V-2,V-3,,", "V-2,,,,", "V-4,,,,", "?,,,,", "V-5,V-5,,,")

    found = report_of(plan(lines(*rows), on_record), file_name="a.csv", dry_run=True)

    assert found.sentences(at_most=1) == (
        "a.csv: 5 lines read: 2 animals would be put on record; 1 animal only named as "
        "a parent would be put on record; 1 animal on record would be filled in; 1 "
        "line known already; 1 line refused. Nothing was stored: this was a dry run.",
        "Line 5, ?: '?' is no code for an animal. Give the code on its label.",
        "… and 1 more like these.",
    )
    nothing = report_of(plan(lines()), file_name="b.csv", dry_run=False)
    assert nothing.sentences() == ("b.csv: no line read: nothing to put on record.",)
    assert (found.changes_something(), nothing.changes_something()) == (True, False)
