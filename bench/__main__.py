"""Measure.

    python -m bench [NAME…] [--strict] [--size N]

Without DATABASE_URL: on a PostgreSQL server and an SQLite file of its own, one
after the other. With it: on a scratch database beside the one it names, which is
removed afterwards; the one it names is never touched.
"""

import argparse
import importlib
import importlib.util
import os
import subprocess
import sys
import tempfile
from pathlib import Path

import django

NAMES = (
    *("review", "ingest", "storage", "packet", "packet_batch", "api", "growth"),
    *("care", "kinship", "load", "exports"),
)


def main() -> int:
    """Measure what is asked for; with --strict a missed goal is an error."""
    parser = argparse.ArgumentParser(prog="python -m bench", description=__doc__)
    parser.formatter_class = argparse.RawDescriptionHelpFormatter
    parser.add_argument("names", nargs="*", metavar="NAME", help=", ".join(NAMES))
    parser.add_argument("--strict", action="store_true", help="fail on a missed goal")
    parser.add_argument("--size", type=int, help="enclosures; instead of all sizes")
    asked = parser.parse_args()
    unknown = set(asked.names) - {*NAMES, "all"}
    if unknown:
        parser.error(f"no benchmark {sorted(unknown)}: say {', '.join(NAMES)} or all.")
    if "DATABASE_URL" not in os.environ:
        return on_both()
    names = NAMES if "all" in asked.names else asked.names or NAMES
    return measure(list(names), size=asked.size, strict=asked.strict)


def on_both() -> int:
    """Run the same words on PostgreSQL, then on SQLite."""
    from tests.server_host import postgres  # noqa: PLC0415 - development only

    with postgres(durable=True) as url:
        code = run_on(url)
    with tempfile.TemporaryDirectory() as folder:
        return run_on(f"sqlite:///{folder}/bench.sqlite3") or code


def run_on(url: str) -> int:
    """Run this program on one database."""
    command = [sys.executable, "-m", "bench", *sys.argv[1:]]
    environment = {**os.environ, "DATABASE_URL": url}
    root = Path(__file__).resolve().parent.parent
    return subprocess.run(command, env=environment, cwd=root, check=False).returncode


def measure(names: list[str], *, size: int | None, strict: bool) -> int:
    """Print the figures of some benchmarks on the database of the environment."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
    django.setup()
    missed = 0
    for name in names:
        module = importlib.import_module(f"bench.{name}")
        for figure in module.figures(size=size):
            print(figure.line(), flush=True)
            missed += not figure.met
    print(f"{missed} goals missed" if missed else "every goal met")
    return int(strict and missed > 0)


if __name__ == "__main__":
    sys.exit(main())
