"""What every test can ask for."""

import pytest
from django.conf import settings
from django.db import connection

pytest_plugins = ["tests.servers"]


def pytest_configure() -> None:
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]


@pytest.fixture(scope="session")
def django_db_setup(django_db_setup: None, django_db_blocker: object) -> None:
    # SQLite empties tables with DELETE after a transactional test, which the guard
    # of the audit trail refuses; tests/core proves the guard inside one transaction.
    if connection.vendor == "sqlite":
        with django_db_blocker.unblock(), connection.cursor() as cursor:  # type: ignore[attr-defined]
            cursor.execute("DROP TRIGGER IF EXISTS core_auditentry_no_delete")
