"""Logger files over the API: tried, answered, taken in, refused; mappings kept."""

import json
from hashlib import sha256
from typing import Any
from urllib.parse import urlencode

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from rest_framework.test import APIClient

from husbandry.models import LoggerMapping, Probe, Reading, ReadingImport
from tests.factories import ProbeFactory
from tests.husbandry.logger_files import BY_ROW, LOST, PLAIN, UNCLEAR

FILES, MAPPINGS = "/api/v1/logger-files/", "/api/v1/logger-mappings/"


@pytest.fixture
def probe(db: None) -> Probe:
    row: Probe = ProbeFactory.create(code="P-1")
    return row


def send(client: APIClient, data: bytes, verb: str = "", **asked: str) -> Any:
    address = f"{FILES}{verb}?{urlencode(asked)}"
    return client.post(address, data, content_type="text/csv")


def test_a_file_is_taken_in_once(keeper: APIClient, probe: Probe) -> None:
    answer = send(keeper, PLAIN, probe="P-1", file_name="tub.csv")

    row = ReadingImport.objects.get()
    assert answer.status_code == 201
    found = answer.json()
    assert found.pop("imported_at").endswith("Z")
    assert found.pop("imported_by").startswith("person")
    told, report = found.pop("told"), found.pop("report")
    assert told[0].startswith("tub.csv: 4 rows read")
    assert (report["stored"], report["first_at"]) == (3, "2026-03-01T10:00:00Z")
    plain = {
        "id": row.pk,
        "file_name": "tub.csv",
        "sha256": sha256(PLAIN).hexdigest(),
        "accepted": True,
        "rows_read": 4,
        "rows_stored": 3,
        "rows_known": 0,
        "rows_refused": 0,
    }
    assert found == plain
    assert Reading.objects.filter(probe=probe).count() == 3
    again = send(keeper, PLAIN, probe="P-1").json()
    assert (again["rows_stored"], again["rows_known"]) == (0, 3)
    listed = keeper.get(FILES).json()["results"]
    assert [line["id"] for line in listed] == [again["id"], row.pk]
    assert "report" not in listed[0]
    detail = keeper.get(f"{FILES}{row.pk}/").json()
    assert (detail["told"], detail["report"]) == (told, report)


def test_a_form_keeps_the_name_of_its_file(keeper: APIClient, probe: Probe) -> None:
    file = SimpleUploadedFile("rack 3.csv", PLAIN)

    answer = keeper.post(f"{FILES}?probe=P-1", {"file": file}, format="multipart")

    assert (answer.status_code, answer.json()["file_name"]) == (201, "rack 3.csv")


def test_what_a_file_does_not_say_is_asked_and_answered(
    keeper: APIClient, probe: Probe
) -> None:
    tried = send(keeper, UNCLEAR, "try/", probe="P-1")
    refused = send(keeper, UNCLEAR, probe="P-1")

    assert tried.status_code == 200
    asked = {q["parameter"]: q for q in tried.json()["questions"]}
    assert set(asked) == {"day_order", "temperature_unit"}
    assert asked["temperature_unit"]["choices"] == ["C", "F"]
    assert (refused.status_code, refused.json()["code"]) == (409, "file_undecided")
    assert set(refused.json()["fields"]) == {"day_order", "unit"}
    assert not ReadingImport.objects.exists()
    said = {"probe": "P-1", "day_order": "mdy", "temperature_unit": "F"}
    taken = send(keeper, UNCLEAR, **said)
    assert taken.status_code == 201
    # By hand: (70.5 °F − 32) × 5/9 = 21.389 °C.
    first = Reading.objects.order_by("at").first()
    assert first is not None
    assert first.temperature_milli_c == 21_389


def test_a_file_is_tried_and_nothing_stored(keeper: APIClient) -> None:
    for code in ("P-1", "P-2"):
        ProbeFactory(code=code)
    channels = json.dumps({"north": "P-2", "south": None})

    answer = send(keeper, BY_ROW, "try/", channels=channels)

    assert answer.status_code == 200
    found = answer.json()
    assert found["headings"] == [
        "Time",
        "Sensor",
        "Temperature (C)",
        "Humidity (%)",
    ]
    assert found["first_rows"][0] == ["2026-03-01 10:00", "north", "30.0", "40.0"]
    assert (found["rows"], found["questions"]) == (4, [])
    assert found["channels"] == {"north": "P-2", "south": None}
    assert not Reading.objects.exists()
    assert not ReadingImport.objects.exists()
    taken = send(keeper, BY_ROW, channels=channels)
    assert taken.status_code == 201
    assert set(Reading.objects.values_list("probe__code", flat=True)) == {"P-2"}


