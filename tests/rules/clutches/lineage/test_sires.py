"""Who is put forward as sire, and which sets of sires are refused."""

from datetime import date, timedelta
from decimal import Decimal

import pytest

from clutches.rules.facts import Mating
from clutches.rules.lineage.sires import (
    Sired,
    SireError,
    SireShare,
    check_sires,
    likely_sires,
)
from clutches.rules.vocabulary import SireBasis
from core.errors import DomainError
from husbandry.rules.parents import ParentError, Relative
from husbandry.rules.vocabulary import DatePrecision, Sex

LAID_ON = date(2026, 3, 2)
B = SireBasis


def met(sire: int, days_before: int) -> Mating:
    return Mating(LAID_ON - timedelta(days=days_before), sire, f"M-{sire}", mated=True)


@pytest.mark.parametrize(
    ("matings", "expected"),
    [
        ([], ()),
        ([met(7, 30)], ((7, Decimal(1), B.ONLY_MATE),)),
        ([met(7, 365)], ((7, Decimal(1), B.ONLY_MATE),)),
        ([met(7, 366)], ()),
        ([met(7, 0)], ()),
        ([met(7, 1)], ((7, Decimal(1), B.ONLY_MATE),)),
        ([met(7, 30), met(7, 40)], ((7, Decimal(1), B.ONLY_MATE),)),
        # The last is not favoured, and 35 days are still fresh.
        (
            [met(8, 36), met(7, 35)],
            ((7, Decimal("0.5"), B.MATED_BEFORE), (8, Decimal("0.5"), B.STORED_SPERM)),
        ),
        # Met long ago and again: the newer counts.
        (
            [met(8, 200), met(8, 20), met(7, 30), met(9, 300)],
            (
                (7, Decimal("0.33333"), B.MATED_BEFORE),
                (8, Decimal("0.33333"), B.MATED_BEFORE),
                (9, Decimal("0.33333"), B.STORED_SPERM),
            ),
        ),
    ],
)
def test_likely_sires(
    matings: list[Mating], expected: tuple[tuple[int, Decimal, SireBasis], ...]
) -> None:
    found = likely_sires(matings, laid_on=LAID_ON, stored_days=365, fresh_days=35)

    assert found == expected


def test_without_a_figure_no_mating_is_called_stored() -> None:
    found = likely_sires([met(8, 300), met(7, 30)], laid_on=LAID_ON, stored_days=365)

    assert {basis for _, _, basis in found} == {B.MATED_BEFORE}


def male(id_: int = 7, *, sex: Sex = Sex.MALE, species: int = 1, hatched_on: date | None = date(2025, 1, 1)) -> Relative:  # fmt: skip
    precision = DatePrecision.DAY if hatched_on else DatePrecision.UNKNOWN
    return Relative(id_, f"M-{id_}", species, sex, hatched_on, precision)


CLUTCH = Relative(None, "clutch C-1", 1, Sex.UNKNOWN, LAID_ON, DatePrecision.DAY)
OF = Sired(CLUTCH, male(3, sex=Sex.FEMALE), {})


def share(sire: Relative, probability: str = "0.5") -> SireShare[Relative]:
    return SireShare(sire, Decimal(probability), B.REPORTED)


@pytest.mark.parametrize(
    "shares",
    [
        (),
        (share(male(), "1"),),
        (share(male(7)), share(male(8))),
        (share(male(7), "0.00001"),),
        (share(male(sex=Sex.UNKNOWN)),),
        (share(male(hatched_on=None)),),
        (share(male(hatched_on=LAID_ON - timedelta(days=1))),),
    ],
)
def test_sets_that_can_be(shares: tuple[SireShare[Relative], ...]) -> None:
    check_sires(shares, of=OF)


@pytest.mark.parametrize(
    ("shares", "said"),
    [
        ((share(male(), "0"),), "M-7 has the probability 0;"),
        ((share(male(), "-0.1"),), "M-7 has the probability -0.1;"),
        ((share(male(), "1.00001"),), "M-7 has the probability 1.00001;"),
        ((share(male(), "0.000001"),), "M-7 has the probability 0.000001;"),
        ((share(male(), "NaN"),), "M-7 has the probability NaN;"),
        ((share(male(), "Infinity"),), "M-7 has the probability Infinity;"),
        ((share(male(7), "0.6"), share(male(8), "0.5")), "add up to 1.1;"),
        ((share(male(7)), share(male(7), "0.25")), "M-7 is named twice;"),
    ],
)
def test_sets_that_cannot_be(
    shares: tuple[SireShare[Relative], ...], said: str
) -> None:
    with pytest.raises(SireError, match=r"accepted|at most 1|once") as refused:
        check_sires(shares, of=OF)

    assert said in refused.value.sentence


@pytest.mark.parametrize(
    ("sire", "said"),
    [
        (male(sex=Sex.FEMALE), "M-7 is female and cannot be the sire of clutch C-1."),
        (
            male(species=2),
            "M-7 is of another species than clutch C-1 and cannot be its sire.",
        ),
        # A sire that hatched on the day of laying is younger than the clutch.
        (
            male(hatched_on=LAID_ON),
            "M-7 hatched 02 Mar 2026, not before clutch C-1 (02 Mar 2026), and cannot "
            "be its sire.",
        ),
        (male(3), "M-3 cannot be both dam and sire of clutch C-1."),
    ],
)
def test_males_that_cannot_be(sire: Relative, said: str) -> None:
    with pytest.raises(ParentError) as refused:
        check_sires([share(sire)], of=OF)

    assert refused.value.sentence == said


def test_sire_that_descends_from_the_clutch_is_refused() -> None:
    of = Sired(CLUTCH, None, {7: ("M-7", "V-2", "clutch C-1")})

    with pytest.raises(DomainError) as refused:
        check_sires([share(male())], of=of)

    assert refused.value.sentence == (
        "M-7 descends from clutch C-1 itself (M-7 ← V-2 ← clutch C-1) and cannot be "
        "its sire."
    )
