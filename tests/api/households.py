"""A house full of personal data of people outside, and the words planted in them."""

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import Any

from api.urls import router
from api.views import Listed
from core.models import Room, Site
from husbandry.actions.review import review_night
from placements.actions.gates import open_gate
from placements.actions.packets import make_packet
from placements.actions.placements import plan_placement
from placements.actions.readiness import review_readiness
from placements.models import (
    AnimalPaper,
    Application,
    ApplicationCheck,
    Arrival,
    FollowUp,
    Home,
    HomeEnclosure,
    HomeReport,
    Placement,
)
from placements.rules.vocabulary import Gate, PlacementKind
from tests.api.test_counts import COUNTS
from tests.factories import (
    AnimalFactory,
    AnimalPaperFactory,
    ApplicationCheckFactory,
    ApplicationFactory,
    ArrivalFactory,
    AuditEntryFactory,
    ClutchFactory,
    FollowUpFactory,
    HomeEnclosureFactory,
    HomeFactory,
    HomeReadingFactory,
    HomeReportFactory,
    IntakeFactory,
    IntakePhotoFactory,
    PacketJobFactory,
    PlacementFactory,
    PrivateAddressFactory,
    RegisterEntryFactory,
)
from tests.nightly.world import ON, World, make_world, record_good_day

MAKERS = {address: make for address, make, _ in COUNTS}
AT = datetime.combine(ON, datetime.min.time(), tzinfo=UTC) + timedelta(hours=12)
# Every column that holds what people outside are, live at, said or are said of.
PERSONAL: dict[Any, tuple[str, ...]] = {
    Home: ("name", "contact", "email", "notes"),
    Application: ("answers", "told"),
    ApplicationCheck: ("note",),
    Arrival: ("found_at", "note"),
    HomeEnclosure: ("label", "note"),
    HomeReport: ("note",),
    FollowUp: ("answers",),
    AnimalPaper: ("note",),
}
OF_HOMES = (
    *("home", "application", "applicationcheck", "privateaddress", "arrival"),
    *("homeenclosure", "readinessreview", "homereport", "followup"),
)


@dataclass(frozen=True)
class Household:
    """What is asked about it."""

    world: World
    home: Home
    other: Home
    planned: Placement


def make_household(word: str) -> Household:
    """Make a house with placements, intakes and homes, reviewed for a night.

    Args:
        word: stands in everything that was written about people, also in what is
            never altered afterwards, and in the trail of what was done to it.
    """
    world = make_world()
    Site.objects.filter(pk=world.site.pk).update(code="home")
    Room.objects.filter(pk=world.room.pk).update(code="adults")
    record_good_day(world, ON)
    home, other = HomeFactory(), HomeFactory()
    animal = world.animal
    application = ApplicationFactory(home=home, animal=animal, state="checking")
    ApplicationCheckFactory(application=application)
    before = AT - timedelta(hours=1)
    enclosure = HomeEnclosureFactory(
        home=home, width_cm=20, depth_cm=20, height_cm=30, recorded_at=before
    )
    HomeReadingFactory(enclosure=enclosure, at=before, recorded_at=before)
    review_readiness(enclosure=enclosure, animal=animal, on=ON, by=None, at=AT)
    planned = plan_placement(
        animal=animal,
        home=home,
        kind=PlacementKind.ADOPTION,
        planned_on=ON + timedelta(days=1),
        application=application,
        home_enclosure=enclosure,
        by=None,
        at=AT,
    )
    reason = "They were here and asked all that was to be asked."
    open_gate(placement=planned, gate=Gate.HOME_READY, reason=reason, by=None, at=AT)
    packet = make_packet(placement=planned, by=None, at=AT)
    PacketJobFactory(placement=planned, packet=packet)
    PrivateAddressFactory(application=application)
    _make_past(world, other, word)
    _make_others(world)
    for name in OF_HOMES:
        AuditEntryFactory(
            subject=f"placements.{name}",
            before={"note": word},
            after={"name": word},
            reason=word,
        )
    plant(word)
    review_night(site=world.site, on=ON, by=None, at=AT + timedelta(days=1))
    return Household(world, home, other, planned)


def _make_past(world: World, home: Home, word: str) -> None:
    """Make what came before and after placements that have left."""
    away = AnimalFactory(
        code="V-AWAY", species=world.species, status="placed", left_on=date(2026, 1, 2)
    )
    left = PlacementFactory(
        animal=away,
        home=home,
        state="handed_over",
        planned_on=date(2026, 1, 2),
        handed_over_on=date(2026, 1, 2),
    )
    FollowUpFactory(placement=left, due_on=date(2026, 1, 16))
    FollowUpFactory(placement=left, kind="three_months", answered_at=AT)
    FollowUpFactory(
        placement=left, kind="twelve_months", dropped_at=AT, dropped_reason=word
    )
    HomeReportFactory(placement=left, kind="health", received_at=AT)
    arrival = ArrivalFactory(site=world.site, home=home)
    intake = IntakeFactory(arrival=arrival, animal=world.animal)
    IntakePhotoFactory(intake=intake)
    AnimalPaperFactory(animal=world.animal)
    RegisterEntryFactory(
        animal=away, home=home, arrival=arrival, placement=left, note=word
    )


def _make_others(world: World) -> None:
    """Make what the other addresses show, so that each answers with something."""
    ClutchFactory(code="C-1", site=world.site)
    for address, view, _ in router.registry:
        make = MAKERS.get(address) if issubclass(view, Listed) else None
        if make and not view.filterset_class._meta.model.objects.exists():
            make()


def plant(word: str) -> None:
    """Write a word into every column with personal data that can still be altered."""
    for model, columns in PERSONAL.items():
        for name in columns:
            text = {
                "answers": {"told": f"Ask {word}."},
                "email": f"{word.lower()}@example.org",
            }.get(name, f"{word} of the mill")
            model.objects.update(**{name: text})


def swap_homes(house: Household) -> None:
    """Let what was of one home be of the other; nothing else is altered."""
    for model in (Placement, Arrival, Application, HomeEnclosure):
        first = list(model.objects.filter(home=house.home).values_list("pk", flat=True))
        model.objects.filter(home=house.other).update(home=house.home)
        model.objects.filter(pk__in=first).update(home=house.other)
