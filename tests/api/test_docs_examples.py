"""The example scripts of docs/ do what they say, against a running server."""

import subprocess
import sys
from datetime import timedelta
from pathlib import Path

import pytest
from django.conf import settings
from django.utils import timezone
from pytest_django.live_server_helper import LiveServer

from core.roles import Role
from core.tokens import issue_token
from tests.api.test_animals import OVERDUE
from tests.factories import FindingFactory, ReviewRunFactory, SiteFactory, UserFactory

MORNING = Path(settings.BASE_DIR) / "docs" / "examples" / "morning.py"


@pytest.fixture
def token(transactional_db: None) -> str:
    person = UserFactory.create(role=Role.VIEWER.value)
    return issue_token(user=person, name="morning", by=None, at=timezone.now()).text


def _run(server: LiveServer, token: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, str(MORNING)],
        env={"SPURBOOK_URL": server.url, "SPURBOOK_TOKEN": token},
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )


def test_it_tells_each_sites_night_and_what_is_wrong(
    live_server: LiveServer, token: str
) -> None:
    here, there = SiteFactory.create(code="here"), SiteFactory.create(code="there")
    for days in (1, 2):
        ReviewRunFactory.create(
            site=here, on=timezone.now().date() - timedelta(days=days), coverage=0.5
        )
    ReviewRunFactory.create(
        site=there,
        on=timezone.now().date() - timedelta(days=3),
        coverage=None,
        stale_since=timezone.now(),
    )
    worst = FindingFactory.create(evidence=OVERDUE, urgency="now")
    FindingFactory.create(evidence=OVERDUE, urgency="watch")

    done = _run(live_server, token)

    lines = done.stdout.splitlines()
    assert (done.returncode, done.stderr) == (1, "")
    assert lines[0].startswith("here, night of ")
    assert lines[0].endswith("50% of the time was measured")
    assert lines[1].startswith("there, night of ")
    assert lines[1].endswith("nothing was measured; data came later, it will run again")
    told = [line for line in lines if line.startswith(("now: ", "watch: "))]
    assert [line.partition(":")[0] for line in told] == [worst.urgency, "watch"]
    assert lines[-1] == "2 open"


def test_no_night_is_not_a_quiet_night(live_server: LiveServer, token: str) -> None:
    done = _run(live_server, token)

    assert done.returncode == 1
    assert done.stdout.startswith("No night has been reviewed yet")


def test_it_says_why_it_was_refused(live_server: LiveServer, token: str) -> None:
    done = _run(live_server, f"{token}x")

    assert done.returncode == 2
    assert done.stderr.startswith("This token is not valid")
