"""Issue a token for a script; it is printed once and kept nowhere."""

from argparse import ArgumentParser
from datetime import timedelta
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from core.errors import DomainError
from core.models import User
from core.tokens import issue_token


class Command(BaseCommand):
    help = "Issue a token that lets a script act for a person; it is printed once."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("username", help="for whom the script acts")
        parser.add_argument("--name", required=True, help="what uses the token")
        parser.add_argument("--days", type=int, help="how long it is valid")

    def handle(self, *args: Any, **options: Any) -> None:
        now, days = timezone.now(), options["days"]
        user = User.objects.filter(username=options["username"]).first()
        if user is None:
            raise CommandError(
                f"Nobody is called {options['username']!r}. Give the name to sign in."
            )
        try:
            issued = issue_token(
                user=user,
                name=options["name"],
                by=None,
                at=now,
                expires_at=None if days is None else now + timedelta(days=days),
            )
        except DomainError as refusal:
            raise CommandError(refusal.sentence) from refusal
        self.stdout.write(issued.text)
