"""Homes' enclosures over the API: described, measured, judged."""

from datetime import timedelta
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from rest_framework.test import APIClient

from core.roles import Role
from placements.models import HomeEnclosure, HomeReading
from placements.rules.readiness.files import LARGEST_FILE_BYTES
from tests.api.conftest import Caller
from tests.factories import (
    NOW,
    AnimalFactory,
    CareProfileFactory,
    HomeEnclosureFactory,
    HomeFactory,
    PlacementFactory,
    ReadinessReviewFactory,
)

pytestmark = pytest.mark.django_db

DETAILS: dict[str, Any] = {
    "label": "Tall cage",
    "kind": "screen",
    "width_cm": 61,
    "depth_cm": 61,
    "height_cm": 122.5,
    "time_zone": "Europe/Lisbon",
    "lights_on": "08:00:00",
    "lights_off": "20:00:00",
    "uvb_lamp": "linear_t5",
    "uvb_percent": 5.5,
}
CSV = b"Time;Temperature (C)\n" + b"".join(
    f"2026-11-01 {hour:02}:00;21.5\n".encode() for hour in range(20)
)


@pytest.fixture
def coordinator(caller: Caller) -> APIClient:
    return caller(Role.ADOPTION_COORDINATOR)


def test_an_enclosure_is_described_and_described_anew(coordinator: APIClient) -> None:
    home = HomeFactory()

    made = coordinator.post(
        "/api/v1/home-enclosures/", {**DETAILS, "home": home.pk}, format="json"
    )
    pk = made.json()["id"]
    again = coordinator.post(
        f"/api/v1/home-enclosures/{pk}/describe/",
        {**DETAILS, "height_cm": 90},
        format="json",
    )

    assert made.status_code == 201
    body = {k: v for k, v in made.json().items() if k not in {"id", "recorded_at"}}
    assert body == {
        **DETAILS,
        "home": home.pk,
        "uvb_distance_cm": None,
        "uvb_through_screen": False,
        "laying_bin": False,
        "other_animals": 0,
        "sees_others": None,
        "note": "",
        "readings": 0,
        "newest_review": None,
    }
    assert again.json()["height_cm"] == 90
    assert HomeEnclosure.objects.count() == 1


@pytest.mark.parametrize(
    ("change", "status", "field"),
    [
        ({"home": 999}, 400, "home"),
        ({"width_cm": 0}, 409, "width_cm"),
        ({"time_zone": "Mars"}, 409, "time_zone"),
        ({"lights_off": "07:00:00"}, 409, "lights_off"),
        ({"uvb_lamp": "candle"}, 400, "uvb_lamp"),
        ({"colour": "red"}, 400, "colour"),
    ],
)
def test_bad_enclosures_are_refused(
    change: dict[str, Any], status: int, field: str, coordinator: APIClient
) -> None:
    given = {**DETAILS, "home": HomeFactory().pk, **change}

    answer = coordinator.post("/api/v1/home-enclosures/", given, format="json")

    assert answer.status_code == status, answer.json()
    assert field in str(answer.json())
    assert not HomeEnclosure.objects.exists()


def test_typed_readings_are_kept_beside_a_bad_one(coordinator: APIClient) -> None:
    enclosure = HomeEnclosureFactory()
    reading = {"zone": "basking", "quantity": "temperature_c", "value": 26.5}
    sent = {
        "readings": [
            {**reading, "at": "2026-11-24T12:00:00Z"},
            {**reading, "at": "2026-11-24T13:00:00Z", "value": 999},
        ]
    }

    answer = coordinator.post(
        f"/api/v1/home-enclosures/{enclosure.pk}/readings/", sent, format="json"
    )

    assert answer.status_code == 200
    (refused,) = answer.json().pop("refused")
    assert (refused["index"], refused["code"]) == (1, "home_reading")
    assert "999" in refused["sentence"]
    assert answer.json()["stored"] == 1
    assert HomeReading.objects.get().value_milli == 26_500


@pytest.mark.parametrize("as_form", [True, False])
def test_a_loggers_file_is_taken_in(as_form: bool, coordinator: APIClient) -> None:
    enclosure = HomeEnclosureFactory()
    address = f"/api/v1/home-enclosures/{enclosure.pk}/file/?zone=ambient"

    if as_form:
        part = SimpleUploadedFile("../../log.csv", CSV)
        answer = coordinator.post(address, {"file": part}, format="multipart")
    else:
        answer = coordinator.post(address, CSV, content_type="text/csv")

    assert answer.status_code == 200, answer.json()
    body = answer.json()
    assert (body["stored"], body["rows_read"], body["rows_refused"]) == (20, 20, 0)
    assert body["file_name"] == ("log.csv" if as_form else "the file sent")


