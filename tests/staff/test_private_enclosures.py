"""A home makes its enclosure ready on its private page."""

from datetime import timedelta
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.utils import timezone

from placements.actions.private_addresses import give_address
from placements.models import HomeEnclosure
from staff.private_doors import HEADERS
from tests.factories import (
    AnimalFactory,
    ApplicationFactory,
    CareProfileFactory,
    HomeEnclosureFactory,
    HomeFactory,
    PlacementFactory,
    SpeciesFactory,
)
from tests.staff.test_home_enclosure_page import TYPED

pytestmark = pytest.mark.django_db


@pytest.fixture
def stranger() -> Client:
    return Client(enforce_csrf_checks=True)


def _page(**of: Any) -> str:
    return f"/home/{give_address(**of, by=None, at=timezone.now())[1]}/"


def test_a_home_describes_measures_and_reads_how_it_compares(stranger: Client) -> None:
    CareProfileFactory()
    placement = PlacementFactory(animal=AnimalFactory(code="V-5", name="Juno"))
    page = _page(placement=placement)

    first = stranger.get(page).content.decode()
    made = stranger.post(f"{page}enclosures/", {**TYPED, "height": "100"})
    enclosure = HomeEnclosure.objects.get()
    read = stranger.post(
        f"{page}enclosures/{enclosure.pk}/readings/",
        {
            "spot": "basking",
            "on": str(timezone.localdate() - timedelta(days=1)),
            "at": "12:00",
            "uv_index": "5",
        },
    )
    after = stranger.get(page)

    assert "Describe your enclosure" in first
    assert (made.status_code, read.status_code) == (302, 302)
    assert made.headers["Location"] == page
    text = after.content.decode()
    assert "for V-5 Juno, Veiled chameleon." in text
    assert 'Size: <span class="stands">not as wanted</span>' in text
    assert 'UVB light: <span class="stands">not as wanted</span>' in text
    assert "Kept: 1 value." in text
    assert (enclosure.home, enclosure.recorded_by) == (placement.home, None)
    for answer in (made, read, after):
        assert {name: answer.headers[name] for name in HEADERS} == HEADERS
        assert "csrftoken" not in answer.cookies
    assert "<nav" not in text


def test_an_applicant_is_compared_with_a_grown_animal(stranger: Client) -> None:
    CareProfileFactory()
    application = ApplicationFactory(species=SpeciesFactory(), animal=None)
    HomeEnclosureFactory(home=application.home)

    text = stranger.get(_page(application=application)).content.decode()

    assert "for a grown Veiled chameleon." in text
    assert "A female needs one; the animal&#x27;s sex is not known." in text


def test_a_file_is_taken_in_or_asked_about(stranger: Client) -> None:
    placement = PlacementFactory()
    enclosure = HomeEnclosureFactory(home=placement.home)
    page = _page(placement=placement)
    on = timezone.localdate() - timedelta(days=1)
    rows = "".join(f"{on} {hour:02}:00;70.5\n" for hour in range(20))

    def send(**more: str) -> Any:
        part = SimpleUploadedFile("log.csv", f"Time;Temperature\n{rows}".encode())
        return stranger.post(
            f"{page}enclosures/{enclosure.pk}/file/",
            {"file": part, "spot": "ambient", **more},
        )

    asked, kept = send(), send(unit="F")

    assert asked.status_code == 400
    text = asked.content.decode()
    assert "In which unit is" in text
    assert text.index("<details open>") < text.index("In which unit is")
    assert kept.status_code == 302
    assert enclosure.readings.count() == 20
    assert enclosure.readings.first().value_milli == 21_389


@pytest.mark.parametrize(
    ("path", "given", "told"),
    [
        ("", {"width": "0"}, "cannot be"),
        ("{pk}/describe/", {"height": "tall"}, "“tall” is no number."),
        ("{pk}/readings/", {"spot": "basking"}, "This field is required."),
    ],
)
def test_what_is_refused_stays_typed_beside_what_is_wrong(
    path: str, given: dict[str, str], told: str, stranger: Client
) -> None:
    placement = PlacementFactory()
    enclosure = HomeEnclosureFactory(home=placement.home)
    HomeEnclosureFactory(home=placement.home)
    page = _page(placement=placement)
    typed = {**TYPED, "note": "Beside the window.", **given}

    answer = stranger.post(f"{page}enclosures/{path.format(pk=enclosure.pk)}", typed)

    text = answer.content.decode()
    assert answer.status_code == 400
    assert told in text
    assert ("Beside the window." in text) is ("readings" not in path)
    assert text.count("<details open>") == 1


def test_enclosures_of_other_homes_are_not_there(stranger: Client) -> None:
    page = _page(placement=PlacementFactory())
    other = HomeEnclosureFactory(label="Their cage")

    for path in ("describe", "readings", "file"):
        answer = stranger.post(f"{page}enclosures/{other.pk}/{path}/", TYPED)
        assert answer.status_code == 404
    assert "Their cage" not in stranger.get(page).content.decode()
    other.refresh_from_db()
    assert other.label == "Their cage"


def test_nothing_is_made_ready_after_an_application_is_over(stranger: Client) -> None:
    application = ApplicationFactory(state="declined")
    page = _page(application=application)

    assert "make ready" not in stranger.get(page).content.decode()
    assert stranger.post(f"{page}enclosures/", TYPED).status_code == 404
    assert not HomeEnclosure.objects.exists()


def test_a_home_that_reads_inches_types_inches(stranger: Client) -> None:
    placement = PlacementFactory(home=HomeFactory(units="imperial"))
    page = _page(placement=placement)

    stranger.post(
        f"{page}enclosures/", {**TYPED, "width": "24", "depth": "24", "height": "48"}
    )

    enclosure = HomeEnclosure.objects.get()
    assert str(enclosure.height_cm) == "121.9"
    assert 'value="48"' in stranger.get(page).content.decode()


def test_a_wrong_address_opens_no_form(stranger: Client) -> None:
    assert stranger.post("/home/wrong/enclosures/", TYPED).status_code == 404
    assert not HomeEnclosure.objects.exists()
