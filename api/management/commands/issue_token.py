"""Issue a token for a script or a device; it is printed once and kept nowhere."""

from argparse import ArgumentParser
from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from core.errors import DomainError
from core.models import User
from core.roles import TokenScope
from core.tokens import IssuedToken, issue_token
from husbandry.actions.devices import issue_device_token
from husbandry.models import Probe

LONGEST_DAYS = 3_650


class Command(BaseCommand):
    help = "Issue a token that lets a script act for a person; it is printed once."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("username", help="for whom the script acts")
        parser.add_argument("--name", required=True, help="what uses the token")
        parser.add_argument(
            "--scope",
            choices=[scope.value for scope in TokenScope],
            default=None,
            help="how much of what the person may do it lets through; read unless "
            "given, and ingest with --probe",
        )
        parser.add_argument(
            "--days",
            type=int,
            help=f"how long it is valid, 1 to {LONGEST_DAYS:,}; until it is revoked "
            "unless given",
        )
        parser.add_argument(
            "--probe",
            action="append",
            default=[],
            metavar="CODE",
            help="a device's token: posts readings of this probe; once for each probe",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        now = timezone.now()
        user = _person(options["username"])
        scope = _scope(options["scope"], options["probe"])
        expires_at = _end(options["days"], now)
        try:
            if scope is TokenScope.INGEST:
                issued = _for_device(user, options, expires_at, now)
            else:
                issued = issue_token(
                    user=user,
                    name=options["name"],
                    scope=scope,
                    expires_at=expires_at,
                    by=None,
                    at=now,
                )
        except DomainError as refusal:
            raise CommandError(refusal.sentence) from refusal
        self.stdout.write(issued.text)


def _person(username: str) -> User:
    user = User.objects.filter(username=username, is_active=True).first()
    if user is None:
        raise CommandError(
            f"Nobody is called {username!r}. Give the name to sign in of somebody "
            "active."
        )
    return user


def _scope(said: str | None, codes: Sequence[str]) -> TokenScope:
    if said is None:
        return TokenScope.INGEST if codes else TokenScope.READ
    scope = TokenScope(said)
    if codes and scope is not TokenScope.INGEST:
        raise CommandError(
            f"--probe is for a device's token, and --scope {scope} is none. Leave one "
            "of them out."
        )
    if scope is TokenScope.INGEST and not codes:
        raise CommandError(
            "--scope ingest is a device's token, which posts readings of its probes: "
            "name them with --probe CODE."
        )
    return scope


def _end(days: int | None, now: datetime) -> datetime | None:
    if days is None:
        return None
    if not 1 <= days <= LONGEST_DAYS:
        raise CommandError(
            f"--days {days}: give 1 to {LONGEST_DAYS:,}, or leave it out."
        )
    return now + timedelta(days=days)


def _for_device(
    user: User, options: dict[str, Any], expires_at: datetime | None, now: datetime
) -> IssuedToken:
    codes = set(options["probe"])
    probes = list(Probe.objects.filter(code__in=codes))
    if missing := sorted(codes - {probe.code for probe in probes}):
        raise CommandError(
            f"There is no probe {', '.join(missing)}; give the codes on the labels."
        )
    _, issued = issue_device_token(
        user=user,
        name=options["name"],
        probes=probes,
        expires_at=expires_at,
        by=None,
        at=now,
    )
    return issued
