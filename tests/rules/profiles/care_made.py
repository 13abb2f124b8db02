"""Hypothesis strategies that make what a profile says of daily care and growth."""

from dataclasses import dataclass, replace
from decimal import Decimal

from hypothesis import strategies as st

from husbandry.rules.profiles.values import (
    DosingPolicy,
    GrowthPolicy,
    GrowthReference,
    GutLoadRule,
    LampRule,
    LmsPoint,
    MistingRule,
    Profile,
    SettlingRule,
)
from husbandry.rules.vocabulary import LampKind, MistingTime, Sex
from tests.rules.profiles.profiles_made import PROVENANCES, STAGES, TEXTS

MAYBE_TEXT = st.one_of(st.just(""), TEXTS)
PAIRS = st.tuples(st.integers(1, 240), st.integers(1, 240)).map(sorted)
ENDS = st.sampled_from([(1, None), (None, 120), (100000, 1)])


def number(low: str, high: str, places: int = 3) -> st.SearchStrategy[Decimal]:
    return st.decimals(Decimal(low), Decimal(high), places=places)


@dataclass(frozen=True, slots=True)
class Care:
    """What is said beside the climate, the food and the weights."""

    misting: tuple[MistingRule, ...]
    gut_load: GutLoadRule | None
    lamps: tuple[LampRule, ...]
    settling: SettlingRule | None
    growth_references: tuple[GrowthReference, ...]
    growth_policy: GrowthPolicy | None
    dosing: DosingPolicy | None
    contains_d3: bool
    most_a_month: int | None
    shed_days: int


@st.composite
def misting(draw: st.DrawFn) -> tuple[MistingRule, ...]:
    """Make rows that differ in their time or in whether they name a stage."""
    spots = draw(
        st.lists(
            st.tuples(st.sampled_from(MistingTime), st.sampled_from(["", *STAGES])),
            max_size=4,
            unique_by=lambda spot: (spot[0], bool(spot[1])),
        )
    )
    return tuple(
        MistingRule(
            f"misting-{n}",
            (stage,) if stage else (),
            time,
            *draw(PAIRS),
            draw(MAYBE_TEXT),
            draw(PROVENANCES),
        )
        for n, (time, stage) in enumerate(spots)
    )


@st.composite
def lamps(draw: st.DrawFn) -> tuple[LampRule, ...]:
    kinds = draw(st.lists(st.sampled_from(LampKind), unique=True))
    return tuple(
        LampRule(
            f"lamp-{kind.value.replace('_', '-')}",
            kind,
            draw(st.integers(1, 3650)),
            *draw(ENDS),
            draw(MAYBE_TEXT),
            draw(PROVENANCES),
        )
        for kind in kinds
    )


@st.composite
def references(draw: st.DrawFn) -> tuple[GrowthReference, ...]:
    def points() -> tuple[LmsPoint, ...]:
        ages = draw(st.lists(st.integers(0, 9999), min_size=2, max_size=4, unique=True))
        return tuple(
            LmsPoint(
                age,
                draw(number("-20", "20", 5)),
                draw(number("0.001", "99999", 4)),
                draw(number("0.001", "2", 9)),
            )
            for age in sorted(ages)
        )

    sexes = draw(st.lists(st.sampled_from([None, *Sex]), unique=True, max_size=3))
    return tuple(
        GrowthReference(f"growth-{n}", sex, points(), draw(PROVENANCES))
        for n, sex in enumerate(sexes)
    )


def cares() -> st.SearchStrategy[Care]:
    """Make everything, or parts of it."""
    return st.builds(
        Care,
        misting=misting(),
        gut_load=st.none()
        | st.builds(
            GutLoadRule,
            id=st.just("gut-load"),
            hours_before=st.integers(1, 72),
            feed_hours_after_lights_on=st.integers(0, 12),
            text=MAYBE_TEXT,
            provenance=PROVENANCES,
        ),
        lamps=lamps(),
        settling=st.none()
        | st.builds(
            SettlingRule,
            id=st.just("settling"),
            days=st.integers(1, 365),
            text=MAYBE_TEXT,
            provenance=PROVENANCES,
        ),
        growth_references=references(),
        growth_policy=st.none()
        | st.builds(
            GrowthPolicy,
            mates_within_days=st.integers(0, 60),
            mates_least=st.integers(3, 1000),
            behind_mads=number("0.5", "20"),
            behind_z=number("-10", "-0.1"),
            provenance=PROVENANCES,
        ),
        dosing=st.none()
        | st.builds(
            DosingPolicy,
            weight_max_age_days=st.integers(1, 365),
            smallest_step_ml=number("0.001", "10"),
            provenance=PROVENANCES,
        ),
        contains_d3=st.booleans(),
        most_a_month=st.none() | st.integers(2, 31),
        shed_days=st.integers(0, 60),
    )


def with_care(profile: Profile, care: Care) -> Profile:
    """Return a profile that says all this too; its last supplement has two days."""
    *others, last = profile.supplements
    dusted = replace(last, contains_d3=care.contains_d3, most_a_month=care.most_a_month)
    return replace(
        profile,
        misting=care.misting,
        gut_load=care.gut_load,
        lamps=care.lamps,
        settling=care.settling,
        growth_references=care.growth_references,
        growth_policy=care.growth_policy,
        dosing=care.dosing,
        supplements=(*others, dusted),
        weight_policy=replace(profile.weight_policy, shed_days=care.shed_days),
    )
