"""The page for people who write scripts works as it is printed."""

import json
import re
from datetime import UTC, datetime
from pathlib import Path

import pytest
from django.conf import settings
from rest_framework.test import APIClient

from clutches.models import EggBox
from husbandry.models import Weighing
from tests.api.racks import make_rack
from tests.clutches.nest import make_nest
from tests.factories import (
    NOW,
    AnimalFactory,
    EnclosureFactory,
    PlacementFactory,
    PrescriptionFactory,
    ProbeFactory,
    SiteFactory,
    SpeciesFactory,
    StayFactory,
    WeighingFactory,
)
from tests.husbandry.logger_files import PLAIN

PAGE = (Path(settings.BASE_DIR) / "docs" / "api.md").read_text(encoding="utf-8")
CALLS = re.findall(
    r"http://127\.0\.0\.1:8000/api/v1/([^\s\"]*)(?:[^\n]*\\\n[^\n]*?-d '(.*)')?", PAGE
)
ADDRESSES = [f"/api/v1/{address}" for address, _ in CALLS]
SENT = {address: json.loads(body) for address, body in CALLS if body}


def test_it_goes_from_a_token_to_last_nights_findings() -> None:
    assert ADDRESSES == [
        "/api/v1/me/",
        "/api/v1/review-runs/?page_size=1",
        "/api/v1/findings/?open=true",
        "/api/v1/readings/",
        "/api/v1/animals/?all_or_none=true",
        "/api/v1/animals/1/move/",
        "/api/v1/reproductive-states/",
        "/api/v1/sight-lines/",
        "/api/v1/feedings/",
        "/api/v1/doses/",
        "/api/v1/egg-checks/",
        "/api/v1/weighings/",
        "/api/v1/placements/1/",
        "/api/v1/placements/1/change-plan/",
        "/api/v1/set-ups/",
        "/api/v1/logger-files/try/?probe=P-001&zone=site",
        "/api/v1/review-runs/",
        "/api/v1/health/",
        "/api/v1/weighings/?animal=V-0417&recorded_from=2026-03-01T00:00:00Z",
        "/api/v1/animals/?search=basil+male&status=in_care",
        "/api/v1/animals/?ordering=-hatched_on,code&page_size=20",
        "/api/v1/animals/?fields=id,code,latest_weighing",
    ]


@pytest.mark.parametrize("address", ADDRESSES[:3] + ADDRESSES[-4:])
def test_what_it_asks_is_answered(address: str, viewer: APIClient) -> None:
    assert viewer.get(address).status_code == 200


def test_what_it_posts_is_stored(keeper: APIClient) -> None:
    ProbeFactory(code="P-001")

    answer = keeper.post("/api/v1/readings/", SENT["readings/"])

    assert (answer.json()["received"], answer.json()["stored"]) == (2, 2)


def test_the_animals_that_it_registers_are_on_record(owner: APIClient) -> None:
    SpeciesFactory()

    answer = owner.post(
        "/api/v1/animals/?all_or_none=true", SENT["animals/?all_or_none=true"]
    )

    assert (answer.status_code, answer.json()["stored"]) == (200, 2)


def test_the_animal_that_it_moves_is_moved(keeper: APIClient) -> None:
    stay = StayFactory()
    EnclosureFactory(code="E-002", room=stay.enclosure.room)

    answer = keeper.post(
        f"/api/v1/animals/{stay.animal.pk}/move/", SENT["animals/1/move/"]
    )

    assert (answer.status_code, answer.json()["enclosure"]["code"]) == (200, "E-002")


def test_the_state_and_the_sight_line_that_it_notes_are_kept(owner: APIClient) -> None:
    AnimalFactory(code="V-0417")
    room = EnclosureFactory(code="E-001").room
    EnclosureFactory(code="E-002", room=room)

    state, line = (
        owner.post(f"/api/v1/{address}", SENT[address])
        for address in ("reproductive-states/", "sight-lines/")
    )

    assert (state.status_code, state.json()["from_on"]) == (201, "2026-02-20")
    assert (line.status_code, line.json()["from_on"]) == (201, "2026-03-01")


