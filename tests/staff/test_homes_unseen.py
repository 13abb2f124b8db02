"""Who may not see homes learns nothing of them on any page or desk, by any search."""

from collections.abc import Iterator
from datetime import date
from typing import Any

import pytest
from django.contrib import admin
from django.db import connection
from django.test import Client

from core.roles import GRANTS, Permission, Role
from placements.actions.personal_data import erase_home
from placements.models import Home
from placements.rules.personal_data import ErasureReason
from staff.urls import urlpatterns
from tests.factories import (
    NOW,
    TODAY,
    AnimalFactory,
    ApplicationCheckFactory,
    ApplicationFactory,
    ArrivalFactory,
    FollowUpFactory,
    GateOpeningFactory,
    HomeEnclosureFactory,
    HomeFactory,
    HomeReadingFactory,
    HomeReportFactory,
    IntakeFactory,
    PacketFactory,
    PacketJobFactory,
    PlacementFactory,
    PrivateAddressFactory,
    ReadinessReviewFactory,
    RegisterEntryFactory,
    TreatmentHandoverFactory,
)
from tests.staff.conftest import Visitor
from tests.staff.record_forms import home_typed, url

pytestmark = pytest.mark.django_db
NAME = "Zebulon"
OUTSIDERS = [role for role in Role if Permission.SEE_HOMES not in GRANTS[role]]
PK = 7001


@pytest.fixture
def planted(db: None) -> Home:
    """A home with a row of everything that hangs on it, each with the same number."""
    home = HomeFactory.create(
        pk=PK,
        name=f"{NAME} Grey",
        contact=f"{NAME} 1",
        email=f"{NAME}@example.org",
        notes=f"{NAME}!",
    )
    animal = AnimalFactory.create(pk=PK, code="7001")
    application = ApplicationFactory.create(
        pk=PK,
        home=home,
        animal=animal,
        state="waiting",
        waiting_since=date(2026, 1, 5),
        answers={"more": f"I am {NAME}."},
        told=f"Dear {NAME}",
    )
    ApplicationCheckFactory.create(pk=PK, application=application, note=f"{NAME}.")
    PrivateAddressFactory.create(pk=PK, application=application)
    enclosure = HomeEnclosureFactory.create(
        pk=PK, home=home, label=f"{NAME}'s", note=f"By {NAME}"
    )
    HomeReadingFactory.create(pk=PK, enclosure=enclosure, file_name=f"{NAME}.csv")
    ReadinessReviewFactory.create(pk=PK, enclosure=enclosure, animal=animal)
    arrival = ArrivalFactory.create(pk=PK, home=home, note=f"{NAME} brought it.")
    IntakeFactory.create(pk=PK, arrival=arrival, animal=animal)
    placement = PlacementFactory.create(
        pk=PK,
        home=home,
        application=application,
        home_enclosure=enclosure,
        animal=animal,
        state="came_back",
        handed_over_on=TODAY,
        ended_on=TODAY,
        ended_reason=f"{NAME} fell ill.",
    )
    PacketFactory.create(pk=PK, placement=placement, number="7001")
    PacketJobFactory.create(pk=PK, placement=placement)
    GateOpeningFactory.create(pk=PK, placement=placement)
    TreatmentHandoverFactory.create(pk=PK, placement=placement)
    HomeReportFactory.create(pk=PK, placement=placement, note=f"Love, {NAME}")
    FollowUpFactory.create(
        pk=PK, placement=placement, answers={"told": f"{NAME}"}, answered_at=NOW
    )
    RegisterEntryFactory.create(
        pk=PK, animal=animal, home=home, placement=placement, arrival=arrival
    )
    return home


def pages() -> Iterator[str]:
    for pattern in urlpatterns:
        path = str(pattern.pattern)
        for slot in ("<int:pk>", "<str:code>", "<int:number>", "<str:batch>"):
            path = path.replace(slot, str(PK))
        yield "/" + path.replace("<slug:on>", "2026-03-02").replace(
            "<slug:table>", "census"
        )


