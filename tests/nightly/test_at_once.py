"""Reviews beside other reviews and beside what is recorded meanwhile."""

import threading
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.db import connection, connections, transaction

from husbandry.actions import review as module
from husbandry.actions.readings import store_readings
from husbandry.actions.review import review_night
from husbandry.models import Finding
from husbandry.queries.findings import nights_to_review
from husbandry.rules.readings import ReadingColumns
from tests.nightly.world import MORNING, ON, day, make_world, record, record_good_day
from tests.nightly.world import ambient as good_air

PATIENCE_S = 30
# Long enough for a thread that need not wait to be through.
HEAD_START_S = 2

# On SQLite one writer at a time is all there is.
needs_writers = pytest.mark.skipif(
    connection.vendor == "sqlite", reason="SQLite has one writer at a time"
)


class Beside:
    """Run a function in a thread of its own, with its own connection."""

    def __init__(self, work: Callable[[], Any]) -> None:
        self.raised: list[BaseException] = []
        self._thread = threading.Thread(target=self._run, args=(work,))
        self._thread.start()

    def _run(self, work: Callable[[], Any]) -> None:
        try:
            work()
        except BaseException as error:  # noqa: BLE001 - reported by the test
            self.raised.append(error)
        finally:
            connections.close_all()

    def wait(self, seconds: float = PATIENCE_S) -> bool:
        self._thread.join(timeout=seconds)
        return not self._thread.is_alive()


@needs_writers
@pytest.mark.django_db(transaction=True)
def test_readings_that_are_being_stored_when_a_review_begins_are_not_missed() -> None:
    world = make_world()
    world.animal.stays.update(from_at=datetime(2026, 3, 1, 1, tzinfo=UTC))
    record_good_day(world, ON)
    noon_s = int(datetime(2026, 3, 1, 12, 1, tzinfo=UTC).timestamp())
    columns = ReadingColumns.of(
        probe_ids=[world.ambient.pk], at=[noon_s], temperature=[9_000]
    )

    with transaction.atomic():
        store_readings(columns=columns, by=None, at=MORNING)
        review = Beside(
            lambda: review_night(site=world.site, on=ON, by=None, at=MORNING)
        )
        review.wait(HEAD_START_S)

    assert review.wait()
    assert review.raised == []
    # Either the review saw them, or it knows that it has to be done again.
    seen = Finding.objects.filter(kind="below_target").exists()
    again = nights_to_review(site=world.site, until=ON, at_most=timedelta(days=9))
    assert seen or again == [ON]


@needs_writers
@pytest.mark.django_db(transaction=True)
def test_two_nights_of_a_site_that_are_reviewed_at_once_fold_as_one_after_the_other(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    world = make_world()
    cold = lambda lit, step: (22.0 + 0.1 * (step % 5), None, 3.0 * lit)  # noqa: E731
    for n, values in enumerate((cold, None, cold)):
        if values is None:
            record_good_day(world, day(n))
        else:
            record(world.basking, day(n), values)
            record(world.ambient, day(n), good_air)
    at = MORNING + timedelta(days=2)
    review_night(site=world.site, on=ON, by=None, at=at)
    real, written, go_on = module.write_sightings, threading.Event(), threading.Event()

    def and_linger(*args: Any, on: Any, **kwargs: Any) -> int:
        found = real(*args, on=on, **kwargs)
        if on == day(1):
            written.set()
            go_on.wait(PATIENCE_S)
        return found

    monkeypatch.setattr(module, "write_sightings", and_linger)
    first = Beside(lambda: review_night(site=world.site, on=day(1), by=None, at=at))
    assert written.wait(PATIENCE_S)
    second = Beside(lambda: review_night(site=world.site, on=day(2), by=None, at=at))
    second.wait(HEAD_START_S)
    go_on.set()

    assert (first.wait(), second.wait()) == (True, True)
    assert (first.raised, second.raised) == ([], [])
    spells = Finding.objects.order_by("opened_on").values_list(
        "opened_on", "last_seen_on", "closed_on", "nights_seen"
    )
    assert list(spells) == [(ON, ON, day(1), 1), (day(2), day(2), None, 1)]
