"""What people choose for themselves."""

import pytest
from django.test import Client

from core.models import AuditEntry, User
from tests.factories import PASSWORD, UserFactory
from tests.staff.conftest import client_of

pytestmark = pytest.mark.django_db
NEW = "a cool misty night"


@pytest.fixture
def reader() -> User:
    return UserFactory.create(username="ana")


def test_units_are_chosen_and_leave_a_trace(reader: User) -> None:
    form = {"temperature_unit": "F", "mass_unit": "oz"}

    answer = client_of(reader).post("/me/", form, follow=True)

    reader.refresh_from_db()
    assert (reader.temperature_unit, reader.mass_unit) == ("F", "oz")
    assert "Your units are kept." in answer.content.decode()
    entry = AuditEntry.objects.get()
    assert (entry.verb, entry.by, entry.before["mass_unit"]) == (
        "change_person",
        reader,
        "g",
    )


def test_units_are_offered_as_people_write_them(reader: User) -> None:
    text = client_of(reader).get("/me/").content.decode()

    assert "Temperatures in:" in text
    assert ">°C</option>" in text
    assert ">°F</option>" in text


def test_an_unknown_unit_is_refused(reader: User) -> None:
    form = {"temperature_unit": "K", "mass_unit": "g"}

    answer = client_of(reader).post("/me/", form)

    assert "K is not one of the available choices" in answer.content.decode()
    assert not AuditEntry.objects.exists()


def test_nobody_gives_themselves_a_role(reader: User) -> None:
    form = {"temperature_unit": "C", "mass_unit": "g", "role": "owner"}

    client_of(reader).post("/me/", form)

    reader.refresh_from_db()
    assert reader.role == "keeper"


def test_a_new_password_wants_the_old_one_and_leaves_a_trace(reader: User) -> None:
    client = client_of(reader)
    form = {"old_password": PASSWORD, "new_password1": NEW, "new_password2": NEW}

    wrong = client.post("/me/password/", {**form, "old_password": "no"})
    right = client.post("/me/password/", form, follow=True)

    assert "entered incorrectly" in wrong.content.decode()
    assert "Your new password is kept." in right.content.decode()
    reader.refresh_from_db()
    assert reader.check_password(NEW)
    assert AuditEntry.objects.get().verb == "set_password"
    assert NEW not in str(AuditEntry.objects.values())
    # The session goes on; a fresh one needs the new password.
    assert client.get("/").status_code == 200


def test_the_back_office_leads_to_the_same_page(reader: User) -> None:
    answer = client_of(reader).get("/admin/password_change/")

    assert answer.headers["Location"] == "/me/password/"


def test_a_stranger_chooses_nothing() -> None:
    assert Client().post("/me/", {}).status_code == 302
