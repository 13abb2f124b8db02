"""What every test can ask for."""

import os

import pytest
from django.conf import settings
from django.db import connection
from hypothesis import settings as laws

from config.environment import next_redis_database

pytest_plugins = ["tests.servers"]
OTHER_REDIS_DATABASES = 14


# How long one example takes says how busy the machine is, and nothing else.
laws.register_profile("untimed", deadline=None)
laws.load_profile("untimed")


def pytest_configure() -> None:
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    # The processes of one run share a Redis, but must not empty each other's cache.
    cache = settings.CACHES["default"]
    number = int(os.environ.get("PYTEST_XDIST_WORKER", "gw0").removeprefix("gw"))
    for _ in range(number % OTHER_REDIS_DATABASES if settings.REDIS_URL else 0):
        cache["LOCATION"] = next_redis_database(cache["LOCATION"])
    # A machine without a file of hosts knows no other name of itself.
    os.environ.setdefault("DJANGO_LIVE_TEST_SERVER_ADDRESS", "127.0.0.1")


@pytest.fixture(scope="session")
def django_db_setup(django_db_setup: None, django_db_blocker: object) -> None:
    # SQLite empties tables with DELETE after a transactional test, which the guards
    # of the audit trail and of the register refuse; tests/core and tests/placements
    # prove them inside one transaction.
    if connection.vendor == "sqlite":
        with django_db_blocker.unblock(), connection.cursor() as cursor:  # type: ignore[attr-defined]
            cursor.execute("DROP TRIGGER IF EXISTS core_auditentry_no_delete")
            cursor.execute("DROP TRIGGER IF EXISTS placements_registerentry_no_delete")
