"""Mappings of a profile that name their sources: rows, and parts of rows."""

from datetime import date
from functools import partial

from husbandry.rules.profiles.nodes import Pairs
from husbandry.rules.profiles.scalars import Limits, as_day, as_name
from husbandry.rules.profiles.values import Disagreement, Provenance
from husbandry.rules.vocabulary import Standing

ID_PATTERN = "[a-z0-9]+(-[a-z0-9]+)*"
STAGE_PATTERN = "[a-z][a-z0-9]*(_[a-z0-9]+)*"
PROVENANCE_KEYS = ("source", "standing", "reviewed_on", "source_note")


class Row(Pairs):
    """One row: it has an id, holds for some stages, and stands on somebody's word."""

    def identity(self) -> str:
        """Return the row's id, which stands once in a file."""
        found = self.name("id", ID_PATTERN, "night-adult")
        first = self.gathered.rows_by_id.setdefault(found, self)
        if found and first is not self:
            self.refuse(
                "id", f"The id {found!r} stands on line {first.line} too; rename one."
            )
        return found

    def stages(self, key: str = "stages") -> tuple[str, ...]:
        """Return the names of stages; left out, the row holds for all."""
        read = partial(as_name, pattern=STAGE_PATTERN, example="adult")
        found = self.items(key, read)
        if self.has(key) and not found and self.sound:
            self.refuse(
                key, "No stage is named; name some, or leave the key out for all."
            )
        self.gathered.stages_named.extend((stage, self) for stage in found)
        return found

    def provenance(self) -> Provenance:
        """Return on whose word the row stands; source and standing are required."""
        found = Provenance(
            source=self.name("source", ID_PATTERN, "common-practice"),
            standing=self.word("standing", Standing),
            reviewed_on=self._reviewed_on(),
            note=self.text_if_there("source_note"),
        )
        if found.source:
            self.gathered.sources_used.append((found.source, self))
        return found

    def provenance_if_there(self) -> Provenance | None:
        """Return on whose word a part of a row stands; None: as the row itself."""
        named = [self.has(key) for key in PROVENANCE_KEYS]
        return self.provenance() if any(named) else None

    def others(self, limits: Limits) -> tuple[Disagreement, ...]:
        """Return what other sources say instead: numbers, or a note in words."""
        if not self.has("others"):
            return ()
        found = []
        for row in self._rows("others"):
            low = row.number_if_there("low", limits)
            high = row.number_if_there("high", limits)
            row.in_order("low", "high")
            said = Disagreement(low, high, row.provenance())
            if row.sound and low is None and high is None and not said.provenance.note:
                row.refuse("", "It says nothing; give low, high or a source_note.")
            row.done()
            found.append(said)
            self.sound = self.sound and row.sound
        return tuple(found)

    def _reviewed_on(self) -> date:
        default = self.gathered.reviewed_on
        if self.has("reviewed_on"):
            return self._read("reviewed_on", as_day, date.min)
        if default is None:
            self.refuse(
                "",
                "The key 'reviewed_on' is missing; add it, or one for the whole file "
                "at its top.",
            )
        return default or date.min
