"""What speaks against an animal, at each limit and just beyond.

The limits are the shipped profile's: 270 days of age, 85 g, 120 days of rest, three
clutches a year; conventions and a zoo's profile, see the rows themselves.
"""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from functools import cache
from pathlib import Path

import pytest
from django.conf import settings

from clutches.rules.advice.judging import judge_breeder, judge_season
from clutches.rules.advice.telling import tell_reason
from clutches.rules.advice.values import Breeder, Reason
from clutches.rules.vocabulary import AgainstPairing
from core.units import MassUnit
from husbandry.rules.parents import Relative
from husbandry.rules.profiles.reading import read_profile
from husbandry.rules.profiles.values import BreedingSeason, Profile
from husbandry.rules.profiles.vocabulary import IncubationMatter
from husbandry.rules.sentences.numbers import Units
from husbandry.rules.vocabulary import Confidence, DatePrecision, FindingKind, Sex

ON = date(2026, 3, 2)
K = AgainstPairing


@cache
def profile() -> Profile:
    path = Path(settings.BASE_DIR, "husbandry", "profiles", "veiled_chameleon.yaml")
    return read_profile(path.read_text(encoding="utf-8"), name=path.name)


def breeder(sex: Sex = Sex.FEMALE, *, days: int | None = 400, precision: DatePrecision = DatePrecision.DAY) -> Breeder:  # fmt: skip
    hatched_on = None if days is None else ON - timedelta(days=days)
    precision = precision if hatched_on else DatePrecision.UNKNOWN
    animal = Relative(7, "V-7", 1, sex, hatched_on, precision)
    return Breeder(animal, "V-7", Confidence.CONFIRMED, Decimal(100), ON)


def reasons(one: Breeder) -> list[tuple[AgainstPairing, Decimal | None]]:
    judged = judge_breeder(one, profile=profile(), on=ON)
    return [(reason.kind, reason.figure) for reason in judged.reasons]


def test_grown_rested_female_has_nothing_against_her() -> None:
    assert reasons(breeder()) == []


@pytest.mark.parametrize("sex", [Sex.FEMALE, Sex.MALE])
@pytest.mark.parametrize(
    ("days", "expected"),
    [(269, [(K.TOO_YOUNG, 269)]), (270, []), (None, [(K.AGE_UNKNOWN, None)])],
)
def test_age(
    sex: Sex, days: int | None, expected: list[tuple[AgainstPairing, int | None]]
) -> None:
    assert reasons(breeder(sex, days=days)) == expected


@pytest.mark.parametrize(
    ("hatched_on", "precision", "expected"),
    [
        # Some day of May 2025: 275 to 305 days.
        (date(2025, 5, 15), DatePrecision.MONTH, []),
        # Some day of June 2025: 245 to 274 days, so it may be old enough or not.
        (date(2025, 6, 15), DatePrecision.MONTH, [(K.AGE_UNKNOWN, 245)]),
        # Some day of July 2025: at most 244 days.
        (date(2025, 7, 15), DatePrecision.MONTH, [(K.TOO_YOUNG, 244)]),
        (date(2025, 7, 1), DatePrecision.YEAR, [(K.AGE_UNKNOWN, 61)]),
        (date(2024, 7, 1), DatePrecision.YEAR, []),
    ],
)
def test_age_as_far_as_it_is_known(
    hatched_on: date,
    precision: DatePrecision,
    expected: list[tuple[AgainstPairing, int]],
) -> None:
    one = breeder()
    animal = replace(one.animal, hatched_on=hatched_on, hatched_precision=precision)

    assert reasons(replace(one, animal=animal)) == expected


@pytest.mark.parametrize(
    ("mass_g", "expected"),
    [
        (Decimal("84.99"), [(K.TOO_LIGHT, Decimal("84.99"))]),
        (Decimal(85), []),
        (None, [(K.NOT_WEIGHED, None)]),
    ],
)
def test_mass_of_females_only(
    mass_g: Decimal | None, expected: list[tuple[AgainstPairing, Decimal | None]]
) -> None:
    assert reasons(replace(breeder(), mass_g=mass_g)) == expected
    assert reasons(replace(breeder(Sex.MALE), mass_g=mass_g)) == []


@pytest.mark.parametrize(
    ("rested", "expected"), [(0, 0), (119, 119), (120, None), (500, None)]
)
def test_rest(rested: int, expected: int | None) -> None:
    one = replace(breeder(), laid_on=ON - timedelta(days=rested))

    found = reasons(one)

    assert found == ([] if expected is None else [(K.NOT_RESTED, expected)])


@pytest.mark.parametrize(("clutches", "against"), [(0, False), (2, False), (3, True)])
def test_clutches_a_year(clutches: int, against: bool) -> None:
    found = reasons(replace(breeder(), clutches=clutches))

    assert found == ([(K.TOO_MANY_CLUTCHES, clutches)] if against else [])


def test_each_limit_names_its_row_and_its_source() -> None:
    one = replace(breeder(days=200), laid_on=ON, clutches=4, mass_g=Decimal(60))

    found = judge_breeder(one, profile=profile(), on=ON).reasons

    rows = {row.id: row for row in profile().incubation}
    assert [(r.kind, r.limit, r.rule_id) for r in found] == [
        (K.TOO_YOUNG, 270, "eggs-age-female"),
        (K.TOO_LIGHT, 85, "eggs-mass-female"),
        (K.NOT_RESTED, 120, "eggs-rest"),
        (K.TOO_MANY_CLUTCHES, 3, "eggs-a-year"),
    ]
    assert all(r.provenance == rows[r.rule_id].provenance for r in found)


