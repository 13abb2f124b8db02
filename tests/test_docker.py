"""What docker/ promises, as far as it shows without a Docker engine."""

import http.server
import json
import os
import re
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from importlib.metadata import distribution
from pathlib import Path
from typing import Any

import pytest
import yaml

from config.celery import app as celery_app
from tests.servers import ROOT

DOCKER = ROOT / "docker"
COMPOSE: dict[str, Any] = yaml.safe_load((DOCKER / "compose.yaml").read_text())
SERVICES: dict[str, dict[str, Any]] = COMPOSE["services"]
OURS = ("migrate", "web", "worker", "beat")
DOCKERFILE = (DOCKER / "Dockerfile").read_text()


def _instructions(word: str) -> list[str]:
    lines = DOCKERFILE.replace("\\\n", " ").splitlines()
    return [line.partition(" ")[2] for line in lines if line.startswith(f"{word} ")]


def _command(service: str) -> list[str]:
    given = SERVICES[service].get("command")
    command: list[str] = given or json.loads(_instructions("CMD")[0])
    return command


def test_image_runs_as_a_user_without_privileges() -> None:
    uid = int(_instructions("USER")[-1])

    assert uid >= 1000
    assert DOCKERFILE.rindex("USER") > DOCKERFILE.rindex("RUN")


def test_image_installs_the_lock_with_hashes_and_nothing_else() -> None:
    installs = [line for line in _instructions("RUN") if "pip install" in line]

    assert len(installs) == 1
    assert "--require-hashes --no-deps -r /runtime.txt" in installs[0]
    assert "COPY requirements/runtime.txt /runtime.txt" in DOCKERFILE


def test_image_has_the_system_packages_that_the_one_command_installs() -> None:
    listed = re.search(
        r"PANGO_DEBIAN = \((.*?)\)", (ROOT / "dev").read_text(), re.DOTALL
    )
    assert listed is not None

    packages = re.findall(r'"(.+?)"', listed[1])

    assert len(packages) == 5
    assert [name for name in packages if name not in DOCKERFILE] == []


def test_image_holds_every_room_and_only_what_runs() -> None:
    lines = (DOCKER / "Dockerfile.dockerignore").read_text().splitlines()
    kept = {line[1:] for line in lines if line.startswith("!")}
    rooms = {path.parent.name for path in ROOT.glob("*/apps.py")} | {"config"}

    assert lines[1] == "*"
    assert kept == rooms | {
        "docker/healthy.py",
        "manage.py",
        "requirements/runtime.txt",
    }
    assert [name for name in kept if not (ROOT / name).exists()] == []


@pytest.mark.parametrize("name", sorted(set(SERVICES) - {"migrate"}))
def test_service_has_a_health_check_and_comes_back(name: str) -> None:
    assert SERVICES[name]["healthcheck"]["test"]
    assert SERVICES[name]["restart"] == "unless-stopped"


@pytest.mark.parametrize("name", OURS)
def test_our_service_is_locked_down(name: str) -> None:
    service = SERVICES[name]

    assert service["read_only"] is True
    assert service["cap_drop"] == ["ALL"]
    assert service["security_opt"] == ["no-new-privileges:true"]
    assert not service.get("privileged", False)
    assert "user" not in service  # the image's own user stays in force


def test_our_services_wait_for_the_migration() -> None:
    for name in ("web", "worker", "beat"):
        needs = SERVICES[name]["depends_on"]
        assert needs["migrate"] == {"condition": "service_completed_successfully"}
        assert needs["postgres"] == {"condition": "service_healthy"}


def test_only_the_pages_are_published_and_only_on_this_machine() -> None:
    published = {name: s["ports"] for name, s in SERVICES.items() if "ports" in s}

    assert published == {"web": ["127.0.0.1:8000:8000"]}
    assert COMPOSE["networks"]["inside"] == {"internal": True}


