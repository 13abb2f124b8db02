"""The register is written by itself: run twice, nothing is said twice."""

import pytest

from placements.models import RegisterEntry
from placements.tasks import write_register
from tests.factories import AnimalFactory


@pytest.mark.django_db
def test_the_register_is_written_once() -> None:
    AnimalFactory.create(left=True)

    assert (write_register(), write_register()) == (2, 0)
    assert [entry.entered_by for entry in RegisterEntry.objects.all()] == [None, None]
