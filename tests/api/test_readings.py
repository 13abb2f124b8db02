"""Posted readings: exact, strict, safe to send again, good rows kept."""

import json
from datetime import UTC, datetime
from decimal import ROUND_HALF_EVEN, Decimal

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from rest_framework.test import APIClient

from api.reading_batches import seconds, thousandths
from husbandry.models import Probe, Reading, ReadingImport
from husbandry.rules.loggers.vocabulary import MISSING
from tests.factories import ProbeFactory

READINGS = "/api/v1/readings/"
START = 1_772_409_600  # 2026-03-02T00:00:00Z
NOTHING = {
    "received": 0,
    "stored": 0,
    "completed": 0,
    "known": 0,
    "repeated": 0,
    "conflicting": 0,
    "unclaimed": 0,
    "not_taken": 0,
    "unknown_probes": [],
    "refused": [],
}


@pytest.fixture
def probe(db: None) -> Probe:
    return ProbeFactory(code="P-1", measures_uv_index=True)


def _stored() -> list[tuple[object, ...]]:
    return list(
        Reading.objects.order_by("at").values_list(
            "at", "temperature_milli_c", "humidity_milli_pct", "uv_index_milli"
        )
    )


@pytest.mark.usefixtures("probe")
def test_columns(keeper: APIClient) -> None:
    body = {
        "probe": "P-1",
        "at": [START, "2026-03-02T00:05:00Z", "2026-03-02T01:10:00.750+01:00"],
        "temperature_c": [24, 24.31, -0.001],
        "humidity_pct": [45.5, None, 60],
    }

    answer = keeper.post(READINGS, body)

    assert answer.status_code == 200
    assert answer.json() == {**NOTHING, "received": 3, "stored": 3}
    assert _stored() == [
        (START, 24_000, 45_500, None),
        (START + 300, 24_310, None, None),
        (START + 600, -1, 60_000, None),
    ]


@pytest.mark.usefixtures("probe")
def test_rows_of_several_probes(keeper: APIClient) -> None:
    ProbeFactory(code="P-2")

    answer = keeper.post(
        READINGS,
        {
            "readings": [
                {"probe": "P-1", "at": START, "uv_index": 1.5},
                {"probe": "P-2", "at": START, "temperature_c": 24.0},
            ]
        },
    )

    assert answer.json() == {**NOTHING, "received": 2, "stored": 2}
    assert Reading.objects.count() == 2


@pytest.mark.usefixtures("probe")
def test_sent_again_completed_and_contradicted(keeper: APIClient) -> None:
    def send(**values: object) -> dict[str, object]:
        row = {"probe": "P-1", "at": START, **values}
        report: dict[str, object] = keeper.post(READINGS, {"readings": [row]}).json()
        return report

    assert send(temperature_c=24) == {**NOTHING, "received": 1, "stored": 1}
    assert send(temperature_c=24.0) == {**NOTHING, "received": 1, "known": 1}
    assert send(humidity_pct=45) == {**NOTHING, "received": 1, "completed": 1}
    assert send(temperature_c=25) == {
        **NOTHING,
        "received": 1,
        "conflicting": 1,
        "refused": [
            {
                "index": 0,
                "code": "conflicting",
                "sentence": "2026-03-02T00:00:00Z: temperature 25 °C, but temperature "
                "24 °C was stored earlier and stays.",
            }
        ],
    }
    assert _stored() == [(START, 24_000, 45_000, None)]
    assert ReadingImport.objects.count() == 2  # what brought nothing left nothing