def test_what_needs_no_figure() -> None:
    one = replace(
        breeder(),
        sex_confidence=Confidence.LIKELY,
        gravid_since=date(2026, 2, 1),
        quarantine="Quarantine",
        unwell=(FindingKind.WEIGHT_LOSS,),
    )

    found = judge_breeder(one, profile=None, on=ON)

    assert [(r.kind, r.since, r.words) for r in found.reasons] == [
        (K.GRAVID, date(2026, 2, 1), ()),
        (K.SEX_NOT_CONFIRMED, None, ("likely",)),
        (K.IN_QUARANTINE, None, ("Quarantine",)),
        (K.UNWELL, None, ("weight_loss",)),
    ]


def test_row_without_the_bound_that_counts_judges_nothing() -> None:
    bare = tuple(replace(r, low=None, high=None) for r in profile().incubation)
    one = replace(breeder(days=1), mass_g=Decimal(1), laid_on=ON, clutches=9)

    found = judge_breeder(one, profile=replace(profile(), incubation=bare), on=ON)

    assert found.reasons == ()
    assert len(found.unsaid) == 4


def test_what_no_profile_says_is_told() -> None:
    silent = replace(profile(), incubation=())

    assert judge_breeder(breeder(Sex.MALE), profile=silent, on=ON).unsaid == (
        IncubationMatter.BREEDING_AGE_MALE_DAYS,
    )
    assert judge_breeder(breeder(), profile=None, on=ON).unsaid == (
        IncubationMatter.BREEDING_AGE_FEMALE_DAYS,
        IncubationMatter.BREEDING_MASS_FEMALE_G,
        IncubationMatter.REST_BETWEEN_CLUTCHES_DAYS,
        IncubationMatter.CLUTCHES_A_YEAR,
    )
    assert judge_breeder(breeder(), profile=profile(), on=ON).unsaid == ()


@pytest.mark.parametrize(
    ("first", "last", "month", "inside"),
    [
        *((3, 5, 2, False), (3, 5, 3, True), (3, 5, 5, True), (3, 5, 6, False)),
        *((11, 2, 10, False), (11, 2, 11, True), (11, 2, 2, True), (11, 2, 3, False)),
        (4, 4, 4, True),
    ],
)
def test_season_may_run_over_the_turn_of_the_year(
    first: int, last: int, month: int, inside: bool
) -> None:
    row = profile().incubation[0].provenance
    season = BreedingSeason("season", first, last, "", row)

    found = judge_season(replace(profile(), season=season), on=date(2026, month, 1))

    assert [r.kind for r in found] == ([] if inside else [K.OUT_OF_SEASON])


def test_without_a_season_every_month_will_do() -> None:
    assert judge_season(replace(profile(), season=None), on=ON) == ()
    assert judge_season(None, on=ON) == ()


@pytest.mark.parametrize(
    ("reason", "said"),
    [
        (
            Reason(K.RELATED, None, Decimal("0.125"), Decimal("0.0625")),
            "Young of the two would be inbred by F = 0.125; as much as those of first "
            "cousins (0.0625) or more.",
        ),
        (
            Reason(K.TOO_YOUNG, 7, Decimal(1), Decimal(270)),
            "V-7 is 1 day old; at least 270 days are wanted.",
        ),
        (
            Reason(K.AGE_UNKNOWN, 7, None, Decimal(270)),
            "The age of V-7 is not known; 270 days are wanted.",
        ),
        (
            Reason(K.AGE_UNKNOWN, 7, Decimal(61), Decimal(270)),
            "The age of V-7 is not known beyond 61 days; 270 days are wanted.",
        ),
        (
            Reason(K.TOO_LIGHT, 7, Decimal(80), Decimal(85), date(2026, 3, 1)),
            "V-7 weighed 2.82 oz on 1 Mar 2026; at least 3.00 oz are wanted.",
        ),
        (
            Reason(K.NOT_WEIGHED, 7, None, Decimal(85)),
            "V-7 was never weighed; at least 3.00 oz are wanted.",
        ),
        (
            Reason(K.NOT_RESTED, 7, Decimal(20), Decimal(120), date(2026, 2, 10)),
            "V-7 laid 20 days ago, on 10 Feb 2026; 120 days of rest are wanted.",
        ),
        (
            Reason(K.TOO_MANY_CLUTCHES, 7, Decimal(3), Decimal(3)),
            "V-7 brought forth 3 clutches within twelve months; 3 a year are the most.",
        ),
        (
            Reason(K.GRAVID, 7, since=date(2026, 2, 1)),
            "V-7 carries eggs or young since 1 Feb 2026.",
        ),
        (
            Reason(K.OUT_OF_SEASON, None, Decimal(3), words=("11", "2")),
            "Pairs are put together from Nov to Feb.",
        ),
        (
            Reason(K.SEX_NOT_CONFIRMED, 7, words=("likely",)),
            "The sex of V-7 is not confirmed (likely).",
        ),
        (
            Reason(K.IN_QUARANTINE, 7, words=("Annexe",)),
            "V-7 is in quarantine (Annexe).",
        ),
        (
            Reason(K.UNWELL, 7, words=("weight_loss", "warning_sign")),
            "V-7 may be unwell; urgent now: weight loss, warning sign. See to that "
            "first.",
        ),
    ],
    ids=lambda value: value.kind.value if isinstance(value, Reason) else "",
)
def test_every_reason_has_a_sentence(reason: Reason, said: str) -> None:
    assert tell_reason(reason, label="V-7", units=Units(mass=MassUnit.OZ)) == said
