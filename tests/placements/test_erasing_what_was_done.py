"""What homes and staff typed at every action goes; nothing of it was in the trail."""

from datetime import date, time
from decimal import Decimal

import pytest
from rest_framework.test import APIClient

from core.models import AuditEntry
from core.roles import Role
from husbandry.actions.profiles import load_shipped_profiles
from husbandry.models import Species
from husbandry.rules.vocabulary import EnclosureKind
from placements.actions.applications import decide, receive_from_public, record_check
from placements.actions.follow_ups import answer_follow_up
from placements.actions.home_reports import report_from_home
from placements.actions.personal_data import erase_home
from placements.actions.readiness import describe_enclosure, review_readiness
from placements.models import Application
from placements.queries.figures import charge_rows
from placements.rules.homes import HomeDetails
from placements.rules.personal_data import ErasureReason
from placements.rules.readiness.details import EnclosureDetails
from placements.rules.vocabulary import (
    ApplicationState,
    CheckKind,
    CheckOutcome,
    HomeReportKind,
    PlacementKind,
    UvbLamp,
)
from tests.factories import (
    NOW,
    TODAY,
    AnimalFactory,
    FollowUpFactory,
    HomeReadingFactory,
    PlacementFactory,
    SiteFactory,
    UserFactory,
)
from tests.placements.test_personal_data import NAME, tables_naming

pytestmark = pytest.mark.django_db
ANSWERS = {
    "kept_before": "none",
    "enclosure": "ready",
    "uvb": "linear_t5",
    "measures": "yes",
    "people_at_risk": "no",
    "dwelling": "own",
    "more": f"I am {NAME}.",
    "references": f"{NAME}'s aunt",
}
ENCLOSURE = EnclosureDetails(
    label=f"{NAME}'s cage",
    kind=EnclosureKind.SCREEN,
    width_cm=Decimal(61),
    depth_cm=Decimal(61),
    height_cm=Decimal(122),
    time_zone="Europe/Lisbon",
    lights_on=time(8),
    lights_off=time(20),
    uvb_lamp=UvbLamp.COMPACT,
    note=f"{NAME} built it.",
)


def apply() -> Application:
    row, _ = receive_from_public(
        applicant=HomeDetails(f"{NAME} Grey", f"{NAME} 1", f"{NAME}@example.org"),
        kind=PlacementKind.ADOPTION,
        species=Species.objects.get(code="veiled_chameleon"),
        answers=ANSWERS,
        at=NOW,
    )
    record_check(
        application=row,
        kind=CheckKind.REFERENCES,
        outcome=CheckOutcome.PASSED,
        note=f"The aunt speaks well of {NAME}.",
        by=None,
        at=NOW,
    )
    decide(
        application=row,
        to=ApplicationState.DECLINED,
        on=TODAY,
        told=f"Dear {NAME}, we have none.",
        by=None,
        at=NOW,
    )
    return row


def live_with_it(row: Application) -> None:
    animal = AnimalFactory.create(species=row.species)
    enclosure = describe_enclosure(home=row.home, details=ENCLOSURE, by=None, at=NOW)
    HomeReadingFactory.create(enclosure=enclosure, file_name=f"{NAME}.csv")
    review_readiness(enclosure=enclosure, animal=animal, on=TODAY, by=None, at=NOW)
    placement = PlacementFactory.create(
        animal=animal, home=row.home, state="handed_over", handed_over_on=TODAY
    )
    report_from_home(
        placement=placement,
        kind=HomeReportKind.NOTE,
        on=TODAY,
        note=f"{NAME} says hello.",
        by=None,
        at=NOW,
    )
    answer_follow_up(
        follow_up=FollowUpFactory.create(placement=placement, due_on=date(2026, 3, 1)),
        answers={"doing": "worried", "told": f"{NAME} saw it sneeze."},
        by=None,
        at=NOW,
    )


def figures() -> list[object]:
    """All that the figures of placements say, and what they are made of."""
    client = APIClient()
    client.force_authenticate(UserFactory.create(role=Role.OWNER.value))
    whole = client.get(
        "/api/v1/placement-figures/?from_on=2026-01-01&until_on=2026-03-31"
    )
    assert whole.status_code == 200, whole.content
    return [whole.json(), charge_rows(species="veiled_chameleon", on=TODAY)]


def test_what_was_typed_at_every_action_goes() -> None:
    SiteFactory.create()
    load_shipped_profiles(by=None, at=NOW)
    row = apply()
    live_with_it(row)
    assert len(tables_naming(NAME)) >= 6
    before = figures()
    audited = AuditEntry.objects.values_list("before", "after", "reason")
    assert NAME.casefold() not in str(list(audited)).casefold()

    erase_home(home=row.home, reason=ErasureReason.ASKED_FOR, by=None, at=NOW)

    assert tables_naming(NAME) == set()
    assert figures() == before
