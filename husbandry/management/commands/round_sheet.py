"""Print the sheet of a round by hand."""

from argparse import ArgumentParser
from datetime import date
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from django.core.management.base import BaseCommand, CommandError
from django.utils.timezone import now

from core.errors import DomainError
from core.models import Room
from husbandry.pdf import draw_round
from husbandry.queries.rounds import room_named, round_sheet


class Command(BaseCommand):
    help = (
        "Print the sheet of a round as a PDF: `round_sheet SITE/ROOM`, for today where "
        "the room is, or `round_sheet SITE/ROOM 2026-03-01`."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("room", help="codes of the site and the room, SITE/ROOM")
        parser.add_argument(
            "date", nargs="?", type=date.fromisoformat, help="a local day, YYYY-MM-DD"
        )
        parser.add_argument(
            "-o", "--file", type=Path, help="where to write; by room and day otherwise"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        at = now()
        try:
            room = room_named(options["room"])
            on = options["date"] or _today(room)
            sheet = round_sheet(room=room, on=on, at=at)
            drawn = draw_round(sheet)
        except DomainError as error:
            raise CommandError(error.sentence) from error
        path = options["file"] or Path(f"round-{room.site.code}-{room.code}-{on}.pdf")
        try:
            path.write_bytes(drawn)
        except OSError as error:
            raise CommandError(
                f"{path} cannot be written: {error.strerror}."
            ) from error
        self.stdout.write(
            f"{path}: {room.name}, {on:%d %b %Y}, "
            f"{_count(len(sheet.animals), 'animal')}, "
            f"{_count(len(sheet.all_tasks), 'task')}."
        )


def _today(room: Room) -> date:
    return now().astimezone(ZoneInfo(room.site.time_zone)).date()


def _count(number: int, thing: str) -> str:
    return f"{number} {thing}" if number == 1 else f"{number} {thing}s"
