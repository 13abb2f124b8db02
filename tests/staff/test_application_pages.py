"""Applications on the people's pages: read, looked into, decided, matched."""

from collections.abc import Callable
from datetime import date
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from core.models import AuditEntry
from core.roles import Role
from placements.actions.private_addresses import give_address
from placements.models import Application, ApplicationCheck, PrivateAddress
from placements.rules.applications.matching import Matter, Reason, Side
from placements.rules.vocabulary import CheckKind
from staff.match_words import reason_told
from tests.factories import (
    NOW,
    AnimalFactory,
    ApplicationCheckFactory,
    ApplicationFactory,
    HomeFactory,
    PlacementFactory,
    SpeciesFactory,
)
from tests.staff.conftest import Visitor

pytestmark = pytest.mark.django_db
ANSWERS = {
    "kept_before": "none",
    "enclosure": "ready",
    "people_at_risk": "yes",
    "more": "We have a <tall> room.",
}


@pytest.fixture
def coordinator(visitor: Visitor) -> Client:
    return visitor(Role.ADOPTION_COORDINATOR)


@pytest.fixture
def application(db: None) -> Application:
    return ApplicationFactory.create(
        home=HomeFactory.create(name="The Greys", email="greys@example.org"),
        species=SpeciesFactory.create(common_name="Veiled chameleon"),
        answers=ANSWERS,
    )


def checked(application: Application, outcome: str = "passed") -> None:
    for kind in CheckKind:
        ApplicationCheckFactory.create(
            application=application, kind=kind.value, outcome=outcome
        )
    Application.objects.filter(pk=application.pk).update(state="checking")


def test_the_list_in_the_order_of_what_is_to_do(coordinator: Client) -> None:
    for name, state, since in (
        ("Late", "waiting", date(2026, 3, 2)),
        ("Early", "waiting", date(2026, 1, 5)),
        ("Accepted", "accepted", None),
        ("Declined", "declined", None),
        ("Checked", "checking", None),
        ("New", "received", None),
    ):
        home = HomeFactory.create(name=f"{name} home")
        ApplicationFactory.create(
            home=home, state=state, waiting_since=since, decided_at=NOW
        )

    text = coordinator.get("/applications/").content.decode()

    order = ["New", "Checked", "Accepted", "Early", "Late", "Declined"]
    places = [text.index(f"{name} home") for name in order]
    assert places == sorted(places)
    assert "waiting since 5 Jan 2026" in text
    assert "to adopt: " in text


def test_an_empty_list(coordinator: Client) -> None:
    text = coordinator.get("/applications/").content.decode()

    assert "No application waits for anybody here." in text
    assert "Nobody is on the waiting list." in text


def test_the_list_costs_the_same_for_one_and_for_three(
    coordinator: Client, django_assert_num_queries: Callable[[int], Any]
) -> None:
    def make() -> None:
        for state in ("received", "waiting", "declined"):
            ApplicationFactory.create(
                state=state,
                waiting_since=date(2026, 3, 2),
                animal=AnimalFactory.create(),
            )

    make()
    coordinator.get("/applications/")
    with django_assert_num_queries(5):
        coordinator.get("/applications/")
    make()
    make()
    with django_assert_num_queries(5):
        coordinator.get("/applications/")


def test_one_application(coordinator: Client, application: Application) -> None:
    ApplicationCheckFactory.create(
        application=application, kind="landlord", note="The <landlord> agrees."
    )

    text = coordinator.get(f"/applications/{application.pk}/").content.decode()

    assert "The Greys" in text
    assert "to adopt: Veiled chameleon" in text
    assert "Which reptiles have you kept?" in text
    assert "None yet" in text
    assert "We have a &lt;tall&gt; room." in text
    assert "<li>Landlord: passed</li>" in text
    assert "<li>References: open</li>" in text
    assert "The &lt;landlord&gt; agrees." in text
    assert "Somebody at risk lives there" in text
    assert "not a refusal" in text
    assert "No address was given yet." in text


def test_nobody_at_risk_no_advice(coordinator: Client) -> None:
    row = ApplicationFactory.create(answers={**ANSWERS, "people_at_risk": "no"})

    text = coordinator.get(f"/applications/{row.pk}/").content.decode()

    assert "at risk lives there" not in text


def test_a_check_is_recorded(coordinator: Client, application: Application) -> None:
    typed = {"kind": "landlord", "outcome": "failed", "note": "No pets."}

    answer = coordinator.post(f"/applications/{application.pk}/check/", typed)

    assert answer.status_code == 302
    check = ApplicationCheck.objects.get()
    assert (check.kind, check.outcome, check.note) == ("landlord", "failed", "No pets.")
    assert check.recorded_by is not None


