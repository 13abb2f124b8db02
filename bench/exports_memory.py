"""How much memory the program takes at most while it makes one export.

    python -m bench.exports_memory FORM

A process of its own, because memory that a program once had it seldom gives back.
"""

import os
import re
import resource
import sys
from pathlib import Path

import django

MEGABYTE = 2**20


def main() -> int:
    """Export all readings of the environment's database, and print megabytes."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
    django.setup()
    from bench.exports import drain  # noqa: PLC0415 - models need the set-up before
    from core.exports.forms import FORMS  # noqa: PLC0415 - as above

    [form] = [form for form in FORMS if form.name == sys.argv[1]]
    drain(form)
    print(_peak() / MEGABYTE)
    return 0


def _peak() -> int:
    status = Path("/proc/self/status")
    if status.exists():
        # Elsewhere the most is that of whoever started the program, if that was more.
        found = re.search(r"VmHWM:\s+(\d+) kB", status.read_text())
        assert found is not None  # noqa: S101 - Linux always tells it
        return int(found[1]) * 1024
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss


if __name__ == "__main__":
    sys.exit(main())
