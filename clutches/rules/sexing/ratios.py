"""How many of each sex hatched in each group, beside what would be expected."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from clutches.rules.figures.counting import SexFigures, sexes_of
from clutches.rules.figures.facts import BreedingRows, HatchlingRow
from clutches.rules.figures.grouping import MEASURED_FOR
from clutches.rules.sexing.temperatures import RatioTold, ratio_at
from husbandry.rules.profiles.values import SexRatio

TENTH = Decimal("0.1")


@dataclass(frozen=True, slots=True)
class GroupSexes:
    """Sexes of the hatchlings of one group.

    Attributes:
        group: its name.
        sexes: counts, the share of females with its exact interval, and the test.
        by_warmth: a species is among them of which sexes by warmth are published, so
            that as many of each is not what is to be expected.
        published: what is published at the mean temperature of their eggs, to a tenth
            of a degree; None: they are of several species, or of one without such
            figures, or too little was measured.
    """

    group: str
    sexes: SexFigures
    by_warmth: bool
    published: RatioTold | None

    @property
    def p(self) -> float | None:
        """Return the test against as many of each; None where it would not be fair."""
        return None if self.by_warmth else self.sexes.p


def group_sexes(
    groups: Mapping[str, BreedingRows], published: Mapping[str, Sequence[SexRatio]]
) -> tuple[GroupSexes, ...]:
    """Return the sexes of each group in which anything hatched.

    No animal gets a sex from a temperature here: counts are of what was seen.

    Args:
        groups: rows by the name of the group.
        published: rows of care profiles, by the code of the species; where warmth
            decides nothing, none.

    Source:
        clopper-pearson-1934, r-binom-test; flores-1994 for the leopard gecko.
    """
    return tuple(
        _group(name, rows, published)
        for name, rows in groups.items()
        if rows.hatchlings
    )


def _group(
    name: str, rows: BreedingRows, published: Mapping[str, Sequence[SexRatio]]
) -> GroupSexes:
    of = {clutch.id: clutch.species for clutch in rows.clutches}
    species = {of[young.clutch] for young in rows.hatchlings}
    told = [published.get(code, ()) for code in species]
    mean_c = _mean_c(rows.hatchlings)
    return GroupSexes(
        group=name,
        sexes=sexes_of(rows.hatchlings),
        by_warmth=any(told),
        published=ratio_at(told[0], mean_c)
        if len(told) == 1 and told[0] and mean_c is not None
        else None,
    )


def _mean_c(hatchlings: Sequence[HatchlingRow]) -> Decimal | None:
    known = [
        young.mean_c
        for young in hatchlings
        if young.mean_c is not None and young.measured >= MEASURED_FOR
    ]
    if not known:
        return None
    return Decimal(sum(known) / len(known)).quantize(TENTH)
