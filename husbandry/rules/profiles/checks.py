"""What must hold between the rows of a profile.

Rows with problems of their own lend their names, so that one slip does not make
strangers of all rows that point at it, but are not held against other rows.
"""

from collections import defaultdict
from collections.abc import Callable, Hashable, Iterable, Iterator
from dataclasses import dataclass
from itertools import product
from typing import Generic, TypeVar

from husbandry.rules.profiles.nodes import Gathered, Pairs
from husbandry.rules.profiles.scalars import meant
from husbandry.rules.profiles.scopes import Scoped, holds, specificity
from husbandry.rules.profiles.sourced_rows import Row
from husbandry.rules.profiles.values import (
    GrowthReference,
    IncubationRule,
    LampRule,
    MistingRule,
    Source,
    Stage,
    SupplementRule,
    Target,
)
from husbandry.rules.vocabulary import Reproduction, Sex

V = TypeVar("V")


@dataclass(frozen=True, slots=True)
class Placed(Generic[V]):
    """A value, and the mapping it was read from."""

    value: V
    row: Row


def check_sources(sources: list[Placed[Source]], gathered: Gathered) -> None:
    """Note keys that stand twice, that no row uses, and that no source explains."""
    known: dict[str, Pairs] = {}
    for source in sources:
        first = known.setdefault(source.value.key, source.row)
        if source.value.key and first is not source.row:
            source.row.refuse(
                "key",
                f"The source {source.value.key!r} stands on line {first.line} too; "
                f"keep one.",
            )
    used = {key for key, _ in gathered.sources_used}
    for key, row in known.items():
        if key and key not in used:
            row.refuse("key", f"No row names the source {key!r}; use it or remove it.")
    for key, row in gathered.sources_used:
        if key not in known:
            row.refuse(
                "source",
                f"{key!r} is not among the sources{meant(key, list(known))}. "
                f"Accepted: {', '.join(sorted(known))}.",
            )


def check_stages(stages: list[Placed[Stage]], gathered: Gathered, root: Row) -> None:
    """Note stages that leave a gap, overlap or stand twice, and names of none."""
    if not stages and root.has("stages"):
        root.refuse("stages", "There is no stage; give at least one, from day 0.")
    codes: set[str] = set()
    for stage in stages:
        if stage.value.code in codes:
            stage.row.refuse(
                "code", f"The stage {stage.value.code!r} stands twice; rename one."
            )
        codes.add(stage.value.code)
    if all(stage.row.sound for stage in stages):
        _check_sequence(stages)
    for name, row in gathered.stages_named:
        if name not in codes:
            row.refuse(
                "stages" if row.has("stages") else "stall_stages",
                f"{name!r} is no stage of this profile{meant(name, sorted(codes))}. "
                f"Accepted: {', '.join(sorted(codes))}.",
            )


def _check_sequence(stages: list[Placed[Stage]]) -> None:
    expected: int | None = 0
    for stage in stages:
        _check_start(stage, expected)
        expected = stage.value.to_days
    if stages and expected is not None:
        stages[-1].row.refuse(
            "to_days", "The last stage has no end; leave its 'to_days' out."
        )


def _check_start(stage: Placed[Stage], expected: int | None) -> None:
    starts = stage.value.from_days
    if expected is None:
        stage.row.refuse(
            "from_days", "The stage before this one has no end; give it a 'to_days'."
        )
    elif starts != expected:
        what = "leaves a gap" if starts > expected else "overlaps"
        stage.row.refuse(
            "from_days",
            f"Day {starts} {what}: the stages must follow on one another; "
            f"give {expected}.",
        )


def check_incubation(rules: list[Placed[IncubationRule]]) -> None:
    """Note matters that are answered twice."""
    for rule, line in _answered_twice(rules, lambda value: value.matter):
        rule.row.refuse(
            "matter",
            f"{rule.value.matter.value!r} stands on line {line} too; keep one, and put "
            f"the other figure under its 'others'.",
        )


def check_lamps(rules: list[Placed[LampRule]]) -> None:
    """Note kinds of lamp that have two rows."""
    for rule, line in _answered_twice(rules, lambda value: value.kind):
        rule.row.refuse(
            "kind",
            f"{rule.value.kind.value!r} stands on line {line} too; keep one row for "
            f"each kind of lamp.",
        )


def check_growth_references(references: list[Placed[GrowthReference]]) -> None:
    """Note sexes that have two references."""
    for reference, line in _answered_twice(references, lambda value: value.sex):
        sex = reference.value.sex
        reference.row.refuse(
            "sex",
            f"A reference {f'of sex {sex.value!r}' if sex else 'of both sexes'} stands "
            f"on line {line} too; keep one for each sex, and one without 'sex' for "
            f"both.",
        )


def _answered_twice(
    rows: list[Placed[V]], matter: Callable[[V], Hashable]
) -> Iterator[tuple[Placed[V], int]]:
    """Yield the sound rows on a matter that an earlier one settled, and its line."""
    first: dict[Hashable, Placed[V]] = {}
    for row in (r for r in rows if r.row.sound):
        other = first.setdefault(matter(row.value), row)
        if other is not row:
            yield row, other.row.line


def check_supplements(rules: list[Placed[SupplementRule]]) -> None:
    """Note supplements that are given instead of one that is not there."""
    ids = {rule.value.id for rule in rules}
    for rule in rules:
        replaced = rule.value.instead_of
        if replaced is not None and replaced not in ids - {rule.value.id}:
            rule.row.refuse(
                "instead_of",
                f"{replaced!r} is no other supplement of this profile"
                f"{meant(replaced, sorted(ids))}.",
            )


def check_ties(rows: Iterable[Placed[Scoped]], stages: tuple[str, ...]) -> None:
    """Note pairs of rows that could both be the most specific for some animal.

    Every kind of animal is tried: each stage and none, each sex, each reproductive
    state. A pair is told once, on the row that stands later.

    Args:
        rows: of one section; targets compete within their spot only, misting within
            its time of the day.
        stages: the profile's stage names.
    """
    matters: dict[Hashable, list[Placed[Scoped]]] = defaultdict(list)
    for row in rows:
        matters[_matter(row.value)].append(row)
    told: set[tuple[int, int]] = set()
    for rivals in matters.values():
        for animal in product((None, *stages), Sex, Reproduction):
            best = _best(rivals, *animal)
            for later in best[1:]:
                pair = (id(best[0]), id(later))
                if pair not in told:
                    told.add(pair)
                    _tell_tie(best[0], later)


def _matter(value: Scoped) -> Hashable:
    if isinstance(value, Target):
        return (value.quantity, value.zone, value.period)
    if isinstance(value, MistingRule):
        return value.time
    return None


def _best(
    rivals: list[Placed[Scoped]], stage: str | None, sex: Sex, state: Reproduction
) -> list[Placed[Scoped]]:
    holding = [
        r
        for r in rivals
        if holds(r.value.scope, stage=stage, sex=sex, reproduction=state)
    ]
    top = max((specificity(r.value.scope) for r in holding), default=None)
    return [r for r in holding if specificity(r.value.scope) == top]


def _tell_tie(first: Placed[Scoped], later: Placed[Scoped]) -> None:
    later.row.refuse(
        "id",
        f"{later.value.id!r} and {first.value.id!r} on line {first.row.line} hold for "
        f"the same animals and are equally specific; change the stages, sex or "
        f"reproductive state of one, or put its figures under the other's 'others'.",
    )