def test_a_file_that_cannot_be_relied_on_is_refused_and_recorded(
    keeper: APIClient, probe: Probe
) -> None:
    answer = send(keeper, LOST, probe="P-1", file_name="lost.csv")

    assert (answer.status_code, answer.json()["code"]) == (409, "untrusted_file")
    row = ReadingImport.objects.get()
    assert (row.accepted, row.file_name) == (False, "lost.csv")
    told = keeper.get(f"{FILES}{row.pk}/").json()["told"]
    assert told == [f"lost.csv was refused. {answer.json()['detail']}"]


@pytest.mark.parametrize(
    ("asked", "status", "code"),
    [
        ({"probe": "P-9"}, 404, "unknown_probe"),
        ({"probe": "P-1", "source": "none"}, 404, "unknown_source"),
        ({"channels": '{"Ch9": "P-1"}'}, 409, "unknown_channel"),
        ({"channels": "Ch1=P-1"}, 400, "invalid_parameter"),
        ({"channels": '{"Ch1": "P\\u0000"}'}, 400, "invalid_parameter"),
        ({"columns": '{"Temp": "mood"}'}, 400, "invalid_parameter"),
        ({"probe": "P-1", "humidity_unit": "F"}, 201, None),
        ({"probe": "P-1", "temperature_unit": "index"}, 409, "answer_unusable"),
        ({"probe": "P-1", "zone": "Mars"}, 409, "untrusted_file"),
        ({"probe": "P-1", "day_order": "x"}, 400, "invalid_parameter"),
        ({"probe": "P-1", "save_as": "x" * 81}, 400, "invalid_parameter"),
    ],
)
def test_what_is_said_wrongly_is_refused(
    asked: dict[str, str],
    status: int,
    code: str | None,
    keeper: APIClient,
    probe: Probe,
) -> None:
    answer = send(keeper, PLAIN, **asked)

    assert (answer.status_code, answer.json().get("code")) == (status, code)
    assert ReadingImport.objects.filter(accepted=True).exists() is (status == 201)


def test_nothing_is_no_file(keeper: APIClient, probe: Probe) -> None:
    assert send(keeper, b"", probe="P-1").json()["code"] == "no_body"


def test_a_mapping_is_kept_with_a_file_and_used_again(
    keeper: APIClient, probe: Probe
) -> None:
    said = {"probe": "P-1", "day_order": "mdy", "temperature_unit": "F"}
    send(keeper, UNCLEAR, save_as="north rack", **said)

    row = LoggerMapping.objects.get()
    (listed,) = keeper.get(MAPPINGS).json()["results"]
    assert (listed["name"], listed["document"]) == ("north rack", row.document)
    assert keeper.get(f"{MAPPINGS}{row.pk}/").json() == listed
    tried = send(keeper, UNCLEAR, "try/", source="north rack").json()
    assert tried["questions"] == []
    assert tried["mapping"] == row.document


def test_a_mapping_that_was_tried_is_saved(keeper: APIClient, probe: Probe) -> None:
    tried = send(keeper, PLAIN, "try/", probe="P-1").json()

    answer = keeper.post(MAPPINGS, {"name": "tub", "document": tried["mapping"]})

    row = LoggerMapping.objects.get()
    assert answer.status_code == 201
    found = answer.json()
    assert found.pop("saved_at").endswith("Z")
    assert found.pop("saved_by").startswith("person")
    assert found == {"id": row.pk, "name": "tub", "document": tried["mapping"]}
    again = keeper.post(MAPPINGS, {"name": "tub", "document": tried["mapping"]})
    assert again.json()["id"] == row.pk


def test_a_mapping_that_cannot_be_is_refused(keeper: APIClient, probe: Probe) -> None:
    undecided = send(keeper, UNCLEAR, "try/", probe="P-1").json()["mapping"]
    bodies = [
        ({"name": "x", "document": {}}, 409),
        ({"name": "x", "document": undecided}, 409),
        ({"name": "", "document": undecided}, 400),
        ({"name": "x" * 81, "document": undecided}, 400),
        ({"name": "x", "document": []}, 400),
    ]

    statuses = [keeper.post(MAPPINGS, body).status_code for body, _ in bodies]

    assert statuses == [status for _, status in bodies]
    assert not LoggerMapping.objects.exists()
