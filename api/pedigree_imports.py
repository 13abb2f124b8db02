"""Pedigree files: ancestors are registered, parents are filled in, line by line."""

from enum import StrEnum
from typing import Annotated, Any

from django.utils import timezone
from msgspec import Meta
from rest_framework.parsers import MultiPartParser
from rest_framework.request import Request
from rest_framework.response import Response

from api.files import file_sent
from api.named import species_named
from api.parsers import CsvBody
from api.structs import Asked, Out
from api.views import Door
from clutches.actions.pedigrees import import_pedigree, try_pedigree
from clutches.rules.pedigrees.files import SIZE_LIMIT_BYTES
from clutches.rules.pedigrees.records import LineOutcome, LineTold
from clutches.rules.pedigrees.reports import PedigreeReport
from core.roles import Permission
from husbandry.rules.loggers.vocabulary import DayOrder


class WrittenOrder(StrEnum):
    """Whether days, months or years come first in dates such as 04/05/24."""

    DMY = "dmy"
    MDY = "mdy"
    YMD = "ymd"


class PedigreeImportAsked(Asked, frozen=True):
    """What the file does not say itself."""

    species: Annotated[
        str | None,
        Meta(description="Code of the species of lines that name none."),
    ] = None
    day_order: Annotated[
        WrittenOrder | None,
        Meta(description="Of hatch dates, where the file does not decide it."),
    ] = None
    dry_run: Annotated[
        bool, Meta(description="true: say what would happen, store nothing.")
    ] = False


class PedigreeLineOut(Out, frozen=True):
    """What became of one line of the file."""

    line: int
    code: str
    outcome: LineOutcome
    said: Annotated[
        tuple[str, ...],
        Meta(description="What of it was left out, why, and what would mend it."),
    ]


class PedigreeImportOut(Out, frozen=True):
    """What became of a pedigree file, or would."""

    dry_run: bool
    rows: int
    registered: Annotated[int, Meta(description="Animals put on record by a line.")]
    named_only: Annotated[
        tuple[str, ...],
        Meta(description="Codes put on record because a line names them as a parent."),
    ]
    filled_in: Annotated[int, Meta(description="Animals of which more is known now.")]
    known: Annotated[int, Meta(description="Lines that said nothing new.")]
    refused: Annotated[int, Meta(description="Lines of which nothing was taken.")]
    lines: tuple[PedigreeLineOut, ...]


class PedigreeImports(Door):
    """Pedigree files."""

    parser_classes = (CsvBody, MultiPartParser)
    permissions = {"create": Permission.EDIT_ANIMALS}
    asks = {"create": PedigreeImportAsked}
    takes = {"create": bytes}
    gives = {"create": PedigreeImportOut}

    def create(self, request: Request) -> Response:
        """Take in a pedigree file, in one transaction.

        CSV or a spreadsheet, as the body or as the part `file` of a form. Lines match
        animals by their code; who is not on record is registered as an ancestor that
        was never in care here, also who is only named as a parent. A parent on record
        is never replaced by another. What contradicts itself is left out, and the
        other lines are kept. Sending the same file again changes nothing.
        """
        asked, at = self.asked, timezone.now()
        assert isinstance(asked, PedigreeImportAsked)  # noqa: S101 - see `asks`
        data, name = file_sent(
            request,
            what="A pedigree file",
            most=SIZE_LIMIT_BYTES,
            hint="Send it in parts, ancestors first.",
        )
        said: dict[str, Any] = {
            "data": data,
            "file_name": name,
            "species": species_named(asked.species)
            if asked.species is not None
            else None,
            "day_order": DayOrder(asked.day_order) if asked.day_order else None,
            "at": at,
        }
        if asked.dry_run:
            return Response(_shown(try_pedigree(**said)))
        report = import_pedigree(**said, on=timezone.localdate(at), by=self.person)
        return Response(_shown(report))


def _shown(report: PedigreeReport) -> PedigreeImportOut:
    return PedigreeImportOut(
        dry_run=report.dry_run,
        rows=report.rows,
        registered=report.registered,
        named_only=report.named_only,
        filled_in=report.filled_in,
        known=report.known,
        refused=report.refused,
        lines=tuple(map(_line, report.lines)),
    )


def _line(line: LineTold) -> PedigreeLineOut:
    return PedigreeLineOut(
        line=line.line, code=line.code, outcome=line.outcome, said=line.said
    )
