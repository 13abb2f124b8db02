"""A home's private page: opened by its address alone, and by nothing else."""

import logging
from collections.abc import Iterator
from datetime import date, timedelta
from io import StringIO

import pytest
from django.http import HttpRequest
from django.test import Client
from django.utils import timezone

from core.logs import HideAddresses
from placements.actions.private_addresses import give_address, withdraw_address
from placements.models import Home, PrivateAddress
from placements.rules.vocabulary import (
    ApplicationState,
    PlacementKind,
    PlacementState,
)
from staff.private_doors import HEADERS
from staff.private_sections import Part
from staff.throttling import MOST_FAILURES
from tests.factories import (
    AnimalFactory,
    ApplicationFactory,
    HomeFactory,
    PlacementFactory,
    SpeciesFactory,
)

pytestmark = pytest.mark.django_db
NOTHING = "This address opens no page."


@pytest.fixture
def stranger() -> Client:
    return Client(enforce_csrf_checks=True)


def _address(**of: object) -> str:
    return give_address(**of, by=None, at=timezone.now())[1]


@pytest.mark.parametrize("state", ApplicationState)
def test_where_an_application_stands(state: ApplicationState, stranger: Client) -> None:
    application = ApplicationFactory.create(
        home=HomeFactory.create(name="The Greys", notes="Odd on the telephone."),
        species=SpeciesFactory.create(common_name="Veiled chameleon"),
        state=state.value,
        waiting_since=date(2026, 3, 2),
        told="Please <b>call</b> us.",
    )

    answer = stranger.get(f"/home/{_address(application=application)}/")

    text = answer.content.decode()
    assert answer.status_code == 200
    assert "Your page, The Greys" in text
    assert "To adopt: Veiled chameleon" in text
    assert "Please &lt;b&gt;call&lt;/b&gt; us." in text
    assert ("since 2 Mar 2026" in text) is (state is ApplicationState.WAITING)
    assert "telephone" not in text
    assert "<nav" not in text


def test_no_cache_keeps_it_and_no_other_site_learns_of_it(stranger: Client) -> None:
    good = _address(application=ApplicationFactory.create())

    for address in (good, "wrong"):
        answer = stranger.get(f"/home/{address}/")
        assert {name: answer.headers[name] for name in HEADERS} == HEADERS
        assert "default-src 'self'" in answer.headers["Content-Security-Policy"]
        assert not answer.cookies


@pytest.mark.parametrize(
    ("state", "told"),
    [
        (PlacementState.PLANNED, "planned to come to you on 20 Mar 2026"),
        (PlacementState.CALLED_OFF, "was called off"),
        (
            PlacementState.HANDED_OVER,
            "came to you on 21 Mar 2026, and is due back on 1 Jun 2026.",
        ),
        (
            PlacementState.CAME_BACK,
            "came to you on 21 Mar 2026 and came back to us on 2 May 2026.",
        ),
        (PlacementState.MADE_LASTING, "and stays with you since 2 May 2026."),
        (PlacementState.DIED_THERE, "and died on 2 May 2026. We are sorry."),
    ],
)
def test_where_a_placement_stands(
    state: PlacementState, told: str, stranger: Client
) -> None:
    left = state not in {PlacementState.PLANNED, PlacementState.CALLED_OFF}
    over = left and state is not PlacementState.HANDED_OVER
    placement = PlacementFactory.create(
        animal=AnimalFactory.create(code="V-1", name="Juno"),
        kind=PlacementKind.FOSTER.value,
        state=state.value,
        handed_over_on=date(2026, 3, 21) if left else None,
        due_back_on=date(2026, 6, 1),
        ended_on=date(2026, 5, 2) if over else None,
    )

    text = stranger.get(f"/home/{_address(placement=placement)}/").content.decode()

    assert told in text
    assert "Juno" in text


def test_an_applications_page_tells_of_the_animal_that_came_of_it(
    stranger: Client,
) -> None:
    application = ApplicationFactory.create(state="accepted")
    animal = AnimalFactory.create(code="V-9")
    PlacementFactory.create(
        application=application, home=application.home, animal=animal
    )
    other = PlacementFactory.create(animal=AnimalFactory.create(code="V-77"))

    text = stranger.get(f"/home/{_address(application=application)}/").content.decode()

    assert "V-9" in text
    assert other.animal.code not in text


