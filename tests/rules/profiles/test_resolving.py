"""Which row wins for which animal."""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from itertools import pairwise

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from husbandry.rules.profiles.problems import ProfileErrors
from husbandry.rules.profiles.reading import read_profile
from husbandry.rules.profiles.resolving import (
    OVERRIDE_SOURCE,
    Override,
    ResolvedTarget,
    egg_targets,
    incubation_for,
    light_hours_for,
    resolve_targets,
    stage_on,
    supplements_for,
)
from husbandry.rules.profiles.scopes import Scope, holds, specificity
from husbandry.rules.profiles.values import Disagreement, Profile, Provenance, Target
from husbandry.rules.profiles.vocabulary import IncubationMatter
from husbandry.rules.profiles.writing import write_profile
from husbandry.rules.vocabulary import (
    Period,
    Quantity,
    Reproduction,
    Sex,
    Standing,
    Zone,
)
from tests.rules.profiles.profiles_made import STAGES, named, profile_of, targets

ON = date(2027, 3, 12)
DAY = date(2027, 1, 31)
PRACTICE = Provenance("common-practice", Standing.PUBLISHED, DAY)
GENERAL = Target(
    id="general",
    quantity=Quantity.TEMPERATURE_C,
    zone=Zone.BASKING,
    period=Period.DAY,
    stages=(),
    sex=None,
    reproduction=None,
    low=Decimal(30),
    high=Decimal(32),
    hard_low=Decimal(10),
    hard_high=Decimal(38),
    tolerated_minutes=60,
    provenance=PRACTICE,
)
GENERAL_UV = replace(GENERAL, quantity=Quantity.UV_INDEX)
OVERRIDE = Override(
    id=7,
    quantity=Quantity.TEMPERATURE_C,
    zone=Zone.BASKING,
    period=Period.DAY,
    low=Decimal(28),
    high=Decimal(29),
    hard_low=None,
    hard_high=None,
    tolerated_minutes=30,
    from_on=ON,
    until_on=ON + timedelta(days=9),
    reason="Healing burn",
    by="Ada",
)
ANIMALS = st.tuples(
    st.sampled_from([None, *STAGES]),
    st.sampled_from(Sex),
    st.sampled_from(Reproduction),
)


def resolved(
    rows: tuple[Target, ...],
    *,
    stage: str | None = "adult",
    sex: Sex = Sex.FEMALE,
    reproduction: Reproduction = Reproduction.RESTING,
    overrides: tuple[Override, ...] = (),
    on: date = ON,
) -> tuple[ResolvedTarget, ...]:
    return resolve_targets(
        profile_of(rows),
        stage=stage,
        sex=sex,
        reproduction=reproduction,
        overrides=overrides,
        on=on,
    )


def winner(rows: tuple[Target, ...], **animal: object) -> str | None:
    found = resolved(rows, **animal)  # type: ignore[arg-type]
    return found[0].target_id if found else None


@pytest.mark.parametrize(
    ("age_days", "stage"),
    [
        (-1, None),
        (0, "hatchling"),
        (89, "hatchling"),
        (90, "juvenile"),
        (364, "juvenile"),
        (365, "adult"),
        (5000, "adult"),
    ],
)
def test_stage_by_age(age_days: int, stage: str | None) -> None:
    hatched_on = ON - timedelta(days=age_days)

    found = stage_on(profile_of(()), hatched_on=hatched_on, on=ON)

    assert (found.code if found else None) == stage


def test_stage_of_an_animal_of_unknown_age_is_unknown() -> None:
    assert stage_on(profile_of(()), hatched_on=None, on=ON) is None


@pytest.mark.parametrize(
    ("scope", "expected"),
    [
        (Scope(), True),
        (Scope(stages=("adult", "juvenile")), True),
        (Scope(stages=("juvenile",)), False),
        (Scope(sex=Sex.FEMALE), True),
        (Scope(sex=Sex.MALE), False),
        (Scope(sex=Sex.UNKNOWN), False),
        (Scope(reproduction=Reproduction.GRAVID), True),
        (Scope(reproduction=Reproduction.RESTING), False),
        (Scope(("adult",), Sex.FEMALE, Reproduction.GRAVID), True),
        (Scope(("adult",), Sex.MALE, Reproduction.GRAVID), False),
    ],
)
def test_row_holds_where_all_that_it_names_is_so(scope: Scope, expected: bool) -> None:
    animal = {"stage": "adult", "sex": Sex.FEMALE, "reproduction": Reproduction.GRAVID}

    assert holds(scope, **animal) is expected  # type: ignore[arg-type]


def test_unknown_stage_is_met_only_by_rows_that_name_none() -> None:
    animal = {"stage": None, "sex": Sex.UNKNOWN, "reproduction": Reproduction.RESTING}

    assert holds(Scope(), **animal)  # type: ignore[arg-type]
    assert not holds(Scope(stages=STAGES), **animal)  # type: ignore[arg-type]


