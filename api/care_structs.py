"""What all entries of the care book have in common, going in and coming out."""

from collections.abc import Sequence
from typing import Annotated, Any

from msgspec import Meta

from api.row_lists import RefusedRow
from api.structs import In, Instant, Out
from husbandry.actions.care_records import CareResult
from husbandry.models.records import CareRecord
from husbandry.rules.vocabulary import RowOutcome

LARGEST_ID, LARGEST_SMALL = 2**63 - 1, 32_767
"""What the columns hold; beyond them a database trips."""

Id = Annotated[int, Meta(ge=0, le=LARGEST_ID)]
Small = Annotated[int, Meta(ge=0, le=LARGEST_SMALL)]
Text = Annotated[str, Meta(max_length=4_000)]
WHEN = Annotated[Instant | None, Meta(description="When; now unless given.")]
NOTE = Annotated[
    str,
    Meta(max_length=300, description="Of a correction: what was wrong; needed then."),
]
CORRECTS = Annotated[
    Id | None,
    Meta(description="Number of the entry that it replaces, which is struck out."),
]
ROOM = Annotated[str, Meta(description="Codes of the site and the room: `site/room`.")]


class ContentIn(In, frozen=True):
    """What every entry says beside what it is about."""

    at: WHEN = None
    note: NOTE = ""


class ReasonIn(In, frozen=True):
    """Why something is taken back."""

    reason: Annotated[str, Meta(min_length=1, max_length=200, description="Why.")]


class EntryOut(Out, frozen=True):
    """An entry; it is never altered, a wrong one is struck out and stays legible."""

    about = CareRecord
    id: int
    at: Instant
    note: str
    recorded_by: Annotated[str | None, Meta(description="null: the program itself.")]
    recorded_at: Instant
    corrects: Annotated[
        int | None, Meta(description="Number of the struck-out entry it replaces.")
    ]
    corrected_by: Annotated[
        int | None, Meta(description="Number of the entry that replaced it.")
    ]
    struck_at: Annotated[
        Instant | None, Meta(description="null: in force, nobody struck it out.")
    ]
    struck_by: str | None
    struck_reason: str


class CareLine(Out, frozen=True):
    """What became of one line."""

    label: Annotated[
        str | None,
        Meta(
            description="Code of the animal, the enclosure or the room that it is "
            "about, or the number of the lamp; null: it cannot be read."
        ),
    ]
    record: Annotated[
        int | None,
        Meta(description="Number of the entry that stands for it; null: refused."),
    ]
    remarks: Annotated[
        tuple[str, ...], Meta(description="What to know of it although it is kept.")
    ]


class CareReport(Out, frozen=True):
    """What became of each line of a list."""

    stored: int
    known: Annotated[int, Meta(description="On record before, the same.")]
    refused: tuple[RefusedRow, ...]
    lines: Annotated[
        tuple[CareLine, ...], Meta(description="One for each line, in their order.")
    ]


class RackReport(CareReport, frozen=True):
    """What became of each line of a list, or of each animal or enclosure of a rack."""

    empty: Annotated[
        tuple[str, ...],
        Meta(description="Enclosures that were named and in which nobody stayed then."),
    ] = ()


def entry_values(row: CareRecord) -> dict[str, Any]:
    """Return what every entry says; its people and its correction are fetched."""
    corrected_by = getattr(row, "corrected_by", None)
    return {
        "id": row.pk,
        "at": row.at,
        "note": row.note,
        "recorded_by": str(row.recorded_by) if row.recorded_by else None,
        "recorded_at": row.recorded_at,
        "corrects": row.serializable_value("corrects"),
        "corrected_by": corrected_by.pk if corrected_by else None,
        "struck_at": row.struck_at,
        "struck_by": str(row.struck_by) if row.struck_by else None,
        "struck_reason": row.struck_reason,
    }


PEOPLE = ("recorded_by", "struck_by", "corrected_by")
"""What `entry_values` reads beside the row."""


def report_values(
    labels: Sequence[str],
    results: Sequence[CareResult],
    *,
    places: Sequence[int],
    unread: Sequence[RefusedRow] = (),
) -> dict[str, Any]:
    """Return what became of lines, as a report says it.

    Args:
        labels: what the lines that could be read are about.
        results: of the same lines.
        places: of the same lines, in what was sent.
        unread: the lines that could not be read.
    """
    lines = [CareLine(label=None, record=None, remarks=())] * (
        len(places) + len(unread)
    )
    refused = list(unread)
    for place, label, result in zip(places, labels, results, strict=True):
        lines[place] = CareLine(
            label=label, record=result.record, remarks=result.remarks
        )
        if result.outcome is RowOutcome.REFUSED:
            refused.append(
                RefusedRow(index=place, code=result.code, sentence=result.sentence)
            )
    outcomes = [result.outcome for result in results]
    return {
        "stored": outcomes.count(RowOutcome.STORED),
        "known": outcomes.count(RowOutcome.KNOWN),
        "refused": tuple(sorted(refused, key=lambda row: row.index)),
        "lines": tuple(lines),
    }
