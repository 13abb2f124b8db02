"""Candidate sires are said as a set at their desk."""

import pytest
from django.test import Client

from clutches.models import CandidateSire, Clutch
from core.models import AuditEntry
from husbandry.models import Animal
from tests.factories import AnimalFactory, ClutchFactory, HatchlingFactory
from tests.staff.record_forms import errors, text, url

pytestmark = pytest.mark.django_db
DESK = url("clutches.candidatesire")


@pytest.fixture
def male() -> Animal:
    return AnimalFactory(code="M-1", sex="male")


@pytest.fixture
def clutch() -> Clutch:
    return ClutchFactory()


def test_a_certain_sire_goes_on_record(
    owner: Client, clutch: Clutch, male: Animal
) -> None:
    young = HatchlingFactory(clutch=clutch).animal

    answer = owner.post(
        DESK,
        {"clutch": clutch.pk, "sires_typed": "M-1; 1; laboratory", "reason": "Report."},
    )

    young.refresh_from_db()
    assert answer.status_code == 302
    assert young.sire == male
    assert AuditEntry.objects.get(verb="set_candidate_sires").reason == "Report."


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("", "This field is required."),
        ("X-9; 1; reported", "There is no animal X-9. Give the code on its label."),
        ("M-1", "Line 1: “M-1” is not code; probability; why;"),
        ("M-1; 2; reported", "accepted is more than 0 and at most 1"),
        ("M-1; 0.6; reported\nM-1; 0.4; reported", "is named twice"),
    ],
)
def test_what_cannot_be_says_why_and_stays_typed(
    typed: str, said: str, owner: Client, clutch: Clutch, male: Animal
) -> None:
    answer = owner.post(DESK, {"clutch": clutch.pk, "sires_typed": typed})

    assert any(said in one for one in errors(answer)), errors(answer)
    assert typed in text(answer)
    assert not CandidateSire.objects.exists()


def test_neither_clutch_nor_animal_is_refused(owner: Client, male: Animal) -> None:
    answer = owner.post(DESK, {"sires_typed": "M-1; 1; reported"})

    assert "one of the two" in errors(answer)[0]
