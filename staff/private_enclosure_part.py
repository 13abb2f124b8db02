"""The section of a home's page about the enclosure that it makes ready."""

from dataclasses import dataclass
from datetime import datetime

from django.http import HttpRequest
from django.utils import timezone

from husbandry.rules.vocabulary import Sex
from placements.models import HomeEnclosure, PrivateAddress
from placements.queries.home_enclosures import needs_of, needs_of_kind
from placements.queries.private_addresses import home_behind, placements_behind
from placements.rules.applications.moves import OPEN
from placements.rules.readiness.values import AnimalNeeds
from placements.rules.vocabulary import ApplicationState, PlacementState, UnitSystem
from staff.home_forms import EnclosureForm, described
from staff.home_reading_forms import LoggerFileForm, ReadingForm
from staff.home_words import Fact, Judged, enclosure_facts, judged_words
from staff.private_sections import Part

LIVING = frozenset({PlacementState.PLANNED, PlacementState.HANDED_OVER})


@dataclass(frozen=True, slots=True)
class MadeReady:
    """One enclosure as its home sees it, with the forms to go on."""

    pk: int
    label: str
    facts: tuple[Fact, ...]
    ready: Judged | None
    describe: EnclosureForm
    reading: ReadingForm
    file: LoggerFileForm


def enclosures_part(address: PrivateAddress, request: HttpRequest) -> Part | None:
    """Return the section, while an animal may still come or lives there.

    Enclosures are judged now, by the same rules and numbers that staff see.
    """
    now = timezone.now()
    if not may_tell(address):
        return None
    home = home_behind(address)
    system = UnitSystem(home.units)
    needs, about = _needs(address, at=now)
    made_ready = tuple(
        _made_ready(enclosure, needs, system, at=now)
        for enclosure in home.enclosures.order_by("recorded_at", "pk")
    )
    match = request.resolver_match
    context = {
        "secret": str(match.kwargs["address"]) if match else "",
        "about": about,
        "enclosures": made_ready,
        "new": EnclosureForm(
            system=system,
            auto_id="id_new_%s",
            initial={"time_zone": made_ready[0].describe.initial["time_zone"]}
            if made_ready
            else None,
        ),
    }
    return Part("staff/parts/private_enclosures.html", context)


def may_tell(address: PrivateAddress) -> bool:
    """Say whether a home may still describe its enclosures and measure in them."""
    application = address.application
    if application is not None and ApplicationState(application.state) in OPEN:
        return True
    return any(
        PlacementState(placement.state) in LIVING
        for placement in placements_behind(address)
    )


def _needs(address: PrivateAddress, *, at: datetime) -> tuple[AnimalNeeds | None, str]:
    """Return what is wanted, and of whom: the animal that is to come, or a kind."""
    on = timezone.localdate(at)
    living = [p for p in placements_behind(address) if p.state in LIVING]
    application = address.application
    animal = living[0].animal if living else application and application.animal
    if animal:
        return needs_of(animal=animal, on=on, at=at), f"{animal}, {animal.species}"
    if application is None or application.species is None:
        return None, ""
    species = application.species
    needs = needs_of_kind(species=species, sex=Sex.UNKNOWN, on=on)
    return needs, f"a grown {species}"


def _made_ready(
    enclosure: HomeEnclosure,
    needs: AnimalNeeds | None,
    system: UnitSystem,
    *,
    at: datetime,
) -> MadeReady:
    pk = enclosure.pk
    return MadeReady(
        pk=pk,
        label=enclosure.label,
        facts=enclosure_facts(enclosure, system),
        ready=judged_words(enclosure, needs, system, at=at) if needs else None,
        describe=EnclosureForm(
            system=system,
            auto_id=f"id_d{pk}_%s",
            initial=described(enclosure, system),
        ),
        reading=ReadingForm(system=system, auto_id=f"id_r{pk}_%s"),
        file=LoggerFileForm(auto_id=f"id_f{pk}_%s"),
    )
