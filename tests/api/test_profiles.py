"""Care profiles over the API: tried, published, refused with all that is wrong."""

import json
from datetime import date
from typing import Any

import pytest
import yaml
from django.core.files.uploadedfile import SimpleUploadedFile
from rest_framework.test import APIClient

from husbandry.models import CareProfile, Species
from tests.factories import ReviewRunFactory, SpeciesFactory
from tests.rules.profiles.samples import SMALL

PROFILES, SPECIES = "/api/v1/profiles/", "/api/v1/species/"
YAML, JSON = "application/yaml", "application/json"
ASKED = "?species=glass_lizard&effective_on=2026-02-01"
WRONG = SMALL.replace("high: 32.5", "high: 29").replace(
    "period: day", "period: noon", 1
)


@pytest.fixture
def lizard(db: None) -> Species:
    row: Species = SpeciesFactory.create(code="glass_lizard")
    return row


def publish(client: APIClient, text: str, *, kind: str = YAML, to: str = ASKED) -> Any:
    return client.post(f"{PROFILES}{to}", text.encode(), content_type=kind)


def test_a_profile_is_published_word_for_word(
    owner: APIClient, lizard: Species
) -> None:
    run = ReviewRunFactory(on=date(2026, 2, 1))

    answer = publish(owner, SMALL)

    row = CareProfile.objects.get()
    assert (answer.status_code, row.source_text) == (201, SMALL)
    found = answer.json()
    assert found.pop("published_at").endswith("Z")
    assert found == {
        "id": row.pk,
        "species": {"id": lizard.pk, "code": "glass_lizard"},
        "version": 1,
        "effective_on": "2026-02-01",
        "sha256": row.sha256,
        "summary": row.summary,
    }
    run.refresh_from_db()
    assert run.stale_since is not None
    whole = owner.get(f"{PROFILES}{row.pk}/").json()
    assert whole["document"] == SMALL
    sources = {source["key"] for source in whole["profile"]["sources"]}
    assert {"common-practice", "invented-2020"} <= sources
    again = publish(owner, SMALL)
    assert (again.status_code, again.json()["code"]) == (409, "profile_unchanged")


def test_json_and_a_form_are_taken_too(owner: APIClient, lizard: Species) -> None:
    # JSON is read as what it is: a part of YAML 1.2.
    text = json.dumps(yaml.safe_load(SMALL), default=str)

    as_json = publish(owner, text, kind=JSON)
    file = SimpleUploadedFile("lizard.yaml", SMALL.encode())
    as_form = owner.post(f"{PROFILES}{ASKED}", {"file": file}, format="multipart")

    tried = owner.post(f"{PROFILES}try/", text.encode(), content_type=JSON)

    assert (as_json.status_code, as_form.status_code) == (201, 201)
    assert tried.json()["species"] == "glass_lizard"
    texts = CareProfile.objects.order_by("version").values_list(
        "source_text", flat=True
    )
    assert list(texts) == [text, SMALL]


@pytest.mark.parametrize(
    ("text", "to", "status", "code"),
    [
        (WRONG, ASKED, 409, "profile_refused"),
        ("species: [", ASKED, 409, "profile_refused"),
        ("[]", ASKED, 409, "profile_refused"),
        (
            SMALL,
            ASKED.replace("glass_lizard", "other"),
            409,
            "profile_of_other_species",
        ),
        (SMALL, ASKED.replace("glass_lizard", "none"), 400, "unknown_species"),
        (SMALL, "?species=glass_lizard", 400, "invalid_parameter"),
        (SMALL, "?effective_on=2026-02-01", 400, "invalid_parameter"),
        ("", ASKED, 400, "no_body"),
        ("#" * 2_000_001, ASKED, 413, "too_large"),
    ],
)
def test_a_profile_that_cannot_be_is_refused(
    text: str, to: str, status: int, code: str, owner: APIClient, lizard: Species
) -> None:
    SpeciesFactory(code="other")

    answer = publish(owner, text, to=to)

    assert (answer.status_code, answer.json()["code"]) == (status, code)
    assert not CareProfile.objects.exists()


def test_bytes_that_are_no_text_are_refused(owner: APIClient, lizard: Species) -> None:
    answer = owner.post(f"{PROFILES}{ASKED}", b"species: \xff", content_type=YAML)

    assert (answer.status_code, answer.json()["code"]) == (400, "not_text")


def test_a_profile_is_tried_and_nothing_stored(owner: APIClient) -> None:
    sound = owner.post(f"{PROFILES}try/", SMALL.encode(), content_type=YAML)
    wrong = owner.post(f"{PROFILES}try/", WRONG.encode(), content_type=YAML)

    assert sound.status_code == 200
    found = sound.json()
    # Counted by hand in the sample.
    assert (found["species"], found["common_name"]) == ("glass_lizard", "Glass lizard")
    assert found["sources"] == len(yaml.safe_load(SMALL)["sources"])
    assert found["targets"] == len(yaml.safe_load(SMALL)["targets"])
    assert found["standings"]["common_practice"] > 0
    assert wrong.status_code == 409
    # Everything that is wrong, by line.
    assert wrong.json()["detail"].count(", line ") == 2
    assert not CareProfile.objects.exists()


def test_a_species_is_added_and_changed(owner: APIClient) -> None:
    body = {
        "code": "glass_lizard",
        "common_name": "Glass lizard",
        "scientific_name": "Vitrum fictum",
    }

    added = owner.post(SPECIES, body)

    row = Species.objects.get()
    told = {"id": row.pk, **body, "notes": "", "native_here": False}
    assert (added.status_code, added.json()) == (201, told)
    address = f"{SPECIES}{row.pk}/change/"
    assert owner.post(address, {"native_here": True}).json() == {
        **told,
        "native_here": True,
    }
    assert owner.post(address, {"common_name": " "}).status_code == 409
    assert owner.post(address, {"code": "x"}).status_code == 400
    assert [one["code"] for one in owner.get(SPECIES).json()["results"]] == [
        "glass_lizard"
    ]
    taken = owner.post(SPECIES, body)
    assert (taken.status_code, list(taken.json()["fields"])) == (409, ["code"])
