"""The public form: whatever is sent, nothing is half-kept and nothing typed is lost."""

import logging
from collections.abc import Iterator
from html import unescape
from io import StringIO
from typing import Any

import pytest
from django.test import Client

from core.logs import HideAddresses
from core.models import AuditEntry
from husbandry.models import Animal, Species
from placements.models import Application, Home, PersonalDataPolicy, PrivateAddress
from placements.rules.applications.questions import QUESTION_SETS
from placements.rules.vocabulary import ApplicationState
from staff.application_forms import SHOWN_AGAIN, ApplicationForm
from staff.throttling import MOST_FAILURES
from tests.factories import (
    NOW,
    AnimalFactory,
    HomeFactory,
    OrganisationFactory,
    SpeciesFactory,
)

pytestmark = pytest.mark.django_db
TYPED = {
    "name": "Zebulon Grey",
    "email": "zebulon@example.org",
    "contact": "Telephone 0",
    "species": "veiled",
    "animal": "",
    "kind": "adoption",
    "units": "imperial",
    "paper": "letter",
    "website": "",
    "kept_before": "none",
    "years_kept": "",
    "enclosure": "ready",
    "uvb": "linear_t5",
    "measures": "yes",
    "people_at_risk": "yes",
    "dwelling": "own",
    "more": "Zebulon would love one.",
}


@pytest.fixture
def animal(db: None) -> Animal:
    species = SpeciesFactory.create(code="veiled", common_name="Veiled chameleon")
    return AnimalFactory.create(code="V-0042", species=species)


@pytest.fixture
def stranger(animal: Animal) -> Client:
    return Client()


def nothing_is_kept() -> bool:
    kept = (Home, Application, PrivateAddress, AuditEntry)
    return not any(model._default_manager.exists() for model in kept)


def test_everybody_may_see_the_form(stranger: Client) -> None:
    OrganisationFactory.create(name="Mill House")

    answer = stranger.get("/apply/")

    text = answer.content.decode()
    assert answer.status_code == 200
    assert "Mill House" in text
    assert "Veiled chameleon" in text
    assert "6 months after an application that came to nothing" in text
    assert "and 60 months after the last animal" in text
    assert "Salmonella" in text
    assert answer.headers["Cache-Control"] == "no-store"
    assert "<nav" not in text
    assert "style=" not in text
    assert "<script" not in text


def test_what_is_sent_becomes_an_application_and_a_page(stranger: Client) -> None:
    answer = stranger.post("/apply/", TYPED)

    assert answer.status_code == 302
    row = Application.objects.select_related("home").get()
    assert (row.state, row.recorded_by) == (ApplicationState.RECEIVED, None)
    assert row.answers == {
        "kept_before": "none",
        "enclosure": "ready",
        "uvb": "linear_t5",
        "measures": "yes",
        "people_at_risk": "yes",
        "dwelling": "own",
        "more": "Zebulon would love one.",
    }
    home = row.home
    assert (home.name, home.email) == ("Zebulon Grey", "zebulon@example.org")
    assert (home.units, home.paper) == ("imperial", "letter")
    page = stranger.get(answer.headers["Location"])
    assert page.status_code == 200
    assert "We have your application." in page.content.decode()


def test_a_certain_animal(stranger: Client, animal: Animal) -> None:
    shown = stranger.get("/apply/?animal=V-0042").content.decode()
    assert 'value="V-0042"' in shown

    stranger.post("/apply/", {**TYPED, "species": "", "animal": " v-0042 "})

    row = Application.objects.get()
    assert (row.animal, row.species) == (animal, animal.species)


def test_the_address_in_the_location_names_nobody(stranger: Client) -> None:
    location = stranger.post("/apply/", TYPED).headers["Location"]

    assert "ebulon" not in location
    assert stranger.get("/apply/?name=Zebulon").content.decode().count("Zebulon") == 0


