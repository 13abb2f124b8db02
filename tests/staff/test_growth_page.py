"""The page of one animal's growth: in sentences, with a chart and its numbers."""

from collections.abc import Callable
from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal
from math import exp
from xml.etree import ElementTree as ET
from zoneinfo import ZoneInfo

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from core.charts.strokes import MIDDLE
from husbandry.models import Animal
from husbandry.rules.vocabulary import FindingKind
from tests.factories import (
    SHIPPED_PROFILE,
    AnimalFactory,
    CareProfileFactory,
    EnclosureFactory,
    MeasuringFactory,
    ObservationFactory,
    ReproductiveSpellFactory,
    ReviewPolicyFactory,
    RoomFactory,
    SiteFactory,
    SpeciesFactory,
    StayFactory,
    UserFactory,
    WeighingFactory,
)
from tests.staff.conftest import client_of

SVG = "{http://www.w3.org/2000/svg}"
TODAY = timezone.localdate(timezone=ZoneInfo("Europe/Lisbon"))
# Invented, so that scores can be worked out by hand: the median grows by 0.1 g a day.
REFERENCE = """
growth_references:
  - id: growth-invented
    source: memory
    standing: from_memory
    points:
      - {age_days: 0, power: 1, median_g: 1, variation: 0.1}
      - {age_days: 100, power: 1, median_g: 11, variation: 0.1}
"""
pytestmark = pytest.mark.django_db
Hatch = Callable[..., Animal]


@pytest.fixture
def hatch(db: None) -> Hatch:
    """Make males of one dam, `days` old, with a weighing at each age given.

    Their last weighing is of yesterday at most: today's may still lie ahead.
    """
    CareProfileFactory.create()
    dam, room = AnimalFactory.create(), RoomFactory.create(site=SiteFactory.create())

    def make(days: int, masses: dict[int, float], **fields: object) -> Animal:
        hatched_on = TODAY - timedelta(days=days)
        born = {"hatched_on": hatched_on, "arrived_on": hatched_on, "male": True}
        animal = AnimalFactory.create(**{"dam": dam, **born, **fields})
        enclosure = EnclosureFactory.create(room=room)
        StayFactory.create(animal=animal, enclosure=enclosure)
        for age, mass_g in masses.items():
            WeighingFactory.create(
                animal=animal,
                at=_nine(hatched_on + timedelta(days=age)),
                mass_g=Decimal(f"{mass_g:.2f}"),
            )
        return animal

    return make


def _nine(on: date) -> datetime:
    return datetime.combine(on, time(9), tzinfo=UTC)


def _grown(until: int) -> dict[int, float]:
    """Return masses of a Gompertz curve: 150 g, fastest at 140 days."""
    return {
        age: 150 * exp(-exp(-0.012 * (age - 140))) for age in range(0, until + 1, 10)
    }


def _text(client: Client, animal: Animal, query: str = "") -> str:
    answer = client.get(f"/animals/{animal.pk}/growth/{query}")
    assert answer.status_code == 200
    return answer.content.decode().replace("\u00a0", " ")


def _chart(client: Client, animal: Animal, query: str = "") -> ET.Element:
    answer = client.get(f"/animals/{animal.pk}/growth.svg{query}")
    assert (answer.status_code, answer.headers["Content-Type"]) == (
        200,
        "image/svg+xml",
    )
    return ET.fromstring(answer.content.decode())


def _of_class(root: ET.Element, name: str) -> list[ET.Element]:
    return [e for e in root.iter() if e.get("class") == name]


def test_a_runt_is_told_from_its_mates(hatch: Hatch, keeper: Client) -> None:
    runt = hatch(51, {29: 4.0, 36: 4.5, 43: 5.0, 50: 5.5})
    for mass_g in (9.0, 10.0, 11.0, 9.5):
        hatch(51, {49: mass_g})
    hatch(51, {49: 10.5}, left=True)

    text = _text(keeper, runt)

    # By hand: the median of 9, 9.5, 10, 10.5 and 11 is 10; (5.5 − 10) / 0.7413 = −6.1.
    assert (
        "n = 5 clutch-mates of the same age (within 3 days), median 10.0 g; it weighed "
        "5.50 g at 50 days, place 6 of 6 by weight (6.1 deviations below the median)."
    ) in text
    assert "1 of these mates has left" in text
    assert '<strong class="word">watch</strong>' in text
    assert "If it does not catch up, see a licensed reptile vet." in text
    assert "These are sums, not a diagnosis." in text
    assert text.count('<span class="hint">left</span>') == 1


def test_too_few_mates_are_nothing_to_compare_with(
    hatch: Hatch, keeper: Client
) -> None:
    animal = hatch(51, {43: 5.0, 50: 5.5})
    for _ in range(3):
        hatch(51, {49: 10.0})
    hatch(51, {10: 2.0})

    text = _text(keeper, animal)

    assert "Nothing to compare with: 3 mates of the same age, 5 are needed." in text
    assert "Its record has 4 clutch-mates" in text
    assert "+0.50 g a week" in text
    assert "too few of them to say how sure that is." in text
    assert "These are sums" not in text


