"""A pedigree file taken in by hand: looked at first, then confirmed."""

import re
from html import unescape

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from core.roles import Role
from husbandry.models import Animal
from tests.clutches.test_pedigrees import MRODE
from tests.factories import SpeciesFactory
from tests.staff.conftest import Visitor

ADDRESS = "/breeding/pedigree-file/"
AMBIGUOUS = "id,dam,born\nV-1,V-2,4/5/2024\n"
pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _species(db: None) -> None:
    SpeciesFactory.create()


def look(client: Client, text: str, **more: str) -> str:
    file = SimpleUploadedFile("herd.csv", text.encode())
    answer = client.post(ADDRESS, {"file": file, **more})
    assert answer.status_code == 200
    return unescape(answer.content.decode())


def hidden(page: str) -> dict[str, str]:
    return dict(
        re.findall(r'type="hidden" name="(content|name)" value="([^"]*)"', page)
    )


def test_a_file_is_looked_at_and_then_put_on_record(owner: Client) -> None:
    page = look(owner, MRODE)

    assert "6 lines read: 6 animals would be put on record." in page
    assert "Nothing would be left out." in page
    assert not Animal.objects.exists()

    answer = owner.post(ADDRESS, {**hidden(page), "confirm": "yes"}, follow=True)

    assert "6 lines read: 6 animals put on record" in answer.content.decode()
    assert Animal.objects.count() == 6
    assert "There is nothing to put on record." in look(owner, MRODE)


def test_what_is_left_out_is_listed_by_line(owner: Client) -> None:
    page = look(owner, "id,dam,sire\nV-1,V-2,\nV-2,V-1,V-3\n")

    assert "Line 2, V-1: V-1 would descend from itself: V-1 ← V-2 ← V-1." in page
    assert "only because a line names them as a parent: V-3." in page


def test_a_question_keeps_the_file(owner: Client) -> None:
    asked = look(owner, AMBIGUOUS)
    assert "Is the day or the month first in the hatch dates" in asked
    assert "herd.csv is kept" in asked

    answer = owner.post(ADDRESS, {**hidden(asked), "day_order": "mdy"})

    page = unescape(answer.content.decode())
    assert "1 animal only named as a parent would be put on record" in page
    owner.post(ADDRESS, {**hidden(page), "day_order": "mdy", "confirm": "yes"})
    assert str(Animal.objects.get(code="V-1").hatched_on) == "2024-04-05"


@pytest.mark.parametrize(
    ("given", "sentence"),
    [
        ({}, "Choose a file."),
        ({"content": "no base64"}, "Choose the file again."),
        (
            {"file": SimpleUploadedFile("x.csv", b"x" * 3_000_001)},
            "The file has 3,000,001 bytes; at most 3,000,000 are taken here.",
        ),
        (
            {"file": SimpleUploadedFile("x.csv", b"id,mass\n")},
            "No pedigree was found",
        ),
    ],
)
def test_what_cannot_be_taken_is_told_on_the_page(
    given: dict[str, object], sentence: str, owner: Client
) -> None:
    answer = owner.post(ADDRESS, given)

    assert sentence in unescape(answer.content.decode())
    assert not Animal.objects.exists()


def test_only_who_may_mend_animals_is_offered_it(visitor: Visitor) -> None:
    offered = {
        role
        for role in Role
        if ADDRESS in visitor(role).get("/animals/").content.decode()
    }

    assert offered == {Role.OWNER, Role.MANAGER}
    assert visitor(Role.KEEPER).post(ADDRESS).status_code == 403