@pytest.mark.parametrize(
    ("field", "value", "told"),
    [
        ("name", " ", "A home needs a name."),
        ("name", "a\x00b", "Character 2 is U+0000, which cannot be seen."),
        ("name", "\u202eyerG", "Character 1 is U+202E (right-to-left override)"),
        ("name", "Zebulon\u200f", "U+200F (right-to-left mark)"),
        ("name", "x" * 121, "This has 121 characters; up to 120 are kept."),
        ("email", "zebulon", "Give one e-mail address"),
        ("contact", "y" * 1_001, "This has 1,001 characters"),
        ("species", "dragon", "Choose a species"),
        ("animal", "V-9999", "No animal that can be asked for has this code."),
        ("animal", "\x00", "Character 1 is U+0000"),
        ("animal", "V" * 21, "This has 21 characters; up to 20 are kept."),
        ("kind", "release", "Choose one of these."),
        ("kind", "", "Choose one of these."),
        ("uvb", "sun", "'sun' is no answer here"),
        ("years_kept", "-3", "'-3' is no whole number from 0 to 90."),
        ("more", "\x1b[2J", "Character 1 is U+001B"),
    ],
)
def test_what_cannot_be_kept_is_told_and_all_that_was_typed_is_kept(
    field: str, value: str, told: str, stranger: Client
) -> None:
    answer = stranger.post("/apply/", {**TYPED, field: value})

    assert answer.status_code == 400
    form = answer.context["form"]
    assert list(form.errors) == [field]
    assert told in form.errors[field][0]
    shown = unescape(answer.content.decode())
    for name, typed in {**TYPED, field: value}.items():
        assert form[name].value() == typed
        # What is no choice cannot be shown as one.
        assert typed in shown or name in {"species", "kind"}
    assert nothing_is_kept()


def test_all_that_is_wrong_is_told_at_once(stranger: Client) -> None:
    answer = stranger.post("/apply/", {})

    assert set(answer.context["form"].errors) == {
        *("name", "contact", "species", "kind", "kept_before", "enclosure", "uvb"),
        *("measures", "people_at_risk", "dwelling"),
    }
    assert nothing_is_kept()


def test_ten_megabytes_are_refused_in_words(stranger: Client) -> None:
    answer = stranger.post("/apply/", {**TYPED, "more": "ä" * 5_000_000})

    assert answer.status_code == 400
    shown = answer.content.decode()
    assert "This has 5,000,000 characters; up to 2,000 are kept." in shown
    assert len(shown) < 3 * SHOWN_AGAIN
    assert answer.context["form"]["name"].value() == "Zebulon Grey"
    assert nothing_is_kept()


def test_a_body_past_all_bounds_is_refused_before_it_is_read(
    stranger: Client,
) -> None:
    answer = stranger.post("/apply/", {**TYPED, "more": "x" * (21 * 1024 * 1024)})

    assert answer.status_code in {400, 413}
    assert nothing_is_kept()


def test_thousands_of_fields_are_refused(stranger: Client) -> None:
    answer = stranger.post("/apply/", {f"x{n}": "1" for n in range(2_000)})

    assert answer.status_code == 400
    assert nothing_is_kept()


def test_what_nobody_asked_is_not_kept(stranger: Client) -> None:
    stranger.post("/apply/", {**TYPED, "state": "accepted", "notes": "x", "told": "y"})

    row = Application.objects.select_related("home").get()
    assert (row.state, row.home.notes, row.told) == ("received", "", "")


def test_markup_is_shown_as_it_was_typed(stranger: Client) -> None:
    typed = {**TYPED, "name": "<script>alert(1)</script>", "email": "x"}

    answer = stranger.post("/apply/", typed)

    assert "<script>" not in answer.content.decode()
    assert answer.context["form"]["name"].value() == "<script>alert(1)</script>"


def test_the_field_that_no_person_sees(stranger: Client) -> None:
    shown = stranger.get("/apply/").content.decode()
    assert 'class="unseen" aria-hidden="true"' in shown

    answer = stranger.post("/apply/", {**TYPED, "website": "https://example.org"})

    assert answer.status_code == 400
    text = answer.content.decode()
    # A browser may have filled it by itself: then a person has to see it.
    assert "unseen" not in text
    assert "only programs fill it in" in text
    assert answer.context["form"]["more"].value() == TYPED["more"]
    assert nothing_is_kept()
    assert stranger.post("/apply/", TYPED).status_code == 302


def test_one_after_another_from_one_place_is_slowed_down(stranger: Client) -> None:
    for _ in range(MOST_FAILURES):
        assert stranger.post("/apply/", TYPED).status_code == 302

    held = stranger.post("/apply/", TYPED)
    elsewhere = Client(REMOTE_ADDR="198.51.100.7").post("/apply/", TYPED)

    assert held.status_code == 429
    assert int(held.headers["Retry-After"]) > 0
    assert "Wait 5 minutes" in held.content.decode()
    assert held.context["form"]["more"].value() == TYPED["more"]
    assert elsewhere.status_code == 302
    assert Application.objects.count() == MOST_FAILURES + 1


