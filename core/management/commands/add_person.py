"""Register a person who can sign in, by hand; the first one, above all."""

import sys
from argparse import ArgumentParser
from getpass import getpass
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils.timezone import now

from core.actions import register_user
from core.errors import DomainError
from core.roles import Role


class Command(BaseCommand):
    help = (
        "Register a person. Asks for the password twice, or reads one line from "
        "standard input where that is no terminal."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("username")
        parser.add_argument(
            "--role", choices=[role.value for role in Role], default=Role.KEEPER.value
        )
        parser.add_argument("--first-name", default="")
        parser.add_argument("--last-name", default="")
        parser.add_argument("--email", default="")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            person = register_user(
                username=options["username"],
                role=Role(options["role"]),
                password=password(),
                first_name=options["first_name"],
                last_name=options["last_name"],
                email=options["email"],
                by=None,
                at=now(),
            )
        except DomainError as error:
            raise CommandError(error.sentence) from error
        self.stdout.write(f"{person.username} can sign in as {person.role}.")


def password() -> str:
    """Ask for a password without showing it.

    Raises:
        CommandError: the two entries differ.
    """
    if not sys.stdin.isatty():
        return sys.stdin.readline().rstrip("\n")
    first = getpass("Password: ")
    if getpass("Again: ") != first:
        raise CommandError("The two passwords differ. Nothing was changed; try again.")
    return first
