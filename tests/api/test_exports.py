"""Readings and weighings, read back from each form."""

from collections.abc import Callable
from datetime import UTC, datetime
from decimal import Decimal
from io import BytesIO
from typing import Any

import pyarrow as pa
import pyarrow.parquet as pq
import pytest
from django.db import connection
from rest_framework.test import APIClient

from husbandry.models import Reading
from tests.api.exported import (
    as_texts,
    body,
    csv_rows,
    ndjson_rows,
    parquet_rows,
)
from tests.factories import (
    AnimalFactory,
    ProbeFactory,
    ReadingFactory,
    UserFactory,
    WeighingFactory,
)

READERS: dict[str, Callable[[bytes], list[dict[str, Any]]]] = {
    "csv": csv_rows,
    "ndjson": ndjson_rows,
    "parquet": parquet_rows,
}
FORMS = sorted(READERS)
START = datetime(2026, 3, 2, tzinfo=UTC)
START_S = int(START.timestamp())
HOUR_S = 3600


@pytest.fixture
def stored(db: None) -> None:
    """Readings of two probes: below zero, not measured, extremes of what is stored."""
    first, second = ProbeFactory(code="P-1"), ProbeFactory(code='P-2, "back"')
    values = [
        (first, 0, 24_300, 45_000, None),
        (second, 0, -500, None, 12),
        (first, 300, None, None, 0),
        (second, 299, 2_147_483_647, -2_147_483_647, 1),
        (first, 9 * HOUR_S, 1, 100_000, None),
    ]
    for probe, after_s, temperature, humidity, uv_index in values:
        ReadingFactory(
            probe=probe,
            at=START_S + after_s,
            temperature_milli_c=temperature,
            humidity_milli_pct=humidity,
            uv_index_milli=uv_index,
        )


def independently() -> list[tuple[Any, ...]]:
    """The readings by a statement of their own, in the order of the export."""
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT r.at, p.code, r.temperature_milli_c, r.humidity_milli_pct, "
            "r.uv_index_milli FROM husbandry_reading r "
            "JOIN husbandry_probe p ON p.id = r.probe_id ORDER BY r.at, p.code"
        )
        return [
            (
                datetime.fromtimestamp(at, UTC),
                code,
                *(None if v is None else Decimal(v).scaleb(-3) for v in values),
            )
            for at, code, *values in cursor.fetchall()
        ]


@pytest.mark.usefixtures("stored")
def test_readings_are_those_of_the_database(viewer: APIClient) -> None:
    expected = independently()

    rows = parquet_rows(body(viewer, "readings/parquet"))

    assert len(expected) == 5
    assert [tuple(row.values()) for row in rows] == expected
    texts = as_texts(rows)
    assert csv_rows(body(viewer, "readings/csv")) == texts
    assert as_texts(ndjson_rows(body(viewer, "readings/ndjson"))) == texts


@pytest.mark.usefixtures("stored")
def test_readings_as_csv_letter_by_letter(viewer: APIClient) -> None:
    # RFC 4180: CRLF, a comma or a quote puts the field in quotes, quotes are doubled.
    assert body(viewer, "readings/csv", until_at="2026-03-02T00:04:59Z").decode() == (
        "at,probe,temperature_c,humidity_pct,uv_index\r\n"
        "2026-03-02T00:00:00Z,P-1,24.300,45.000,\r\n"
        '2026-03-02T00:00:00Z,"P-2, ""back""",-0.500,,0.012\r\n'
    )


@pytest.mark.usefixtures("stored")
def test_readings_as_json_letter_by_letter(viewer: APIClient) -> None:
    # RFC 8259: numbers with the digits that are stored, quotes escaped.
    assert body(
        viewer, "readings/ndjson", until_at="2026-03-02T00:00:01Z"
    ).decode() == (
        '{"at":"2026-03-02T00:00:00Z","probe":"P-1","temperature_c":24.300,'
        '"humidity_pct":45.000,"uv_index":null}\n'
        '{"at":"2026-03-02T00:00:00Z","probe":"P-2, \\"back\\"",'
        '"temperature_c":-0.500,"humidity_pct":null,"uv_index":0.012}\n'
    )


