"""One batch in every format: the same answer, the same rows, as exact as it was sent."""

import struct
from collections.abc import Callable
from datetime import UTC, datetime
from decimal import Decimal
from typing import Any

import msgspec
import pytest
from django.core.cache import cache
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from rest_framework.test import APIClient

from husbandry.models import Reading, UnclaimedReadings
from tests.api.sensed import FORMATS, Row, as_csv, post
from tests.factories import ProbeFactory

pytestmark = pytest.mark.django_db
START = 1_772_409_600  # 2026-03-02T00:00:00Z
COUNTED = (
    *("stored", "completed", "known", "repeated", "conflicting"),
    *("unclaimed", "not_taken"),
)
GOOD = {"probe": "P-1", "at": START, "temperature_c": 24.3}


@pytest.fixture
def hub(keeper: APIClient) -> APIClient:
    ProbeFactory(code="P-1", measures_uv_index=True)
    ProbeFactory(code="P-2")
    return keeper


def stored() -> list[tuple[Any, ...]]:
    return list(
        Reading.objects.order_by("probe", "at").values_list(
            *("probe__code", "at", "temperature_milli_c"),
            *("humidity_milli_pct", "uv_index_milli"),
        )
    )


def _outcome(client: APIClient, kind: str, body: bytes, *, packed: bool) -> Any:
    """Post a batch, look at what came of it, and undo it."""
    with transaction.atomic():
        answer = post(client, kind, body, packed=packed)
        report = answer.json()
        for row in report.get("refused", ()):
            if row["code"] == "in_future":
                del row["sentence"]  # It tells the time.
        waiting = list(UnclaimedReadings.objects.values_list("code", "readings"))
        found = (answer.status_code, report, stored(), sorted(waiting))
        transaction.set_rollback(True)
    return found


@pytest.mark.parametrize("write", FORMATS)
@pytest.mark.parametrize("packed", [False, True])
def test_each_format_stores_what_it_says(
    hub: APIClient, write: Callable[[list[Row]], Any], packed: bool
) -> None:
    rows = [
        {**GOOD, "humidity_pct": 45.5, "uv_index": None},
        {**GOOD, "at": "2026-03-02T01:10:00+01:00", "temperature_c": -0.001},
    ]

    report = post(hub, *write(rows), packed=packed).json()

    assert (report["received"], report["stored"], report["refused"]) == (2, 2, [])
    assert stored() == [
        ("P-1", START, 24_300, 45_500, None),
        ("P-1", START + 600, -1, None, None),
    ]


AT = st.one_of(
    st.integers(START, START + 3),
    st.sampled_from([0, -1, 10**12, 1_772_409_600_000, 2 * 10**9, 7_258_118_400]),
    st.sampled_from(["2026-03-02T00:00:01Z", "2026-03-02T01:00:02+01:00", "today"]),
)
NUMBER = st.one_of(
    st.none(),
    st.decimals(-70, 160, places=3).map(float),
    st.sampled_from([0.0005, 2.0015, 1e7, 20.25, -0.0]),
)
ROW = st.fixed_dictionaries(
    {
        "probe": st.sampled_from(["P-1", "P-2", "XX-9", 'Y,"1"', " "]),
        "at": AT,
        "temperature_c": NUMBER,
        "humidity_pct": NUMBER,
        "uv_index": NUMBER,
    }
)
BATCHES = st.one_of(
    st.lists(ROW, min_size=1, max_size=8),
    # Of one probe, which columns can say as well.
    st.lists(ROW, min_size=1, max_size=8).map(
        lambda rows: [{**row, "probe": rows[0]["probe"]} for row in rows]
    ),
)


@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(rows=BATCHES, packed=st.booleans())
def test_the_same_batch_in_any_format_has_the_same_outcome(
    hub: APIClient, rows: list[Row], packed: bool
) -> None:
    cache.clear()
    written = [sent for write in FORMATS if (sent := write(rows)) is not None]
    outcomes = [
        _outcome(hub, *sent, packed=packed is (n % 2 == 0))
        for n, sent in enumerate(written)
    ]

    status, report, _, waiting = outcomes[0]
    assert outcomes == [outcomes[0]] * len(written)
    if status == 200:
        assert report["received"] == len(rows) == sum(report[n] for n in COUNTED)
        assert len(report["refused"]) == report["not_taken"] + report["conflicting"]
        places = [row["index"] for row in report["refused"]]
        assert places == sorted(set(places))
        assert sum(n for _, n in waiting) <= report["unclaimed"] + report["repeated"]
    else:
        assert (status, report["code"]) == (400, "invalid_body")


