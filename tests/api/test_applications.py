"""Applications, homes' data and private addresses by the API."""

from datetime import date
from typing import Any

import pytest
from django.test import Client
from rest_framework.test import APIClient

from core.models import AuditEntry
from core.roles import Role
from placements.models import Application, Home, PersonalDataPolicy, PrivateAddress
from placements.rules.applications.advice import AT_RISK, SALMONELLA
from placements.rules.vocabulary import CheckKind
from tests.api.conftest import Caller
from tests.api.test_filters import LISTS
from tests.factories import (
    NOW,
    AnimalFactory,
    ApplicationCheckFactory,
    ApplicationFactory,
    HomeFactory,
    PlacementFactory,
    PrivateAddressFactory,
    SpeciesFactory,
)

API = "/api/v1"
ANSWERS = {
    "kept_before": "species",
    "enclosure": "ready",
    "uvb": "linear_t5",
    "measures": "yes",
    "people_at_risk": "yes",
    "dwelling": "own",
    "more": "Zebulon would love one.",
}


@pytest.fixture
def coordinator(caller: Caller) -> APIClient:
    return caller(Role.ADOPTION_COORDINATOR)


def sent(client: APIClient, address: str, **body: Any) -> Any:
    return client.post(f"{API}/{address}/", body)


def test_an_application_is_recorded(coordinator: APIClient) -> None:
    home, animal = HomeFactory(), AnimalFactory(code="V-1")

    answer = sent(
        coordinator,
        "applications",
        home=home.pk,
        kind="adoption",
        animal="V-1",
        answers=ANSWERS,
    )

    assert answer.status_code == 201
    found = answer.json()
    row = Application.objects.get()
    assert found == {
        "id": row.pk,
        "home": home.pk,
        "species": {"id": animal.species.pk, "code": animal.species.code},
        "animal": {"id": animal.pk, "code": "V-1"},
        "kind": "adoption",
        "state": "received",
        "received_at": found["received_at"],
        "recorded_by": row.recorded_by.username,
        "decided_at": None,
        "waiting_since": None,
        "question_set": 1,
        "answers": ANSWERS,
        "told": "",
        "checks": [{"kind": kind.value, "outcome": "open"} for kind in CheckKind],
        "advice": [*SALMONELLA, *AT_RISK],
    }


@pytest.mark.parametrize(
    ("changed", "status", "field"),
    [
        ({"home": 10**9}, 400, "home"),
        ({"species": "dragon"}, 400, "species"),
        ({"animal": "X-1"}, 400, "animal"),
        ({"species": None}, 409, "species"),
        ({"kind": "release"}, 409, "kind"),
        ({"kind": "steal"}, 400, "kind"),
        ({"answers": {**ANSWERS, "uvb": "sun"}}, 409, "uvb"),
        ({"answers": {**ANSWERS, "more": "\u202ex"}}, 409, "more"),
        ({"answers": {**ANSWERS, "more": "x" * 2_001}}, 409, "more"),
        ({"question_set": 9}, 409, "question_set"),
        ({"state": "accepted"}, 400, "state"),
    ],
)
def test_what_cannot_be_kept_is_told_by_field(
    changed: dict[str, Any], status: int, field: str, coordinator: APIClient
) -> None:
    given = {
        "home": HomeFactory().pk,
        "kind": "adoption",
        "species": SpeciesFactory(code="veiled").code,
        "answers": ANSWERS,
        **changed,
    }

    answer = sent(coordinator, "applications", **given)

    assert answer.status_code == status
    assert list(answer.json()["fields"]) == [field]
    assert not Application.objects.exists()


def test_a_list_has_no_answers_and_no_names(coordinator: APIClient) -> None:
    row = ApplicationFactory(
        home=HomeFactory(name="Zebulon"), answers=ANSWERS, told="Dear Zebulon"
    )

    answer = coordinator.get(f"{API}/applications/")

    assert answer.json()["results"][0]["id"] == row.pk
    assert "ebulon" not in answer.content.decode()
    one = coordinator.get(f"{API}/applications/{row.pk}/").json()
    assert (one["answers"], one["told"]) == (ANSWERS, "Dear Zebulon")