def desks() -> Iterator[str]:
    for model in admin.site._registry:
        if model._meta.app_label == "placements":
            base = url(model._meta.label_lower, "")
            yield from (base, f"{base}{PK}/change/", f"{base}{PK}/history/")
            yield from (f"{base}add/", f"{base}{PK}/delete/")


def read(client: Client, path: str) -> str:
    answer: Any = client.get(path)
    parts = answer.streaming_content if answer.streaming else [answer.content]
    return b"".join(parts).decode(errors="replace")


@pytest.mark.parametrize("role", OUTSIDERS)
def test_no_page_names_a_home(role: Role, planted: Home, visitor: Visitor) -> None:
    client = visitor(role)

    named = [path for path in pages() if NAME in read(client, path)]

    assert named == []


@pytest.mark.parametrize("role", OUTSIDERS)
def test_no_desk_names_a_home(role: Role, planted: Home, visitor: Visitor) -> None:
    client = visitor(role)

    named = [path for path in desks() if NAME in read(client, path)]

    assert named == []
    # A vet does open what names a placement.
    packet = client.get(f"/admin/placements/packet/{PK}/change/")
    assert (packet.status_code == 200) is (role is Role.VET)


def test_who_may_see_homes_reads_the_name(planted: Home, visitor: Visitor) -> None:
    """Without this the tests above could pass because nothing is shown at all."""
    client = visitor(Role.ADOPTION_COORDINATOR)

    named = {path for path in (*pages(), *desks()) if NAME in read(client, path)}

    assert {
        *("/applications/", f"/applications/{PK}/", "/admin/placements/home/"),
        *(f"/admin/placements/application/{PK}/change/",),
        *(f"/admin/placements/placement/{PK}/change/",),
    } <= named


def test_nobody_is_looked_up_by_name_in_an_address() -> None:
    """What is searched for stands in the address, and addresses stand in logs."""
    searched = {
        f"{model._meta.label_lower}: {field}"
        for model, desk in admin.site._registry.items()
        if model._meta.app_label == "placements"
        for field in desk.search_fields
        if model is Home or "home__" in field
    }

    assert searched == set()


@pytest.mark.parametrize("role", OUTSIDERS)
def test_no_desk_filters_or_orders_by_homes(
    role: Role, planted: Home, visitor: Visitor
) -> None:
    """An answer that differs by the name would tell it, letter by letter."""
    client = visitor(role)

    for label in ("packet", "gateopening", "intake", "exam"):
        base = f"/admin/placements/{label}/"
        for lookup in (
            *("placement__home__name", "placement__home__email"),
            *("arrival__home__name", "intake__arrival__home__name"),
        ):
            answer = client.get(f"{base}?{lookup}__startswith=Z")
            assert answer.status_code in {302, 400, 403}, (base, lookup)
            assert NAME not in answer.content.decode()


def test_what_is_recorded_at_a_desk_stays_out_of_other_tables(owner: Client) -> None:
    owner.post(url("placements.home"), {**home_typed(), "name": f"{NAME} Quay"})

    home = Home.objects.get()
    assert home.name == f"{NAME} Quay"
    with connection.cursor() as cursor:
        named = []
        for table in connection.introspection.table_names(cursor):
            cursor.execute(f"SELECT * FROM {connection.ops.quote_name(table)}")
            if any(NAME in str(value) for row in cursor.fetchall() for value in row):
                named.append(table)
    assert named == ["placements_home"]
    history = owner.get(url("placements.home", f"{home.pk}/history/"))
    assert "<td>add home</td>" in history.content.decode()
    erase_home(home=home, reason=ErasureReason.ASKED_FOR, by=None, at=NOW)
    history = owner.get(url("placements.home", f"{home.pk}/history/"))
    assert "<td>the program</td>" in history.content.decode()
