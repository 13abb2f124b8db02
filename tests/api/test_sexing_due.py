"""Whose heels wait for a look, over the API, and what looks leave open."""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.utils import timezone
from rest_framework.test import APIClient

from clutches.models import SpurCheck
from core.models import User
from core.roles import Role, TokenScope
from core.tokens import issue_token
from husbandry.actions.profiles import load_shipped_profiles
from husbandry.models import Animal, Species
from tests.api.conftest import Caller
from tests.factories import (
    SHIPPED_PROFILE,
    AnimalFactory,
    CareProfileFactory,
    SexingPolicyFactory,
    SpeciesFactory,
    SpurCheckFactory,
    UserFactory,
)

pytestmark = pytest.mark.django_db
ADDRESS = "/api/v1/sexing-due/"
UNSEXED = {"sex": "unknown", "sex_basis": "not_sexed", "sex_confidence": "uncertain"}
LIKELY = {"sex": "male", "sex_basis": "heel_spur", "sex_confidence": "likely"}


@pytest.fixture
def species() -> Species:
    load_shipped_profiles(by=None, at=datetime(2025, 1, 1, tzinfo=UTC))
    return Species.objects.get(code="veiled_chameleon")


def _young(species: Species, code: str, **given: Any) -> Animal:
    made: Animal = AnimalFactory(code=code, species=species, **(UNSEXED | given))
    return made


def _look(animal: Animal, by: User | None, left: str, right: str) -> SpurCheck:
    at = timezone.now() - timedelta(days=2)
    made: SpurCheck = SpurCheckFactory(
        animal=animal, looked_by=by, left=left, right=right, at=at
    )
    return made


def _client(user: User) -> APIClient:
    client = APIClient()
    client.force_authenticate(user)
    return client


def _read(client: APIClient) -> Any:
    return client.get(ADDRESS).json()


def test_nothing_is_due_where_nobody_waits(viewer: APIClient, species: Species) -> None:
    AnimalFactory(species=species)  # sexed, and confirmed
    _young(species, "gone", status="died", left_on="2026-03-01")

    assert _read(viewer) == {"awaiting": [], "open": [], "markless": []}


def test_first_second_and_another_look_are_told_apart(species: Species) -> None:
    ana, ben, eva = (UserFactory(role=Role.KEEPER.value) for _ in range(3))
    fresh = _young(species, "C-1-01")
    once = _young(species, "C-1-02", **LIKELY)
    twice = _young(species, "C-1-03")
    _look(once, ana, "present", "present")
    _look(twice, ana, "present", "present")
    _look(twice, ben, "absent", "absent")

    told = _read(_client(eva))["awaiting"]

    assert told == [
        {
            "animal": {"id": animal.pk, "code": animal.code},
            "species": "veiled_chameleon",
            "wanted": wanted,
        }
        for animal, wanted in (
            (fresh, "first_look"),
            (once, "second_look"),
            (twice, "another_look"),
        )
    ]
    # Who has looked already is not asked again.
    assert [one["animal"]["code"] for one in _read(_client(ana))["awaiting"]] == [
        "C-1-01"
    ]


def test_what_others_saw_is_hidden_until_one_has_looked(species: Species) -> None:
    ana = UserFactory(username="ana", role=Role.KEEPER.value)
    ben = UserFactory(username="ben", role=Role.KEEPER.value)
    animal = _young(species, "C-1-01")
    first = _look(animal, ana, "present", "present")

    (blind,) = _read(_client(ben))["open"]

    assert blind == {
        "animal": {"id": animal.pk, "code": "C-1-01"},
        "species": "veiled_chameleon",
        "why": None,
        "remark": None,
        "you_looked": False,
        "looks": [
            {
                "id": first.pk,
                "at": first.at.isoformat().replace("+00:00", "Z"),
                "looked_by": "ana",
                "left": None,
                "right": None,
            }
        ],
    }
    _look(animal, ben, "absent", "absent")
    (seen,) = _read(_client(ben))["open"]
    assert (seen["why"], seen["you_looked"]) == ("disagree", True)
    assert [(look["left"], look["right"]) for look in seen["looks"]] == [
        ("present", "present"),
        ("absent", "absent"),
    ]


def test_a_token_that_only_reads_shows_its_person_no_more(species: Species) -> None:
    ben = UserFactory(role=Role.KEEPER.value)
    _look(_young(species, "C-1-01"), UserFactory(), "present", "present")
    issued = issue_token(
        user=ben, name="x", scope=TokenScope.READ, by=None, at=timezone.now()
    )
    script = APIClient()
    script.credentials(HTTP_AUTHORIZATION=f"Bearer {issued.text}")

    (found,) = _read(script)["open"]

    assert (found["why"], found["looks"][0]["left"]) == (None, None)


@pytest.mark.parametrize("role", [Role.VET, Role.VIEWER])
def test_who_never_looks_is_shown_everything(
    role: Role, species: Species, caller: Caller
) -> None:
    _look(_young(species, "C-1-01"), None, "unclear", "absent")

    (found,) = _read(caller(role))["open"]

    assert (found["why"], found["you_looked"]) == ("unclear", False)
    assert found["remark"] == "The sex stays open until a look is clear."
    (look,) = found["looks"]
    assert (look["looked_by"], look["left"], look["right"]) == (
        *(None, "unclear"),
        "absent",
    )


@pytest.mark.parametrize(("second_look", "open_"), [(True, ["C-1-01"]), (False, [])])
def test_whether_a_second_person_is_wanted_is_the_policys(
    second_look: bool,
    open_: list[str],
    species: Species,
    viewer: APIClient,
) -> None:
    SexingPolicyFactory(second_look=second_look, from_on="2026-01-01")
    _look(_young(species, "C-1-01", **LIKELY), UserFactory(), "present", "present")

    found = _read(viewer)["open"]

    assert [one["animal"]["code"] for one in found] == open_
    assert [one["why"] for one in found] == ["second_look" for _ in open_]


def test_species_without_the_mark_wait_for_no_look(viewer: APIClient) -> None:
    text = SHIPPED_PROFILE.read_text("utf-8")
    rule = text[text.index("\nsexing:") : text.index("\ncautions:")]
    none = text.replace("mark: heel_spur", "mark: none")
    for code, source in (("bare", none), ("mute", text.replace(rule, "\n"))):
        kind = SpeciesFactory(code=code)
        CareProfileFactory(species=kind, source_text=source)
        _young(kind, f"{code}-1")
    for number in (1, 2):
        kind = SpeciesFactory._meta.model.objects.filter(code="odd").first()
        _young(kind or SpeciesFactory(code="odd"), f"odd-{number}")

    told = _read(viewer)

    assert told["awaiting"] == []
    assert told["markless"] == [
        {"species": "bare", "animals": 1, "why": "no_mark"},
        {"species": "mute", "animals": 1, "why": "not_said"},
        {"species": "odd", "animals": 2, "why": "no_profile"},
    ]


def test_many_animals_cost_as_many_queries_as_one(
    species: Species, keeper: APIClient, django_assert_num_queries: Callable[..., Any]
) -> None:
    for more in (1, 9):
        for number in range(more):
            _young(species, f"A-{more}-{number}")
            looked = _young(species, f"B-{more}-{number}")
            _look(looked, UserFactory(), "present", "present")
        _read(keeper)  # what is kept for the process is fetched once
        # Who waits, profiles, looks at these; who is open, the policy, looks at those.
        with django_assert_num_queries(6):
            told = _read(keeper)
    assert (len(told["awaiting"]), len(told["open"])) == (20, 10)
