"""The page of one animal's ancestors: a drawing, a list that says the same, its young."""

from datetime import date
from decimal import Decimal
from xml.etree import ElementTree as ET

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from clutches.actions.pedigrees import import_pedigree
from husbandry.models import Animal
from tests.clutches.test_pedigrees import MRODE
from tests.factories import (
    NOW,
    TODAY,
    AnimalFactory,
    CandidateSireFactory,
    ClutchFactory,
    HatchlingFactory,
    SpeciesFactory,
)

SVG = "{http://www.w3.org/2000/svg}"
pytestmark = pytest.mark.django_db


@pytest.fixture
def mrode(db: None) -> dict[str, Animal]:
    SpeciesFactory.create()
    import_pedigree(
        data=MRODE.encode(),
        file_name="mrode.csv",
        species=None,
        day_order=None,
        on=TODAY,
        by=None,
        at=NOW,
    )
    return {animal.code: animal for animal in Animal.objects.all()}


def page(client: Client, animal: Animal, query: str = "") -> str:
    answer = client.get(f"/animals/{animal.pk}/pedigree/{query}")
    assert answer.status_code == 200
    return answer.content.decode()


def drawn(client: Client, animal: Animal, query: str = "") -> list[str]:
    answer = client.get(f"/animals/{animal.pk}/pedigree.svg{query}")
    assert answer.headers["Content-Type"] == "image/svg+xml"
    return [e.text or "" for e in ET.fromstring(answer.content).iter(f"{SVG}text")]


def test_the_page_says_inbreeding_and_lists_every_place(
    mrode: dict[str, Animal], keeper: Client
) -> None:
    text = page(keeper, mrode["5"])

    # Mrode, table 2.1: animal 5 has an inbreeding coefficient of 0.125.
    assert "Inbreeding: F at least 0.125." in text
    places = [
        row.split("</th>")[0] for row in text.split('<th scope="row">')[1:] if row
    ]
    assert places[:8] == [
        "dam",
        "dam&#x27;s dam",
        "dam&#x27;s dam&#x27;s dam",
        "dam&#x27;s dam&#x27;s sire",
        "dam&#x27;s sire",
        "dam&#x27;s sire&#x27;s dam",
        "dam&#x27;s sire&#x27;s sire",
        "sire",
    ]
    assert text.count("the same as every A") == 2
    assert f'<a href="/animals/{mrode["6"].pk}/">6</a>' in text


def test_the_drawing_has_the_words_of_the_list(
    mrode: dict[str, Animal], keeper: Client
) -> None:
    words = drawn(keeper, mrode["5"])

    assert words[:3] == ["5", "male", "F at least 0.125"]
    assert words.count("male, same: A") == 2
    assert "dam not known" in words


@pytest.mark.parametrize(
    ("query", "places"), [("", 5), ("?generations=1", 3), ("?generations=7", 5)]
)
def test_as_many_generations_as_asked(
    query: str, places: int, mrode: dict[str, Animal], keeper: Client
) -> None:
    # Of 3: both parents, and of those that nobody is known.
    words = drawn(keeper, mrode["3"], query)

    unknown = sum(word.endswith("not known") for word in words)
    assert 1 + 2 + unknown == (3 if places == 3 else 7)
    assert ("Select a valid choice" in page(keeper, mrode["3"], query)) is (
        query == "?generations=7"
    )


def test_candidate_sires_are_a_set_with_their_likelihood(keeper: Client) -> None:
    one, other = (AnimalFactory.create(code=c, male=True) for c in ("V-0101", "V-0102"))
    clutch = ClutchFactory.create()
    hatchling = HatchlingFactory.create(clutch=clutch, animal__sire=None)
    for sire, share in ((one, "0.5"), (other, "0.3")):
        CandidateSireFactory.create(
            clutch=clutch, sire=sire, probability=Decimal(share)
        )

    words = drawn(keeper, hatchling.animal)
    text = page(keeper, hatchling.animal)
    of_sire = page(keeper, other)

    at = words.index("sire is one of:")
    assert words[at : at + 4] == [
        "sire is one of:",
        "V-0101 50 %",
        "V-0102 30 %",
        "not known 20 %",
    ]
    assert "on average over the candidate sires" in text
    assert f'<a href="/animals/{other.pk}/">{other}</a> 30 %' in text
    assert 'class="hint">perhaps (30 %)</span>' in of_sire


def test_of_its_own_candidates_a_clutch_says_nothing(keeper: Client) -> None:
    one, other = (AnimalFactory.create(male=True) for _ in range(2))
    hatchling = HatchlingFactory.create(animal__sire=None)
    CandidateSireFactory.create(clutch=hatchling.clutch, sire=one)
    CandidateSireFactory.create(clutch=None, animal=hatchling.animal, sire=other)

    assert "No young are on record." in page(keeper, one)
    assert "perhaps (50 %)" in page(keeper, other)


def test_a_long_list_of_young_is_counted(keeper: Client) -> None:
    dam = AnimalFactory.create()
    AnimalFactory.create_batch(63, dam=dam, hatched_on=date(2026, 1, 1))

    text = page(keeper, dam)

    assert "the youngest first; 3 more are on record" in text


def test_as_many_queries_for_a_deep_line_as_for_none(
    mrode: dict[str, Animal], keeper: Client
) -> None:
    def queries(animal: Animal) -> int:
        with CaptureQueriesContext(connection) as found:
            page(keeper, animal, "?generations=6")
        return len(found)

    assert queries(mrode["6"]) == queries(mrode["1"])


def test_an_ancestor_is_told_as_one_on_its_own_page(
    mrode: dict[str, Animal], keeper: Client
) -> None:
    text = keeper.get(f"/animals/{mrode['1'].pk}/").content.decode()

    assert "It was never in care here" in text
    assert f'href="/animals/{mrode["1"].pk}/pedigree/"' in text
    for word in ("Here since", "What it needs today", "Conditions", "No finding"):
        assert word not in text
    assert "1</a>" not in keeper.get("/animals/").content.decode()
