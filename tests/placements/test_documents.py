"""The canonical form and the hash: what is frozen can be checked by anybody.

SHA-256 of the empty text's canonical form is compared with the published test
vectors' function itself: FIPS 180-4, as Python's hashlib has it.
"""

import json
from dataclasses import replace
from datetime import date
from decimal import Decimal
from hashlib import sha256

import pytest
from hypothesis import given
from hypothesis import strategies as st

from placements.rules.packets.building import build_document
from placements.rules.packets.documents import (
    PacketAlteredError,
    canonical,
    digest,
    plain,
    read_document,
)
from tests.placements.known import ANIMAL, NEEDS, facts

json_values = st.recursive(
    st.none() | st.booleans() | st.integers(-(2**53), 2**53) | st.text(),
    lambda inner: st.lists(inner) | st.dictionaries(st.text(), inner),
    max_leaves=12,
)


def test_canonical_form_is_written_in_one_way() -> None:
    snapshot = {"b": [1, True, None], "a": {"ö": "12.5 °C", "n": "x\n"}}

    # By hand from RFC 8785: sorted keys, no blanks, only the line feed escaped.
    assert canonical(snapshot) == (
        '{"a":{"n":"x\\n","ö":"12.5 °C"},"b":[1,true,null]}'.encode()
    )


def test_digest_is_sha256_of_the_canonical_form() -> None:
    assert digest({"a": 1}) == sha256(b'{"a":1}').hexdigest()


@given(st.dictionaries(st.text(), json_values))
def test_hash_does_not_depend_on_the_order_of_keys(snapshot: dict[str, object]) -> None:
    turned = dict(reversed(list(snapshot.items())))

    assert digest(turned) == digest(snapshot)


@given(st.dictionaries(st.text(), json_values))
def test_hash_survives_being_stored(snapshot: dict[str, object]) -> None:
    assert digest(json.loads(json.dumps(snapshot))) == digest(snapshot)


@pytest.mark.parametrize("value", [1.5, float("nan"), Decimal("1.5"), date(2026, 3, 1)])
def test_values_that_machines_write_differently_are_refused(value: object) -> None:
    with pytest.raises(TypeError):
        canonical({"a": [value]})


def test_snapshot_read_back_equals_the_document() -> None:
    document = build_document(facts())
    stored = json.loads(json.dumps(plain(document)))

    assert read_document(stored, expected=digest(stored)) == document


def test_snapshot_of_an_empty_history_read_back_equals_it() -> None:
    document = build_document(
        facts(
            profile=None,
            stays=(),
            weighings=(),
            conditions=(),
            findings=(),
            needs=replace(NEEDS, hatched_on=None),
        )
    )
    stored = json.loads(json.dumps(plain(document)))

    assert read_document(stored, expected=digest(stored)) == document


def test_altered_snapshot_is_refused() -> None:
    stored = plain(build_document(facts()))
    expected = digest(stored)
    stored["history"]["weighings"][0]["mass_g"] = "99"

    with pytest.raises(PacketAlteredError, match=expected):
        read_document(stored, expected=expected)


def test_snapshot_with_a_float_slipped_in_is_refused() -> None:
    stored = plain(build_document(facts()))
    expected = digest(stored)
    stored["history"]["weighings"][0]["mass_g"] = 9.5

    with pytest.raises(PacketAlteredError, match="not computable"):
        read_document(stored, expected=expected)


def test_unknown_form_is_refused() -> None:
    stored = plain(build_document(facts())) | {"schema": "packet/9"}

    with pytest.raises(PacketAlteredError, match="packet/9"):
        read_document(stored, expected=digest(stored))


def test_any_change_of_the_animal_changes_the_hash() -> None:
    before = digest(plain(build_document(facts())))
    chipped = replace(ANIMAL, microchip="985112345678901")

    assert digest(plain(build_document(facts(animal=chipped)))) != before
    assert digest(plain(build_document(facts()))) == before
