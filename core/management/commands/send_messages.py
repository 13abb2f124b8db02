"""Send the messages to other programs that are due, as the schedule does."""

from argparse import ArgumentParser
from random import Random
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from core.webhooks.delivering import MOST_AT_ONCE, send_waiting
from core.webhooks.sending import own_sender


class Command(BaseCommand):
    help = (
        "Send the messages to other programs that are due. Several may run at once: "
        "none sends what another is at."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--most", type=int, default=MOST_AT_ONCE, help="how many at most"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        most = options["most"]
        if most < 1:
            raise CommandError(f"--most {most}: say 1 or more.")
        rng = Random()  # noqa: S311 - it spreads tries and hides nothing
        sent = send_waiting(sender=own_sender(), at=timezone.now(), rng=rng, most=most)
        self.stdout.write(f"{sent} sent." if sent else "Nothing is due.")
