"""The page of a home's enclosure: judged, measured, described, put on record."""

from datetime import timedelta
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from core.models import User
from core.roles import Role
from placements.models import HomeEnclosure, HomeReading, ReadinessReview
from placements.rules.readiness.files import LARGEST_FILE_BYTES
from tests.factories import (
    AnimalFactory,
    CareProfileFactory,
    HomeEnclosureFactory,
    HomeFactory,
    HomeReadingFactory,
    PlacementFactory,
    ReadinessReviewFactory,
)
from tests.staff.conftest import Visitor

pytestmark = pytest.mark.django_db

TYPED: dict[str, Any] = {
    "label": "Tall cage",
    "kind": "screen",
    "width": "61",
    "depth": "61,5",
    "height": "122",
    "time_zone": "Europe/Lisbon",
    "lights_on": "08:00",
    "lights_off": "20:00",
    "uvb_lamp": "linear_t5",
    "uvb_percent": "6",
    "uvb_distance": "25",
    "other_animals": "0",
    "sees_others": "no",
}


@pytest.fixture
def coordinator(visitor: Visitor) -> Client:
    return visitor(Role.ADOPTION_COORDINATOR)


def _measured(enclosure: HomeEnclosure, days: int = 2) -> None:
    now = timezone.now().replace(second=0, microsecond=0)
    HomeReading.objects.bulk_create(
        HomeReading(
            enclosure=enclosure,
            zone="basking",
            quantity="temperature_c",
            at=now - timedelta(minutes=30 * n),
            value_milli=26_000 + n % 7,
            recorded_at=now,
        )
        for n in range(48 * days)
    )


def test_it_says_wanted_found_and_who_says_so(coordinator: Client) -> None:
    CareProfileFactory()
    enclosure = HomeEnclosureFactory(
        height_cm=100, label="Tall <cage>", sees_others=False
    )
    _measured(enclosure)
    animal = AnimalFactory(code="V-77")
    PlacementFactory(home=enclosure.home, animal=animal)

    text = coordinator.get(f"/homes/enclosures/{enclosure.pk}/").content.decode()

    assert "V-77" in text
    assert "Tall &lt;cage&gt;" in text
    assert 'Size: <span class="stands">not as wanted</span>' in text
    assert "Wanted: at least 60.9 × 60.9 × 121.9 cm wide, deep, high." in text
    assert "Found: 61 × 61 × 100 cm wide, deep, high." in text
    assert "Source: common practice, no source." in text
    assert "Hang a logger there for at least three days." in text
    assert "Not ready yet: 2 not as wanted and 5 not known yet of 11 matters." in text
    assert text.index("Size: <span") < text.index("Sight of others: <span")


def test_a_reader_of_fahrenheit_reads_inches(coordinator: Client) -> None:
    User.objects.update(temperature_unit="F")
    CareProfileFactory()
    enclosure = HomeEnclosureFactory()
    animal = AnimalFactory()

    text = coordinator.get(
        f"/homes/enclosures/{enclosure.pk}/?animal={animal.code}"
    ).content.decode()

    assert "Found: 24 × 24 × 48 in wide, deep, high." in text
    assert "Width inside, in" in text
    assert "Temperature, °F" in text


def test_nobody_is_judged_for_an_animal_that_is_not(coordinator: Client) -> None:
    enclosure = HomeEnclosureFactory()

    nobody = coordinator.get(f"/homes/enclosures/{enclosure.pk}/")
    unknown = coordinator.get(f"/homes/enclosures/{enclosure.pk}/?animal=nope")

    assert b"For whom?" in nobody.content
    assert b"There is no animal nope" in unknown.content


def test_an_enclosure_is_described_and_described_anew(coordinator: Client) -> None:
    home = HomeFactory()

    answer = coordinator.post(f"/homes/{home.pk}/enclosures/new/", TYPED)
    enclosure = HomeEnclosure.objects.get()
    again = coordinator.post(
        f"/homes/enclosures/{enclosure.pk}/describe/", {**TYPED, "height": "90"}
    )

    assert answer.status_code == again.status_code == 302
    enclosure.refresh_from_db()
    assert (str(enclosure.depth_cm), str(enclosure.height_cm)) == ("61.5", "90.0")
    assert enclosure.sees_others is False


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"width": "wide"}, "“wide” is no number."),
        ({"width": "0"}, "0.0 cm cannot be; give 5 to 1000 cm."),
        ({"lights_off": "07:00"}, "The lights go off at 07:00, before"),
        ({"time_zone": "Mars"}, "is no time zone"),
        ({"label": ""}, "This field is required."),
    ],
)
def test_bad_descriptions_keep_what_was_typed(
    change: dict[str, str], told: str, coordinator: Client
) -> None:
    enclosure = HomeEnclosureFactory()
    given = {**TYPED, "note": "Beside the window.", **change}

    new = coordinator.post(f"/homes/{enclosure.home_id}/enclosures/new/", given)
    anew = coordinator.post(f"/homes/enclosures/{enclosure.pk}/describe/", given)

    for answer in (new, anew):
        assert answer.status_code == 400
        assert told in answer.content.decode()
        assert "Beside the window." in answer.content.decode()
    assert HomeEnclosure.objects.count() == 1