def test_secrets_come_from_files_outside_the_repository() -> None:
    secret_words = re.compile("password|secret|key|token|database_url", re.IGNORECASE)
    for name, service in SERVICES.items():
        for variable, text in service.get("environment", {}).items():
            if secret_words.search(variable):
                assert variable.endswith("_FILE"), (name, variable)
                assert text.removeprefix("/run/secrets/") in service["secrets"]
    for variables in _instructions("ENV") + _instructions("ARG"):
        assert not secret_words.search(variables)
    for name, secret in COMPOSE["secrets"].items():
        assert secret == {"file": f"./secrets/{name}"}
    assert "secrets/" in (DOCKER / ".gitignore").read_text().splitlines()


def test_settings_read_every_variable_that_is_set() -> None:
    settings = (ROOT / "config" / "settings.py").read_text()
    for variable in SERVICES["web"]["environment"]:
        assert f'"{variable.removesuffix("_FILE")}"' in settings


def test_commands_start_something_that_exists() -> None:
    scripts = {e.name for d in ("celery", "gunicorn") for e in _scripts(d)}

    assert celery_app.main == "spurbook"
    assert _command("web")[:2] == ["gunicorn", "config.wsgi"]
    assert "--no-control-socket" in _command("web")
    assert (ROOT / "config" / "wsgi.py").exists()
    assert _command("worker")[:4] == ["celery", "-A", "config", "worker"]
    assert _command("beat")[:4] == ["celery", "-A", "config", "beat"]
    assert _command("migrate") == ["python", "manage.py", "migrate"]
    assert {"celery", "gunicorn"} <= scripts


def _scripts(name: str) -> list[Any]:
    points = distribution(name).entry_points
    return [point for point in points if point.group == "console_scripts"]


@pytest.mark.parametrize("name", ["web", "worker", "beat"])
def test_arguments_are_known_to_the_installed_program(name: str) -> None:
    program, *arguments = _command(name)
    options = {word.partition("=")[0] for word in arguments if word.startswith("--")}
    module = [sys.executable, "-m", program]
    topic = [] if program == "gunicorn" else ["-A", "config", name]

    shown = subprocess.run(
        [*module, *topic, "--help"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    ).stdout

    assert [option for option in sorted(options) if option not in shown] == []


class _Page(http.server.BaseHTTPRequestHandler):
    status = 200

    def do_GET(self) -> None:
        expected = ("a.example", "/healthz")
        known = (self.headers["Host"], self.path) == expected
        self.send_response(self.status if known else 400)
        self.end_headers()

    def log_message(self, format: str, *args: object) -> None:  # noqa: A002 - its name
        """Stay silent."""


@pytest.fixture
def page() -> Iterator[http.server.HTTPServer]:
    with http.server.HTTPServer(("127.0.0.1", 0), _Page) as server:
        thread = threading.Thread(target=server.serve_forever)
        thread.start()
        yield server
        server.shutdown()
        thread.join()


def _healthy(service: str, **env: str) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, str(DOCKER / "healthy.py"), service]
    return subprocess.run(
        command, capture_output=True, text=True, check=False, env={**os.environ, **env}
    )


def test_web_is_healthy_when_the_page_answers(page: http.server.HTTPServer) -> None:
    env = {"SPURBOOK_HOSTS": "a.example,b.example", "PORT": str(page.server_port)}

    assert _healthy("web", **env).returncode == 0
    assert "answers 400" in _healthy("web", **env | {"SPURBOOK_HOSTS": "c"}).stderr


def test_web_is_not_healthy_when_nothing_answers() -> None:
    with http.server.HTTPServer(("127.0.0.1", 0), _Page) as server:
        port = str(server.server_port)

    result = _healthy("web", PORT=port)

    assert result.returncode == 1
    assert "no answer" in result.stderr


def test_beat_is_healthy_while_it_writes(tmp_path: Path) -> None:
    silent = _healthy("beat", SPURBOOK_DATA=str(tmp_path))
    schedule = tmp_path / "beat-schedule.dat"
    schedule.touch()
    fresh = _healthy("beat", SPURBOOK_DATA=str(tmp_path))
    old = time.time() - 1000
    os.utime(schedule, (old, old))
    stopped = _healthy("beat", SPURBOOK_DATA=str(tmp_path))

    assert [silent.returncode, fresh.returncode, stopped.returncode] == [1, 0, 1]
    assert "nothing yet" in silent.stderr
    assert "silent for 1000 s" in stopped.stderr