def test_it_is_looked_into_and_decided(coordinator: APIClient) -> None:
    row = ApplicationFactory()
    address = f"applications/{row.pk}"

    checked = sent(
        coordinator,
        f"{address}/check",
        kind="landlord",
        outcome="failed",
        note="No pets.",
    )
    early = sent(coordinator, f"{address}/decide", to="accepted")
    for kind in CheckKind:
        ApplicationCheckFactory(
            application=row, kind=kind.value, recorded_at=NOW.replace(year=2100)
        )
    accepted = sent(coordinator, f"{address}/decide", to="accepted", told="Welcome.")
    waiting = sent(coordinator, f"{address}/decide", to="waiting", on="2026-03-02")
    by_hand = sent(coordinator, f"{address}/decide", to="placed")

    assert checked.json()["state"] == "checking"
    assert {"kind": "landlord", "outcome": "failed"} in checked.json()["checks"]
    assert (early.status_code, early.json()["code"]) == (409, "application_state")
    assert "landlord failed" in early.json()["detail"]
    assert (accepted.json()["state"], accepted.json()["told"]) == (
        "accepted",
        "Welcome.",
    )
    assert waiting.json()["waiting_since"] == "2026-03-02"
    assert by_hand.status_code == 400


def test_the_waiting_list(coordinator: APIClient) -> None:
    late = ApplicationFactory(state="waiting", waiting_since=date(2026, 3, 2))
    early = ApplicationFactory(state="waiting", waiting_since=date(2026, 1, 5))
    ApplicationFactory(state="accepted")

    found = coordinator.get(f"{API}/applications/waiting/?page_size=1").json()
    rest = coordinator.get(found["next"]).json()

    assert [row["id"] for row in found["results"]] == [early.pk]
    assert [row["id"] for row in rest["results"]] == [late.pk]
    assert rest["next"] is None


def test_whom_an_animal_may_suit(coordinator: APIClient) -> None:
    animal = AnimalFactory(code="V-1")
    row = ApplicationFactory(
        state="waiting",
        waiting_since=date(2026, 1, 5),
        species=animal.species,
        home=HomeFactory(name="Zebulon"),
        answers=ANSWERS,
    )

    answer = coordinator.get(f"{API}/applications/matches/?animal=V-1&on=2026-03-02")

    assert answer.json() == {
        "matches": [
            {
                "application": row.pk,
                "home": row.home.pk,
                "state": "waiting",
                "since": "2026-01-05",
                "reasons": [
                    {"matter": "experience", "side": "for", "stated": "species"},
                    {"matter": "enclosure", "side": "for", "stated": "ready"},
                    {"matter": "measuring", "side": "for", "stated": "yes"},
                ],
            }
        ]
    }
    unknown = coordinator.get(f"{API}/applications/matches/?animal=X-1")
    assert (unknown.status_code, unknown.json()["code"]) == (400, "unknown_animal")
    assert coordinator.get(f"{API}/applications/matches/").status_code == 400


def test_what_applicants_are_asked(coordinator: APIClient) -> None:
    found = coordinator.get(f"{API}/applications/questions/").json()

    assert found["question_set"] == 1
    assert {q["id"] for q in found["questions"] if q["required"]} == {
        *("kept_before", "enclosure", "uvb", "measures", "people_at_risk", "dwelling"),
    }
    assert found["questions"][1] == {
        "id": "years_kept",
        "kind": "number",
        "text": "For how many years altogether?",
        "why": "Beside what you kept, how long.",
        "required": False,
        "options": [],
        "most": 90,
    }
    assert {"word": "yes", "text": "Yes"} in found["questions"][4]["options"]


