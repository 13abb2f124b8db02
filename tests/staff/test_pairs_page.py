"""The page on which pairs are looked for."""

import re
from datetime import date, timedelta
from html import unescape

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from husbandry.models import Animal
from husbandry.rules.vocabulary import Sex
from tests.factories import (
    AnimalFactory,
    CareProfileFactory,
    ClutchFactory,
    SpeciesFactory,
    StayFactory,
    WeighingFactory,
)

pytestmark = pytest.mark.django_db
PAGE = "/breeding/pairs/"


def read(client: Client, asked: str = "") -> str:
    """Return a page's words."""
    answer = client.get(f"{PAGE}{asked}")
    assert answer.status_code == 200
    text = unescape(re.sub(r"<[^>]*>", " ", answer.content.decode()))
    return " ".join(text.replace("\u00a0", " ").split())


def grown(code: str, sex: Sex = Sex.FEMALE, **given: object) -> Animal:
    animal = AnimalFactory(code=code, name="", sex=sex.value, **given)
    WeighingFactory(animal=animal, mass_g=100, at=timezone.now() - timedelta(days=3))  # fmt: skip
    return animal


def test_related_pair_stands_below_with_its_reason(keeper: Client) -> None:
    CareProfileFactory()
    dam, sire = (AnimalFactory(left=True, sex=s) for s in ("female", "male"))
    grown("F-1", dam=dam, sire=sire)
    grown("M-1", Sex.MALE, dam=dam, sire=sire)
    grown("M-2", Sex.MALE)

    words = read(keeper)

    assert "3 animals of the species in care: mean kinship 0.2222, " in words
    assert "For 3 of them a parent is missing" in words
    best, worst = words.index("F-1 × M-2"), words.index("F-1 × M-1")
    assert best < worst
    assert "nothing on record" in words[best:worst]
    assert "at least 0.25" in words[worst:]
    assert (
        "Young of the two would be inbred by F = 0.25; as much as those of first "
        "cousins (0.0625) or more. Rests on: a convention of this program, not "
        "measured." in words[worst:]
    )


def test_limits_name_their_source(keeper: Client) -> None:
    CareProfileFactory()
    grown("F-1", hatched_on=timezone.localdate() - timedelta(days=100))
    grown("M-1", Sex.MALE)
    AnimalFactory(code="U-1", name="", sex=Sex.UNKNOWN.value)

    words = read(keeper)

    assert "F-1 is 100 days old; at least 270 days are wanted." in words
    assert "Left out, since their sex is not known: U-1." in words


def test_what_no_profile_judges_is_told(keeper: Client) -> None:
    grown("F-1")
    grown("M-1", Sex.MALE)

    assert "The species has no care profile, so ages, weights" in read(keeper)


def test_pairs_of_one_animal_or_of_a_site(keeper: Client) -> None:
    grown("F-1")
    grown("F-2")
    near = grown("M-1", Sex.MALE)
    grown("M-2", Sex.MALE)
    site = StayFactory(animal=near).enclosure.room.site

    one = read(keeper, "?animal=F-1")
    here = read(keeper, f"?animal=F-1&site={site.code}")

    assert ("F-1 × M-1" in one, "F-1 × M-2" in one, "F-2 × M-1" in one) == (
        True,
        True,
        False,
    )
    assert ("F-1 × M-1" in here, "F-1 × M-2" in here) == (True, False)


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ("?animal=X-9", "No animal in care has the code “X-9”."),
        ("?animal=G-1&species=veiled_chameleon", "G-1 is of another species: Gecko."),
        ("?species=unicorn", "Select a valid choice."),
    ],
)
def test_what_cannot_be_asked_says_why_and_stays(
    asked: str, said: str, keeper: Client
) -> None:
    grown("F-1")
    gecko = SpeciesFactory(
        code="gecko", common_name="Gecko", scientific_name="Gekko gecko"
    )
    AnimalFactory(code="G-1", name="", species=gecko)

    words = read(keeper, asked)

    assert said in words
    assert "F-1 ×" not in words


def test_loop_on_record_is_told(keeper: Client) -> None:
    one, other = grown("A"), grown("B")
    Animal.objects.filter(pk=one.pk).update(dam=other)
    Animal.objects.filter(pk=other.pk).update(dam=one)

    assert "A descends from itself (A ← B ← A)." in read(keeper)


def test_nobody_in_care_is_told(keeper: Client) -> None:
    assert "No animal is in care, so there is nothing to pair." in read(keeper)


def test_nobody_to_pair_with_is_told(keeper: Client) -> None:
    grown("F-1")

    assert "There is no pair: it takes a female and a male" in read(keeper)


@pytest.mark.parametrize("start", ["", "abc", "-3", "0", "99999999999999"])
def test_many_pairs_come_in_parts(start: str, keeper: Client) -> None:
    grown("M-1", Sex.MALE)
    for number in range(26):
        AnimalFactory(code=f"F-{number:02}", name="", hatched_on=date(2024, 1, 1))

    first = read(keeper, f"?from={start}")
    second = read(keeper, "?from=26")

    assert ("F-24 × M-1" in first, "F-25 × M-1" in first) == (True, False)
    assert ("Further pairs" in first, "Pairs before these" in first) == (True, False)
    assert ("F-24 × M-1" in second, "F-25 × M-1" in second) == (False, True)
    assert ("Further pairs" in second, "Pairs before these" in second) == (False, True)


def test_page_takes_the_same_queries_for_many(keeper: Client) -> None:
    CareProfileFactory()

    def queries() -> int:
        with CaptureQueriesContext(connection) as caught:
            read(keeper)
        return len(caught)

    grown("F-1")
    grown("M-1", Sex.MALE)
    few = queries()
    for number in range(3):
        ClutchFactory(dam=grown(f"F-1{number}"))
        grown(f"M-1{number}", Sex.MALE)

    assert queries() == few