def test_an_asymptote_is_only_told_where_it_is_supported(
    hatch: Hatch, keeper: Client
) -> None:
    young, old = hatch(61, _grown(60)), hatch(500, _grown(490), dam=None)

    told, supported = _text(keeper, young), _text(keeper, old)

    assert "The asymptote is not supported by these data: fewer than three" in told
    assert "dashed where it goes on" not in told
    # 150 g is what the weighings were made of.
    assert "It levels off at 150.0 g" in supported
    drawn = [_chart(keeper, animal) for animal in (young, old)]
    assert [len(_of_class(root, "chart-curve")) for root in drawn] == [1, 1]
    assert [len(_of_class(root, "chart-beyond")) for root in drawn] == [0, 1]


def test_an_age_at_a_mass_is_asked_in_the_readers_unit(hatch: Hatch) -> None:
    animal = hatch(500, _grown(490))
    reader = client_of(UserFactory.create(mass_unit="kg"))

    text = _text(reader, animal, "?mass=0,1")

    # 140 − ln(−ln(100 / 150)) / 0.012 is 215.2 days; 0.1 kg is 100 g.
    assert "0.1000 kg at an age of 215 days, 95 % interval 215 to 215 days." in text
    assert "Mass in kg" in text
    assert 'value="0,1"' in text


@pytest.mark.parametrize(
    ("given", "told"),
    [
        ("abc", "“abc” is no mass. A number above 0 would be, such as 120."),
        ("-3", "A mass of -3 g cannot be"),
        ("NaN", "A mass of NaN g cannot be"),
        ("0", "A mass of 0 g cannot be"),
    ],
)
def test_what_is_no_mass_is_told_beside_the_field(
    hatch: Hatch, keeper: Client, given: str, told: str
) -> None:
    animal = hatch(500, _grown(490))

    text = _text(keeper, animal, f"?mass={given}")

    assert told in text
    assert f'value="{given}"' in text
    assert "at an age of" not in text


def test_an_empty_field_asks_nothing(hatch: Hatch, keeper: Client) -> None:
    text = _text(keeper, hatch(500, _grown(490)), "?mass=")

    assert "at an age of" not in text
    assert 'class="refused"' not in text


def test_without_a_curve_no_age_is_asked_for(hatch: Hatch, keeper: Client) -> None:
    animal = hatch(51, {43: 5.0, 50: 5.5})

    text = _text(keeper, animal, "?mass=8")

    assert "No age is given for 8.00 g: no growth curve could be fitted." in text
    assert '<form method="get"' not in text


def test_a_loss_ends_at_a_vet(hatch: Hatch, keeper: Client) -> None:
    animal = hatch(500, {480: 140.0, 499: 120.0})

    text = _text(keeper, animal)

    # 20 of 140 g are 14.3 %.
    assert "140.0 g → 120.0 g in 19 days (−14.3 %)" in text
    assert "call a licensed reptile vet today." in text
    assert 'class="card now"' in text
    assert "The limit rests on: a convention of this program, not measured." in text


def test_a_site_that_does_not_want_to_hear_is_named(
    hatch: Hatch, keeper: Client
) -> None:
    animal = hatch(500, {480: 140.0, 499: 120.0})
    site = animal.stays.get().enclosure.room.site
    ReviewPolicyFactory.create(site=site, kind=FindingKind.WEIGHT_LOSS.value)

    text = _text(keeper, animal)

    assert "This site has switched off: weight loss." in text
    assert 'class="card now"' not in text
    # The trend falls all the same.
    assert "These are sums, not a diagnosis." in text


def test_condition_has_no_score(hatch: Hatch, keeper: Client) -> None:
    animal = hatch(500, {300: 100.0, 499: 120.0})
    for age, length_cm in ((301, "16.0"), (498, "18.0")):
        on = TODAY - timedelta(days=500 - age)
        MeasuringFactory.create(
            animal=animal, at=_nine(on), snout_vent_cm=Decimal(length_cm)
        )

    text = _text(keeper, animal)

    # 100 g by 16 cm, 120 g by 18 cm.
    assert "6.25 g/cm on" in text
    assert "6.67 g/cm on" in text
    assert "no condition score has been validated" in text


def test_one_length_is_told_once(hatch: Hatch, keeper: Client) -> None:
    animal = hatch(500, {499: 120.0})
    at = _nine(TODAY - timedelta(days=1))
    MeasuringFactory.create(animal=animal, at=at, snout_vent_cm=Decimal("20.0"))

    text = _text(keeper, animal)

    # 120 g by 20 cm; in the sentence and in the table.
    assert "Mass by length: 6.00 g/cm on" in text
    assert text.count("6.00 g/cm") == 2


def test_an_animal_of_which_nothing_is_known(keeper: Client) -> None:
    animal = AnimalFactory.create(
        species=SpeciesFactory.create(code="unheard_of"),
        hatched_on=None,
        hatched_precision="unknown",
    )

    text = _text(keeper, animal)

    assert "no care profile, so its weighings are held against nothing" in text
    assert "No curve: it was never weighed." in text
    assert "its length from snout to vent was never measured" in text
    assert "No weighing yet." in ET.tostring(_chart(keeper, animal), encoding="unicode")


