"""Random histories of animals, as rows, and what a register has to tell of them."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from random import Random

from core.models import Site
from husbandry.models import Animal
from placements.models import Home
from tests.factories import (
    AnimalFactory,
    ArrivalFactory,
    DeathFactory,
    EarlierCareFactory,
    HomeFactory,
    IntakeFactory,
    PlacementFactory,
    SiteFactory,
)

FIRST = date(2024, 1, 1)
SOURCES = ("surrender", "stray", "seizure", "transfer_in", "bought", "lent_to_us", "")
LEAVES = ("adoption", "sale", "transfer", "foster", "loan", "lost", "")
ENDS = (*LEAVES, "dead", "asleep", "here", "here", "lasting", "died_there")
Told = tuple[date, str, str]
"""Day, came or left, and how."""


@dataclass(slots=True)
class Life:
    """One animal, and what the register has to say of it, worked out as it is made."""

    animal: Animal
    told: list[Told] = field(default_factory=list)


@dataclass(slots=True)
class Maker:
    """Makes lives out of a random source: one site, one home."""

    random: Random
    site: Site = field(default_factory=SiteFactory.create)
    home: Home = field(default_factory=HomeFactory.create)

    def lives(self, count: int) -> Iterator[Life]:
        """Make so many animals, each with one to four times in care."""
        for _ in range(count):
            yield self.life()

    def life(self) -> Life:
        """Make one animal."""
        day = FIRST + timedelta(days=self.random.randrange(300))
        life = Life(AnimalFactory.create(arrived_on=day))
        came = self.random.choice(SOURCES)
        for _ in range(self.random.choice((0, 0, 1, 2, 3))):
            self._come(life, day, came)
            arrived_on, day = day, self._later(day)
            how = self.random.choice(LEAVES)
            back_on = self._later(day)
            self._leave(life, day, how, back_on)
            status = "lost" if how == "lost" else "placed"
            EarlierCareFactory.create(
                animal=life.animal, arrived_on=arrived_on, left_on=day, status=status
            )
            came = {"lost": "found_again", "": ""}.get(how, "return")
            day = back_on
        self._come(life, day, came)
        life.animal.arrived_on = day
        self._end(life, self._later(day), self.random.choice(ENDS))
        return life

    def _later(self, day: date) -> date:
        return day + timedelta(days=self.random.randrange(1, 60))

    def _come(self, life: Life, on: date, how: str) -> None:
        life.told.append((on, "came", how or "not_said"))
        by_intake = how == "return" and self.random.random() < 0.5
        if how in SOURCES[:-1] or by_intake:
            arrival = ArrivalFactory.create(
                site=self.site,
                home=self.home,
                source=how,
                arrived_at=datetime.combine(on, time(11), UTC),
            )
            IntakeFactory.create(arrival=arrival, animal=life.animal)

    def _leave(self, life: Life, on: date, how: str, back_on: date | None) -> None:
        life.told.append((on, "left", {"lost": "loss", "": "not_said"}.get(how, how)))
        if how in ("lost", ""):
            return
        PlacementFactory.create(
            animal=life.animal,
            home=self.home,
            kind=how,
            handed_over_on=on,
            ended_on=back_on,
            state="came_back" if back_on else "handed_over",
        )

    def _end(self, life: Life, on: date, how: str) -> None:
        animal = life.animal
        if how == "here":
            animal.save()
            return
        animal.left_on = on
        animal.status = "placed"
        if how in ("dead", "asleep"):
            animal.status = "dead"
            vet = "A licensed vet" if how == "asleep" else ""
            DeathFactory.create(animal=animal, on=on, euthanised_by=vet)
            told = "put_to_sleep" if how == "asleep" else "death"
            life.told.append((on, "left", told))
        elif how in ("lasting", "died_there"):
            self._end_away(life, on, how)
        else:
            animal.status = "lost" if how == "lost" else "placed"
            self._leave(life, on, how, None)
        animal.save()

    def _end_away(self, life: Life, on: date, how: str) -> None:
        """Let a foster stay become an adoption, or end in a death."""
        ended_on = self._later(on)
        state = "made_lasting" if how == "lasting" else how
        said = {"animal": life.animal, "home": self.home}
        foster = PlacementFactory.create(
            **said, kind="foster", handed_over_on=on, ended_on=ended_on, state=state
        )
        life.told.append((on, "left", "foster"))
        life.told.append(
            (ended_on, "left", "adoption" if how == "lasting" else "death")
        )
        if how == "lasting":
            PlacementFactory.create(
                **said,
                kind="adoption",
                handed_over_on=ended_on,
                state="handed_over",
                follows=foster,
            )
