"""What the nightly review finds is told in the packet in whole sentences.

The review itself writes the findings here; the numbers are worked out by hand from
the readings: 22.0 °C with 0, 0.1 … 0.4 in turn is 22.2 °C on the average, and the
lights burn for 12 hours. The wanted 28.3–30.6 °C are those of the shipped profile
for a grown male.
"""

import io
from datetime import timedelta

import pytest
from pypdf import PdfReader

from husbandry.actions.review import review_night
from placements import pdf
from placements.actions.packets import make_packet
from placements.queries.packets import load_packet
from placements.rules.packets.documents import PacketDocument
from tests.factories import PlacementFactory
from tests.nightly.world import (
    MORNING,
    ON,
    World,
    ambient,
    basking,
    day,
    make_world,
    record,
    record_good_day,
    weigh,
    wobble,
)

pytestmark = pytest.mark.django_db
TOMORROW = MORNING + timedelta(days=1)


@pytest.fixture
def world() -> World:
    return make_world()


def packet_of(world: World) -> PacketDocument:
    placement = PlacementFactory.create(animal=world.animal, planned_on=day(5))
    return load_packet(make_packet(placement=placement, by=None, at=TOMORROW).pk)


def printed(packet: PacketDocument) -> str:
    pages = PdfReader(io.BytesIO(pdf.draw(packet))).pages
    return " ".join(" ".join(p.extract_text() for p in pages).split())


def test_a_finding_that_is_over_and_one_that_is_open_are_told(world: World) -> None:
    world.animal.weighings.all().delete()
    weigh(world.animal, day(-11), "140")
    weigh(world.animal, day(-1), "120")
    record(world.ambient, ON, ambient)
    record(world.basking, ON, lambda day, step: (22.0 + wobble(step), None, 3.0 * day))
    review_night(site=world.site, on=ON, by=None, at=MORNING)
    record_good_day(world, day(1))
    review_night(site=world.site, on=day(1), by=None, at=TOMORROW)

    text = printed(packet_of(world))

    # 20 g of 140 g are 14.3 %.
    assert "Now, since 1 Mar 2026, 2 nights: 140.0 g → 120.0 g in 10 days" in text
    assert "(−14.3 %)" in text
    assert "First step: Weigh again today on the same scale." in text
    assert (
        "Over, 1 Mar 2026 – 2 Mar 2026, 1 night: Temperature at the basking spot by "
        "day: below the wanted 28.3–30.6 °C for 12 h of 12 h measured (1 h "
        "tolerated), 12 h at a stretch from 07:00; mean 22.2 °C, lowest 22.0 °C."
    ) in text
    assert "Nothing is open" not in text
    assert "Weight loss." not in text
    assert "Below target." not in text


def test_a_silent_probe_is_told(world: World) -> None:
    record(world.basking, ON, basking)
    review_night(site=world.site, on=ON, by=None, at=MORNING)

    text = printed(packet_of(world))

    assert (
        "Today, since 1 Mar 2026, 1 night: Probe A-01-air reported nothing all day."
    ) in text
    assert "First step: Look at the probe's power" in text


def test_a_well_kept_animal_has_nothing_to_tell(world: World) -> None:
    record_good_day(world, ON)
    review_night(site=world.site, on=ON, by=None, at=MORNING)

    packet = packet_of(world)

    assert packet.document.history.findings == ()
    assert "Nothing is open. Nothing that is over is on record either." in printed(
        packet
    )


def test_every_finding_of_the_review_has_words_of_its_own(world: World) -> None:
    world.animal.weighings.all().delete()
    record(world.ambient, ON, lambda day, step: (21.0, 10.0 + wobble(step), None))
    record(world.basking, ON, lambda day, step: (99.0, None, 14.0 * day))
    review_night(site=world.site, on=ON, by=None, at=MORNING)

    findings = packet_of(world).document.history.findings

    assert {f.kind.value for f in findings} == {
        *("stuck_probe", "impossible_values", "below_target", "above_target"),
        "weighing_overdue",
    }
    for found in findings:
        bare = found.kind.value.replace("_", " ").capitalize()
        assert found.what.removesuffix(".") != bare
        assert found.first_step
        assert found.why
