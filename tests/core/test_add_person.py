"""The first person is registered by hand."""

from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from core.management.commands import add_person
from core.models import User

pytestmark = pytest.mark.django_db
STRONG = "warm perch 94 olive"


class Terminal(StringIO):
    def isatty(self) -> bool:
        return True


def test_a_person_is_registered_with_a_role(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.stdin", StringIO(f"{STRONG}\n"))
    out = StringIO()

    call_command("add_person", "marta", "--role", "owner", stdout=out)

    person = User.objects.get(username="marta")
    assert (person.role, person.check_password(STRONG)) == ("owner", True)
    assert out.getvalue() == "marta can sign in as owner.\n"


def test_a_weak_password_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.stdin", StringIO("12345\n"))

    with pytest.raises(CommandError, match="password"):
        call_command("add_person", "marta")

    assert User.objects.count() == 0


def test_the_password_is_asked_twice_at_a_terminal(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    entries = iter([STRONG, STRONG, STRONG, "another"])
    monkeypatch.setattr("sys.stdin", Terminal())
    monkeypatch.setattr(add_person, "getpass", lambda _: next(entries))

    call_command("add_person", "marta", stdout=StringIO())
    with pytest.raises(CommandError, match="differ"):
        call_command("add_person", "joana")

    assert list(User.objects.values_list("username", flat=True)) == ["marta"]
