"""The one command: what it refuses, what it carries over, what it locks."""

import ast
import json
import os
import re
import socket
import subprocess
import sys
from pathlib import Path
from types import ModuleType

import pytest

from tests.servers import ROOT

DEV = ROOT / "dev"


def _run(*words: str, **env: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, str(DEV), *words],
        cwd="/",
        env={**os.environ, **env},
        capture_output=True,
        text=True,
        check=False,
    )


@pytest.fixture(scope="module")
def dev() -> ModuleType:
    # Not imported: that would leave a compiled file beside ./dev.
    module = ModuleType("dev")
    module.__file__ = str(DEV)
    exec(compile(DEV.read_text(), str(DEV), "exec"), module.__dict__)
    return module


def test_help_names_every_command(dev: ModuleType) -> None:
    shown = _run("help")

    named = re.findall(r"^    \./dev (\w+)", shown.stdout, re.MULTILINE)
    assert shown.returncode == 0
    assert sorted(named) == sorted(dev.COMMANDS)


@pytest.mark.parametrize("words", [(), ("hatch",)])
def test_unknown_words_are_answered_with_the_help(words: tuple[str, ...]) -> None:
    refused = _run(*words)

    assert refused.returncode == 2
    assert "./dev demo" in refused.stderr


def test_check_refuses_a_word_it_has_no_use_for() -> None:
    refused = _run("check", "eggs")

    assert refused.returncode == 1
    assert refused.stderr == "This command takes no eggs.\n"


def test_serve_says_that_a_port_is_taken_and_what_to_do() -> None:
    with socket.create_server(("127.0.0.1", 0)) as other:
        port = str(other.getsockname()[1])

        refused = _run("serve", "--port", port)

    assert refused.returncode == 1
    assert f"Port {port} cannot be used: another program has it." in refused.stderr
    assert "./dev serve --port 8000" in refused.stderr


def test_old_python_gets_one_sentence() -> None:
    # Python 3.7 must be able to read the file, or it says only "SyntaxError".
    ast.parse(DEV.read_text(), feature_version=(3, 7))
    pretend = (
        "import sys; sys.hexversion = 0x03090000; sys.version_info = (3, 9, 2)\n"
        f"exec(compile(open({str(DEV)!r}).read(), 'dev', 'exec'))"
    )

    refused = subprocess.run(
        [sys.executable, "-c", pretend], capture_output=True, text=True, check=False
    )

    assert refused.returncode == 1
    assert refused.stderr.count("\n") == 1
    assert "needs Python 3.11 or newer" in refused.stderr
    assert "is Python 3.9." in refused.stderr


def test_reachable_drops_local_places_that_are_not_there(
    dev: ModuleType, tmp_path: Path
) -> None:
    here = tmp_path.as_uri()
    places = f"{here} {here}/gone https://index.example/simple {tmp_path} /no/where"

    kept = dev.reachable(places)

    assert kept == [here, "https://index.example/simple", str(tmp_path)]