def test_more_named_wins_and_then_state_before_sex_before_stage() -> None:
    stages, female, gravid = ("adult",), Sex.FEMALE, Reproduction.GRAVID

    in_order = [
        Scope(),
        Scope(stages),
        Scope(sex=female),
        Scope(reproduction=gravid),
        Scope(stages, female),
        Scope(stages, None, gravid),
        Scope((), female, gravid),
        Scope(stages, female, gravid),
    ]

    assert all(specificity(a) < specificity(b) for a, b in pairwise(in_order))


def test_most_specific_row_wins() -> None:
    rows = (
        replace(GENERAL, id="gravid", reproduction=Reproduction.GRAVID),
        GENERAL,
        replace(GENERAL, id="adult-female", stages=("adult",), sex=Sex.FEMALE),
        replace(GENERAL, id="adult", stages=("adult",)),
    )
    gravid = Reproduction.GRAVID

    assert winner(rows) == "adult-female"
    assert winner(rows, sex=Sex.MALE) == "adult"
    assert winner(rows, sex=Sex.UNKNOWN, stage=None) == "general"
    assert winner(rows, sex=Sex.MALE, stage=None, reproduction=gravid) == "gravid"
    assert winner(rows, sex=Sex.MALE, reproduction=gravid) == "gravid"
    assert winner(rows, reproduction=gravid) == "adult-female"


def test_nothing_is_wanted_where_no_row_holds() -> None:
    assert resolved((replace(GENERAL, stages=("juvenile",)),)) == ()


def test_each_spot_is_answered_once_in_order() -> None:
    rows = (
        replace(GENERAL, id="night", period=Period.NIGHT),
        replace(GENERAL, id="cool", zone=Zone.COOL),
        GENERAL,
        replace(GENERAL, id="damp", quantity=Quantity.HUMIDITY_PCT),
        replace(GENERAL, id="eggs", zone=Zone.EGGS),
    )

    found = resolved(rows)

    assert [t.target_id for t in found] == ["damp", "general", "night", "cool"]
    assert [t.target_id for t in egg_targets(profile_of(rows))] == ["eggs"]


def test_row_is_carried_over_whole() -> None:
    other = Disagreement(Decimal(29), None, PRACTICE)
    memory = replace(PRACTICE, standing=Standing.FROM_MEMORY)
    row = replace(GENERAL, others=(other,), tolerance_provenance=memory)

    assert resolved((row,)) == (
        ResolvedTarget(
            quantity=Quantity.TEMPERATURE_C,
            zone=Zone.BASKING,
            period=Period.DAY,
            low=Decimal(30),
            high=Decimal(32),
            hard_low=Decimal(10),
            hard_high=Decimal(38),
            tolerated_minutes=60,
            provenance=PRACTICE,
            target_id="general",
            override_id=None,
            others=(other,),
            hard_provenance=PRACTICE,
            tolerance_provenance=memory,
        ),
    )


def test_override_wins_and_says_what_it_replaces() -> None:
    other = Disagreement(Decimal(29), None, PRACTICE)

    (found,) = resolved((replace(GENERAL, others=(other,)),), overrides=(OVERRIDE,))

    agreed = Provenance(OVERRIDE_SOURCE, Standing.FROM_MEMORY, ON, "Ada: Healing burn")
    assert found == ResolvedTarget(
        quantity=Quantity.TEMPERATURE_C,
        zone=Zone.BASKING,
        period=Period.DAY,
        low=Decimal(28),
        high=Decimal(29),
        hard_low=Decimal(10),
        hard_high=Decimal(38),
        tolerated_minutes=30,
        provenance=agreed,
        target_id="general",
        override_id=7,
        others=(Disagreement(Decimal(30), Decimal(32), PRACTICE), other),
        hard_provenance=PRACTICE,
        tolerance_provenance=agreed,
    )


def test_override_holds_where_the_profile_says_nothing() -> None:
    (found,) = resolved((), overrides=(replace(OVERRIDE, by=""),))

    assert (found.target_id, found.override_id, found.others) == ("", 7, ())
    assert (found.hard_low, found.hard_high, found.hard_provenance) == (None,) * 3
    assert found.provenance.note == "Healing burn"


@pytest.mark.parametrize(
    ("given_", "expected"),
    [
        # low, high, hard low, hard high → the hard limits in force
        ((28, 29, 20, 33), (20, 33)),
        ((28, 29, None, 33), (10, 33)),
        ((8, 29, None, None), (None, 38)),
        ((10, 38, None, None), (10, 38)),
        ((30, 39, None, None), (10, None)),
        ((39, None, None, None), (10, None)),
        ((None, 9, None, None), (None, 38)),
    ],
)
def test_hard_limits_stay_unless_the_new_band_reaches_past_them(
    given_: tuple[int | None, ...], expected: tuple[int | None, ...]
) -> None:
    low, high, hard_low, hard_high = (
        None if end is None else Decimal(end) for end in given_
    )
    override = replace(
        OVERRIDE, low=low, high=high, hard_low=hard_low, hard_high=hard_high
    )

    (found,) = resolved((GENERAL,), overrides=(override,))

    assert (found.hard_low, found.hard_high) == expected


