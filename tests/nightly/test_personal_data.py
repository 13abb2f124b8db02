"""Personal data past their time are erased by themselves; twice gives the same."""

import pytest

from placements.models import Home
from placements.tasks import erase_past_data
from tests.factories import NOW, HomeFactory

pytestmark = pytest.mark.django_db


def test_what_is_past_its_time_is_erased_once() -> None:
    long_ago = NOW.replace(year=2001)
    HomeFactory.create(name="The Greys", created_at=long_ago)
    HomeFactory.create(name="The Browns", created_at=None)

    assert (erase_past_data(), erase_past_data()) == (1, 0)

    assert set(Home.objects.values_list("name", flat=True)) == {
        "(erased)",
        "The Browns",
    }
