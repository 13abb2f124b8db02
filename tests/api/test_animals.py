"""Animals: rows, filters, and what each needs on a day."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

import pytest
from rest_framework.test import APIClient

from core.roles import Role
from husbandry.actions.profiles import load_shipped_profiles
from husbandry.models import Species
from tests.api.conftest import Caller
from tests.factories import (
    NOW,
    AnimalFactory,
    EnclosureFactory,
    FindingFactory,
    ReproductiveSpellFactory,
    RoomFactory,
    SiteFactory,
    StayFactory,
    TargetOverrideFactory,
    UserFactory,
    WeighingFactory,
)

ANIMALS = "/api/v1/animals/"
LONG_AGO = datetime(2023, 1, 1, tzinfo=UTC)
OVERDUE = {
    "animal": "V-1 Juno",
    "every_days": 7,
    "last_on": "2026-02-01",
    "days": 29,
    "last_g": "101.0",
}


def test_an_animal_with_enclosure_and_latest_weight(viewer: APIClient) -> None:
    dam = AnimalFactory(code="V-0")
    animal = AnimalFactory(code="V-1", name="Juno", dam=dam, notes="Shy.")
    stay = StayFactory(animal=animal)
    wrong = WeighingFactory(
        animal=animal,
        at=datetime(2025, 7, 2, 9, tzinfo=UTC),
        mass_g=Decimal(1010),
    )
    right = WeighingFactory(
        animal=animal, at=wrong.at, mass_g=Decimal("101.50"), corrects=wrong
    )
    WeighingFactory(animal=animal, at=datetime(2025, 6, 1, tzinfo=UTC))

    answer = viewer.get(f"{ANIMALS}{animal.pk}/")

    assert answer.json() == {
        "id": animal.pk,
        "code": "V-1",
        "name": "Juno",
        "species": "veiled_chameleon",
        "sex": "female",
        "sex_basis": "heel_spur",
        "sex_confidence": "confirmed",
        "hatched_on": "2024-09-01",
        "hatched_precision": "day",
        "dam": {"id": dam.pk, "code": "V-0"},
        "sire": None,
        "origin": "born_elsewhere",
        "arrived_on": "2025-01-01",
        "status": "in_care",
        "left_on": None,
        "microchip": None,
        "notes": "Shy.",
        "enclosure": {"id": stay.enclosure.pk, "code": stay.enclosure.code},
        "latest_weighing": {
            "id": right.pk,
            "at": "2025-07-02T09:00:00Z",
            "mass_g": 101.5,
        },
    }
    assert b'"mass_g":101.50' in answer.content  # the digits that are stored


def test_filters(viewer: APIClient) -> None:
    here, there = SiteFactory(code="here"), SiteFactory(code="there")
    first = EnclosureFactory(code="E-1", room=RoomFactory(site=here))
    second = EnclosureFactory(code="E-2", room=RoomFactory(site=there))
    StayFactory(animal=AnimalFactory(code="A"), enclosure=first)
    StayFactory(animal=AnimalFactory(code="B", male=True), enclosure=second)
    StayFactory(
        animal=AnimalFactory(code="C"),
        enclosure=first,
        from_at=LONG_AGO,
        until_at=LONG_AGO + timedelta(days=1),
    )
    AnimalFactory(code="D", left=True)

    def codes(query: str) -> list[str]:
        rows = viewer.get(f"{ANIMALS}?{query}").json()["results"]
        return [row["code"] for row in rows]

    assert codes("") == ["A", "B", "C", "D"]
    assert codes("site=here") == ["A"]
    assert codes("site=there&sex=female") == []
    assert codes("enclosure=E-2") == ["B"]
    assert codes("site=here&enclosure=E-2") == []
    assert codes("status=placed") == ["D"]
    assert codes("sex=male") == ["B"]
    assert codes("code=C") == ["C"]
    assert codes("species=nobody") == []


@pytest.fixture
def _published(db: None) -> None:
    load_shipped_profiles(by=None, at=NOW)


@pytest.mark.usefixtures("_published")
def test_targets_with_source_and_standing(viewer: APIClient) -> None:
    species = Species.objects.get(code="veiled_chameleon")
    animal = AnimalFactory(species=species)

    found = viewer.get(f"{ANIMALS}{animal.pk}/targets/?on=2026-03-02").json()

    assert found["animal"] == {"id": animal.pk, "code": animal.code}
    assert (found["on"], found["stage"]) == ("2026-03-02", "adult")
    assert (found["sex"], found["reproduction"]) == ("female", "resting")
    assert found["profile"]["code"] == "veiled_chameleon v1"
    target = next(t for t in found["targets"] if t["target_id"] == "ambient-night")
    # The shipped profile: 55 to 65 °F by night, common practice, no source.
    assert {k: target[k] for k in ("low", "high", "hard_low", "hard_high")} == {
        "low": 12.8,
        "high": 18.3,
        "hard_low": 10.0,
        "hard_high": 29.4,
    }
    assert target["provenance"]["standing"] == "common_practice"
    assert {other["provenance"]["source"] for other in target["others"]} == {
        "care-sheets",
        "magazine-1997",
    }
    named = {source["key"] for source in found["sources"]}
    assert {"common-practice", "care-sheets", "magazine-1997", "convention"} <= named
    assert len({(t["quantity"], t["zone"], t["period"]) for t in found["targets"]}) == (
        len(found["targets"])
    )


@pytest.mark.usefixtures("_published")
def test_targets_that_were_agreed_for_one_animal(viewer: APIClient) -> None:
    species = Species.objects.get(code="veiled_chameleon")
    animal = AnimalFactory(species=species)
    override = TargetOverrideFactory(
        animal=animal, made_by=UserFactory(first_name="Vera")
    )
    TargetOverrideFactory(animal=animal, low=1, withdrawn_at=NOW)
    ReproductiveSpellFactory(animal=animal)

    def night(on: str) -> dict[str, object]:
        found = viewer.get(f"{ANIMALS}{animal.pk}/targets/?on={on}").json()
        rows = [t for t in found["targets"] if t["target_id"] == "ambient-night"]
        return {"reproduction": found["reproduction"], **rows[0]}

    assert night("2026-03-14")["override_id"] == override.pk
    assert (night("2026-03-14")["low"], night("2026-03-14")["high"]) == (18, 22)
    assert "Vera" in str(night("2026-03-14")["provenance"])
    assert night("2026-03-15")["override_id"] is None  # the day after its last
    assert night("2026-03-15")["reproduction"] == "gravid"


def test_targets_without_a_profile(viewer: APIClient) -> None:
    animal = AnimalFactory()

    found = viewer.get(f"{ANIMALS}{animal.pk}/targets/").json()

    assert (found["profile"], found["stage"]) == (None, None)
    assert (found["targets"], found["sources"]) == ([], [])


def test_findings_of_one_animal(viewer: APIClient) -> None:
    animal = AnimalFactory(code="V-1", name="Juno")
    older = FindingFactory(
        animal=animal,
        evidence=OVERDUE,
        last_seen_on=date(2026, 1, 1),
        closed_on=date(2026, 1, 2),
    )
    newer = FindingFactory(animal=animal, evidence=OVERDUE)
    FindingFactory(evidence=OVERDUE)

    found = viewer.get(f"{ANIMALS}{animal.pk}/findings/").json()["results"]

    assert [row["id"] for row in found] == [newer.pk, older.pk]
    assert [row["open"] for row in found] == [True, False]


def test_weighings_of_one_animal(viewer: APIClient) -> None:
    animal = AnimalFactory()
    old = WeighingFactory(animal=animal, at=datetime(2026, 1, 1, tzinfo=UTC))
    new = WeighingFactory(animal=animal, at=datetime(2026, 2, 1, tzinfo=UTC))
    WeighingFactory()

    found = viewer.get(f"{ANIMALS}{animal.pk}/weighings/").json()["results"]

    assert [row["id"] for row in found] == [new.pk, old.pk]


@pytest.mark.parametrize("role", [r for r in Role if r is not Role.OWNER])
def test_home_data_is_nowhere_in_an_animal(role: Role, caller: Caller) -> None:
    animal = AnimalFactory(origin_note="From the Greys of 2 Mill Lane.")

    text = caller(role).get(f"{ANIMALS}{animal.pk}/").content.decode()

    assert "Mill Lane" not in text
