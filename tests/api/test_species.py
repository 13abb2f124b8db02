"""Species and the published versions of their care profiles."""

from hashlib import sha256

from rest_framework.test import APIClient

from husbandry.actions.profiles import load_shipped_profiles
from tests.factories import NOW, CareProfileFactory, SpeciesFactory
from tests.rules.profiles.samples import SMALL

API = "/api/v1"


def test_species(viewer: APIClient) -> None:
    row = SpeciesFactory(notes="Arboreal.")

    assert viewer.get(f"{API}/species/{row.pk}/").json() == {
        "id": row.pk,
        "code": "veiled_chameleon",
        "common_name": "Veiled chameleon",
        "scientific_name": "Chamaeleo calyptratus",
        "notes": "Arboreal.",
        "native_here": False,
    }


def test_profiles_newest_version_first(viewer: APIClient) -> None:
    old = CareProfileFactory(version=1, summary={"targets": 3})
    new = CareProfileFactory(version=2)

    found = viewer.get(f"{API}/profiles/?species=veiled_chameleon").json()["results"]

    assert [row["version"] for row in found] == [2, 1]
    assert found[1] == {
        "id": old.pk,
        "species": {"id": old.species.pk, "code": "veiled_chameleon"},
        "version": 1,
        "effective_on": "2025-01-01",
        "published_at": "2025-01-01T00:00:00Z",
        "sha256": old.sha256,
        "summary": {"targets": 3},
    }
    rows = viewer.get(f"{API}/profiles/?version=2").json()["results"]
    assert [row["id"] for row in rows] == [new.pk]
    assert viewer.get(f"{API}/profiles/?species=x").json()["results"] == []


def test_a_profile_with_its_text_and_what_it_says(viewer: APIClient) -> None:
    (row,) = load_shipped_profiles(by=None, at=NOW)

    found = viewer.get(f"{API}/profiles/{row.pk}/").json()

    assert found["document"] == row.source_text
    assert sha256(found["document"].encode()).hexdigest() == found["sha256"]
    targets = {target["id"]: target for target in found["profile"]["targets"]}
    assert targets["ambient-day"]["low"] == 21.1
    assert targets["ambient-day"]["provenance"]["source"] == "common-practice"
    assert found["summary"]["targets"] == len(targets)


def test_a_profile_tells_scripts_of_daily_care(viewer: APIClient) -> None:
    (row,) = load_shipped_profiles(by=None, at=NOW)

    profile = viewer.get(f"{API}/profiles/{row.pk}/").json()["profile"]

    # common practice, no source; the lamp by nevarez-lamps.
    assert [m["minutes_high"] for m in profile["misting"]] == [4, 4]
    assert profile["misting"][0]["time"] == "before_lights_on"
    assert profile["gut_load"]["hours_before"] == 12
    assert profile["lamps"][0]["provenance"]["source"] == "nevarez-lamps"
    assert profile["settling"]["days"] == 14
    assert profile["growth_references"] == []
    assert profile["supplements"][1]["most_a_month"] == 2


def test_a_version_from_before_daily_care_was_told_still_reads(
    viewer: APIClient,
) -> None:
    old = CareProfileFactory(source_text=SMALL)

    profile = viewer.get(f"{API}/profiles/{old.pk}/").json()["profile"]

    assert (profile["misting"], profile["lamps"], profile["gut_load"]) == ([], [], None)