GOOD = {"probe": "P-1", "at": START, "temperature_c": 24}
BAD = [
    ({"probe": "", "at": START, "temperature_c": 24}, "unknown_probe"),
    ({"probe": "P" * 41, "at": START, "temperature_c": 24}, "unknown_probe"),
    ({"probe": " P-1", "at": START, "temperature_c": 24}, "unknown_probe"),
    ({"probe": "P-1", "at": 1_772_409_600_000, "uv_index": 1}, "unreadable"),
    ({"probe": "P-1", "at": START + 1, "temperature_c": True}, "unreadable"),
    ({"probe": "P-1", "at": START + 1, "temperature_c": "24"}, "unreadable"),
    ({"probe": "P-1", "at": START + 1, "temperature_c": [24]}, "unreadable"),
    ({"probe": "P-1", "at": "2026-03-02T00:00:01", "temperature_c": 1}, "unreadable"),
    ({"probe": "P-1", "at": "today", "temperature_c": 1}, "unreadable"),
    ({"probe": "P-1", "at": 1.5, "temperature_c": 1}, "unreadable"),
    ({"probe": "P-1", "at": -1, "temperature_c": 1}, "unreadable"),
    ({"probe": "P-1", "at": True, "temperature_c": 1}, "unreadable"),
    ({"probe": "P-1", "at": 10**30, "temperature_c": 1}, "unreadable"),
    ({"probe": "P-1", "at": "0001-01-01T00:00:00Z", "uv_index": 1}, "too_early"),
    ({"probe": "P-1", "temperature_c": 1}, "unreadable"),
    ({"probe": "P-1", "at": START + 1, "pressure": 1}, "unreadable"),
    ({"probe": "P-1", "at": START + 1}, "nothing_measured"),
    ({"probe": "P-1", "at": START + 1, "temperature_c": None}, "nothing_measured"),
    ({"probe": "P-1", "at": START + 1, "temperature_c": 151}, "out_of_range"),
    ({"probe": "P-1", "at": START + 1, "temperature_c": 1e300}, "out_of_range"),
    ({"probe": "P-1", "at": START + 1, "uv_index": 2_147_483.648}, "out_of_range"),
    ({"probe": "P-1", "at": 7_258_118_399, "uv_index": 1}, "in_future"),
    ({"probe": "P-1", "at": 0, "uv_index": 1}, "too_early"),
    ("P-1", "unreadable"),
    (None, "unreadable"),
]


@pytest.mark.parametrize(("bad", "code"), BAD)
@pytest.mark.usefixtures("probe")
def test_a_bad_row_does_not_keep_the_good_ones_out(
    keeper: APIClient, bad: object, code: str
) -> None:
    later = {**GOOD, "at": START + 600}

    report = keeper.post(READINGS, {"readings": [GOOD, bad, later]}).json()

    assert (report["received"], report["stored"], report["not_taken"]) == (3, 2, 1)
    (refused,) = report["refused"]
    assert (refused["index"], refused["code"]) == (1, code)
    assert refused["sentence"].endswith(".")
    assert [at for at, *_ in _stored()] == [START, START + 600]


@pytest.mark.parametrize("cell", ["true", '"24"', "[]", "{}", "1e999"])
@pytest.mark.usefixtures("probe")
def test_a_bad_cell_of_a_column_refuses_its_row_only(
    keeper: APIClient, cell: str
) -> None:
    body = (
        f'{{"probe": "P-1", "at": [{START}, {START + 300}, {START + 600}], '
        f'"temperature_c": [24, {cell}, null], "humidity_pct": [45, 46, 47]}}'
    )

    report = keeper.generic(
        "POST", READINGS, body, content_type="application/json"
    ).json()

    assert (report["received"], report["stored"], report["not_taken"]) == (3, 2, 1)
    assert [(row["index"], row["code"]) for row in report["refused"]] == [
        (1, "unreadable")
    ]
    assert _stored() == [
        (START, 24_000, 45_000, None),
        (START + 600, None, 47_000, None),
    ]