def test_ages_that_are_not_known_leave_days(hatch: Hatch, keeper: Client) -> None:
    animal = hatch(500, {440: 118.0, 499: 120.0}, hatched_precision="month")

    text, root = _text(keeper, animal), _chart(keeper, animal)

    assert "No curve: its day of hatching is not known to the day" in text
    assert _of_class(root, "chart-plausible") == []
    # More than 45 days lie between the two.
    assert len(_of_class(root, "chart-dot")) == 2
    assert _of_class(root, "chart-line") == []


def test_the_chart_shows_mates_states_and_what_is_merely_plausible(
    hatch: Hatch, keeper: Client
) -> None:
    animal = hatch(500, _grown(490))
    for _ in range(2):
        hatch(499, _grown(490))
    ReproductiveSpellFactory.create(
        animal=animal,
        from_on=TODAY - timedelta(days=90),
        until_on=TODAY - timedelta(days=60),
    )
    at = _nine(TODAY - timedelta(days=60))
    ObservationFactory.create(
        animal=animal, kind="laying", observed="finished", eggs=30, at=at
    )
    ObservationFactory.create(animal=animal, at=at - timedelta(days=100))

    root = _chart(keeper, animal)

    words = [t.text for t in root.iter(f"{SVG}text")]
    assert {"gravid", "laid", "plausible masses, not a target", "0 d"} <= set(words)
    assert len(_of_class(root, "chart-others")) == 2
    assert {e.get("stroke") for e in _of_class(root, "chart-others")} == {MIDDLE}
    assert len(_of_class(root, "chart-night")) == 1
    # Of a hatchling and of an adult; nothing is said of the ages between.
    assert len(_of_class(root, "chart-plausible")) == 2
    assert _of_class(root, "chart-wanted") == []
    assert len(_of_class(root, "chart-dot")) == 50


@pytest.mark.parametrize("query", ["", "?size=narrow&light=dim"])
def test_nothing_is_drawn_outside_the_chart(
    hatch: Hatch, keeper: Client, query: str
) -> None:
    animal = hatch(500, _grown(490))
    hatch(498, {age: 1.3 * mass_g for age, mass_g in _grown(490).items()})

    root = _chart(keeper, animal, query)

    width, height = (float(root.get(side, "")) for side in ("width", "height"))
    for path in (*_of_class(root, "chart-others"), *_of_class(root, "chart-beyond")):
        for pair in path.get("d", "").removeprefix("M").split("L"):
            x, y = map(float, pair.split(" "))
            assert 0 <= x <= width
            assert 0 <= y <= height


def test_a_published_reference_stands_behind_it(keeper: Client) -> None:
    CareProfileFactory.create(
        source_text=SHIPPED_PROFILE.read_text("utf-8") + REFERENCE
    )
    hatched_on = TODAY - timedelta(days=51)
    animal = AnimalFactory.create(hatched_on=hatched_on, arrived_on=hatched_on)
    for age, mass_g in ((43, "5.00"), (50, "5.40")):
        at = _nine(hatched_on + timedelta(days=age))
        WeighingFactory.create(animal=animal, at=at, mass_g=Decimal(mass_g))

    text, root = _text(keeper, animal), _chart(keeper, animal)

    # By hand: the median at 50 days is 6 g; (5.4 / 6 − 1) / 0.1 = −1, and 15.9 % of
    # a normal distribution lie below −1 (any table).
    assert "15.9 % of animals of its age weigh less (z −1.0)." in text
    assert "3rd to 97th centile (from memory, not verified)" in text
    assert len(_of_class(root, "chart-area")) == 1
    assert _of_class(root, "chart-plausible") == []


def test_the_animals_page_tells_the_most_of_it(hatch: Hatch, keeper: Client) -> None:
    animal = hatch(500, {480: 140.0, 499: 120.0})

    answer = keeper.get(f"/animals/{animal.pk}/")

    text = answer.content.decode().replace("\u00a0", " ")
    assert f'href="/animals/{animal.pk}/growth/"' in text
    assert "Nothing to compare with: no mates of the same age, 5 are needed." in text
    assert "These are sums, not a diagnosis." in text


def test_nobody_is_not_found(keeper: Client) -> None:
    assert keeper.get("/animals/999999/growth/").status_code == 404
    assert keeper.get("/animals/999999/growth.svg").status_code == 404


def test_six_mates_take_the_queries_of_one(hatch: Hatch, keeper: Client) -> None:
    animal = hatch(51, {43: 5.0, 50: 5.5})

    def count(address: str) -> int:
        with CaptureQueriesContext(connection) as caught:
            keeper.get(f"/animals/{animal.pk}/{address}")
        return len(caught)

    addresses = ("growth/", "growth.svg")
    hatch(51, {49: 10.0})
    one = [count(address) for address in addresses]
    for _ in range(5):
        hatch(51, {49: 10.0})

    # Session, person, animal, and the eight of what is on record.
    assert [count(address) for address in addresses] == one == [11, 11]
