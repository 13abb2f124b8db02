"""From the YAML text of a care profile to its values, or to all that is wrong.

Nothing is read by half: one problem refuses the whole profile, and every problem
is found in one reading.
"""

from collections.abc import Callable
from datetime import date
from typing import TypeVar

import yaml

from husbandry.rules.profiles import breeding_rows, growth_rows, rows, upkeep_rows
from husbandry.rules.profiles.checks import (
    Placed,
    check_growth_references,
    check_incubation,
    check_lamps,
    check_sources,
    check_stages,
    check_supplements,
    check_ties,
)
from husbandry.rules.profiles.climate_rows import read_target
from husbandry.rules.profiles.nodes import Gathered
from husbandry.rules.profiles.problems import Problem, ProfileErrors
from husbandry.rules.profiles.scalars import as_day
from husbandry.rules.profiles.scopes import Scoped
from husbandry.rules.profiles.sourced_rows import STAGE_PATTERN, Row
from husbandry.rules.profiles.trees import read_tree
from husbandry.rules.profiles.values import Profile, WeightPolicy

V = TypeVar("V")
S = TypeVar("S", bound=Scoped)
# Texts that were published before there were such sections do not have them.
OPTIONAL_SECTIONS = {"misting", "lamps", "growth_references", "sex_ratios"}


def read_profile(text: str, *, name: str) -> Profile:
    """Read a care profile.

    Args:
        text: YAML; a `reviewed_on` at the top of the file stands for every row that
            gives none, and is written into each row's provenance.
        name: of the file or text, for sentences.

    Returns:
        The profile, free of ties, with every row's provenance filled in.

    Raises:
        ProfileErrors: something is wrong; it lists all problems by line.
    """
    root, problems = read_tree(text)
    if root is None:
        raise ProfileErrors(name, problems)
    if not isinstance(root, yaml.MappingNode):
        sentence = "A care profile is made of key: value pairs, such as species: …"
        raise ProfileErrors(name, (Problem(1, 1, "", sentence),))
    reading = _Reading(Row(root, "", Gathered()))
    profile = reading.profile()
    if reading.gathered.problems:
        raise ProfileErrors(name, tuple(reading.gathered.problems))
    return profile


class _Reading:
    """One reading of one file."""

    def __init__(self, root: Row) -> None:
        self.root = root
        self.gathered = root.gathered
        self.stage_codes: tuple[str, ...] = ()

    def profile(self) -> Profile:
        """Read everything, then check what must hold between the rows."""
        root = self.root
        if root.has("reviewed_on"):
            self.gathered.reviewed_on = root.take("reviewed_on", as_day, date.min)
        sources = self._section("sources", rows.read_source)
        stages = self._section("stages", rows.read_stage)
        self.stage_codes = tuple(s.value.code for s in stages)
        incubation = self._section("incubation", rows.read_incubation)
        supplements = self._section("supplements", rows.read_supplement)
        lamps = self._section("lamps", upkeep_rows.read_lamp)
        references = self._section(
            "growth_references", growth_rows.read_growth_reference
        )
        profile = Profile(
            species=root.name("species", STAGE_PATTERN, "veiled_chameleon"),
            common_name=root.text("common_name"),
            scientific_name=root.text("scientific_name"),
            sources=_values(sources),
            stages=_values(stages),
            targets=self._scoped("targets", read_target),
            light_hours=self._scoped("light_hours", rows.read_light_hours),
            housing=self._scoped("housing", rows.read_housing),
            company=self._scoped("company", rows.read_company),
            laying=self._scoped("laying", rows.read_laying),
            feeding=self._scoped("feeding", rows.read_feeding),
            feeders=_values(self._section("feeders", rows.read_feeder)),
            supplements=_values(supplements),
            weight_bands=self._scoped("weight_bands", rows.read_weight_band),
            weighing=self._scoped("weighing", rows.read_weighing),
            weight_policy=self._weight_policy(),
            warning_signs=_values(
                self._section("warning_signs", rows.read_warning_sign)
            ),
            incubation=_values(incubation),
            cautions=_values(self._section("cautions", rows.read_caution)),
            checklist=_values(self._section("checklist", rows.read_checklist_item)),
            notes=_values(self._section("notes", rows.read_note)),
            misting=self._scoped("misting", upkeep_rows.read_misting),
            gut_load=self._mapping("gut_load", upkeep_rows.read_gut_load),
            lamps=_values(lamps),
            settling=self._mapping("settling", upkeep_rows.read_settling),
            growth_references=_values(references),
            growth_policy=self._mapping(
                "growth_policy", growth_rows.read_growth_policy
            ),
            dosing=self._mapping("dosing", growth_rows.read_dosing),
            sexing=self._mapping("sexing", breeding_rows.read_sexing),
            sex_ratios=_values(
                self._section("sex_ratios", breeding_rows.read_sex_ratio)
            ),
            season=self._mapping("season", breeding_rows.read_season),
        )
        root.done()
        check_incubation(incubation)
        check_supplements(supplements)
        check_lamps(lamps)
        check_growth_references(references)
        check_stages(stages, self.gathered, root)
        check_sources(sources, self.gathered)
        return profile

    def _section(self, key: str, read: Callable[[Row], V]) -> list[Placed[V]]:
        """Return the rows of a section, those with problems among them."""
        if key in OPTIONAL_SECTIONS and not self.root.has(key):
            return []
        found = []
        for row in self.root.rows(key):
            found.append(Placed(read(row), row))
            row.done()
        return found

    def _scoped(self, key: str, read: Callable[[Row], S]) -> tuple[S, ...]:
        """Return the values of a section in which at most one row may win."""
        found = self._section(key, read)
        scoped: list[Placed[Scoped]] = [
            Placed(p.value, p.row) for p in found if p.row.sound
        ]
        check_ties(scoped, self.stage_codes)
        return _values(found)

    def _mapping(self, key: str, read: Callable[[Row], V]) -> V | None:
        """Return the value of a mapping that may be left out."""
        row = self.root.child(key)
        if row is None:
            return None
        found = read(row)
        row.done()
        return found

    def _weight_policy(self) -> WeightPolicy:
        row = self.root.child("weight_policy")
        if row is None:
            if not self.root.has("weight_policy"):
                self.root.refuse("", "The key 'weight_policy' is missing; add it.")
            # A stand-in, whose own problems nobody needs to hear.
            nothing = yaml.MappingNode("", [], self.root.node.start_mark)
            row = Row(nothing, "", Gathered())
        policy = rows.read_weight_policy(row)
        row.done()
        return policy


def _values(placed: list[Placed[V]]) -> tuple[V, ...]:
    return tuple(p.value for p in placed)
