"""Packets of every form that is in people's hands still read, and keep their hash.

Each file was written by the program when that was its newest form; its SHA-256 was
taken of the file itself, with `json` and `hashlib` alone.
"""

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from placements.rules.packets import schemas
from placements.rules.packets.building import build_document
from placements.rules.packets.documents import (
    PacketAlteredError,
    digest,
    plain,
    read_document,
)
from placements.rules.packets.histories import History
from placements.rules.packets.leaving import PrintChoice
from tests.placements.known import ANIMAL, facts

FIRST = Path(__file__).parent / "packet_1.json"
FIRST_SHA256 = "402c8765c15977880a2c8ad15ec1a22c24d25832caf1ad1217154ac160189e06"
SECOND = Path(__file__).parent / "packet_2.json"
SECOND_SHA256 = "9545a6ca5700029090050b5bcf354b47ce439895b8d90699e4a4788f05ad439e"


def second() -> dict[str, Any]:
    found: dict[str, Any] = json.loads(SECOND.read_text(encoding="utf-8"))
    return found


def first() -> dict[str, Any]:
    found: dict[str, Any] = json.loads(FIRST.read_text(encoding="utf-8"))
    return found


def test_first_form_reads_with_the_newer_parts_empty() -> None:
    document = read_document(first(), expected=FIRST_SHA256)

    assert (document.schema, document.animal) == ("packet/1", ANIMAL)
    assert document.print == PrintChoice()
    assert (document.months, document.gates_opened, document.day) == ((), (), None)
    assert document.history == History(
        stays=document.history.stays,
        weighings=document.history.weighings,
        conditions=document.history.conditions,
        findings=document.history.findings,
    )
    assert len(document.history.weighings) == 4


def test_first_form_is_written_as_it_was() -> None:
    document = read_document(first(), expected=FIRST_SHA256)

    assert json.loads(json.dumps(plain(document))) == first()
    assert digest(plain(document)) == FIRST_SHA256


def test_first_form_altered_by_hand_is_refused() -> None:
    snapshot = first()
    snapshot["animal"]["name"] = "Someone else"

    with pytest.raises(PacketAlteredError, match=FIRST_SHA256):
        read_document(snapshot, expected=FIRST_SHA256)


def test_first_form_with_a_part_slipped_in_is_refused() -> None:
    snapshot = first() | {"gates_opened": []}

    with pytest.raises(PacketAlteredError):
        read_document(snapshot, expected=FIRST_SHA256)


def test_form_of_another_program_is_refused_by_name() -> None:
    snapshot = first() | {"schema": "packet/9"}

    with pytest.raises(PacketAlteredError, match="'packet/1' and 'packet/2'"):
        read_document(snapshot, expected=digest(snapshot))


def test_every_form_but_the_newest_says_what_it_lacks() -> None:
    document = replace(build_document(facts()), schema=schemas.FIRST)
    newest = plain(replace(document, schema=schemas.NEWEST))
    oldest = plain(document)

    assert set(newest) - set(oldest) >= {"months", "gates_opened", "papers"}
    assert set(newest["history"]) - set(oldest["history"]) >= {"treatments", "feeding"}
    assert set(oldest) == set(first())
    assert set(oldest["history"]) == set(first()["history"])


def test_second_form_reads_and_is_written_as_it_was() -> None:
    document = read_document(second(), expected=SECOND_SHA256)

    assert json.loads(json.dumps(plain(document))) == second()
    assert digest(plain(document)) == SECOND_SHA256


def test_packet_that_is_kept_of_the_second_form_leaves_no_part_empty() -> None:
    """A part that is empty in it would not be held to anything."""
    kept = second()

    empty = {name for name, part in kept.items() if part in (None, [], {}, "")}
    empty |= {name for name, part in kept["history"].items() if not part}
    assert empty == set()


def test_every_part_of_the_newest_form_is_in_the_packet_that_is_kept() -> None:
    newest = json.loads(json.dumps(plain(build_document(facts()))))

    assert set(newest) == set(second())
    assert set(newest["history"]) == set(second()["history"])