@pytest.mark.parametrize(
    ("typed", "told", "status"),
    [
        ({"kind": "smell", "outcome": "passed"}, "Select a valid choice", 400),
        (
            {"kind": "landlord", "outcome": "passed", "note": "\u202ex"},
            "U+202E (right-to-left override)",
            409,
        ),
    ],
)
def test_a_check_that_cannot_be_keeps_what_was_typed(
    typed: dict[str, str],
    told: str,
    status: int,
    coordinator: Client,
    application: Application,
) -> None:
    answer = coordinator.post(f"/applications/{application.pk}/check/", typed)

    assert answer.status_code == status
    assert told in answer.content.decode()
    form = answer.context["check"]
    assert {name: form[name].value() for name in typed} == typed
    assert not ApplicationCheck.objects.exists()


def decide(client: Client, row: Application, to: str, told: str = "") -> Any:
    typed = {"to": to, "told": told}
    return client.post(f"/applications/{row.pk}/decide/", typed)


def test_it_is_decided(coordinator: Client, application: Application) -> None:
    checked(application)

    assert decide(coordinator, application, "accepted", "Welcome.").status_code == 302

    application.refresh_from_db()
    assert (application.state, application.told) == ("accepted", "Welcome.")
    assert application.decided_by is not None
    text = coordinator.get(f"/applications/{application.pk}/").content.decode()
    assert "Put it on the waiting list" in text
    assert "Accept it" not in text
    assert decide(coordinator, application, "waiting").status_code == 302
    application.refresh_from_db()
    assert application.waiting_since is not None


@pytest.mark.parametrize(
    ("to", "told", "status"),
    [
        ("accepted", "landlord failed", 409),
        ("placed", "Select a valid choice", 400),
        ("received", "Select a valid choice", 400),
        ("declined", "Say why: the home reads it on its page.", 409),
    ],
)
def test_a_decision_that_cannot_be_says_why(
    to: str, told: str, status: int, coordinator: Client, application: Application
) -> None:
    checked(application, "failed")

    answer = decide(coordinator, application, to)

    assert answer.status_code == status
    assert told in answer.content.decode()
    application.refresh_from_db()
    assert application.state == "checking"


def test_what_is_over_offers_nothing(coordinator: Client) -> None:
    row = ApplicationFactory.create(state="declined", decided_at=NOW)

    answer = coordinator.get(f"/applications/{row.pk}/")

    assert answer.context["check"] is answer.context["decision"] is None
    assert decide(coordinator, row, "accepted").status_code == 400


def test_a_private_address_is_shown_once(
    coordinator: Client, application: Application
) -> None:
    answer = coordinator.post(f"/applications/{application.pk}/address/")

    assert answer.status_code == 200
    assert answer.headers["Cache-Control"] == "no-store"
    path = answer.context["url"].removeprefix("http://testserver")
    assert answer.context["url"] in answer.content.decode()
    assert "The Greys" in Client().get(path).content.decode()
    shown = coordinator.get(f"/applications/{application.pk}/").content.decode()
    address = PrivateAddress.objects.get()
    assert f"Address {address.prefix}…" in shown
    assert path.split("/")[2] not in shown
    assert address.digest not in shown


def test_a_private_address_is_withdrawn(
    coordinator: Client, application: Application
) -> None:
    row, text = give_address(application=application, by=None, at=timezone.now())
    shown = coordinator.get(f"/applications/{application.pk}/").content.decode()
    assert f"/private-addresses/{row.pk}/withdraw/" in shown

    path = f"/private-addresses/{row.pk}/withdraw/"
    told = coordinator.post(path, follow=True).content.decode()
    again = coordinator.post(path, follow=True).content.decode()

    assert "opens nothing any more" in told
    assert "withdrawn already" in again
    assert Client().get(f"/home/{text}/").status_code == 404


def test_an_erased_home_is_only_read(coordinator: Client) -> None:
    home = HomeFactory.create(name="(erased)", contact="", erased_at=NOW)
    row = ApplicationFactory.create(home=home, state="declined", answers={})

    text = coordinator.get(f"/applications/{row.pk}/").content.decode()
    answer = coordinator.post(f"/applications/{row.pk}/address/", follow=True)

    assert "were erased on 2 Mar 2026" in text
    assert '<form method="post" action="/applications' not in text
    assert "were erased" in answer.content.decode()
    assert not PrivateAddress.objects.exists()