def test_a_private_address_is_answered_once(coordinator: APIClient) -> None:
    row = ApplicationFactory()

    answer = sent(coordinator, "private-addresses", application=row.pk)

    assert answer.status_code == 201
    assert answer["Cache-Control"] == "no-store"
    address = answer.json()["address"].removeprefix("http://testserver")
    assert Client().get(address).status_code == 200
    listed = coordinator.get(f"{API}/private-addresses/?application={row.pk}")
    assert address.split("/")[2] not in listed.content.decode()
    kept = PrivateAddress.objects.get()
    assert kept.digest not in listed.content.decode()
    withdrawn = sent(coordinator, f"private-addresses/{kept.pk}/withdraw")
    assert withdrawn.json()["revoked_at"] is not None
    assert Client().get(address).status_code == 404
    again = sent(coordinator, f"private-addresses/{kept.pk}/withdraw")
    assert (again.status_code, again.json()["code"]) == (
        409,
        "private_address_refused",
    )


def test_an_address_is_of_one_thing_that_is_there(coordinator: APIClient) -> None:
    placement = PlacementFactory()

    given = sent(coordinator, "private-addresses", placement=placement.pk)
    neither = sent(coordinator, "private-addresses")
    unknown = sent(coordinator, "private-addresses", placement=10**9)

    assert given.status_code == 201
    assert PrivateAddress.objects.get(pk=given.json()["id"]).placement == placement
    assert (neither.status_code, neither.json()["code"]) == (
        409,
        "private_address_refused",
    )
    assert (unknown.status_code, unknown.json()["code"]) == (400, "unknown_placement")


def test_a_home_is_recorded_and_put_right(coordinator: APIClient) -> None:
    made = sent(coordinator, "homes", name="The Grays", email="g@example.org")
    number = made.json()["id"]
    right = sent(coordinator, f"homes/{number}/correct", name="The Greys")
    wrong = sent(coordinator, f"homes/{number}/correct", name=" ", email="x")

    assert (made.status_code, made.json()["kind"]) == (201, "household")
    assert (right.json()["name"], right.json()["email"]) == ("The Greys", "")
    assert (wrong.status_code, set(wrong.json()["fields"])) == (409, {"name", "email"})


def test_a_home_is_kept_longer_and_erased(owner: APIClient) -> None:
    row = HomeFactory(name="The Greys")

    kept = sent(owner, f"homes/{row.pk}/keep", until="2099-01-01")
    refused = sent(owner, f"homes/{row.pk}/erase", reason="asked_for")
    past = sent(owner, f"homes/{row.pk}/keep", until="2020-01-01")
    sent(owner, f"homes/{row.pk}/keep", until=None)
    erased = sent(owner, f"homes/{row.pk}/erase", reason="asked_for")

    assert kept.json()["keep_until"] == "2099-01-01"
    assert (refused.status_code, refused.json()["code"]) == (409, "erasure_refused")
    assert (past.status_code, list(past.json()["fields"])) == (409, ["until"])
    assert erased.json()["name"] == "(erased)"
    assert erased.json()["erased_at"] is not None
    assert Home.objects.get().contact == ""
    assert sent(owner, f"homes/{row.pk}/erase", reason="x").status_code == 400
    assert sent(owner, f"homes/{row.pk}/correct", name="Again").status_code == 409


def test_only_those_who_may_erase(coordinator: APIClient) -> None:
    row = HomeFactory(name="The Greys")

    answer = sent(coordinator, f"homes/{row.pk}/erase", reason="asked_for")

    assert answer.status_code == 403
    assert Home.objects.get().name == "The Greys"


def test_a_policy_is_made(owner: APIClient) -> None:
    answer = sent(
        owner,
        "personal-data-policies",
        months_after_decline=3,
        months_after_last_placement=120,
        reason="Ten years, as the licence asks.",
    )
    wrong = sent(
        owner,
        "personal-data-policies",
        months_after_decline=601,
        months_after_last_placement=120,
        reason="x",
    )

    row = PersonalDataPolicy.objects.get()
    assert answer.json() == {
        "id": row.pk,
        "months_after_decline": 3,
        "months_after_last_placement": 120,
        "reason": "Ten years, as the licence asks.",
        "made_by": row.made_by.username if row.made_by else None,
        "made_at": answer.json()["made_at"],
    }
    assert wrong.status_code == 400


NAME = "Zebulon"
OUTSIDERS = (Role.KEEPER, Role.VET, Role.VIEWER)


