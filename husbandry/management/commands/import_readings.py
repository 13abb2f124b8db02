"""Take in a logger's file of readings.

Exit code 1: the file was refused. 2: the arguments do not say enough, or name
something that is not there.
"""

from argparse import ArgumentParser, ArgumentTypeError
from datetime import date
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from core.errors import DomainError
from husbandry.actions.imports import NothingForProbesError, import_logger_file
from husbandry.models import Probe
from husbandry.queries.logger_files import LoggerFile, look_at_file, probes_by_code
from husbandry.rules.import_answers import (
    ABOUT_ANSWERS,
    Answers,
    FileUndecidedError,
    ask,
)
from husbandry.rules.import_reports import read_as
from husbandry.rules.loggers.remarks import Question
from husbandry.rules.loggers.trust import UntrustedFileError
from husbandry.rules.loggers.vocabulary import Asked, DayOrder, Unit
from husbandry.rules.vocabulary import Quantity

REFUSED, UNCLEAR = 1, 2
FIRST_ROWS = 5
MOST_SHOWN = 20
HOW = {
    Asked.DAY_ORDER: "--day-order {choices}",
    Asked.UNIT: "--unit {choices}",
    Asked.QUANTITY: '--column "HEADING=temperature_c" (or =humidity_pct, =uv_index)',
    Asked.CHANNELS: "--probe CODE; with several channels --probe CHANNEL=CODE for "
    "each, or --leave-out CHANNEL",
    Asked.STAMP_COLUMN: '--stamp-column "HEADING"',
    Asked.START_DATE: "--starts-on YYYY-MM-DD",
    Asked.ZONE: "--zone site, --zone +01:00 or --zone Europe/Lisbon",
}


class Command(BaseCommand):
    help = "Take in a data logger's file (CSV, text or spreadsheet) of readings."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path, help="The file as the logger wrote it.")
        parser.add_argument(
            "--probe",
            action="append",
            default=[],
            metavar="[CHANNEL=]CODE",
            help="Which probe the file, or one channel of it, belongs to.",
        )
        parser.add_argument(
            "--leave-out",
            action="append",
            default=[],
            metavar="CHANNEL",
            help="A channel that is not taken.",
        )
        parser.add_argument("--source", help="Use the mapping saved under this name.")
        parser.add_argument(
            "--save-mapping", default="", metavar="NAME", help="Save the mapping so."
        )
        parser.add_argument("--day-order", type=DayOrder, choices=list(DayOrder))
        parser.add_argument(
            "--zone", default="", help="Zone of the logger's clock: site, +01:00, …"
        )
        parser.add_argument(
            "--unit", action="append", default=[], type=Unit, choices=list(Unit)
        )
        parser.add_argument(
            "--starts-on", type=date.fromisoformat, help="Day of the first row."
        )
        parser.add_argument("--stamp-column", default="", metavar="HEADING")
        parser.add_argument(
            "--column", action="append", default=[], type=_column, metavar="HEADING=…"
        )
        parser.add_argument(
            "--dry-run", action="store_true", help="Show how it would be read; stop."
        )

    def handle(self, *_args: Any, **options: Any) -> None:
        file: Path = options["file"]
        try:
            data = file.read_bytes()
        except OSError as error:
            raise CommandError(
                f"{file} cannot be read: {error.strerror}. Give a file.",
                returncode=UNCLEAR,
            ) from error
        try:
            self._take(data, file.name, options)
        except FileUndecidedError as error:
            raise CommandError(_asking(error), returncode=UNCLEAR) from error
        except (UntrustedFileError, NothingForProbesError) as error:
            of_arguments = getattr(error, "reason", None) in ABOUT_ANSWERS
            code = UNCLEAR if of_arguments else REFUSED
            raise CommandError(error.sentence, returncode=code) from error
        except DomainError as error:
            raise CommandError(error.sentence, returncode=UNCLEAR) from error

    def _take(self, data: bytes, file_name: str, options: dict[str, Any]) -> None:
        answers = Answers(
            day_order=options["day_order"],
            units=tuple(options["unit"]),
            zone=options["zone"],
            starts_on=options["starts_on"],
            stamp_column=options["stamp_column"],
            quantities=tuple(options["column"]),
        )
        probe_for = _probe_for(options["probe"], options["leave_out"])
        if options["dry_run"]:
            looked = look_at_file(
                data=data,
                file_name=file_name,
                probe_for=probe_for,
                answers=answers,
                mapping=None,
                source_name=options["source"],
            )
            self._show(looked)
            return
        report = import_logger_file(
            data=data,
            file_name=file_name,
            probe_for=probe_for,
            answers=answers,
            source_name=options["source"],
            save_as=options["save_mapping"],
            by=None,
            at=timezone.now(),
        )
        for line in report.lines(at_most=MOST_SHOWN):
            self.stdout.write(line)

    def _show(self, looked: LoggerFile) -> None:
        sheet = looked.sheet
        self.stdout.write(f"{sheet.name}: {len(sheet.rows)} rows. The first ones:")
        self.stdout.write("  " + " | ".join(map(sheet.label, range(sheet.width))))
        for row in sheet.rows[:FIRST_ROWS]:
            self.stdout.write("  " + " | ".join(row))
        codes = {channel: probe.code for channel, probe in looked.probes if probe}
        for sentence in read_as(looked.mapping, codes):
            self.stdout.write(sentence)
        for question in looked.questions:
            self.stdout.write(_question(question))
        self.stdout.write("Nothing was stored: this was a dry run.")


def _column(text: str) -> tuple[str, Quantity]:
    heading, _, quantity = text.rpartition("=")
    if not heading or quantity not in set(Quantity):
        raise ArgumentTypeError(
            f"{text!r} is no HEADING=QUANTITY; a quantity is {', '.join(Quantity)}."
        )
    return heading, Quantity(quantity)


def _probe_for(given: list[str], left_out: list[str]) -> dict[str, Probe | None]:
    pairs = [(channel, code) for channel, _, code in (g.rpartition("=") for g in given)]
    probes = probes_by_code(codes=[code for _, code in pairs])
    named: dict[str, Probe | None] = dict.fromkeys(left_out)
    return named | {channel: probes[code] for channel, code in pairs}


def _question(question: Question) -> str:
    how = HOW[question.asked].replace("{choices}", " or ".join(question.choices))
    return f"{ask(question)} Answer with {how}."


def _asking(error: FileUndecidedError) -> str:
    asked = [f"  {_question(question)}" for question in error.questions]
    return "\n".join(
        ["Nothing was taken yet, because the file does not say enough:", *asked]
    )