def test_readings_are_typed_in_the_enclosures_clock(coordinator: Client) -> None:
    enclosure = HomeEnclosureFactory()
    today = timezone.localdate()
    given = {
        "spot": "basking",
        "on": str(today - timedelta(days=1)),
        "at": "12:00",
        "temperature": "26,5",
        "uv_index": "3",
    }
    address = f"/homes/enclosures/{enclosure.pk}/readings/"

    kept = coordinator.post(address, given)
    nothing = coordinator.post(address, {**given, "temperature": "", "uv_index": ""})
    absurd = coordinator.post(address, {**given, "temperature": "900"})

    assert kept.status_code == 302
    assert (nothing.status_code, absurd.status_code) == (400, 400)
    assert "at least one of the three" in nothing.content.decode()
    assert "900 is more than an instrument can show" in absurd.content.decode()
    assert set(enclosure.readings.values_list("quantity", "value_milli")) == {
        ("temperature_c", 26_500),
        ("uv_index", 3_000),
    }


def _file(*, unit: str = " (C)") -> SimpleUploadedFile:
    on = timezone.localdate() - timedelta(days=1)
    rows = "".join(f"{on} {hour:02}:00;21.5\n" for hour in range(20))
    return SimpleUploadedFile("log.csv", f"Time;Temperature{unit}\n{rows}".encode())


def test_a_file_is_taken_in_or_asked_about(coordinator: Client) -> None:
    enclosure = HomeEnclosureFactory()
    address = f"/homes/enclosures/{enclosure.pk}/file/"

    asked = coordinator.post(address, {"file": _file(unit=""), "spot": "ambient"})
    kept = coordinator.post(
        address, {"file": _file(unit=""), "spot": "ambient", "unit": "C"}, follow=True
    )

    assert asked.status_code == 400
    assert "In which unit is" in asked.content.decode()
    assert "Choose the file once more." in asked.content.decode()
    assert "Kept: 20 values." in kept.content.decode()
    assert enclosure.readings.count() == 20


def test_what_is_no_file_is_refused(coordinator: Client) -> None:
    enclosure = HomeEnclosureFactory()
    address = f"/homes/enclosures/{enclosure.pk}/file/"
    picture = SimpleUploadedFile("log.csv", b"\x89PNG\r\n\x1a\n" + bytes(range(256)))
    large = SimpleUploadedFile("log.csv", b"x" * (LARGEST_FILE_BYTES + 1))

    answers = [
        coordinator.post(address, {"spot": "ambient", **file})
        for file in ({}, {"file": picture}, {"file": large})
    ]

    texts = [answer.content.decode() for answer in answers]
    assert [answer.status_code for answer in answers] == [400, 400, 400]
    assert "Choose a file." in texts[0]
    assert "Nothing was taken. Choose the file once more." in texts[1]
    assert "at most 5,000,000 are" in texts[2]
    assert not HomeReading.objects.exists()


def test_a_judgement_is_put_on_record(coordinator: Client) -> None:
    CareProfileFactory()
    enclosure, animal = HomeEnclosureFactory(), AnimalFactory()
    ReadinessReviewFactory(
        enclosure=enclosure, judged_at=enclosure.recorded_at - timedelta(days=1)
    )

    answer = coordinator.post(
        f"/homes/enclosures/{enclosure.pk}/review/",
        {"animal": animal.code},
        follow=True,
    )

    review = ReadinessReview.objects.get(animal=animal)
    assert review.outcome == "not_as_wanted"  # without a laying bin
    text = answer.content.decode()
    assert f"On record for {animal}" in text
    assert text.count("described anew since: it counts no more") == 1


def test_spots_are_drawn_with_what_is_wanted(coordinator: Client) -> None:
    CareProfileFactory()
    enclosure, animal = HomeEnclosureFactory(), AnimalFactory()
    _measured(enclosure, days=9)
    HomeReadingFactory(
        enclosure=enclosure,
        zone="cool",
        at=timezone.now() - timedelta(days=1),
        value_milli=120_000,
    )
    base = f"/homes/enclosures/{enclosure.pk}"

    drawn = coordinator.get(f"{base}/{animal.pk}/basking/temperature_c.svg?light=dim")
    bare = coordinator.get(f"{base}/0/cool/temperature_c.svg?size=narrow")

    assert drawn.status_code == 200
    assert "26.0 to 26.0 °C in 3" in drawn.content.decode()
    assert "nothing that can be believed" in bare.content.decode()
    for strange in ("0/basking/uv_index", "0/attic/temperature_c", "0/cool/mood"):
        assert coordinator.get(f"{base}/{strange}.svg").status_code == 404


def test_the_page_costs_the_same_for_more_readings_and_reviews(
    coordinator: Client,
) -> None:
    CareProfileFactory()
    enclosure, animal = HomeEnclosureFactory(), AnimalFactory()
    address = f"/homes/enclosures/{enclosure.pk}/?animal={animal.code}"
    ReadinessReviewFactory(enclosure=enclosure, animal=animal)
    _measured(enclosure, days=1)
    coordinator.get(address)

    with CaptureQueriesContext(connection) as few:
        coordinator.get(address)
    for _ in range(3):
        ReadinessReviewFactory(enclosure=enclosure, animal=AnimalFactory())
    with CaptureQueriesContext(connection) as many:
        coordinator.get(address)

    assert len(many) == len(few)


def test_an_animal_is_to_live_there(coordinator: Client) -> None:
    enclosure = HomeEnclosureFactory()
    planned = PlacementFactory(home=enclosure.home, animal__code="V-8")
    other = PlacementFactory()
    base = f"/homes/enclosures/{enclosure.pk}"

    before = coordinator.get(f"{base}/").content.decode()
    coordinator.post(f"{base}/choose/{planned.pk}/")
    refused = coordinator.post(f"{base}/choose/{other.pk}/", follow=True)

    assert f"{base}/choose/{planned.pk}/" in before
    planned.refresh_from_db()
    other.refresh_from_db()
    assert (planned.home_enclosure, other.home_enclosure) == (enclosure, None)
    text = refused.content.decode()
    assert "stands in another home" in text
    assert "is to live here, from 20 Mar 2026." in text
