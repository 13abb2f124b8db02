"""For which animals a row holds, and which of several rows wins.

A row holds for an animal when every dimension that it names (stage, sex,
reproductive state) is the animal's; one whose stage or sex is not known is met
only by rows that do not name it. Of the rows that hold, the most specific wins:
the one that names more dimensions; of those that name equally many, the one that
names the reproductive state, then the one that names the sex. Two rows that still
tie are refused when the profile is read (`checks.check_ties`).
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Protocol, TypeVar

from husbandry.rules.vocabulary import Reproduction, Sex


@dataclass(frozen=True, slots=True)
class Scope:
    """For which animals a row holds."""

    stages: tuple[str, ...] = ()
    sex: Sex | None = None
    reproduction: Reproduction | None = None


class Scoped(Protocol):
    """A row that holds for some animals only."""

    @property
    def id(self) -> str:
        """Return the row's name, once in a profile."""

    @property
    def scope(self) -> Scope:
        """Return for which animals it holds."""


R = TypeVar("R", bound=Scoped)


def holds(
    scope: Scope, *, stage: str | None, sex: Sex, reproduction: Reproduction
) -> bool:
    """Say whether a row of this scope holds for an animal.

    Args:
        scope: what the row names.
        stage: the animal's life stage; None: not known.
        sex: the animal's sex, possibly unknown.
        reproduction: the animal's reproductive state.
    """
    return (
        (not scope.stages or stage in scope.stages)
        and scope.sex in (None, sex)
        and scope.reproduction in (None, reproduction)
    )


def specificity(scope: Scope) -> tuple[int, bool, bool]:
    """Return how specific a row is; the greater wins.

    How many dimensions it names; then whether it names the reproductive state;
    then whether it names the sex. Equal only where the same dimensions are named.
    """
    state, sex = scope.reproduction is not None, scope.sex is not None
    return (state + sex + bool(scope.stages), state, sex)


def most_specific(
    rows: Iterable[R],
    *,
    stage: str | None,
    sex: Sex = Sex.UNKNOWN,
    reproduction: Reproduction = Reproduction.RESTING,
) -> R | None:
    """Return the one row that holds for an animal, or None where none does.

    Args:
        rows: of one matter, free of ties.
        stage: the animal's life stage; None: not known.
        sex: the animal's sex; rows that name one need the same.
        reproduction: the animal's reproductive state.
    """
    holding = (
        r
        for r in rows
        if holds(r.scope, stage=stage, sex=sex, reproduction=reproduction)
    )
    return max(holding, key=lambda r: specificity(r.scope), default=None)
