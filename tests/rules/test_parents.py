"""Who can be whose parent."""

from dataclasses import replace
from datetime import date

import pytest

from husbandry.rules.parents import (
    ParentError,
    Relative,
    check_parents,
    earliest_on,
    latest_on,
)
from husbandry.rules.vocabulary import DatePrecision, Sex

DAY, MONTH, YEAR = DatePrecision.DAY, DatePrecision.MONTH, DatePrecision.YEAR
UNKNOWN = DatePrecision.UNKNOWN
YOUNG = Relative(1, "V-1 Pip", 7, Sex.UNKNOWN, date(2026, 3, 1), DAY)
DAM = Relative(2, "V-2 Juno", 7, Sex.FEMALE, date(2024, 5, 1), DAY)
SIRE = Relative(3, "V-3 Rigo", 7, Sex.MALE, date(2024, 6, 1), DAY)


def check(
    young: Relative = YOUNG,
    dam: Relative | None = DAM,
    sire: Relative | None = SIRE,
    parents: dict[int, tuple[int | None, int | None]] | None = None,
) -> None:
    check_parents(
        young, dam=dam, sire=sire, parents=parents or {}, labels={4: "V-4", 5: "V-5"}
    )


@pytest.mark.parametrize(
    ("dam", "sire"),
    [
        (DAM, SIRE),
        (DAM, None),
        (None, SIRE),
        (None, None),
        (replace(DAM, sex=Sex.UNKNOWN), replace(SIRE, sex=Sex.UNKNOWN)),
        (replace(DAM, hatched_on=None, hatched_precision=UNKNOWN), SIRE),
    ],
)
def test_parents_that_can_be(dam: Relative | None, sire: Relative | None) -> None:
    check(dam=dam, sire=sire)


@pytest.mark.parametrize(
    ("dam", "sire", "field", "said"),
    [
        (replace(DAM, sex=Sex.MALE), None, "dam", "V-2 Juno is male"),
        (None, replace(SIRE, sex=Sex.FEMALE), "sire", "V-3 Rigo is female"),
        (replace(DAM, species=8), None, "dam", "another species"),
        (None, replace(SIRE, species=8), "sire", "another species"),
        (DAM, replace(DAM, sex=Sex.UNKNOWN), "sire", "both dam and sire"),
        (replace(DAM, hatched_on=date(2026, 3, 1)), None, "dam", "01 Mar 2026"),
    ],
)
def test_parents_that_cannot_be(
    dam: Relative | None, sire: Relative | None, field: str, said: str
) -> None:
    with pytest.raises(ParentError, match=said) as refused:
        check(dam=dam, sire=sire)

    assert set(refused.value.fields) == {field}


@pytest.mark.parametrize(
    ("parent", "precision", "refused"),
    [
        (date(2026, 2, 28), DAY, False),
        (date(2026, 3, 1), DAY, True),  # the same day
        (date(2026, 3, 31), MONTH, True),  # on the 1st at the earliest
        (date(2026, 2, 28), MONTH, False),
        (date(2026, 12, 31), YEAR, False),  # may have hatched in January
        (date(2027, 1, 1), YEAR, True),
    ],
)
def test_only_what_is_certain_is_refused(
    parent: date, precision: DatePrecision, refused: bool
) -> None:
    dam = replace(DAM, hatched_on=parent, hatched_precision=precision)
    if refused:
        with pytest.raises(ParentError, match="not before V-1 Pip"):
            check(dam=dam)
    else:
        check(dam=dam)


@pytest.mark.parametrize(
    ("on", "precision", "first", "last"),
    [
        (date(2024, 2, 10), DAY, date(2024, 2, 10), date(2024, 2, 10)),
        (date(2024, 2, 10), MONTH, date(2024, 2, 1), date(2024, 2, 29)),
        (date(2023, 2, 10), MONTH, date(2023, 2, 1), date(2023, 2, 28)),
        (date(2024, 2, 29), YEAR, date(2024, 1, 1), date(2024, 12, 31)),
        (None, UNKNOWN, None, None),
    ],
)
def test_a_date_spans_what_its_precision_says(
    on: date | None, precision: DatePrecision, first: date | None, last: date | None
) -> None:
    animal = replace(YOUNG, hatched_on=on, hatched_precision=precision)

    assert (earliest_on(animal), latest_on(animal)) == (first, last)


UNDATED = replace(YOUNG, hatched_on=None, hatched_precision=UNKNOWN)


def test_its_own_parent() -> None:
    with pytest.raises(ParentError, match=r"V-1 Pip ← V-1 Pip\) and cannot be its dam"):
        check(UNDATED, dam=UNDATED, sire=None)


def test_a_loop_names_its_path() -> None:
    # Pip's dam would be Juno; Juno descends from V-4, V-4 from Pip.
    parents = {2: (5, 4), 4: (None, 1), 5: (None, None)}

    with pytest.raises(ParentError) as refused:
        check(UNDATED, sire=None, parents=parents)

    assert "V-1 Pip ← V-2 Juno ← V-4 ← V-1 Pip" in refused.value.sentence


def test_a_pedigree_that_loops_elsewhere_comes_to_an_end() -> None:
    check(UNDATED, sire=None, parents={2: (4, None), 4: (5, None), 5: (4, None)})


def test_a_young_one_not_on_record_has_no_descendants() -> None:
    check(replace(UNDATED, id=None), parents={2: (None, None)})


def test_the_same_ancestor_on_both_sides_is_no_loop() -> None:
    check(UNDATED, parents={2: (4, 5), 3: (4, 5), 4: (None, None)})
