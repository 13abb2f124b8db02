"""Clients written from the committed document do a morning's work."""

import json
from collections.abc import Callable, Sequence
from datetime import timedelta
from pathlib import Path

import pytest
from django.utils import timezone
from pytest_django.live_server_helper import LiveServer

from core.models import User
from core.roles import Role, TokenScope
from core.tokens import issue_token
from husbandry.models import Reading, Weighing
from tests.api.test_animals import OVERDUE
from tests.clients.tools import (
    call_python,
    call_typescript,
    write_python,
    write_typescript,
)
from tests.factories import (
    AnimalFactory,
    FindingFactory,
    ProbeFactory,
    UserFactory,
    WeighingFactory,
)

Call = Callable[[Path, Sequence[str]], str]
LANGUAGES: dict[str, tuple[Callable[[Path], None], Call]] = {
    "Python": (write_python, call_python),
    "TypeScript": (write_typescript, call_typescript),
}


@pytest.fixture(scope="session", params=LANGUAGES)
def client_in(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> Callable[..., dict[str, object]]:
    write, call = LANGUAGES[request.param]
    folder = tmp_path_factory.mktemp(request.param)
    write(folder)
    return lambda *words: json.loads(call(folder, words))


def _token(person: User) -> str:
    return issue_token(
        user=person,
        name="round trip",
        scope=TokenScope.RECORD,
        by=person,
        at=timezone.now(),
    ).text


def test_a_generated_client_does_a_round_trip(
    live_server: LiveServer, client_in: Callable[..., dict[str, object]]
) -> None:
    person = UserFactory.create(username="ana", role=Role.KEEPER.value)
    now = timezone.now().replace(microsecond=0)
    probe = ProbeFactory.create(code="P-1", from_on=now.date() - timedelta(days=9))
    heavy = AnimalFactory.create(code="V-2")
    WeighingFactory.create(animal=heavy, mass_g=100, at=now - timedelta(days=1))
    AnimalFactory.create(code="V-1")
    finding = FindingFactory.create(evidence=OVERDUE)
    seconds = int(now.timestamp()) - 3600
    asked = {
        "readings": {
            "probe": "P-1",
            "at": [seconds, seconds + 300],
            "temperature_c": [24.3, None],
            "humidity_pct": [45, 46.5],
        },
        "weighing": {"animal": "V-1", "mass_g": 22.1, "at": now.isoformat()},
        "slip": {"animal": "V-2", "mass_g": 900, "at": now.isoformat()},
    }

    said = client_in(live_server.url, _token(person), json.dumps(asked))

    found = said.pop("findings")
    assert said == {
        "me": "ana",
        "animals": sorted(["V-1", "V-2", finding.animal.code]),
        "stored": [2, 0, 2],
        "weighing": ["V-1", 22.1],
        "refusal": [409, "implausible_mass", "/api/v1/weighings/confirm/"],
    }
    assert [row[:2] for row in found] == [[finding.kind, finding.urgency]]  # type: ignore[attr-defined]
    assert Reading.objects.filter(probe=probe).count() == 2
    assert Weighing.objects.filter(animal__code="V-1").count() == 1