@pytest.mark.parametrize(
    ("body", "status", "code"),
    [
        ("{}", 400, "invalid_body"),
        ("[]", 400, "invalid_body"),
        ("24", 400, "invalid_body"),
        ('{"readings": {}}', 400, "invalid_body"),
        ('{"readings": []}', 400, "no_rows"),
        ('{"readings": [], "probe": "P-1"}', 400, "invalid_body"),
        ('{"probe": "P-1", "at": []}', 400, "no_rows"),
        ('{"probe": 1, "at": [1]}', 400, "invalid_body"),
        ('{"probe": "P-1", "at": [1, 2], "temperature_c": [1]}', 400, "columns_differ"),
        ('{"probe": "P-1", "at": [1], "pressure": [1]}', 400, "invalid_body"),
        ('{"probe": "P-1", "at": [1], "uv_index": 1}', 400, "invalid_body"),
        ('{"probe": "P-1", "at": [NaN]}', 400, "malformed_json"),
        ('{"readings": [{"probe"}]}', 400, "malformed_json"),
        ('{"readings": [{"probe": "P-1"}]}', 400, "invalid_body"),
        ('{"probe": "P-1", "at": [1], "uv_index": ["1"]}', 400, "invalid_body"),
    ],
)
@pytest.mark.usefixtures("probe")
def test_a_batch_that_cannot_be_read(
    keeper: APIClient, body: str, status: int, code: str
) -> None:
    answer = keeper.generic("POST", READINGS, body, content_type="application/json")

    assert (answer.status_code, answer.json()["code"]) == (status, code)
    assert not Reading.objects.exists()


@pytest.mark.usefixtures("probe")
def test_at_most_50_000_rows(keeper: APIClient) -> None:
    columns = {"probe": "P-1", "at": [START] * 50_001}
    rows = {"readings": [{"probe": "P-1", "at": START}] * 50_001}

    for body in (columns, rows):
        answer = keeper.post(READINGS, body)
        assert (answer.status_code, answer.json()["code"]) == (413, "too_many_rows")


@pytest.mark.usefixtures("probe")
def test_exactly_50_000_rows_in_a_fixed_number_of_queries(
    keeper: APIClient, django_assert_max_num_queries: object
) -> None:
    at = list(range(START, START + 50_000))
    body = {"probe": "P-1", "at": at, "temperature_c": [24.5] * 50_000}
    sent = json.dumps(body)

    with django_assert_max_num_queries(20):  # type: ignore[operator]
        report = keeper.generic(
            "POST", READINGS, sent, content_type="application/json"
        ).json()

    assert report == {**NOTHING, "received": 50_000, "stored": 50_000}


@pytest.mark.usefixtures("probe")
def test_more_refusals_than_are_listed_are_counted(keeper: APIClient) -> None:
    rows = [{"probe": "P-1", "at": START + n} for n in range(1_500)]

    report = keeper.post(READINGS, {"readings": rows}).json()

    assert report["not_taken"] == 1_500
    assert [row["index"] for row in report["refused"]] == list(range(500))


@pytest.mark.parametrize(
    ("value", "milli"),
    [
        (24.0, 24_000),
        (24.3, 24_300),
        (-0.0, 0),
        (0.0005, 0),  # half to even, by the decimals as they were written
        (0.0015, 2),
        (2.0005, 2_000),
        (2.0015, 2_002),
        (-2.0005, -2_000),
        (1.0045, 1_004),
        (0.00049999, 0),
        (1_000_000.0, 1_000_000_000),
        (None, MISSING),
    ],
)
def test_thousandths(value: float | None, milli: int) -> None:
    found, too_large = thousandths([value])

    assert found.tolist() == [milli]
    assert too_large.tolist() == [False]


def test_thousandths_of_nothing_and_of_too_much() -> None:
    assert thousandths([])[0].tolist() == []
    found, too_large = thousandths([1_000_000.001, -1e308, 1.0])
    assert found.tolist() == [MISSING, MISSING, 1_000]
    assert too_large.tolist() == [True, True, False]


@given(
    st.lists(st.decimals(-200, 200, allow_nan=False, places=4).map(float), max_size=20)
)
def test_thousandths_are_those_of_the_decimals(values: list[float]) -> None:
    found, _ = thousandths(values)

    wanted = [
        int((Decimal(repr(v)) * 1000).to_integral_value(ROUND_HALF_EVEN))
        for v in values
    ]
    assert found.dtype == np.int32
    assert found.tolist() == wanted


def test_seconds_cut_a_fraction_off() -> None:
    cut = datetime(2026, 3, 2, 0, 0, 0, 999_999, tzinfo=UTC)

    assert seconds([START, cut]).tolist() == [START, START]
    assert seconds([START]).dtype == seconds([]).dtype == np.int64
