"""Who looks: a signed-in client for each role; a site with a night gone wrong."""

from collections.abc import Callable

import pytest
from django.core.cache import cache
from django.test import Client

from core.models import User
from core.roles import Role
from tests.factories import UserFactory
from tests.nightly.world import World, make_world

Visitor = Callable[[Role], Client]


@pytest.fixture(autouse=True)
def _fresh_cache() -> None:
    cache.clear()


def client_of(user: User) -> Client:
    client = Client()
    client.force_login(user)
    return client


@pytest.fixture
def visitor(db: None) -> Visitor:
    return lambda role: client_of(UserFactory.create(role=role.value))


@pytest.fixture
def keeper(visitor: Visitor) -> Client:
    return visitor(Role.KEEPER)


@pytest.fixture
def owner(visitor: Visitor) -> Client:
    return visitor(Role.OWNER)


@pytest.fixture
def world(db: None) -> World:
    return make_world()