def test_the_rack_that_it_feeds_is_fed(keeper: APIClient) -> None:
    rack = make_rack()
    StayFactory(animal__code="V-0417", enclosure__room=rack.room)

    answer = keeper.post("/api/v1/feedings/", SENT["feedings/"])

    report = answer.json()
    assert (report["stored"], report["refused"]) == (3, [])
    assert [line["label"] for line in report["lines"]] == ["V-1", "V-2", "V-3"]


def test_the_dose_that_it_records_is_computed(keeper: APIClient) -> None:
    animal = StayFactory().animal
    WeighingFactory(animal=animal, at=datetime(2026, 3, 1, 8, tzinfo=UTC))
    prescription = PrescriptionFactory(animal=animal)
    said = SENT["doses/"] | {"prescription": prescription.pk}

    answer = keeper.post("/api/v1/doses/", said)

    # By hand: 0.1 kg × 10 mg/kg at 10 mg/mL.
    assert (answer.status_code, answer.json()["volume_ml"]) == (201, 0.1)


def test_the_box_that_it_candles_is_candled(keeper: APIClient) -> None:
    nest = make_nest()
    EggBox.objects.filter(pk=nest.box.pk).update(code="B-2")

    answer = keeper.post(
        "/api/v1/egg-checks/", {**SENT["egg-checks/"], "at": NOW.isoformat()}
    )

    assert answer.status_code == 200
    assert answer.json()["stored"] == len(nest.eggs)


def test_the_weighing_that_it_sends_again_is_recorded_once(keeper: APIClient) -> None:
    AnimalFactory(code="V-0417")
    (key,) = re.findall(r"'Idempotency-Key: ([^']*)'", PAGE)

    first, again = (
        keeper.post("/api/v1/weighings/", SENT["weighings/"], HTTP_IDEMPOTENCY_KEY=key)
        for _ in range(2)
    )

    assert (first.status_code, again.status_code) == (201, 201)
    assert first.content == again.content
    assert Weighing.objects.count() == 1


def test_the_plan_that_it_changes_is_one_that_it_has_seen(owner: APIClient) -> None:
    row = PlacementFactory(kind="sale")
    seen, body = f"/api/v1/placements/{row.pk}/", SENT["placements/1/change-plan/"]
    change, tag = f"{seen}change-plan/", owner.get(seen)["ETag"]

    first, again = (owner.post(change, body, HTTP_IF_MATCH=tag) for _ in range(2))

    assert (first.status_code, again.status_code) == (200, 412)
    assert again.json()["code"] == "changed_meanwhile"
    assert first["ETag"] == owner.get(seen)["ETag"]


def test_the_enclosure_that_it_sets_up_stands_so(owner: APIClient) -> None:
    EnclosureFactory(code="A-1")

    answer = owner.post("/api/v1/set-ups/", SENT["set-ups/"])

    assert (answer.status_code, answer.json()["laying_bin"]) == (201, True)


def test_the_file_that_it_tries_is_read(keeper: APIClient) -> None:
    ProbeFactory(code="P-001")

    answer = keeper.post(
        "/api/v1/logger-files/try/?probe=P-001&zone=site",
        PLAIN,
        content_type="text/csv",
    )

    assert (answer.status_code, answer.json()["questions"]) == (200, [])


def test_the_night_that_it_reviews_is_reviewed(owner: APIClient) -> None:
    SiteFactory(code="vescora")

    answer = owner.post("/api/v1/review-runs/", SENT["review-runs/"])

    assert (answer.status_code, answer.json()["on"]) == (201, "2026-03-01")


@pytest.mark.django_db
def test_the_health_that_it_asks_for_is_told() -> None:
    assert APIClient().get("/api/v1/health/").json() == {"status": "ok"}
