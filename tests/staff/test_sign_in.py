"""Signing in and out, and what slows down guessing."""

import pytest
from django.test import Client

from core.models import User
from tests.factories import PASSWORD, UserFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def user() -> User:
    return UserFactory.create(username="ana")


def _try(password: str, *, name: str = "ana", address: str = "10.0.0.1") -> int:
    form = {"username": name, "password": password}
    return Client().post("/sign-in/", form, REMOTE_ADDR=address).status_code


def test_the_right_password_leads_to_the_morning_page(user: User) -> None:
    answer = Client().post("/sign-in/", {"username": "ana", "password": PASSWORD})

    assert (answer.status_code, answer.headers["Location"]) == (302, "/")


def test_signing_in_leads_back_to_where_one_was(user: User) -> None:
    form = {"username": "ana", "password": PASSWORD, "next": "/animals/"}

    assert Client().post("/sign-in/", form).headers["Location"] == "/animals/"


def test_signing_in_leads_to_no_other_house(user: User) -> None:
    form = {"username": "ana", "password": PASSWORD, "next": "https://a.example/"}

    assert Client().post("/sign-in/", form).headers["Location"] == "/"


def test_a_wrong_password_keeps_the_name_and_says_what_to_do(user: User) -> None:
    answer = Client().post("/sign-in/", {"username": "ana", "password": "no"})

    text = answer.content.decode()
    assert answer.status_code == 200
    assert "do not fit together" in text
    assert 'value="ana"' in text
    assert "no" not in [i for i in text.split('"') if i == "no"]


def test_five_failures_hold_even_the_right_password(user: User) -> None:
    assert [_try("wrong") for _ in range(5)] == [200] * 5

    held = Client().post(
        "/sign-in/", {"username": "ANA ", "password": PASSWORD}, REMOTE_ADDR="10.0.0.1"
    )

    assert held.status_code == 429
    assert "Wait 5 minutes" in held.content.decode()


def test_a_stranger_elsewhere_does_not_keep_ana_out(user: User) -> None:
    for _ in range(6):
        _try("wrong", address="10.9.9.9")

    assert _try(PASSWORD) == 302
    assert _try("wrong", name="berta", address="10.9.9.9") == 200


def test_signing_in_forgets_the_failures_before(user: User) -> None:
    for _ in range(4):
        _try("wrong")
    assert _try(PASSWORD) == 302

    assert [_try("wrong") for _ in range(5)] == [200] * 5


def test_signing_out_wants_a_form_and_leads_to_the_door(keeper: Client) -> None:
    assert keeper.get("/sign-out/").status_code == 405

    answer = keeper.post("/sign-out/")

    assert answer.headers["Location"] == "/sign-in/"
    assert keeper.get("/").status_code == 302


def test_who_is_signed_in_is_not_asked_again(keeper: Client) -> None:
    assert keeper.get("/sign-in/").headers["Location"] == "/"


def test_the_back_office_has_no_other_door(user: User) -> None:
    assert Client().get("/admin/").headers["Location"].startswith("/admin/login/")

    answer = Client().get("/admin/login/?next=/admin/core/site/")

    assert answer.headers["Location"] == "/sign-in/?next=/admin/core/site/"


def test_who_is_signed_in_goes_straight_to_the_back_office(keeper: Client) -> None:
    assert keeper.get("/admin/login/").headers["Location"] == "/admin/"