def test_parquet_says_types_and_units(viewer: APIClient) -> None:
    schema = pq.read_schema(BytesIO(body(viewer, "readings/parquet")))

    assert schema.names == [
        *("at", "probe", "temperature_c", "humidity_pct", "uv_index")
    ]
    assert schema.field("at").type == pa.timestamp("us", "UTC")
    assert schema.field("probe").type == pa.dictionary(pa.int32(), pa.string())
    assert schema.field("temperature_c").type == pa.decimal128(10, 3)
    units = {f.name: (f.metadata or {}).get(b"unit", b"").decode() for f in schema}
    assert units == {
        "at": "",
        "probe": "",
        "temperature_c": "°C",
        "humidity_pct": "%",
        "uv_index": "1",
    }


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.usefixtures("stored")
def test_a_range_takes_its_beginning_and_not_its_end(
    form: str, viewer: APIClient
) -> None:
    asked = {
        "from_at": "2026-03-02T00:00:00.5Z",
        "until_at": "2026-03-02T01:05:00+01:00",
    }

    rows = READERS[form](body(viewer, f"readings/{form}", **asked))

    assert [row["probe"] for row in rows] == ['P-2, "back"']
    edges = {"from_at": "2026-03-02T00:04:59Z", "until_at": "2026-03-02T00:05:01Z"}
    rows = READERS[form](body(viewer, f"readings/{form}", **edges))
    assert [row["probe"] for row in rows] == ['P-2, "back"', "P-1"]


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.usefixtures("stored")
def test_nothing_in_a_range_is_a_whole_file(form: str, viewer: APIClient) -> None:
    data = body(
        viewer,
        f"readings/{form}",
        from_at="2027-01-01T00:00:00Z",
        until_at="2027-01-01T00:00:00Z",
    )

    assert READERS[form](data) == []
    assert (data == b"") == (form == "ndjson")


@pytest.mark.usefixtures("stored")
def test_readings_of_one_probe_and_of_its_place(viewer: APIClient) -> None:
    place = Reading.objects.filter(probe__code="P-1")[0].probe.enclosure

    by_probe = body(viewer, "readings/csv", probe="P-1")
    by_place = body(viewer, "readings/csv", enclosure=place.code)

    assert {row["probe"] for row in csv_rows(by_probe)} == {"P-1"}
    assert by_place == by_probe
    answer = viewer.get("/api/v1/exports/readings/csv/", {"probe": "P-9"})
    assert answer.status_code == 400
    assert answer.json()["code"] == "no_such_probe"


