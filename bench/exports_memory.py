"""How much memory the program takes at most while it makes one export.

    python -m bench.exports_memory FORM

A process of its own, because memory that a program once had it seldom gives back.
"""

import os
import resource
import sys

import django

MEGABYTE = 2**20
# Of ru_maxrss: kilobytes on Linux, bytes on macOS.
UNIT = 1 if sys.platform == "darwin" else 1024


def main() -> int:
    """Export all readings of the environment's database, and print megabytes."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
    django.setup()
    from bench.exports import drain  # noqa: PLC0415 - models need the set-up before
    from core.exports.forms import FORMS  # noqa: PLC0415 - as above

    [form] = [form for form in FORMS if form.name == sys.argv[1]]
    drain(form)
    print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * UNIT / MEGABYTE)
    return 0


if __name__ == "__main__":
    sys.exit(main())
