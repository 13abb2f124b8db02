"""The page on which one list of weighings is entered, in a few statements.

What is on record around the lines' instants is fetched once, each line is held against
it and against the lines before, and all that is new is written together.
"""

from bisect import bisect_left
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime

from core import audit
from core.constraints import promised
from core.models import User
from husbandry.actions.animal_books import Subjects
from husbandry.actions.staleness import mark_animals_stale
from husbandry.actions.weighing_checks import (
    WeighingError,
    check_weighed_at,
    known_among,
)
from husbandry.models import Animal, Weighing
from husbandry.queries.weights import last_weighings, weighed_in_its_room
from husbandry.rules.masses import check_plausible_mass, plausible_masses
from husbandry.rules.profiles.resolving import stage_on, weight_band_for
from husbandry.rules.profiles.values import Profile, WeightBand
from husbandry.rules.vocabulary import Sex
from husbandry.rules.weights import WeighingPoint

TOLD = ("animal", "at", "mass_g", "corrects", "note")
_UNSAVED = 0


@dataclass(frozen=True, slots=True)
class Expectation:
    """What a mass is held against; see `plausible_masses` for each part."""

    last: WeighingPoint | None
    band: WeightBand | None
    species: tuple[WeightBand, ...]

    def is_met_by(self, row: Weighing) -> bool:
        """Say whether a mass needs no reason."""
        plausible = plausible_masses(
            last=self.last, band=self.band, species=self.species
        )
        return plausible is None or row.mass_g in plausible

    def check(self, row: Weighing) -> None:
        """Refuse a mass that does not meet it, with who else may have been weighed.

        One query; what this list has stored already is seen.

        Raises:
            ImplausibleMassError: it looks like a slip.
        """
        check_plausible_mass(
            row.mass_g,
            last=self.last,
            band=self.band,
            species=self.species,
            neighbours=weighed_in_its_room(animal=row.animal, before_at=row.at),
        )


@dataclass(slots=True)
class WeighingBook:
    """The page for one list, whose lines are entered in the order of their instants."""

    subjects: Subjects
    by: User | None
    recorded_at: datetime
    there: dict[tuple[int, datetime], list[Weighing]]
    corrected: set[int]
    before: Mapping[int, WeighingPoint]
    points: dict[int, list[WeighingPoint]]
    added: list[Weighing] = field(default_factory=list)

    def enter(self, row: Weighing, *, confirmed: bool) -> Weighing | Expectation:
        """Enter one line, unless it is on record or its mass is unlikely.

        Args:
            row: as the line says, not stored; its animal is one of the subjects.
            confirmed: somebody has said why its mass is right.

        Returns:
            The weighing that stands for it; or what its mass fails to meet, and then
            nothing was entered.

        Raises:
            WeighingError: see `record_weighing`.
        """
        animal, there = row.animal, self.there[(row.animal_id, row.at)]
        known = known_among(row, there, corrected=self.corrected)
        if known is not None:
            return known
        on = self.subjects.day_of(animal, row.at)
        times = self.subjects.away.get(animal.pk, ())
        check_weighed_at(
            animal, at=row.at, on=on, times=times, recorded_at=self.recorded_at
        )
        profile = self.subjects.profile_of(animal, on)
        expected = _expectation(
            animal, profile, stage=_stage(animal, profile, on), last=self._last(row)
        )
        if not confirmed and not expected.is_met_by(row):
            return expected
        self._add(row)
        return row

    def _last(self, row: Weighing) -> WeighingPoint | None:
        points = self.points[row.animal_id]
        place = bisect_left(points, row.at, key=lambda point: point.at)
        return points[place - 1] if place else self.before.get(row.animal_id)

    def _add(self, row: Weighing) -> None:
        row.recorded_by, row.recorded_at = self.by, self.recorded_at
        self.added.append(row)
        self.there[(row.animal_id, row.at)].insert(0, row)
        # Lines come in the order of their instants, but some may lie ahead on record.
        points = self.points[row.animal_id]
        place = bisect_left(points, row.at, key=lambda point: point.at)
        points.insert(place, WeighingPoint(_UNSAVED, row.at, row.mass_g))

    def write(self) -> None:
        """Write what is new, with an audit entry each, and mark reviews stale.

        Raises:
            WeighingError: another writer has come in between; nothing is written.
        """
        if not self.added:
            return
        raced = WeighingError(
            "Another weighing of one of these animals was recorded at the same moment. "
            "Send the list again: what is on record by then stays as it is.",
            fields={"at": "an instant without a weighing"},
        )
        with promised(
            {
                "husbandry_weighing_once_an_instant": raced,
                "husbandry_weighing.animal_id": raced,
            }
        ):
            Weighing.objects.bulk_create(self.added)
        since_at: dict[int, datetime] = {}
        for row in self.added:
            since_at[row.animal_id] = min(since_at.get(row.animal_id, row.at), row.at)
        mark_animals_stale(since_at=since_at, at=self.recorded_at)
        deeds = [_deed(row) for row in self.added]
        audit.record_all(deeds, by=self.by, at=self.recorded_at)


def open_weighing_book(
    *,
    subjects: Subjects,
    from_at: datetime,
    until_at: datetime,
    by: User | None,
    recorded_at: datetime,
) -> WeighingBook:
    """Open the page for a list; two queries.

    Args:
        subjects: the animals, locked.
        from_at: the first instant of the lines.
        until_at: the last.
        by: the person.
        recorded_at: now.
    """
    animals = {animal.pk: animal for animal in subjects.animals.values()}
    there: dict[tuple[int, datetime], list[Weighing]] = defaultdict(list)
    points: dict[int, list[WeighingPoint]] = defaultdict(list)
    corrected = set()
    rows = Weighing.objects.filter(
        animal__in=animals, at__range=(from_at, until_at)
    ).select_related("corrected_by")
    for row in rows.order_by("at", "-pk"):
        row.animal = animals[row.animal_id]
        there[(row.animal_id, row.at)].append(row)
        if hasattr(row, "corrected_by"):
            corrected.add(row.pk)
        else:
            points[row.animal_id].append(WeighingPoint(row.pk, row.at, row.mass_g))
    return WeighingBook(
        subjects=subjects,
        by=by,
        recorded_at=recorded_at,
        there=there,
        corrected=corrected,
        before=last_weighings(animal_ids=animals.keys(), before_at=from_at),
        points=points,
    )


def _stage(animal: Animal, profile: Profile | None, on: date) -> str | None:
    if profile is None:
        return None
    stage = stage_on(profile, hatched_on=animal.hatched_on, on=on)
    return stage.code if stage else None


def _expectation(
    animal: Animal,
    profile: Profile | None,
    *,
    stage: str | None,
    last: WeighingPoint | None,
) -> Expectation:
    if profile is None:
        return Expectation(last, None, ())
    band = weight_band_for(profile, stage, Sex(animal.sex))
    return Expectation(last, band, profile.weight_bands)


def _deed(row: Weighing) -> audit.Deed:
    """Return what is told of a line: with a reason, somebody has confirmed it."""
    verb = "confirm_weighing" if row.note else "record_weighing"
    after = audit.values(row, *TOLD)
    return audit.Deed(row, verb, after=after, reason=row.note)
