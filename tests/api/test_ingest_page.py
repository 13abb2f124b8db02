"""The page for people who connect sensors works as it is printed, its bridge too."""

import io
import json
import re
import urllib.error
import urllib.request
from email.message import Message
from importlib import util
from pathlib import Path
from types import ModuleType
from typing import Any

import msgspec
import pytest
from django.conf import settings
from django.utils import timezone
from pytest_django.live_server_helper import LiveServer
from rest_framework.test import APIClient

from api.reading_structs import MOST_ROWS
from api.readings import ReadingsReport
from core.roles import TokenScope
from core.tokens import issue_token
from husbandry.models import Reading, UnclaimedReadings
from husbandry.rules.unclaimed import MOST_ALTOGETHER, MOST_CODES, MOST_OF_ONE
from tests.api.sensed import post
from tests.factories import ProbeFactory, UserFactory

DOCS = Path(settings.BASE_DIR) / "docs"
PAGE = (DOCS / "ingest.md").read_text(encoding="utf-8")
KINDS = {
    "ndjson": "application/x-ndjson",
    "csv": "text/csv",
    "json": "application/json",
}
EXAMPLES = [
    (kind, body)
    for kind, body in re.findall(r"```(\w+)\n(.*?)```", PAGE, re.DOTALL)
    if kind in KINDS
]
START = 1_772_409_600  # 2026-03-02T00:00:00Z


@pytest.fixture
def probes(db: None) -> None:
    ProbeFactory(code="P-001")
    ProbeFactory(code="P-002", measures_uv_index=True)


@pytest.mark.usefixtures("probes")
@pytest.mark.parametrize("packed", [False, True])
def test_every_example_is_stored(keeper: APIClient, packed: bool) -> None:
    assert [kind for kind, _ in EXAMPLES] == ["ndjson", "csv", "json", "json"]

    for kind, body in EXAMPLES:
        report = post(keeper, KINDS[kind], body.encode(), packed=packed).json()

        assert report["stored"] == report["received"] > 0, report
        if kind == "json":
            again = msgspec.msgpack.encode(json.loads(body))
            told = post(keeper, "application/vnd.msgpack", again, packed=packed).json()
            assert told["known"] == report["stored"]
    assert Reading.objects.count() == 7


def test_it_names_every_count_and_the_limits_that_hold() -> None:
    counts = set(re.findall(r"^\| `(\w+)` \|", PAGE, re.MULTILINE))

    lists = {"received", "refused", "unknown_probes"}
    assert counts == set(ReadingsReport.__struct_fields__) - lists
    for limit in (MOST_ROWS, MOST_CODES, MOST_OF_ONE, MOST_ALTOGETHER):
        assert f"{limit:,}" in PAGE
    assert (settings.DATA_UPLOAD_MAX_MEMORY_SIZE or 0) == 20 * 1024 * 1024
    assert settings.API_RATES["ingest"] == (600, 60)
    assert "600 requests a minute" in PAGE


def _bridge() -> ModuleType:
    spec = util.spec_from_file_location("bridge", DOCS / "bridge.py")
    assert spec is not None
    assert spec.loader is not None
    bridge = util.module_from_spec(spec)
    spec.loader.exec_module(bridge)
    return bridge


def _refusal(url: str, status: int) -> urllib.error.HTTPError:
    return urllib.error.HTTPError(url, status, "", Message(), io.BytesIO(b"{}"))


@pytest.fixture
def token(live_server: LiveServer) -> str:
    issued = issue_token(
        user=UserFactory(role="keeper"),
        name="bridge",
        scope=TokenScope.RECORD,
        by=None,
        at=timezone.now(),
    )
    return issued.text


@pytest.mark.usefixtures("transactional_db")
def test_the_bridge_keeps_a_batch_until_it_is_acknowledged(
    live_server: LiveServer,
    token: str,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    ProbeFactory(code="P-001")
    bridge, url = _bridge(), f"{live_server.url}/api/v1/readings/"
    subscribed = [
        *(("P-001", START + 60 * n, {"temperature_c": 24.5}) for n in range(1_100)),
        ("P-001", START + 90_000, {"temperature_c": 500}),
        ("XX-9", START, {"temperature_c": 20}),
    ]
    really, pauses, sent = urllib.request.urlopen, list[float](), list[bytes]()

    def troubled(request: urllib.request.Request, **how: Any) -> Any:
        sent.append(bytes(request.data or b""))  # type: ignore[arg-type] # as it was given
        if len(sent) == 1:
            raise _refusal(url, 503)
        answer = really(request, **how)
        if len(sent) == 2:
            answer.close()
            raise TimeoutError("It was stored, but nobody heard of it.")
        return answer

    monkeypatch.setattr(urllib.request, "urlopen", troubled)
    bridge.run(iter(subscribed), url, token, sleep=pauses.append)

    assert sent[0] == sent[1] == sent[2]
    assert len(sent) == 5
    assert 0 <= pauses[0] <= 1
    assert 0 <= pauses[1] <= 2
    assert len(pauses) == 2
    assert Reading.objects.count() == 1_100
    row = UnclaimedReadings.objects.get()
    assert (row.code, row.readings, row.sent_with) == ("XX-9", 1, "bridge")
    said = capsys.readouterr().out
    assert said.count("refused:") == 1
    assert "Temperature 500 °C is more than an instrument can show" in said


@pytest.mark.usefixtures("transactional_db")
def test_the_bridge_does_not_repeat_what_cannot_help(live_server: LiveServer) -> None:
    pauses: list[float] = []

    with pytest.raises(urllib.error.HTTPError, match="401"):
        _bridge().run(
            [("P-001", START, {"temperature_c": 24})],
            f"{live_server.url}/api/v1/readings/",
            "sb_none_none",
            sleep=pauses.append,
        )

    assert pauses == []