def test_what_is_no_file_is_refused(coordinator: APIClient) -> None:
    enclosure = HomeEnclosureFactory()
    address = f"/api/v1/home-enclosures/{enclosure.pk}/file/?zone=ambient"
    large = SimpleUploadedFile("log.csv", b"x" * (LARGEST_FILE_BYTES + 1))

    picture = coordinator.post(
        address, b"\x89PNG\r\n\x1a\n" + bytes(range(256)), content_type="text/csv"
    )
    too_large = coordinator.post(address, {"file": large}, format="multipart")
    no_zone = coordinator.post(address.partition("?")[0], CSV, content_type="text/csv")

    assert (picture.status_code, picture.json()["code"]) == (409, "untrusted_file")
    assert too_large.status_code == 413
    assert no_zone.status_code == 400
    assert not HomeReading.objects.exists()


def test_what_the_file_does_not_say_is_asked(coordinator: APIClient) -> None:
    enclosure = HomeEnclosureFactory()
    address = f"/api/v1/home-enclosures/{enclosure.pk}/file/?zone=ambient"
    bare = CSV.replace(b" (C)", b"")

    asked = coordinator.post(address, bare, content_type="text/csv")
    answered = coordinator.post(f"{address}&unit=C", bare, content_type="text/csv")

    assert (asked.status_code, asked.json()["code"]) == (409, "file_undecided")
    assert set(asked.json()["fields"]) == {"unit"}
    assert answered.json()["stored"] == 20


def test_an_enclosure_is_judged_in_words_and_numbers(coordinator: APIClient) -> None:
    CareProfileFactory()
    animal = AnimalFactory(male=True)
    enclosure = HomeEnclosureFactory(height_cm=100, sees_others=False)

    answer = coordinator.post(
        f"/api/v1/home-enclosures/{enclosure.pk}/review/",
        {"animal": animal.code, "on": "2026-12-01"},
        format="json",
    )

    assert answer.status_code == 201, answer.json()
    body = answer.json()
    assert (body["outcome"], body["sex"], body["on"]) == (
        "not_as_wanted",
        "male",
        "2026-12-01",
    )
    size = dict(next(m for m in body["matters"] if m["title"] == "Size"))
    judged = size.pop("judged")
    assert size == {
        "title": "Size",
        "state": "not_as_wanted",
        "wanted": "at least 60.9 × 60.9 × 121.9 cm wide, deep, high",
        "found": "61 × 61 × 100 cm wide, deep, high",
        "days": [],
        "why": "It is smaller than the least inner size.",
        "says": "common practice, no source",
        "note": "24 × 24 × 48 in for either sex, cut to the millimetre; larger is "
        "better.",
        "others": [],
    }
    assert judged["wanted"]["height_cm"] == 121.9
    listed = coordinator.get("/api/v1/home-enclosures/").json()["results"]
    assert [row["newest_review"] for row in listed] == [body["id"]]
    read = coordinator.get(f"/api/v1/readiness-reviews/{body['id']}/").json()
    assert read["matters"] == body["matters"]


@pytest.mark.parametrize(
    ("given", "status"),
    [({}, 409), ({"animal": "nobody"}, 400), ({"species": "nothing"}, 404)],
)
def test_reviews_of_nothing_are_refused(
    given: dict[str, str], status: int, coordinator: APIClient
) -> None:
    enclosure = HomeEnclosureFactory()

    answer = coordinator.post(
        f"/api/v1/home-enclosures/{enclosure.pk}/review/", given, format="json"
    )

    assert answer.status_code == status


def test_a_vet_reads_reviews_but_no_homes(caller: Caller) -> None:
    vet = caller(Role.VET)
    review = ReadinessReviewFactory(
        enclosure__label="Aunt Vera's room",
        enclosure__home__name="Rare Family",
        judged_at=NOW + timedelta(days=1),
    )

    body = vet.get(f"/api/v1/readiness-reviews/{review.pk}/")

    assert body.status_code == 200
    assert "Rare" not in body.content.decode()
    assert "Vera" not in body.content.decode()
    assert vet.get("/api/v1/home-enclosures/").status_code == 403


def test_it_is_chosen_for_the_animal_that_is_to_come(coordinator: APIClient) -> None:
    row = HomeEnclosureFactory()
    placement = PlacementFactory(home=row.home, animal__code="V-7")
    elsewhere = PlacementFactory()
    address = f"/api/v1/home-enclosures/{row.pk}/choose/"

    answer = coordinator.post(address, {"placement": placement.pk}, format="json")
    wrong = coordinator.post(address, {"placement": elsewhere.pk}, format="json")
    none = coordinator.post(address, {"placement": 10**9}, format="json")

    assert (answer.status_code, wrong.status_code, none.status_code) == (200, 409, 400)
    assert answer.json() == {
        "placement": placement.pk,
        "animal": {"id": placement.animal_id, "code": "V-7"},
        "home_enclosure": row.pk,
    }
    placement.refresh_from_db()
    assert placement.home_enclosure_id == row.pk
