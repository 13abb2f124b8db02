"""What is refused, and what is remarked on, where young are taken in."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from clutches.rules.hatching.refusals import (
    early_hatch,
    mixed_species,
    too_many_young,
)
from clutches.rules.vocabulary import ClutchKind
from husbandry.rules.profiles.values import (
    Disagreement,
    IncubationRule,
    Provenance,
)
from husbandry.rules.profiles.vocabulary import IncubationMatter
from husbandry.rules.vocabulary import Standing

FROM = Provenance("long-2008", Standing.PUBLISHED, date(2026, 1, 1))
# Long 2008: six to nine months; Stahl's review: September 1990 to March 1991.
DAYS = IncubationRule(
    id="eggs-hatch",
    matter=IncubationMatter.HATCH_DAYS,
    low=Decimal(180),
    high=Decimal(275),
    text="",
    provenance=FROM,
    others=(
        Disagreement(Decimal(152), Decimal(211), FROM),
        Disagreement(None, None, FROM),
    ),
)


@pytest.mark.parametrize(
    ("hatched_on", "early"),
    [
        (date(2026, 6, 1), True),
        (date(2026, 6, 2), False),
        (date(2026, 12, 31), False),
        (date(2026, 1, 2), True),
    ],
)
def test_only_what_no_figure_covers_is_early(hatched_on: date, early: bool) -> None:
    said = early_hatch(
        DAYS, code="C-1", laid_on=date(2026, 1, 1), hatched_on=hatched_on
    )

    assert (said is not None) is early


def test_nothing_is_early_where_nothing_is_said() -> None:
    silent = replace(DAYS, low=None, others=())
    for rule in (None, silent):
        assert (
            early_hatch(
                rule,
                code="C-1",
                laid_on=date(2026, 1, 1),
                hatched_on=date(2026, 1, 2),
            )
            is None
        )


def test_species_are_not_mixed() -> None:
    assert mixed_species([]) == mixed_species(["Veiled chameleon"]) == []
    [said] = mixed_species(["Veiled chameleon", "Leopard gecko"])
    assert said.startswith("Eggs of Leopard gecko and Veiled chameleon are given")


@pytest.mark.parametrize(
    ("kind", "given", "said"),
    [
        (ClutchKind.LIVE_YOUNG, 2, ""),
        (ClutchKind.LIVE_YOUNG, 3, "2 of them are not registered yet, and 3 are given"),
        (ClutchKind.EGGS, 1, "is a clutch of eggs"),
    ],
)
def test_no_more_young_than_were_born(kind: ClutchKind, given: int, said: str) -> None:
    found = too_many_young(
        code="L-1", kind=kind, born_alive=5, registered=3, given=given
    )

    assert bool(found) is bool(said)
    assert said in "".join(found)