def test_traps_count_too_and_slips_do_not(stranger: Client) -> None:
    for _ in range(MOST_FAILURES + 2):
        assert stranger.post("/apply/", {**TYPED, "email": "x"}).status_code == 400
    assert stranger.post("/apply/", TYPED).status_code == 302
    for _ in range(MOST_FAILURES - 1):
        stranger.post("/apply/", {**TYPED, "website": "x"})
    assert stranger.post("/apply/", TYPED).status_code == 429


def test_a_form_from_another_site_is_refused(animal: Animal) -> None:
    answer = Client(enforce_csrf_checks=True).post("/apply/", TYPED)

    assert answer.status_code == 403
    assert nothing_is_kept()


def test_the_form_says_nothing_of_homes_on_record(stranger: Client) -> None:
    HomeFactory.create(name="Zebulon Grey", email="zebulon@example.org")
    first = stranger.post("/apply/", {**TYPED, "uvb": ""}).content
    Home.objects.all().delete()
    second = stranger.post("/apply/", {**TYPED, "uvb": ""}).content

    assert _without_token(first) == _without_token(second)


def _without_token(page: bytes) -> list[str]:
    lines = page.decode().splitlines()
    return [line for line in lines if "csrfmiddlewaretoken" not in line]


def test_an_animal_that_leaves_meanwhile(
    stranger: Client, animal: Animal, monkeypatch: pytest.MonkeyPatch
) -> None:
    def left(code: str, **_: Any) -> Animal:
        Animal.objects.filter(pk=animal.pk).update(status="placed", left_on=NOW.date())
        return animal

    monkeypatch.setattr("staff.application_forms.animal_offered", left)

    answer = stranger.post("/apply/", {**TYPED, "animal": "V-0042"})

    assert answer.status_code == 409
    assert "is not in care" in answer.content.decode()
    assert answer.context["form"]["more"].value() == TYPED["more"]
    assert nothing_is_kept()


def test_no_animal_no_form() -> None:
    Species.objects.all().delete()
    SpeciesFactory.create()

    text = Client().get("/apply/").content.decode()

    assert "No animal looks for a home at this time." in text
    assert "<form" not in text


def test_what_nobody_can_place_is_not_offered(stranger: Client) -> None:
    AnimalFactory.create(
        code="U-1", species=SpeciesFactory.create(code="not-yet-known")
    )
    AnimalFactory.create(
        code="P-1",
        status="placed",
        left_on=NOW.date(),
        species=SpeciesFactory.create(code="gone"),
    )

    assert list(ApplicationForm().offered) == ["veiled"]
    for code in ("U-1", "P-1"):
        answer = stranger.post("/apply/", {**TYPED, "animal": code})
        assert list(answer.context["form"].errors) == ["animal"]


def test_the_months_are_those_of_the_policy(stranger: Client) -> None:
    PersonalDataPolicy.objects.create(
        months_after_decline=1,
        months_after_last_placement=24,
        reason="as agreed",
        made_at=NOW,
    )

    text = stranger.get("/apply/").content.decode()

    assert "erased 1 month after" in text
    assert "24 months after" in text


def test_no_question_has_the_name_of_another_field() -> None:
    own = set(ApplicationForm.base_fields)
    for questions in QUESTION_SETS.values():
        assert not own & {question.id for question in questions}


@pytest.fixture
def logged() -> Iterator[StringIO]:
    told = StringIO()
    (console,) = (
        handler
        for handler in logging.getLogger().handlers
        if any(isinstance(f, HideAddresses) for f in handler.filters)
    )
    assert isinstance(console, logging.StreamHandler)
    before = console.setStream(told)
    yield told
    console.setStream(before)


def test_nothing_that_is_typed_is_logged(stranger: Client, logged: StringIO) -> None:
    logging.getLogger("django").setLevel(logging.DEBUG)
    try:
        stranger.post("/apply/", {**TYPED, "uvb": "sun"})
        location = stranger.post("/apply/", TYPED).headers["Location"]
        for _ in range(MOST_FAILURES):
            stranger.post("/apply/", TYPED)
        stranger.get(location)
    finally:
        logging.getLogger("django").setLevel(logging.NOTSET)

    written = logged.getvalue()
    assert "/apply/" in written
    assert "ebulon" not in written
    assert location.split("/")[2] not in written