def test_every_address_that_opens_nothing_gets_the_same_answer(
    stranger: Client,
) -> None:
    revoked = _address(application=ApplicationFactory.create())
    withdraw_address(address=PrivateAddress.objects.get(), by=None, at=timezone.now())
    replaced_by = ApplicationFactory.create()
    replaced = _address(application=replaced_by)
    _address(application=replaced_by)
    late = ApplicationFactory.create()
    expired = _address(application=late)
    late.private_addresses.update(expires_at=timezone.now())
    gone = ApplicationFactory.create()
    erased = _address(application=gone)
    Home.objects.filter(pk=gone.home.pk).update(erased_at=timezone.now(), contact="")
    good = _address(application=ApplicationFactory.create())

    asked = [
        revoked,
        replaced,
        expired,
        erased,
        f"{good}x",
        "nonsense",
        "%00",
        "\u202e",
    ]
    answers = [stranger.get(f"/home/{address}/") for address in asked]

    assert {answer.status_code for answer in answers} == {404}
    assert len({answer.content for answer in answers}) == 1
    assert NOTHING in answers[0].content.decode()


def test_guessing_at_one_address_is_slowed_down_and_others_are_not(
    stranger: Client,
) -> None:
    text = _address(application=ApplicationFactory.create())
    other = _address(application=ApplicationFactory.create())
    wrong = f"{text.partition('_')[0]}_{'x' * 43}"

    for _ in range(MOST_FAILURES):
        assert stranger.get(f"/home/{wrong}/").status_code == 404
    held = stranger.get(f"/home/{wrong}/")

    assert held.status_code == 429
    assert int(held.headers["Retry-After"]) > 0
    assert "Try again in 5 minutes" in held.content.decode()
    assert stranger.get(f"/home/{other}/").status_code == 200


def test_it_is_only_read(stranger: Client) -> None:
    text = _address(application=ApplicationFactory.create())

    assert stranger.post(f"/home/{text}/").status_code == 405
    assert stranger.head(f"/home/{text}/").status_code == 200


def test_reading_is_noted_on_the_address_and_nowhere_else(stranger: Client) -> None:
    before = timezone.now() - timedelta(seconds=5)
    text = _address(application=ApplicationFactory.create())

    stranger.get(f"/home/{text}/")

    used = PrivateAddress.objects.get().last_used_at
    assert used is not None
    assert used > before


def test_parts_stand_on_the_page_with_what_they_say(
    stranger: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    def says(row: PrivateAddress, request: HttpRequest) -> Part:
        assert request.resolver_match is not None
        secret = request.resolver_match.kwargs["address"]
        return Part("staff/parts/said.html", {"what": f"{row.pk} by {secret}"})

    def silent(row: PrivateAddress, request: HttpRequest) -> None:
        return None

    monkeypatch.setattr("staff.private_homes.PARTS", (silent, says))
    text = _address(application=ApplicationFactory.create())

    answer = stranger.get(f"/home/{text}/")

    assert answer.status_code == 200
    (part,) = answer.context["parts"]
    assert part.context == {"what": f"{PrivateAddress.objects.get().pk} by {text}"}


@pytest.fixture
def logged() -> Iterator[StringIO]:
    """What the console's handler writes, whatever pytest does with its stream."""
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


def test_no_log_has_the_address_or_the_name(stranger: Client, logged: StringIO) -> None:
    home = HomeFactory.create(name="The Greys")
    text = _address(application=ApplicationFactory.create(home=home))

    stranger.get(f"/home/{text}/")
    stranger.post(f"/home/{text}/")
    stranger.get(f"/home/{text}x/")
    stranger.get("/home/not-a-key/")

    written = logged.getvalue()
    assert "Not Found: /home/…" in written
    assert "Method Not Allowed (POST): /home/…" in written
    for secret in (text, text.partition("_")[2], "not-a-key", "Greys"):
        assert secret not in written
