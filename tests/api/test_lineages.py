"""Ancestry in figures, candidate sires, and advice on pairs."""

from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from rest_framework.test import APIClient

from clutches.models import CandidateSire
from core.models import AuditEntry
from husbandry.models import Animal
from husbandry.rules.vocabulary import Origin, Sex
from tests.factories import (
    TODAY,
    AnimalFactory,
    CandidateSireFactory,
    CareProfileFactory,
    ClutchFactory,
    HatchlingFactory,
    SpeciesFactory,
    StayFactory,
)

API = "/api/v1"
WILD = {"origin": Origin.WILD_CAUGHT.value, "left": True}


def _ref(row: Any) -> dict[str, Any]:
    return {"id": row.pk, "code": row.code}


def _male(**given: Any) -> Animal:
    return AnimalFactory(sex=Sex.MALE.value, **given)


def test_lineage_of_a_hatchling_with_two_possible_sires(viewer: APIClient) -> None:
    dam = AnimalFactory(**WILD)
    clutch = ClutchFactory(dam=dam)
    uncle = CandidateSireFactory(clutch=clutch, probability=Decimal("0.6")).sire
    other = CandidateSireFactory(clutch=clutch, probability=Decimal("0.4")).sire
    Animal.objects.filter(pk__in=[uncle.pk, other.pk]).update(
        origin=Origin.WILD_CAUGHT.value, status="placed", left_on=TODAY
    )
    young = HatchlingFactory(clutch=clutch).animal

    answer = viewer.get(f"{API}/animals/{young.pk}/lineage/")

    assert answer.json() == {
        "animal": _ref(young),
        "inbreeding": 0.0,
        "lower_bound": False,
        "known_generations": 1.0,
        # Alone in care: kin to itself by ½.
        "mean_kinship": 0.5,
        "collection": {
            "animals": 1,
            "mean_kinship": 0.5,
            "gene_diversity": 0.5,
            "founder_genome_equivalents": 1.0,
            "bounded": 0,
        },
        "dam": _ref(dam),
        "sire": None,
        "clutch": _ref(clutch),
        "candidate_sires": [
            {"sire": _ref(uncle), "probability": 0.6, "basis": "mated_before"},
            {"sire": _ref(other), "probability": 0.4, "basis": "mated_before"},
        ],
        "candidates_of_clutch": True,
    }


def test_lineage_with_a_loop_is_refused_in_words(viewer: APIClient) -> None:
    one, other = AnimalFactory(code="A", name=""), AnimalFactory(code="B", name="")
    Animal.objects.filter(pk=one.pk).update(dam=other)
    Animal.objects.filter(pk=other.pk).update(dam=one)

    answer = viewer.get(f"{API}/animals/{one.pk}/lineage/")

    assert (answer.status_code, answer.json()["code"]) == (409, "lineage_refused")
    assert "A descends from itself (A ← B ← A)" in answer.json()["detail"]


def test_lineage_costs_the_same_for_many(viewer: APIClient) -> None:
    def queries(animal: Animal) -> int:
        with CaptureQueriesContext(connection) as caught:
            assert viewer.get(f"{API}/animals/{animal.pk}/lineage/").status_code == 200
        return len(caught)

    first = HatchlingFactory().animal
    few = queries(first)
    for _ in range(3):
        CandidateSireFactory(clutch=first.hatchling.clutch, probability=Decimal("0.25"))
        AnimalFactory(dam=AnimalFactory(), sire=_male())

    assert queries(first) == few <= 9


def test_members_of_a_collection(viewer: APIClient) -> None:
    dam, sire = AnimalFactory(code="A", **WILD), _male(code="B", **WILD)
    young = AnimalFactory(code="C", dam=dam, sire=sire)

    answer = viewer.get(f"{API}/collection-kinship/?species=veiled_chameleon")

    assert answer.json() == {
        "species": _ref(young.species),
        "figures": {
            "animals": 1,
            "mean_kinship": 0.5,
            "gene_diversity": 0.5,
            "founder_genome_equivalents": 1.0,
            "bounded": 0,
        },
        "members": [
            {
                "animal": _ref(young),
                "inbreeding": 0.0,
                "lower_bound": False,
                "known_generations": 1.0,
                "mean_kinship": 0.5,
            }
        ],
        "founders": [
            {"animal": _ref(dam), "share": 0.5},
            {"animal": _ref(sire), "share": 0.5},
        ],
        "unknown_share": 0.0,
        "founder_equivalents": 2.0,
    }


