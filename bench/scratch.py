"""A database that is there only while something is measured."""

import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from django.db import connection

from bench.frame import progress


@contextmanager
def scratch_database() -> Iterator[None]:
    """Make an empty database with the project's tables; remove it afterwards."""
    given = connection.settings_dict["NAME"]
    with tempfile.TemporaryDirectory(prefix="spurbook-bench-") as folder:
        test = connection.settings_dict["TEST"]
        if connection.vendor == "postgresql":
            test["NAME"] = f"bench_{os.getpid()}"
        else:
            test["NAME"] = str(Path(folder) / "bench.sqlite3")
        progress(f"making {test['NAME']} on {connection.vendor}")
        connection.creation.create_test_db(
            verbosity=0, autoclobber=True, serialize=False
        )
        try:
            yield
        finally:
            connection.creation.destroy_test_db(given, verbosity=0)
