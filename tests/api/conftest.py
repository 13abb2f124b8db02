"""Who calls: a client for each role, signed in without a query."""

from collections.abc import Callable, Iterator

import pytest
from django.core.cache import cache
from rest_framework.test import APIClient

from core.roles import Role
from tests.api import recording
from tests.factories import UserFactory

Caller = Callable[[Role], APIClient]


@pytest.fixture(autouse=True)
def _fresh_throttles() -> None:
    cache.clear()


@pytest.fixture(scope="session", autouse=True)
def _examples() -> Iterator[None]:
    if not recording.asked_for():
        yield
        return
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(APIClient, "generic", recording.noting(APIClient.generic))
        yield
    recording.write()


@pytest.fixture
def caller(db: None) -> Caller:
    def sign_in(role: Role) -> APIClient:
        client = APIClient()
        client.force_authenticate(UserFactory(role=role.value))
        return client

    return sign_in


@pytest.fixture
def keeper(caller: Caller) -> APIClient:
    return caller(Role.KEEPER)


@pytest.fixture
def owner(caller: Caller) -> APIClient:
    return caller(Role.OWNER)


@pytest.fixture
def viewer(caller: Caller) -> APIClient:
    return caller(Role.VIEWER)