@pytest.mark.parametrize(
    ("asked", "code"),
    [
        ("collection-kinship/", "no_species"),
        ("collection-kinship/?species=x", "unknown_species"),
        ("pair-advice/", "no_species"),
        ("pair-advice/?species=x", "unknown_species"),
        ("pair-advice/?animal=x", "unknown_animal"),
        ("pair-advice/?species=veiled_chameleon&site=x", "unknown_site"),
        ("pair-advice/?species=veiled_chameleon&from_rank=0", "invalid_parameter"),
        ("pair-advice/?species=veiled_chameleon&sex=male", "unknown_parameter"),
    ],
)
def test_what_cannot_be_answered_says_why(
    asked: str, code: str, viewer: APIClient
) -> None:
    SpeciesFactory()

    answer = viewer.get(f"{API}/{asked}")

    assert (answer.status_code, answer.json()["code"]) == (400, code)


def test_animals_that_are_not_here_are_named(viewer: APIClient) -> None:
    SpeciesFactory()

    answer = viewer.get(f"{API}/pair-advice/?species=veiled_chameleon&animals=X-1,X-2")

    assert (answer.status_code, answer.json()["code"]) == (404, "not_found")
    assert "X-1, X-2" in answer.json()["detail"]


def test_pairs_with_reasons_and_their_source(viewer: APIClient) -> None:
    profile = CareProfileFactory()
    female = AnimalFactory(code="F-1", name="", origin=WILD["origin"])
    male = _male(code="M-1", origin=WILD["origin"])
    ClutchFactory(dam=female, laid_on=date(2026, 2, 10))

    answer = viewer.get(
        f"{API}/pair-advice/?species=veiled_chameleon&on=2026-03-02"
    ).json()

    [pair] = answer.pop("pairs")
    assert answer == {
        "species": _ref(female.species),
        "on": "2026-03-02",
        "profile": {
            "id": profile.pk,
            "code": f"veiled_chameleon v{profile.version}",
        },
        "collection": {
            "animals": 2,
            "mean_kinship": 0.25,
            "gene_diversity": 0.75,
            "founder_genome_equivalents": 2.0,
            "bounded": 0,
        },
        "unsexed": [],
        "not_judged": [],
        "pairs_in_all": 1,
        "next_rank": None,
    }
    light, rest = pair.pop("reasons")
    assert pair == {
        "rank": 1,
        "female": {
            "animal": _ref(female),
            "hatched_on": "2024-09-01",
            "hatched_precision": "day",
            "age_days": 547,
            "mass_g": None,
            "weighed_on": None,
            "mean_kinship": 0.25,
        },
        "male": {
            "animal": _ref(male),
            "hatched_on": "2024-09-01",
            "hatched_precision": "day",
            "age_days": 547,
            "mass_g": None,
            "weighed_on": None,
            "mean_kinship": 0.25,
        },
        "inbreeding": 0.0,
        "lower_bound": False,
        "mean_kinship": 0.25,
        "last_laid_on": "2026-02-10",
        "rest_days": 20,
        "clutches_in_a_year": 1,
    }
    assert light["kind"] == "not_weighed"
    assert rest.pop("provenance")["source"] == "convention"
    assert rest == {
        "kind": "not_rested",
        "animal": _ref(female),
        "figure": 20,
        "limit": 120,
        "since": "2026-02-10",
        "words": [],
        "sentence": "F-1 laid 20 days ago, on 10 Feb 2026; 120 days of rest are "
        "wanted.",
        "rule_id": "eggs-rest",
    }


def test_pairs_are_read_in_parts(viewer: APIClient) -> None:
    SpeciesFactory()
    for _ in range(2):
        AnimalFactory()
        _male()
    asked = f"{API}/pair-advice/?species=veiled_chameleon&page_size=3"

    first = viewer.get(asked).json()
    second = viewer.get(f"{asked}&from_rank={first['next_rank']}").json()

    assert [pair["rank"] for pair in first["pairs"]] == [1, 2, 3]
    assert first["next_rank"] == 4
    assert [pair["rank"] for pair in second["pairs"]] == [4]
    assert second["next_rank"] is None