@given(value=st.decimals(-60, 150, places=3))
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_thousandths_are_as_exact_in_binary_as_in_text(
    hub: APIClient, value: Decimal
) -> None:
    cache.clear()
    rows = [{**GOOD, "temperature_c": float(value)}]

    found = {
        _outcome(hub, *sent, packed=False)[2][0][2]
        for write in FORMATS
        if (sent := write(rows)) is not None
    }

    assert found == {int(value * 1000)}


# MessagePack, specification of 2017-08-09 (github.com/msgpack/msgpack, spec.md), by
# hand: fixmap 80+n, fixstr a0+n, uint32 ce, float64 cb, float32 ca, array16 dc,
# timestamp32 d6 ff.
def _text(text: str) -> bytes:
    return bytes([0xA0 + len(text)]) + text.encode()


def test_bytes_of_the_specification_are_read(hub: APIClient) -> None:
    seconds, double = struct.pack(">I", START), struct.pack(">d", 24.3)
    single = struct.pack(">f", 24.3)
    body = (
        b"\x83"
        + (_text("probe") + _text("P-1"))
        + (_text("at") + b"\xdc\x00\x02" + b"\xce" + seconds)
        + (b"\xd6\xff" + struct.pack(">I", START + 300))
        + (_text("temperature_c") + b"\x92" + b"\xcb" + double + b"\xca" + single)
    )

    report = post(hub, "application/msgpack", body).json()

    assert (report["received"], report["stored"]) == (2, 2)
    assert [(at, milli) for _, at, milli, *_ in stored()] == [
        (START, 24_300),
        (START + 300, 24_300),
    ]


@pytest.mark.parametrize("number", [float("nan"), float("inf"), float("-inf")])
def test_what_is_no_number_is_refused_by_its_row(hub: APIClient, number: float) -> None:
    rows = [GOOD, {**GOOD, "at": START + 1, "temperature_c": number}]
    shape = {"probe": "P-1", "at": [START, START + 1], "uv_index": [1.5, number]}

    for body in ({"readings": rows}, shape):
        sent = msgspec.msgpack.encode(body)
        report = post(hub, "application/msgpack", sent).json()

        assert (report["received"], report["not_taken"]) == (2, 1)
        (refused,) = report["refused"]
        assert (refused["index"], refused["code"]) == (1, "unreadable")
        assert f"is {number}, which is no number" in refused["sentence"]
    sent = f"probe,at,temperature_c\nP-1,{START + 9},{number}\nP-1,{START + 9},1\n"
    report = post(hub, "text/csv", sent.encode()).json()
    assert [row["index"] for row in report["refused"]] == [0]


def test_a_bad_line_is_refused_by_its_place(hub: APIClient) -> None:
    good = b'{"probe":"P-1","at":%d,"temperature_c":24}'
    lines = [
        good % START,
        b"{",
        b'{"probe":"\xff","at":1}',
        b'{"probe":"a\\u0000","at":1772409600,"uv_index":1}',
        b'{"probe":"P-1","at":1772409600,"uv_index":NaN}',
        b"[" * 50_000,
        b"",
        b'{"probe":"P-1","at":1772409601,"pressure":1}',
        (good % (START + 300)) + b"\r",
    ]

    report = post(hub, "application/x-ndjson", b"\n".join(lines)).json()

    # The empty line is none.
    assert (report["received"], report["stored"], report["not_taken"]) == (8, 2, 6)
    assert [row["index"] for row in report["refused"]] == [1, 2, 3, 4, 5, 6]
    assert {row["code"] for row in report["refused"]} == {"unreadable"}


# RFC 4180, 2: quotes may enclose any field, and a quote within is doubled; lines end
# with CR LF, the last one perhaps not.
def test_csv_is_read_as_rfc_4180_has_it(hub: APIClient) -> None:
    ProbeFactory(code='Air, "left"')
    body = (
        'humidity_pct,"at",probe\r\n'
        f'45.5,{START},P-1\r\n,"{START + 1}",P-1\r\n"46",{START},"Air, ""left"""'
    )

    report = post(hub, "text/csv", b"\xef\xbb\xbf" + body.encode()).json()

    assert (report["received"], report["stored"]) == (3, 2)
    assert [row["code"] for row in report["refused"]] == ["nothing_measured"]
    assert stored() == [
        ('Air, "left"', START, None, 46_000, None),
        ("P-1", START, None, 45_500, None),
    ]


@pytest.mark.parametrize(
    "row",
    [
        "P-1,1772409600",
        "P-1,1772409600,24,1",
        "P-1,,24",
        "P-1,1772409600.5,24",
        "P-1, 1772409600,24",
        'P-1,1772409600,"24,5"',
        "P-1,1772409600,1_0",
        "P-1,1772409600,٢٤",
        "P-1,1772409600,24°C",
        "P-1,1772409600,1e999",
        "P-1,02.03.2026 00:00,24",
        "P-1,9999999999,24",
    ],
)
def test_a_bad_row_of_a_table_keeps_no_other_out(hub: APIClient, row: str) -> None:
    body = f"probe,at,temperature_c\n{row}\nP-1,{START},24\n"

    report = post(hub, "text/csv", body.encode()).json()

    assert (report["received"], report["stored"]) == (2, 1)
    assert [(one["index"], one["code"]) for one in report["refused"]] == [
        (0, "unreadable")
    ]