@pytest.fixture
def planted(db: None) -> Application:
    """A home whose name stands wherever it can, and entries about all of it."""
    home = HomeFactory(
        name=f"{NAME} Grey",
        contact=f"{NAME} 1",
        email=f"{NAME}@example.org",
        notes=f"{NAME}!",
    )
    row = ApplicationFactory(
        home=home,
        state="waiting",
        waiting_since=date(2026, 1, 5),
        answers={"more": f"I am {NAME}."},
        told=f"Dear {NAME}",
    )
    ApplicationCheckFactory(application=row, note=f"{NAME} agrees.")
    PlacementFactory(home=home, application=row, animal=AnimalFactory(code="V-1"))
    PrivateAddressFactory(application=row)
    return row


@pytest.mark.parametrize("role", OUTSIDERS)
def test_an_outsider_reads_nothing_of_applications(
    role: Role, planted: Application, caller: Caller
) -> None:
    client = caller(role)
    number, home = planted.pk, planted.home.pk

    for address in (
        *("applications/", f"applications/{number}/", "applications/waiting/"),
        *("applications/matches/?animal=V-1", "homes/", f"homes/{home}/"),
        *("private-addresses/", "personal-data-policies/"),
        *(f"applications/?home={home}", "homes/?animal=V-1"),
    ):
        answer = client.get(f"{API}/{address}")
        assert answer.status_code == 403, address
        assert NAME not in answer.content.decode()
    for address in ("applications/", f"applications/{number}/decide/", "homes/"):
        assert client.post(f"{API}/{address}", {}).status_code == 403


@pytest.mark.parametrize("role", OUTSIDERS)
def test_the_audit_trail_tells_an_outsider_nothing_of_homes(
    role: Role, caller: Caller
) -> None:
    owner = caller(Role.OWNER)
    number = sent(owner, "homes", name=NAME).json()["id"]
    made = sent(
        owner,
        "applications",
        home=number,
        kind="adoption",
        species=SpeciesFactory().code,
        answers=ANSWERS,
    ).json()["id"]
    sent(owner, f"applications/{made}/check", kind="landlord", outcome="passed")
    sent(owner, "private-addresses", application=made)

    client = caller(role)
    answer = client.get(f"{API}/audit-entries/")

    guarded = {"home", "application", "applicationcheck", "privateaddress"}
    subjects = set(AuditEntry.objects.values_list("subject", flat=True))
    assert subjects == {f"placements.{name}" for name in guarded}
    if role is Role.VET:
        assert answer.json()["results"] == []
    else:
        assert answer.status_code == 403


@pytest.mark.parametrize(
    "query",
    [
        *("homes/?name=Zebulon", "homes/?search=Zebulon", "homes/?ordering=name"),
        *("homes/?email=Zebulon@example.org", "homes/?contact=Zebulon"),
        *("applications/?home__name=Zebulon", "applications/?ordering=home__name"),
        *("placements/?home__name=Zebulon", "placements/?ordering=home__name"),
    ],
)
def test_nobody_searches_or_orders_by_what_is_personal(
    query: str, planted: Application, owner: APIClient
) -> None:
    answer = owner.get(f"{API}/{query}")

    unknown = "invalid" if "ordering=" in query else "unknown"
    assert (answer.status_code, answer.json()["code"]) == (400, f"{unknown}_parameter")


def test_a_search_finds_nobody_by_what_is_personal(
    planted: Application, owner: APIClient
) -> None:
    answer = owner.get(f"{API}/placements/?search=Zebulon")

    assert answer.json()["results"] == []


@pytest.mark.parametrize("role", list(Role))
def test_no_other_list_names_a_home(
    role: Role, planted: Application, caller: Caller
) -> None:
    """Of all lists; those of homes' own words are for who sees homes."""
    client = caller(role)
    may = {Role.OWNER, Role.MANAGER, Role.ADOPTION_COORDINATOR}

    for address in LISTS:
        text = client.get(f"{API}/{address}/").content.decode()
        assert NAME not in text or (role in may and address == "homes"), address