def test_pairs_of_one_animal_of_a_site_and_of_some_codes(viewer: APIClient) -> None:
    female = AnimalFactory(code="F-1")
    near, _far = _male(code="M-1"), _male(code="M-2")
    site = StayFactory(animal=near).enclosure.room.site

    def males(asked: str) -> set[str]:
        answer = viewer.get(f"{API}/pair-advice/?{asked}")
        return {pair["male"]["animal"]["code"] for pair in answer.json()["pairs"]}

    assert males(f"animal={female.code}") == {"M-1", "M-2"}
    assert males(f"animal={female.code}&site={site.code}") == {"M-1"}
    assert males("species=veiled_chameleon&animals=F-1, M-2") == {"M-2"}


def test_a_set_of_sires_is_put_on_record(owner: APIClient) -> None:
    clutch, sire = ClutchFactory(), _male()
    young = HatchlingFactory(clutch=clutch).animal
    body = {
        "clutch": clutch.code,
        "sires": [{"sire": sire.code, "probability": 1, "basis": "laboratory"}],
        "reason": "Report of 3 March.",
    }

    answer = owner.post(f"{API}/candidate-sires/", body, format="json")

    [kept] = CandidateSire.objects.all()
    young.refresh_from_db()
    assert young.sire == sire
    assert (answer.status_code, answer.json()) == (
        200,
        {
            "candidates": [
                {
                    "id": kept.pk,
                    "clutch": _ref(clutch),
                    "animal": None,
                    "sire": _ref(sire),
                    "probability": 1,
                    "basis": "laboratory",
                }
            ],
            "corrected": [_ref(young)],
            "kept": [],
        },
    )
    entry = AuditEntry.objects.get(verb="set_candidate_sires")
    assert entry.reason == "Report of 3 March."


def test_sires_of_one_animal_in_parts(owner: APIClient) -> None:
    animal, one, other = (
        AnimalFactory(),
        *(_male(hatched_on=date(2023, 1, 1)) for _ in range(2)),
    )
    body = {
        "animal": animal.code,
        "sires": [
            {"sire": one.code, "probability": 0.7, "basis": "reported"},
            {"sire": other.code, "probability": 0.3, "basis": "reported"},
        ],
    }

    answer = owner.post(f"{API}/candidate-sires/", body, format="json")
    listed = owner.get(f"{API}/candidate-sires/?animal={animal.code}").json()

    assert answer.status_code == 200
    assert [(r["sire"]["code"], r["probability"]) for r in listed["results"]] == [
        (one.code, 0.7),
        (other.code, 0.3),
    ]


@pytest.mark.parametrize(
    ("change", "status", "code"),
    [
        ({"clutch": None}, 409, "candidate_sires_refused"),
        ({"clutch": "x"}, 400, "unknown_clutch"),
        ({"clutch": None, "animal": "x"}, 400, "unknown_animal"),
        ({"sires": [{"sire": "x", "probability": 1, "basis": "reported"}]}, 400, "unknown_animal"),
        ({"sires": [{"sire": "M", "probability": 0, "basis": "reported"}]}, 400, "invalid_body"),
        ({"sires": [{"sire": "M", "probability": 0.1234567, "basis": "reported"}]}, 409, "candidate_sires_refused"),
        ({"sires": [{"sire": "F", "probability": 1, "basis": "reported"}]}, 409, "parent_refused"),
        ({"sires": [{"sire": "M", "probability": 0.6, "basis": "reported"}] * 2}, 409, "candidate_sires_refused"),
    ],
)  # fmt: skip
def test_a_set_that_cannot_be_is_refused_whole(
    change: dict[str, Any], status: int, code: str, owner: APIClient
) -> None:
    clutch = ClutchFactory()
    _male(code="M")
    AnimalFactory(code="F")
    body = {"clutch": clutch.code, "sires": [], **change}

    answer = owner.post(f"{API}/candidate-sires/", body, format="json")

    assert (answer.status_code, answer.json()["code"]) == (status, code)
    assert not CandidateSire.objects.exists()
