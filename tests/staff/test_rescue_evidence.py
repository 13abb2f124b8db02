"""The tables behind findings of rescue: no code, no bare unit, nothing hidden."""

import pytest

from husbandry.rules.sentences.numbers import METRIC
from husbandry.rules.vocabulary import FindingKind
from staff.evidence import evidence_rows
from staff.rescue_evidence import LINES
from tests.rules.test_rescue_sentences import SAMPLES
from tests.staff.test_care_evidence import RAW

K = FindingKind


def rows(kind: FindingKind) -> dict[str, str]:
    found = evidence_rows(SAMPLES[kind], units=METRIC, kind=kind)
    return {row.label: row.value for row in found}


def test_every_kind_has_its_table() -> None:
    assert set(LINES) == set(SAMPLES)


@pytest.mark.parametrize("kind", LINES)
def test_nothing_reads_like_code(kind: FindingKind) -> None:
    told = rows(kind)

    assert told
    assert [line for line in told.items() if RAW.search(" ".join(line))] == []


def test_shut_gates_are_told_whole() -> None:
    assert rows(K.PLACEMENT_STUCK)["Shut gates"] == (
        "old enough: It is 80 days old; 90 are wanted.; home ready: The enclosure is "
        "40 cm deep; 61 are wanted."
    )
