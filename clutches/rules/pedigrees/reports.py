"""What became of a pedigree file, in counts and sentences."""

from collections import Counter
from dataclasses import dataclass

from clutches.rules.pedigrees.records import ImportPlan, LineOutcome, LineTold

MOST_TOLD = 200
"""So many lines are told one by one where people read them; others are counted."""


@dataclass(frozen=True, slots=True)
class PedigreeReport:
    """What one file came to, or would come to.

    Attributes:
        dry_run: nothing was stored.
        rows: lines with an animal.
        registered: animals put on record that have a line.
        named_only: animals put on record that are only named as parents.
        filled_in: animals on record of which more is known now.
        known: lines that say nothing new.
        refused: lines of which nothing was taken.
        lines: of every line.
    """

    file_name: str
    dry_run: bool
    rows: int
    registered: int
    named_only: tuple[str, ...]
    filled_in: int
    known: int
    refused: int
    lines: tuple[LineTold, ...]

    def changes_something(self) -> bool:
        """Say whether anything is, or would be, put on record."""
        return bool(self.registered or self.named_only or self.filled_in)

    def sentences(self, *, at_most: int = MOST_TOLD) -> tuple[str, ...]:
        """Return the report as sentences, counts first, then what was left out.

        Args:
            at_most: how many lines are told one by one; the others are counted.
        """
        wrong = [line for line in self.lines if line.said]
        told = [
            f"Line {line.line}, {line.code or 'no code'}: {text}"
            for line in wrong
            for text in line.said
        ]
        more = len(told) - at_most
        return (
            self.summary(),
            *told[:at_most],
            *([f"… and {more} more like these."] if more > 0 else []),
        )

    def summary(self) -> str:
        """Return the counts in one sentence or two."""
        will = "would be " if self.dry_run else ""
        named = len(self.named_only)
        counted = [
            _count(self.registered, "animal", f"{will}put on record"),
            _count(named, "animal", f"only named as a parent {will}put on record"),
            _count(self.filled_in, "animal", f"on record {will}filled in"),
            _count(self.known, "line", "known already"),
            _count(self.refused, "line", "refused"),
        ]
        what = "; ".join(filter(None, counted)) or "nothing to put on record"
        lines = _count(self.rows, "line", "read") or "no line read"
        tail = " Nothing was stored: this was a dry run." if self.dry_run else ""
        return f"{self.file_name}: {lines}: {what}.{tail}"


def _count(number: int, thing: str, what: str) -> str:
    if not number:
        return ""
    return f"{number} {thing}{'' if number == 1 else 's'} {what}"


def report_of(plan: ImportPlan, *, file_name: str, dry_run: bool) -> PedigreeReport:
    """Return what a plan comes to.

    Args:
        plan: carried out, or only made.
        file_name: of the file, for the reader.
        dry_run: whether it was only made.
    """
    outcomes = Counter(line.outcome for line in plan.lines)
    named = [
        animal.code
        for generation in plan.generations
        for animal in generation
        if animal.line is None
    ]
    return PedigreeReport(
        file_name=file_name,
        dry_run=dry_run,
        rows=len(plan.lines),
        registered=outcomes[LineOutcome.REGISTERED],
        named_only=tuple(sorted(named)),
        filled_in=outcomes[LineOutcome.FILLED_IN],
        known=outcomes[LineOutcome.KNOWN],
        refused=outcomes[LineOutcome.REFUSED],
        lines=plan.lines,
    )
