"""Where to read more of an animal's coming, staying apart and leaving."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from urllib.parse import urlencode

from django.urls import reverse

from core.models import User
from core.roles import Permission
from husbandry.models import Animal, EarlierCare, Quarantine
from husbandry.rules.vocabulary import AnimalStatus
from placements.models import Intake, Placement
from placements.rules.vocabulary import IntakeSource, PlacementKind
from staff.intake_words import SOURCES
from staff.placement_words import KINDS, stands
from staff.units import day

GONE = (AnimalStatus.PLACED, AnimalStatus.LOST, AnimalStatus.RELEASED)


@dataclass(frozen=True, slots=True)
class Onward:
    """A line with an address to read on; "": there is none."""

    text: str
    hint: str
    url: str


def animal_ways(animal: Animal, reader: User) -> list[Onward]:
    """Return what of rescue is on record of an animal, as far as a reader may see it.

    Args:
        animal: whose.
        reader: intakes are for who takes animals in, placements for who may see
            them, applications for who may see homes.
    """
    return [
        *_apart(animal),
        *_earlier(animal),
        *(_came(animal) if reader.may(Permission.RECORD_INTAKE) else ()),
        *(_leaves(animal) if reader.may(Permission.SEE_PLACEMENTS) else ()),
        *(_wanted(animal) if reader.may(Permission.SEE_HOMES) else ()),
        *(_again(animal) if reader.may(Permission.RECORD_INTAKE) else ()),
    ]


def _apart(animal: Animal) -> Iterator[Onward]:
    rows = Quarantine.objects.filter(animal=animal, ended_on__isnull=True)
    for row in rows:
        place = f"{reverse('staff:quarantine')}#quarantine-{row.pk}"
        yield Onward("In quarantine", f"since {day(row.began_on)}", place)


def _earlier(animal: Animal) -> Iterator[Onward]:
    for row in EarlierCare.objects.filter(animal=animal):
        yield Onward("Was in care before", _span(row.arrived_on, row.left_on), "")


def _span(first_on: date, last_on: date) -> str:
    return f"{day(first_on)} to {day(last_on)}"


def _came(animal: Animal) -> Iterator[Onward]:
    rows = Intake.objects.filter(animal=animal).select_related("arrival")
    for row in rows:
        source = SOURCES[IntakeSource(row.arrival.source)]
        on = day(row.arrival.arrived_at.date())
        place = reverse("staff:intake", args=[row.pk])
        yield Onward("As it came", f"{on}, {source}", place)


def _leaves(animal: Animal) -> Iterator[Onward]:
    for row in Placement.objects.filter(animal=animal).order_by("-planned_on", "-pk"):
        kind = KINDS[PlacementKind(row.kind)]
        place = reverse("staff:placement", args=[row.pk])
        yield Onward(f"{kind[0].upper()}{kind[1:]}", stands(row), place)


def _wanted(animal: Animal) -> Iterator[Onward]:
    if animal.status == AnimalStatus.IN_CARE:
        place = reverse("staff:application_matches", args=[animal.pk])
        yield Onward("Whom it may suit", "by what applicants have stated", place)


def _again(animal: Animal) -> Iterator[Onward]:
    if animal.status in (*GONE, AnimalStatus.ELSEWHERE):
        place = f"{reverse('staff:take_in')}?{urlencode({'again': animal.code})}"
        yield Onward("It has come: take it in", "under its own code", place)
