"""The sheet of a round as it is answered."""

from collections.abc import Iterable
from datetime import date
from decimal import Decimal
from typing import Annotated

from msgspec import Meta

from api.care_tasks import CareTaskOut, Names, shown_tasks
from api.structs import Instant, Out, Ref
from core.models import User
from core.units import MassUnit, TemperatureUnit
from husbandry.rules.round_cautions import QUARANTINE, cautions_of
from husbandry.rules.round_sheets import (
    RoundAnimal,
    RoundFinding,
    RoundNote,
    RoundProfile,
    RoundSheet,
    RoundStop,
)
from husbandry.rules.sentences.findings import describe
from husbandry.rules.sentences.numbers import Units
from husbandry.rules.vocabulary import (
    FindingKind,
    RoundNoteKind,
    Sex,
    Standing,
    Urgency,
)

GRAMS = Meta(description="Grams.")


class RoundFindingOut(Out, frozen=True):
    """What stood open in the morning."""

    id: int
    kind: FindingKind
    urgency: Urgency
    opened_on: date
    sentence: Annotated[
        str, Meta(description="What is wrong, in the units that the reader chose.")
    ]
    first_step: str


class RoundNoteOut(Out, frozen=True):
    """What to mind at an animal before the hands go in."""

    kind: RoundNoteKind
    since_on: date | None
    until_on: Annotated[date | None, Meta(description="Last day, where it is known.")]
    reason: str
    rule_id: Annotated[str, Meta(description="The care profile's row, if one.")]
    source: str | None
    standing: Standing | None


class LastWeightOut(Out, frozen=True):
    """The last weighing in force."""

    mass_g: Annotated[Decimal, GRAMS]
    on: date


class PlausibleOut(Out, frozen=True):
    """Masses that are stored without a question; both ends included."""

    low_g: Annotated[Decimal, GRAMS]
    high_g: Annotated[Decimal, GRAMS]


class RoundAnimalOut(Out, frozen=True):
    """One animal at its stop."""

    animal: Ref
    label: str
    sex: Sex
    age_days: int | None
    stage: Annotated[str, Meta(description="Life stage; empty: not known.")]
    last_weight: LastWeightOut | None
    plausible: PlausibleOut | None
    notes: tuple[RoundNoteOut, ...]
    tasks: Annotated[
        tuple[CareTaskOut, ...], Meta(description="Of the day, open and done.")
    ]
    overdue: Annotated[
        tuple[CareTaskOut, ...],
        Meta(description="Open ones of the days before, the oldest first."),
    ]
    findings: Annotated[
        tuple[RoundFindingOut, ...], Meta(description="The worst first.")
    ]


class RoundStopOut(Out, frozen=True):
    """One enclosure."""

    enclosure: Ref
    tasks: tuple[CareTaskOut, ...]
    overdue: tuple[CareTaskOut, ...]
    findings: tuple[RoundFindingOut, ...]
    animals: tuple[RoundAnimalOut, ...]


class RoundOut(Out, frozen=True):
    """One room's day."""

    site: Annotated[str, Meta(description="Code of the site.")]
    room: Ref
    quarantine: Annotated[bool, Meta(description="Walked last, with tools of its own.")]
    on: date
    time_zone: str
    made_at: Instant
    night: Annotated[
        date | None,
        Meta(
            description="Night whose findings these are; null: none was reviewed before "
            "the day, so what is wrong is not known."
        ),
    ]
    profiles: Annotated[
        tuple[RoundProfile, ...],
        Meta(description="Care profiles that the tasks were computed from."),
    ]
    cautions: tuple[str, ...]
    tasks: Annotated[
        tuple[CareTaskOut, ...], Meta(description="Of the room as a whole.")
    ]
    overdue: tuple[CareTaskOut, ...]
    findings: Annotated[
        tuple[RoundFindingOut, ...], Meta(description="Of the room or the site.")
    ]
    stops: Annotated[tuple[RoundStopOut, ...], Meta(description="In walking order.")]


class ShownRound:
    """A sheet as it is answered, in a reader's units."""

    def __init__(self, sheet: RoundSheet, reader: User) -> None:
        """Take the sheet, and by whose units its sentences are told."""
        self.given = sheet
        self.units = Units(
            TemperatureUnit(reader.temperature_unit), MassUnit(reader.mass_unit)
        )
        room = sheet.place.room
        self.names = Names(
            animals={animal.id: animal.code for animal in sheet.animals},
            enclosures={stop.id: stop.code for stop in sheet.stops},
            rooms={room.id: room.code},
            zone=sheet.place.zone,
        )

    def whole(self) -> RoundOut:
        """Return the sheet as it is answered."""
        given, place = self.given, self.given.place
        caution = (QUARANTINE,) if place.room.quarantine else ()
        return RoundOut(
            site=place.site,
            room=Ref(id=place.room.id, code=place.room.code),
            quarantine=place.room.quarantine,
            on=given.on,
            time_zone=place.zone.key,
            made_at=given.made_at,
            night=given.night,
            profiles=given.profiles,
            cautions=(*caution, *cautions_of(given)),
            tasks=shown_tasks(given.tasks, self.names),
            overdue=shown_tasks(given.overdue, self.names),
            findings=self._findings(given.findings),
            stops=tuple(self._stop(stop) for stop in given.stops),
        )

    def _stop(self, stop: RoundStop) -> RoundStopOut:
        return RoundStopOut(
            enclosure=Ref(id=stop.id, code=stop.code),
            tasks=shown_tasks(stop.tasks, self.names),
            overdue=shown_tasks(stop.overdue, self.names),
            findings=self._findings(stop.findings),
            animals=tuple(self._animal(animal) for animal in stop.animals),
        )

    def _animal(self, animal: RoundAnimal) -> RoundAnimalOut:
        last, likely = animal.last_weight, animal.plausible
        return RoundAnimalOut(
            animal=Ref(id=animal.id, code=animal.code),
            label=animal.label,
            sex=animal.sex,
            age_days=animal.age_days,
            stage=animal.stage,
            last_weight=LastWeightOut(mass_g=last.mass_g, on=last.on) if last else None,
            plausible=PlausibleOut(low_g=likely.low_g, high_g=likely.high_g)
            if likely
            else None,
            notes=tuple(_note(note) for note in animal.notes),
            tasks=shown_tasks(animal.tasks, self.names),
            overdue=shown_tasks(animal.overdue, self.names),
            findings=self._findings(animal.findings),
        )

    def _findings(self, rows: Iterable[RoundFinding]) -> tuple[RoundFindingOut, ...]:
        shown = []
        for row in rows:
            words = describe(row.kind, row.evidence, units=self.units)
            shown.append(
                RoundFindingOut(
                    id=row.id,
                    kind=row.kind,
                    urgency=row.urgency,
                    opened_on=row.opened_on,
                    sentence=words.what,
                    first_step=words.first_step,
                )
            )
        return tuple(shown)


def _note(note: RoundNote) -> RoundNoteOut:
    given = note.provenance
    return RoundNoteOut(
        kind=note.kind,
        since_on=note.since_on,
        until_on=note.until_on,
        reason=note.reason,
        rule_id=note.rule_id,
        source=given.source if given else None,
        standing=given.standing if given else None,
    )