@pytest.mark.parametrize(
    ("at", "said"),
    [
        (1_772_409_600_000, "has 13 digits, which looks like milliseconds"),
        (1_772_409_600_000_000, "has 16 digits, which looks like microseconds"),
        (1_772_409_600_000_000_000, "has 19 digits, which looks like nanoseconds"),
        (7_258_118_400, "is after 2199"),
        (-1, "is before 1970"),
    ],
)
@pytest.mark.parametrize("write", FORMATS)
def test_an_instant_in_the_wrong_unit_is_told_so(
    hub: APIClient, write: Callable[[list[Row]], Any], at: int, said: str
) -> None:
    report = post(hub, *write([GOOD, {**GOOD, "at": at}])).json()

    (refused,) = report["refused"]
    assert (refused["index"], refused["code"]) == (1, "unreadable")
    assert refused["sentence"].startswith(f"at {at} {said}")
    if at > 10**12:
        assert refused["sentence"].endswith("such as 1772409600.")


MSGPACK = "application/msgpack"
WHOLE = [
    ("application/x-ndjson", b"\n \n", 400, "no_body"),
    ("application/x-ndjson", b"{\n[", 400, "invalid_body"),
    ("text/csv", b"", 400, "no_body"),
    ("text/csv", b"probe,at\n", 400, "no_rows"),
    ("text/csv", b"probe,temperature_c\nP-1,24\n", 400, "invalid_header"),
    ("text/csv", b"probe,at,at\nP-1,1,1\n", 400, "invalid_header"),
    ("text/csv", b"probe,at,pressure\nP-1,1,1\n", 400, "invalid_header"),
    ("text/csv", b"probe;at;uv_index\nP-1;1;1\n", 400, "invalid_header"),
    ("text/csv", b'probe,at\n"P-1,1\n', 400, "malformed_csv"),
    ("text/csv", b"probe,at\n\xff,1\n", 400, "malformed_csv"),
    ("text/csv", b"probe,at,uv_index\na\x00,1,1\n", 400, "invalid_body"),
    (MSGPACK, b"\xc1", 400, "malformed_msgpack"),
    (MSGPACK, b"\x81\xa5probe", 400, "malformed_msgpack"),
    (MSGPACK, b"\x81\xa1a\x01\x02", 400, "malformed_msgpack"),
    (MSGPACK, b"\x81\xa1a" + b"\x91" * 100_000, 400, "malformed_msgpack"),
    (MSGPACK, b"\x01", 400, "invalid_body"),
    (MSGPACK, b"\x81\xa8readings\xdd\xff\xff\xff\xff", 400, "malformed_msgpack"),
    (MSGPACK, b"\x81\xa8readings\x90", 400, "no_rows"),
    (MSGPACK, b"\x81\xa5probe\xa2\xff\xfe", 400, "malformed_msgpack"),
    ("application/json", b"[" + b"1," * 500_001, 413, "too_many_rows"),
]


@pytest.mark.parametrize(("kind", "body", "status", "code"), WHOLE)
def test_a_body_that_is_refused_whole(
    hub: APIClient, kind: str, body: bytes, status: int, code: str
) -> None:
    answer = post(hub, kind, body)

    assert (answer.status_code, answer.json()["code"]) == (status, code)
    assert not Reading.objects.exists()


@pytest.mark.parametrize("write", FORMATS)
def test_at_most_50_000_readings_in_any_format(
    hub: APIClient, write: Callable[[list[Row]], Any]
) -> None:
    answer = post(hub, *write([GOOD] * 50_001))

    assert (answer.status_code, answer.json()["code"]) == (413, "too_many_rows")


def test_an_instant_of_msgpack_may_be_a_timestamp(hub: APIClient) -> None:
    at = datetime(2026, 3, 2, 0, 5, 0, 999_999, tzinfo=UTC)
    sent = msgspec.msgpack.encode({"readings": [{**GOOD, "at": at}]})

    assert post(hub, MSGPACK, sent).json()["stored"] == 1
    assert stored()[0][1] == START + 300


def test_a_charset_beside_the_type_is_no_other_type(hub: APIClient) -> None:
    _, body = as_csv([GOOD])

    assert post(hub, "text/csv; charset=utf-8", body).json()["stored"] == 1
    assert post(hub, "text/plain", body).status_code == 415
