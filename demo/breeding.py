"""Put the demo's pairs, clutches, boxes and eggs on record, as its people did."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from decimal import Decimal

from clutches.actions.ascribing import AscribedRow, ascribe_animals
from clutches.actions.box_checks import BoxCheckRow, record_box_checks
from clutches.actions.boxes import make_box
from clutches.actions.clutches import record_laying
from clutches.actions.egg_checks import EggCheckRow, record_egg_checks
from clutches.actions.eggs import EggChange, set_eggs
from clutches.actions.introductions import IntroductionRow, record_introductions
from clutches.actions.pairings import plan_pairing
from clutches.actions.plans import make_plan
from clutches.actions.sexing import SpurCheckRow, record_spur_checks
from clutches.models import Clutch, EggBox, IncubationPlan, Pairing
from clutches.rules.facts import Phase
from clutches.rules.vocabulary import (
    Candled,
    EggState,
    Heel,
    IntroductionOutcome,
    PhaseKind,
    Substrate,
)
from core.models import User
from demo import scenario
from demo.caring import taken
from demo.clutch_stories import (
    BOXES,
    CLUTCHES,
    LOOKED_AT_ONCE,
    MET,
    BoxPlan,
    ClutchPlan,
)
from demo.nights import Nights
from demo.settling import House
from husbandry.models import Animal, Species
from husbandry.rules.vocabulary import Sex

MET_AT = time(10, 30)
LOOKED_AT = time(9, 30)
TOGETHER_MIN = 35


@dataclass(frozen=True, slots=True)
class _Book:
    """Who writes what down, about whom, and when."""

    house: House
    animals: Mapping[str, Animal]
    species: Species
    nights: Nights

    @property
    def keeper(self) -> User:
        """Return who writes it down."""
        return self.house.people[scenario.KEEPER]

    @property
    def opened_at(self) -> datetime:
        """Return when the notebook of older days was copied."""
        return self.nights.moment(1, scenario.OPENING)

    def on(self, days_ago: int) -> date:
        """Return a local day by how long before the last night it was."""
        return self.nights.until - timedelta(days=days_ago)

    def moment(self, on: date, at: time) -> datetime:
        """Return an instant of a local day."""
        return datetime.combine(on, at, tzinfo=self.nights.zone)

    def written_at(self, at: datetime) -> datetime:
        """Return when something was written down: at once, or from the notebook."""
        return max(at, self.opened_at)


def breed(
    *, house: House, animals: Mapping[str, Animal], species: Species, nights: Nights
) -> None:
    """Record pairs, clutches and eggs, older ones from the notebook.

    Args:
        house: where they are.
        animals: by code, with their stays on record.
        species: what they are.
        nights: the demo's calendar.
    """
    book = _Book(house, animals, species, nights)
    pairings = _introduce(book)
    plan = _plan(book)
    boxes = {one.code: _box(book, one) for one in BOXES}
    for told in CLUTCHES:
        _record(book, told, pairings, boxes, plan)
    for one in BOXES:
        _look(book, one)
    _look_at_heels(book)


def _introduce(book: _Book) -> dict[tuple[str, str], Pairing]:
    pairings: dict[tuple[str, str], Pairing] = {}
    for met in MET:
        pair, on = (met.dam, met.sire), book.on(met.days_ago)
        if pair not in pairings:
            pairings[pair] = plan_pairing(
                dam=book.animals[met.dam],
                sire=book.animals[met.sire],
                planned_on=on,
                reason="Unrelated; both calm and well.",
                by=book.house.people[scenario.MANAGER],
                at=book.opened_at,
            ).pairing
        at = book.moment(on, MET_AT)
        row = IntroductionRow(
            pairing=pairings[pair].pk,
            at=at,
            outcome=IntroductionOutcome.MATED,
            minutes=TOGETHER_MIN,
        )
        taken(
            record_introductions(
                rows=[row], by=book.keeper, recorded_at=book.written_at(at)
            )
        )
    return pairings


def _plan(book: _Book) -> IncubationPlan:
    """Make the plan of the second incubator: a little cooler by night."""
    phase = Phase(
        kind=PhaseKind.WARM,
        days=None,
        day_low_c=Decimal("26.5"),
        day_high_c=Decimal("28.5"),
        night_low_c=Decimal("24.0"),
        night_high_c=Decimal("28.5"),
    )
    return make_plan(
        code="cooler-nights",
        name="Cooler nights",
        species=book.species,
        phases=[phase],
        note="The house's own; the hard limits are the care profile's.",
        by=book.house.people[scenario.MANAGER],
        at=book.opened_at,
    )


def _box(book: _Book, told: BoxPlan) -> EggBox:
    laid = next(c for c in CLUTCHES if c.box == told.code)
    made_on = book.on(laid.days_ago)
    return make_box(
        code=told.code,
        rows=5,
        columns=6,
        substrate=Substrate.VERMICULITE,
        substrate_g=Decimal(180),
        water_g=Decimal(144),
        made_on=made_on,
        incubator=book.house.enclosures[told.incubator],
        moved_at=book.moment(made_on, LOOKED_AT),
        by=book.keeper,
        at=book.opened_at,
    )


def _record(
    book: _Book,
    told: ClutchPlan,
    pairings: Mapping[tuple[str, str], Pairing],
    boxes: Mapping[str, EggBox],
    plan: IncubationPlan,
) -> None:
    box = boxes.get(told.box)
    clutch = record_laying(
        code=told.code,
        dam=book.animals[told.dam],
        species=book.species,
        site=book.house.site,
        laid_on=book.on(told.days_ago),
        eggs_set=told.eggs_set,
        eggs_infertile=told.infertile,
        eggs_broken=told.broken,
        mass_g=told.mass_g,
        plan=plan if told.box == "B-2" else None,
        pairing=pairings[told.dam, told.sires[-1]] if told.sires else None,
        note=told.note,
        box=box,
        by=book.keeper,
        at=book.opened_at,
    ).clutch
    _candle(book, told)
    for first, many, cause, day in told.failed:
        changes = [
            EggChange(egg, EggState.FAILED, cause)
            for egg in clutch.eggs.filter(number__range=(first, first + many - 1))
        ]
        _set(book, clutch, changes, day)
    _hatch(book, told, clutch)


def _set(book: _Book, clutch: Clutch, changes: Sequence[EggChange], day: int) -> None:
    set_eggs(
        changes=changes,
        on=clutch.laid_on + timedelta(days=day),
        by=book.keeper,
        at=book.opened_at,
    )


def _hatch(book: _Book, told: ClutchPlan, clutch: Clutch) -> None:
    eggs = list(clutch.eggs.order_by("number"))
    hatched = 0
    for day, many in told.hatched.items():
        some = eggs[hatched : hatched + many]
        hatched += many
        _set(book, clutch, [EggChange(egg, EggState.HATCHED) for egg in some], day)
    if told.young:
        ascribe_animals(
            clutch=clutch,
            rows=[
                AscribedRow(book.animals[code], number)
                for number, code in enumerate(told.young, start=1)
            ],
            by=book.keeper,
            at=book.opened_at,
        )


def _candle(book: _Book, told: ClutchPlan) -> None:
    if told.candled is None:
        return
    day, without = told.candled
    at = book.moment(book.on(told.days_ago - day), LOOKED_AT)
    rows = [
        EggCheckRow(
            egg=(told.code, number),
            at=at,
            seen=Candled.NO_VESSELS if number >= without else Candled.VESSELS,
        )
        for number in range(1, told.eggs_set + 1)
    ]
    taken(record_egg_checks(rows=rows, by=book.keeper, recorded_at=book.written_at(at)))


def _look(book: _Book, told: BoxPlan) -> None:
    for night in told.checked_nights:
        at = book.nights.moment(night, LOOKED_AT)
        row = BoxCheckRow(box=told.code, at=at, water_g=Decimal(4))
        taken(
            record_box_checks(
                rows=[row], by=book.keeper, recorded_at=book.written_at(at)
            )
        )


def _look_at_heels(book: _Book) -> None:
    """Let two people look at the heels of every hatchling, and one at the last."""
    young = next(c for c in CLUTCHES if c.young).young
    for who, night in ((scenario.KEEPER, 2), (scenario.MANAGER, 4)):
        at = book.nights.moment(night, LOOKED_AT)
        rows = [
            SpurCheckRow(code, at, heels, heels)
            for code in young
            if who == scenario.KEEPER or code != LOOKED_AT_ONCE
            for heels in [_heels(book.animals[code])]
        ]
        taken(record_spur_checks(rows=rows, by=book.house.people[who], recorded_at=at))


def _heels(animal: Animal) -> Heel:
    return Heel.PRESENT if animal.sex == Sex.MALE else Heel.ABSENT
