"""Take in a pedigree file.

Exit code 1: the file was refused. 2: something has to be said first, or what was
said is not there.
"""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from clutches.actions.pedigrees import import_pedigree, try_pedigree
from clutches.rules.pedigrees.errors import PedigreeUndecidedError
from core.errors import DomainError
from husbandry.models import Species
from husbandry.rules.loggers.vocabulary import DayOrder

REFUSED, UNCLEAR = 1, 2
ORDERS = (DayOrder.DMY, DayOrder.MDY, DayOrder.YMD)
HOW = {"day_order": "--day-order", "species": "--species"}


class Command(BaseCommand):
    help = "Take in a pedigree file (CSV or spreadsheet): ancestors and parents."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path, help="CSV or .xlsx, one animal a row.")
        parser.add_argument(
            "--species", metavar="CODE", help="Species of rows that name none."
        )
        parser.add_argument(
            "--day-order",
            type=DayOrder,
            choices=ORDERS,
            help="Whether days or months come first in hatch dates.",
        )
        parser.add_argument(
            "--dry-run", action="store_true", help="Say what would happen; stop."
        )

    def handle(self, *_args: Any, **options: Any) -> None:
        file: Path = options["file"]
        now = timezone.now()
        asked: dict[str, Any] = {
            "data": _bytes(file),
            "file_name": file.name,
            "species": _species(options["species"]),
            "day_order": options["day_order"],
            "at": now,
        }
        try:
            if options["dry_run"]:
                report = try_pedigree(**asked)
            else:
                today = timezone.localdate(now)
                report = import_pedigree(**asked, on=today, by=None)
        except PedigreeUndecidedError as error:
            how = ", ".join(
                f"{HOW[name]} {said}" for name, said in error.fields.items()
            )
            raise CommandError(
                f"{error.sentence} Answer with {how}.", returncode=UNCLEAR
            ) from error
        except DomainError as error:
            raise CommandError(error.sentence, returncode=REFUSED) from error
        for sentence in report.sentences():
            self.stdout.write(sentence)


def _bytes(file: Path) -> bytes:
    try:
        return file.read_bytes()
    except OSError as error:
        raise CommandError(
            f"{file} cannot be read: {error.strerror}. Give a file.", returncode=UNCLEAR
        ) from error


def _species(code: str | None) -> Species | None:
    if code is None:
        return None
    found = Species.objects.filter(code=code).first()
    if found is None:
        known = ", ".join(
            Species.objects.order_by("code").values_list("code", flat=True)
        )
        raise CommandError(
            f"There is no species {code!r}; there are: {known or 'none'}.",
            returncode=UNCLEAR,
        )
    return found