def test_what_came_of_it(coordinator: Client, application: Application) -> None:
    PlacementFactory.create(
        application=application,
        home=application.home,
        animal=AnimalFactory.create(code="V-0042"),
    )

    text = coordinator.get(f"/applications/{application.pk}/").content.decode()

    assert "V-0042" in text


def test_whom_an_animal_may_suit(coordinator: Client, application: Application) -> None:
    animal = AnimalFactory.create(code="V-0042", species=application.species)
    Application.objects.filter(pk=application.pk).update(state="accepted")

    text = coordinator.get(f"/applications/for/{animal.pk}/").content.decode()

    assert "The Greys" in text
    assert "says that the enclosure is complete and running" in text
    assert "has kept no reptile yet" in text
    assert "Not known: whether they measure." in text
    assert "nobody is offered anything" in text


def test_nobody_asks_for_it(coordinator: Client) -> None:
    animal = AnimalFactory.create(code="V-0042")

    text = coordinator.get(f"/applications/for/{animal.pk}/").content.decode()

    assert "No accepted application asks for V-0042" in text
    assert coordinator.get("/applications/for/999999/").status_code == 404


def test_every_reason_has_words() -> None:
    stated = {
        Matter.EXPERIENCE: ("species", "relatives", "other", "none"),
        Matter.ENCLOSURE: ("ready", "building", "planned"),
        Matter.UVB: ("linear_t5", "linear_t8", "compact", "none"),
        Matter.MEASURING: ("yes", "no"),
        Matter.TREATMENT: ("yes", "no"),
        Matter.SEX: ("female", "male"),
        Matter.ASKED_FOR: ("",),
    }
    told = [
        reason_told(Reason(matter, side, word))
        for matter, words in stated.items()
        for word in words
        for side in (Side.FOR, Side.AGAINST)
    ]
    told += [
        reason_told(Reason(matter, Side.NOT_KNOWN, "other"))
        for matter in set(stated) - {Matter.ASKED_FOR}
    ]

    assert all(told)
    assert reason_told(Reason(Matter.SEX, Side.NOT_KNOWN, "female")) == (
        "wishes for a female; this one's sex is not known"
    )
    assert reason_told(Reason(Matter.UVB, Side.NOT_KNOWN, "other")) == (
        "which lamp gives UVB"
    )


def test_a_home_withdraws_its_application(application: Application) -> None:
    stranger = Client(enforce_csrf_checks=True)
    _, text = give_address(application=application, by=None, at=timezone.now())
    page = stranger.get(f"/home/{text}/").content.decode()
    assert f'action="/home/{text}/withdraw/"' in page
    assert "weak immune system" in page

    answer = stranger.post(f"/home/{text}/withdraw/", follow=True)

    application.refresh_from_db()
    assert (application.state, application.decided_by) == ("withdrawn", None)
    assert "This application is withdrawn." in answer.content.decode()
    assert "Withdraw it" not in answer.content.decode()
    entry = AuditEntry.objects.order_by("pk").last()
    assert entry is not None
    assert (entry.verb, entry.by) == ("decide", None)
    again = stranger.post(f"/home/{text}/withdraw/")
    assert again.status_code == 302


def test_only_a_good_address_withdraws(application: Application) -> None:
    stranger = Client()
    _, text = give_address(application=application, by=None, at=timezone.now())
    placement = PlacementFactory.create()
    _, other = give_address(placement=placement, by=None, at=timezone.now())

    assert stranger.post(f"/home/{text}x/withdraw/").status_code == 404
    assert stranger.get(f"/home/{text}/withdraw/").status_code == 405
    assert stranger.post(f"/home/{other}/withdraw/").status_code == 302

    application.refresh_from_db()
    assert application.state == "received"


def test_a_placements_address_is_given_and_withdrawn(coordinator: Client) -> None:
    placement = PlacementFactory.create()

    shown = coordinator.post(f"/placements/{placement.pk}/address/")
    path = shown.context["url"].removeprefix("http://testserver")
    row = PrivateAddress.objects.get()
    opened = Client().get(path)
    answer = coordinator.post(f"/private-addresses/{row.pk}/withdraw/")

    assert (row.placement, row.application) == (placement, None)
    assert opened.status_code == 200
    assert answer.headers["Location"] == (f"/placements/{placement.pk}/")
    assert Client().get(path).status_code == 404


def test_a_release_has_no_home_to_write_to(coordinator: Client) -> None:
    release = PlacementFactory.create(
        home=None, kind="release", release_place="Mill brook"
    )

    answer = coordinator.post(f"/placements/{release.pk}/address/")

    assert answer.status_code == 302
    assert not PrivateAddress.objects.exists()
