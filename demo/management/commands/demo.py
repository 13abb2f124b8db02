"""Build the demo and tell what its last night found."""

import time
from argparse import ArgumentParser
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date, datetime
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.utils.timezone import now

from core.errors import DomainError
from core.printing import PrintingUnavailableError
from demo.build import Demo, UntilError, build, built_demo, last_finished_day
from demo.placing import print_packet
from demo.telling import how_to_go_on, morning


class Command(BaseCommand):
    help = (
        "Build an invented organisation with fourteen nights of simulated life into "
        "an empty database, review them, and print a packet. Safe to run again."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--until",
            type=date.fromisoformat,
            help="last of the fourteen nights, YYYY-MM-DD; otherwise yesterday",
        )
        parser.add_argument(
            "--folder",
            type=Path,
            help="where logger files and packet are written; otherwise demo/ of the "
            "data folder",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        folder = options["folder"] or settings.DATA_DIR / "demo"
        try:
            demo = self._find_or_build(options["until"], folder, now())
            self._say("", *morning(demo), "")
            self._print_packet(demo, folder)
        except DomainError as error:
            raise CommandError(error.sentence) from error
        except OSError as error:
            raise CommandError(
                f"{folder} cannot be written: {error}. Give another with --folder."
            ) from error
        self._say("", *how_to_go_on())

    def _find_or_build(self, until: date | None, folder: Path, at: datetime) -> Demo:
        demo = built_demo()
        if demo is None:
            until = until or last_finished_day(at)
            return build(until=until, folder=folder, step=self._step, at=at)
        if until not in (None, demo.until):
            raise UntilError(
                f"The demo stands in this database already, until {demo.until}. For "
                "other nights build it into an empty one: set SPURBOOK_DATA to another "
                "folder."
            )
        self._say(
            f"The demo stands already, until {demo.until:%d %b %Y}; nothing was "
            "changed. Nights since then have no readings; ./dev nightly reviews them."
        )
        return demo

    def _print_packet(self, demo: Demo, folder: Path) -> None:
        try:
            with self._step(f"Drawing packet {demo.packet.number}"):
                path = print_packet(demo.packet, folder=folder)
        except PrintingUnavailableError as error:
            self._say(error.sentence)
        else:
            self._say(f"The packet that goes home with {demo.packet.placement.animal}:")
            self._say(f"  {path}")

    @contextmanager
    def _step(self, title: str) -> Iterator[None]:
        """Print a step's title, and its seconds once it is done."""
        started = time.perf_counter()
        self.stdout.write(f"{title} …", ending=" ")
        self.stdout.flush()
        yield
        self.stdout.write(f"{time.perf_counter() - started:.1f} s")

    def _say(self, *lines: str) -> None:
        for line in lines:
            self.stdout.write(line)