def test_more_readings_than_are_read_at_once_stay_in_order(
    viewer: APIClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("husbandry.queries.exported_readings.ROWS", 7)
    probes = [ProbeFactory(code=f"P-{n}") for n in range(5)]
    Reading.objects.bulk_create(
        Reading(probe=probe, at=START_S + at, temperature_milli_c=at)
        for probe in probes
        for at in (0, 1, 2, 3599, 3600, 7199, 7200, 50_000, 50_001)
    )
    expected = independently()

    rows = parquet_rows(
        body(viewer, "readings/parquet", until_at="2026-03-02T13:53:21Z")
    )

    assert len(expected) == 45
    assert [tuple(row.values()) for row in rows] == expected[:-5]


def test_reversed_instants_are_refused(viewer: APIClient) -> None:
    asked = {"from_at": "2026-03-02T00:00:00Z", "until_at": "2026-03-01T00:00:00Z"}

    for kind in ("readings", "weighings"):
        answer = viewer.get(f"/api/v1/exports/{kind}/csv/", asked)

        assert answer.status_code == 400
        assert answer.json()["code"] == "instants_reversed"


@pytest.fixture
def weighed(db: None) -> None:
    person = UserFactory(username="ada")
    animal = AnimalFactory(code="V-1")
    texts = [
        "",
        "=1+1",
        "-2",
        'said "so", once\r\nand again',
        "tab\tand \x07",
        "žába 🦎",
    ]
    for n, note in enumerate(texts):
        WeighingFactory(
            animal=animal,
            at=datetime(2026, 3, 1 + n, 8, tzinfo=UTC),
            mass_g=Decimal(f"{20 + n}.10"),
            recorded_by=person if n % 2 else None,
            recorded_at=datetime(2026, 3, 1 + n, 8, 0, 0, 250_000, tzinfo=UTC),
            note=note,
        )
    WeighingFactory(animal=AnimalFactory(code="V-2"), at=START, mass_g=Decimal("0.05"))


def weighings() -> list[tuple[Any, ...]]:
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT w.id, a.id, a.code, w.mass_g, u.username, w.corrects_id, w.note "
            "FROM husbandry_weighing w JOIN husbandry_animal a ON a.id = w.animal_id "
            "LEFT JOIN core_user u ON u.id = w.recorded_by_id ORDER BY w.id"
        )
        return [
            (*found[:3], Decimal(str(found[3])).quantize(Decimal("0.01")), *found[4:])
            for found in cursor.fetchall()
        ]


@pytest.mark.usefixtures("weighed")
def test_weighings_are_those_of_the_database(viewer: APIClient) -> None:
    columns = ("id", "animal_id", "animal_code", "mass_g", "recorded_by_username")
    columns += ("corrects_id", "note")
    expected = weighings()

    for form in ("parquet", "ndjson"):
        rows = READERS[form](body(viewer, f"weighings/{form}"))
        assert [tuple(row[name] for name in columns) for row in rows] == expected

    assert len(expected) == 7
    texts = as_texts(rows)
    for row in texts:
        if row["note"].startswith(("=", "-")):
            row["note"] = f"'{row['note']}"
    assert csv_rows(body(viewer, "weighings/csv")) == texts
    assert texts[0]["at"] == "2026-03-01T08:00:00Z"
    assert texts[0]["recorded_at"] == "2026-03-01T08:00:00.250000Z"


@pytest.mark.usefixtures("weighed")
def test_weighings_of_one_animal_in_a_range(viewer: APIClient) -> None:
    asked = {
        "animal": "V-1",
        "from_at": "2026-03-02T08:00:00Z",
        "until_at": "2026-03-04T08:00:00Z",
    }

    rows = csv_rows(body(viewer, "weighings/csv", **asked))

    assert [row["mass_g"] for row in rows] == ["21.10", "22.10"]
    answer = viewer.get("/api/v1/exports/weighings/csv/", {"animal": "V-9"})
    assert (answer.status_code, answer.json()["code"]) == (400, "unknown_animal")


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("address", "kind", "ending"),
    [
        ("readings/csv", "text/csv; charset=utf-8; header=present", "csv"),
        ("weighings/ndjson", "application/x-ndjson", "ndjson"),
        ("readings/parquet", "application/vnd.apache.parquet", "parquet"),
        ("organisation/csv", "application/zip", "zip"),
    ],
)
def test_an_answer_says_what_it_is(
    address: str, kind: str, ending: str, owner: APIClient
) -> None:
    answer = owner.get(f"/api/v1/exports/{address}/")
    head = owner.head(f"/api/v1/exports/{address}/")

    assert answer["Content-Type"] == head["Content-Type"] == kind
    name = answer["Content-Disposition"].removeprefix('attachment; filename="')
    assert name.endswith(f'.{ending}"')
    assert str(datetime.now(UTC).year) in name
    assert answer["Cache-Control"] == "private, no-store"
    assert not head.streaming
    assert head.content == b""
    refused = owner.get(f"/api/v1/exports/{address}/", HTTP_ACCEPT="image/png")
    assert refused.status_code == 406
