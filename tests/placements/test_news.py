"""Of hand-overs and packets other programs are told, and of no household."""

import json
from pathlib import Path
from typing import Any

import pytest

from core.models import Notice
from core.webhooks.payloads import body_of
from placements.actions.handing_over import GatesShutError, hand_over
from placements.actions.packet_jobs import ask_for_packets, draw_waiting
from placements.actions.packets import make_packet
from placements.models import PacketJob, Placement
from tests.factories import AnimalFactory, HomeFactory, PlacementFactory, WebhookFactory
from tests.placements.test_handing_over import AT, BEFORE, ON
from tests.placements.test_packet_jobs import quick

pytestmark = pytest.mark.django_db
SECRETS = ("Lindqvist", "7 Harbour Row", "+351 900 000 001", "Juno", "quiet corner")


@pytest.fixture(autouse=True)
def hub(tmp_path: Path, settings: Any) -> None:
    settings.MEDIA_ROOT = tmp_path / "media"
    WebhookFactory.create()


@pytest.fixture
def placement() -> Placement:
    name, street, call, animal, note = SECRETS
    home = HomeFactory.create(name=f"Ada {name}", contact=f"{street}, {call}")
    return PlacementFactory.create(
        animal=AnimalFactory.create(code="V-9", name=animal, notes=note),
        home=home,
        kind="sale",
        planned_on=ON,
    )


def told() -> list[tuple[str, int, dict[str, Any]]]:
    return [(n.kind, n.subject_id, n.data) for n in Notice.objects.order_by("pk")]


def test_a_packet_is_told_once_and_so_is_leaving(placement: Placement) -> None:
    packet = make_packet(placement=placement, by=None, at=BEFORE)
    assert make_packet(placement=placement, by=None, at=BEFORE) == packet

    hand_over(placement=placement, on=ON, by=None, at=AT)

    assert told() == [
        (
            "packet.ready",
            packet.pk,
            {
                "number": packet.number,
                "version": 1,
                "placement": placement.pk,
                "animal": "V-9",
            },
        ),
        (
            "placement.handed_over",
            placement.pk,
            {"animal": "V-9", "kind": "sale", "handed_over_on": "2026-03-20"},
        ),
    ]


def test_who_may_not_leave_is_not_told(placement: Placement) -> None:
    with pytest.raises(GatesShutError):
        hand_over(placement=placement, on=ON, by=None, at=AT)

    assert told() == []


def test_a_packet_that_is_drawn_is_told_beside_the_packet(
    placement: Placement,
) -> None:
    batch = ask_for_packets(placements=[placement], by=None, at=AT)

    draw_waiting(draw=quick, at=AT)

    job = PacketJob.objects.get()
    assert job.packet is not None
    kinds = [kind for kind, _, _ in told()]
    assert kinds == ["packet.ready", "packet.drawn"]
    assert told()[1][1:] == (
        job.pk,
        {
            "batch": batch,
            "number": job.packet.number,
            "placement": placement.pk,
            "animal": "V-9",
        },
    )


def test_nothing_of_the_household_is_in_a_message(placement: Placement) -> None:
    ask_for_packets(placements=[placement], by=None, at=BEFORE)
    draw_waiting(draw=quick, at=BEFORE)
    hand_over(placement=placement, on=ON, by=None, at=AT)

    bodies = [body_of(n, address="https://keep.example") for n in Notice.objects.all()]

    assert len(bodies) == 3
    for body in bodies:
        for secret in SECRETS:
            assert secret not in body.decode()
        assert "home" not in json.loads(body)["data"]