@pytest.mark.parametrize(
    ("days", "in_force"), [(-1, False), (0, True), (9, True), (10, False)]
)
def test_override_holds_from_its_first_day_to_its_last(
    days: int, in_force: bool
) -> None:
    on = ON + timedelta(days=days)

    (found,) = resolved((GENERAL,), overrides=(OVERRIDE,), on=on)

    assert (found.override_id == 7) is in_force


def test_of_two_overrides_the_later_begun_wins_and_then_the_greater_id() -> None:
    older = replace(OVERRIDE, id=9, from_on=ON - timedelta(days=1))
    twin = replace(OVERRIDE, id=8)

    def won(*overrides: Override) -> int | None:
        (found,) = resolved((GENERAL,), overrides=overrides)
        return found.override_id

    assert won(older, OVERRIDE) == won(OVERRIDE, older) == 7
    assert won(twin, OVERRIDE) == won(OVERRIDE, twin) == 8


def test_override_of_an_override_still_names_the_row() -> None:
    twin = replace(OVERRIDE, id=8)

    (found,) = resolved((GENERAL,), overrides=(OVERRIDE, twin))

    assert found.target_id == "general"
    assert found.others == (Disagreement(Decimal(30), Decimal(32), PRACTICE),)


def test_other_rules_of_a_profile_without_them_are_none() -> None:
    profile = profile_of(())

    assert light_hours_for(profile, "adult") is None
    assert incubation_for(profile, IncubationMatter.CLUTCH_EGGS) is None
    assert [s.id for s in supplements_for(profile, "adult")] == ["calcium", "vitamins"]
    assert [s.id for s in supplements_for(profile, None)] == ["calcium"]


def read_back(rows: tuple[Target, ...]) -> Profile | None:
    """Return a profile as reading lets it in, or None where it is refused."""
    text = write_profile(profile_of(rows))
    try:
        return read_profile(text, name="made")
    except ProfileErrors as refused:
        problems = refused.problems
    assert {p.path.split("[")[0] for p in problems} == {"targets"}
    assert all("equally specific" in p.sentence for p in problems)
    return None


@settings(deadline=None)
@given(st.lists(targets(), min_size=2, max_size=5), ANIMALS)
def test_profile_that_is_let_in_has_one_winner_for_every_animal(
    rows: list[Target],
    animal: tuple[str | None, Sex, Reproduction],
) -> None:
    stage, sex, reproduction = animal
    profile = read_back(named(rows))
    holding = [
        specificity(r.scope)
        for r in rows
        if holds(r.scope, stage=stage, sex=sex, reproduction=reproduction)
    ]

    if profile is None:
        # Refused for some animal, then: two rows name the same and meet somewhere.
        assert any(
            specificity(a.scope) == specificity(b.scope)
            for n, a in enumerate(rows)
            for b in rows[n + 1 :]
        )
    elif holding:
        assert holding.count(max(holding)) == 1


@settings(deadline=None)
@given(targets(), st.sampled_from(STAGES))
def test_two_rows_that_tie_are_refused(row: Target, stage: str) -> None:
    # Same dimensions named, at least one stage in common: some animal has both.
    twin = replace(row, stages=(*row.stages, stage) if row.stages else ())
    assume(len(set(twin.stages)) == len(twin.stages))

    assert read_back(named([row, twin])) is None


@settings(deadline=None)
@given(st.data(), ANIMALS)
def test_less_specific_row_never_changes_the_answer(
    data: st.DataObject, animal: tuple[str | None, Sex, Reproduction]
) -> None:
    stage, sex, reproduction = animal
    rivals = data.draw(
        st.lists(
            targets(),
            max_size=3,
            unique_by=lambda t: (bool(t.stages), bool(t.sex), bool(t.reproduction)),
        )
    )
    special = replace(
        data.draw(targets()),
        stages=() if stage is None else (stage,),
        sex=sex,
        reproduction=data.draw(st.sampled_from([None, reproduction])),
    )
    rows = named([GENERAL_UV, special, *rivals])
    before = resolved(rows, stage=stage, sex=sex, reproduction=reproduction)
    won = next(r for r in rows if r.id == before[0].target_id)
    # A row that names fewer of the dimensions, or none, with any figures.
    added = replace(
        data.draw(targets()),
        id="added",
        stages=data.draw(st.sampled_from([(), won.stages])),
        sex=data.draw(st.sampled_from([None, won.sex])),
        reproduction=data.draw(st.sampled_from([None, won.reproduction])),
    )
    if specificity(added.scope) >= specificity(won.scope):
        added = replace(added, stages=(), sex=None, reproduction=None)

    for more in ((*rows, added), (added, *rows)):
        after = resolved(more, stage=stage, sex=sex, reproduction=reproduction)
        assert after == before


@settings(deadline=None)
@given(st.permutations(named([GENERAL] * 3)))
def test_order_of_rows_does_not_matter(rows: list[Target]) -> None:
    scoped = {
        "target-0": replace(GENERAL, id="a"),
        "target-1": replace(GENERAL, id="b", sex=Sex.FEMALE),
        "target-2": replace(GENERAL, id="c", stages=("adult",)),
    }

    assert winner(tuple(scoped[r.id] for r in rows)) == "b"
