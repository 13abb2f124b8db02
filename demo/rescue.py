"""Set the demo's rules of rescue, place animals, hear of those that left."""

from datetime import date, time
from decimal import Decimal

from core.models import User
from demo import scenario
from demo.homes import GONE, INVENTED, WISHES_FOR_JUNCO, Gone
from demo.nights import Nights
from demo.settling import House
from husbandry.actions.animals import register_animal
from husbandry.models import Animal, Species
from husbandry.rules.sexes import sex_by_heel_spur
from husbandry.rules.vocabulary import (
    Confidence,
    DatePrecision,
    HealthTestKind,
    Origin,
    Sex,
)
from placements.actions.applications import receive_application
from placements.actions.follow_ups import answer_follow_up
from placements.actions.gates import open_gate
from placements.actions.handing_over import hand_over
from placements.actions.holds import set_hold_policy
from placements.actions.home_reports import report_from_home
from placements.actions.homes import add_home
from placements.actions.packets import make_packet
from placements.actions.papers import record_paper
from placements.actions.placements import plan_placement
from placements.actions.quarantine_policies import set_quarantine_policy
from placements.models import Placement
from placements.rules.quarantine.policies import QuarantineRule
from placements.rules.vocabulary import (
    CitesSource,
    Gate,
    HomeReportKind,
    IntakeSource,
    PaperKind,
    PlacementKind,
)

DESK_AT = time(9, 30)
BORN_BEFORE = 400  # days before the first night
RULE = QuarantineRule(
    needed=True,
    group="reptiles",
    days=30,
    tests=2,
    test_kind=HealthTestKind.FAECAL,
    tests_apart_days=14,
    weight_days=14,
    most_loss_pct=Decimal(5),
    reason="As agreed with the vet: days alone clear nobody.",
)
ANSWERS = {
    "kept_before": "other",
    "years_kept": "6",
    "enclosure": "building",
    "uvb": "not_known",
    "measures": "no",
    "people_at_risk": "yes",
    "dwelling": "own",
}


def set_rules(*, house: House, species: Species, nights: Nights) -> None:
    """Decide how newcomers are kept apart and held, and put the house's permit down."""
    manager, at = house.people[scenario.MANAGER], nights.moment(1, scenario.OPENING)
    set_quarantine_policy(species=None, rule=RULE, by=manager, at=at)
    set_hold_policy(
        source=IntakeSource.STRAY,
        days=14,
        reason="The invented law on found animals of the demo's place.",
        by=manager,
        at=at,
    )
    record_paper(
        kind=PaperKind.KEEPING_PERMIT,
        number="KP-3107",
        issued_by="Office of nature of Vescora (invented for the demo)",
        species=species,
        issued_on=nights.on(-300),
        valid_until=nights.on(55),
        by=manager,
        at=at,
    )


def place(
    *, house: House, animals: dict[str, Animal], species: Species, nights: Nights
) -> None:
    """Let the animals go that left before the first night, and plan what is planned."""
    coordinator = house.people[scenario.COORDINATOR]
    for gone in GONE:
        placement = _gone(gone, house, species, nights)
        _hear(gone, placement, nights)
    record_paper(
        kind=PaperKind.ORIGIN_STATEMENT,
        number="OS-0302",
        issued_by=scenario.ORGANISATION,
        animal=animals["V-0302"],
        cites_source=CitesSource.BORN_IN_CAPTIVITY,
        issued_on=nights.on(2),
        by=coordinator,
        at=nights.moment(2, DESK_AT),
    )
    _plan_too_early(animals["V-0301"], coordinator, nights)


def _gone(gone: Gone, house: House, species: Species, nights: Nights) -> Placement:
    """Write down, on the first day, what happened before it."""
    at = nights.moment(1, DESK_AT)
    keeper, manager = house.people[scenario.KEEPER], house.people[scenario.MANAGER]
    sexing = sex_by_heel_spur(spur=gone.sex is Sex.MALE)
    animal = register_animal(
        code=gone.code,
        name=gone.name,
        species=species,
        arrived_on=nights.on(gone.left_night - 200),
        sex=sexing.sex,
        sex_basis=sexing.basis,
        sex_confidence=Confidence.CONFIRMED,
        hatched_on=nights.on(-BORN_BEFORE),
        hatched_precision=DatePrecision.MONTH,
        origin=Origin.BORN_ELSEWHERE,
        by=keeper,
        at=at,
    )
    placement = plan_placement(
        animal=animal,
        home=add_home(name=gone.home, contact=INVENTED, by=manager, at=at),
        kind=gone.kind,
        planned_on=nights.on(gone.left_night),
        due_back_on=_due_back_on(gone, nights),
        by=manager,
        at=at,
    )
    if gone.kind is PlacementKind.ADOPTION:
        _open_gates(placement, manager, nights)
    make_packet(placement=placement, by=manager, at=at)
    on = nights.on(gone.left_night)
    return hand_over(placement=placement, on=on, by=manager, at=at)


def _due_back_on(gone: Gone, nights: Nights) -> date | None:
    return None if gone.due_back_night is None else nights.on(gone.due_back_night)


def _open_gates(placement: Placement, manager: User, nights: Nights) -> None:
    for gate in (Gate.APPLICATION_ACCEPTED, Gate.HOME_READY):
        open_gate(
            placement=placement,
            gate=gate,
            reason="It left before this book was kept; the home was visited then.",
            by=manager,
            at=nights.moment(1, DESK_AT),
        )


def _hear(gone: Gone, placement: Placement, nights: Nights) -> None:
    if gone.answered_night is not None:
        answer_follow_up(
            follow_up=placement.follow_ups.earliest("due_on"),
            answers={"doing": "well", "eating": "yes", "settled": "yes"},
            by=None,
            at=nights.moment(gone.answered_night, time(20)),
        )
    if gone.report_night is not None:
        report_from_home(
            placement=placement,
            kind=HomeReportKind.WEIGHT,
            on=nights.on(gone.report_night),
            mass_g=Decimal(131),
            note="On the kitchen scale, which is kept for nothing else now.",
            by=None,
            at=nights.moment(gone.report_night, time(20)),
        )


def _plan_too_early(animal: Animal, coordinator: User, nights: Nights) -> None:
    """Plan an adoption whose application nobody has looked into yet."""
    at = nights.moment(4, DESK_AT)
    home = add_home(name=WISHES_FOR_JUNCO, contact=INVENTED, by=coordinator, at=at)
    application = receive_application(
        home=home,
        kind=PlacementKind.ADOPTION,
        animal=animal,
        answers=ANSWERS,
        by=None,
        at=at,
    )
    plan_placement(
        animal=animal,
        home=home,
        kind=PlacementKind.ADOPTION,
        planned_on=nights.on(13),
        application=application,
        by=coordinator,
        at=at,
    )