def test_pip_settings_are_carried_over_to_uv(
    dev: ModuleType, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    wheels = tmp_path / "wheels"
    wheels.mkdir()
    settings = tmp_path / "pip.conf"
    settings.write_text(
        "[global]\nindex-url = https://one.example/simple\n"
        f"extra-index-url = https://two.example/simple\n  file://{tmp_path}/gone\n"
        f"find-links = {wheels}\n[install]\nindex-url = https://three.example/simple\n"
    )
    for name in [n for n in os.environ if n.startswith(("PIP_", "UV_"))]:
        monkeypatch.delenv(name)
    monkeypatch.setenv("PIP_CONFIG_FILE", str(settings))
    monkeypatch.setattr(sys, "executable", _a_python_with_pip())

    env = dev.uv_environment()

    assert env["UV_DEFAULT_INDEX"] == "https://three.example/simple"
    assert env["UV_INDEX"] == "https://two.example/simple"
    assert env["UV_FIND_LINKS"] == str(wheels)
    assert env["UV_SYSTEM_CERTS"] == "1"


def test_environment_wins_over_pips_file(
    dev: ModuleType, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    settings = tmp_path / "pip.conf"
    settings.write_text("[install]\nindex-url = https://one.example/simple\n")
    monkeypatch.setenv("PIP_CONFIG_FILE", str(settings))
    monkeypatch.setenv("PIP_INDEX_URL", "https://two.example/simple")
    monkeypatch.setenv("UV_INDEX", "https://mine.example/simple")
    monkeypatch.setattr(sys, "executable", _a_python_with_pip())

    env = dev.uv_environment()

    assert env["UV_DEFAULT_INDEX"] == "https://two.example/simple"
    assert env["UV_INDEX"] == "https://mine.example/simple"


def _a_python_with_pip() -> str:
    """The tests' own environment has no pip; the Python below it made it."""
    for python in (sys.executable, sys._base_executable, "/usr/bin/python3"):  # type: ignore[attr-defined]  # no public name
        listed = subprocess.run(
            [python, "-m", "pip", "config", "list"], capture_output=True, check=False
        )
        if listed.returncode == 0:
            return str(python)
    pytest.fail("No Python with pip: install pip (on Debian: python3-pip)")


def test_home_that_cannot_be_written_is_left_alone(
    dev: ModuleType, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("XDG_CACHE_HOME", raising=False)
    monkeypatch.setenv("HOME", "/dev/null")  # no folder, for root neither

    assert dev.environment()["XDG_CACHE_HOME"] == str(ROOT / ".tools" / "cache")


def test_stray_python_settings_do_not_reach_the_project(
    dev: ModuleType, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PYTHONPATH", "/stray")

    assert "PYTHONPATH" not in dev.environment()


def test_sqlite_lane_never_sees_the_users_database(
    dev: ModuleType, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("DATABASE_URL", "postgres://keeper@db.example/animals")
    monkeypatch.setenv("DATABASE_URL_FILE", "/run/secrets/database_url")
    monkeypatch.setenv("REDIS_URL", "redis://redis.example/0")

    with dev.sqlite_lane() as env:
        assert env["DATABASE_URL"].startswith("sqlite:///")
        assert "DATABASE_URL_FILE" not in env
        assert "REDIS_URL" not in env


def test_every_lane_runs_and_one_failure_fails_all(
    dev: ModuleType, capfd: pytest.CaptureFixture[str]
) -> None:
    lanes = {"first": dev.sqlite_lane, "second": dev.sqlite_lane}
    command = [sys.executable, "-c", "raise SystemExit(3)"]

    code = dev.run_lanes(lanes, command)

    written = capfd.readouterr().out
    assert code == 1
    assert "first: FAILED (exit code 3)" in written
    assert "second: FAILED (exit code 3)" in written


def _pins(level: str) -> dict[str, str]:
    text = (ROOT / "requirements" / f"{level}.txt").read_text()
    return dict(re.findall(r"^([a-z0-9._-]+)==(\S+)", text, re.MULTILINE))


def test_development_lock_contains_the_runtime_lock() -> None:
    assert _pins("runtime").items() <= _pins("dev").items()


@pytest.mark.parametrize("level", ["runtime", "dev"])
def test_lock_has_hashes_and_no_addresses(level: str) -> None:
    text = (ROOT / "requirements" / f"{level}.txt").read_text()
    blocks = re.split(r"\n(?=[a-z0-9])", text)

    assert "://" not in text
    assert [block for block in blocks if "--hash=sha256:" not in block] == []


def test_typescript_lock_has_hashes_and_no_addresses(dev: ModuleType) -> None:
    text = (dev.TYPESCRIPT / "package-lock.json").read_text(encoding="utf-8")
    packages = json.loads(text)["packages"]

    bare = [name for name, held in packages.items() if name and "integrity" not in held]

    assert len(packages) > 40
    assert bare == []
    assert "resolved" not in text


def test_lock_holds_every_version_of_pyproject() -> None:
    text = (ROOT / "pyproject.toml").read_text()
    asked = dict(
        re.findall(r'^    "([a-z0-9-]+)(?:\[.*?\])?==([^"]+)"', text, re.MULTILINE)
    )

    assert len(asked) > 20
    assert json.dumps(asked) == json.dumps({n: _pins("dev")[n] for n in asked})
