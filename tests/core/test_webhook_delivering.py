"""What waits is sent, tried again, given up; by any number of workers."""

import json
import logging
import threading
from datetime import UTC, datetime, timedelta
from io import StringIO
from random import Random
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.db import connections
from django.utils.timezone import now
from standardwebhooks.webhooks import Webhook as Judge

from core.models import Attempt, AuditEntry, Delivery, Notice, Webhook
from core.notice_words import DeliveryState
from core.tasks import drop_old_messages, send_messages
from core.webhooks import delivering
from core.webhooks.delivering import drop_old_notices, send_waiting
from core.webhooks.retrying import LEASE, MOST_TRIES, next_try
from core.webhooks.sending import Answer, Sender
from core.webhooks.signing import secret_of
from tests.core.webhook_hub import LOOPBACK, house_sender, listening
from tests.factories import (
    NOW,
    AttemptFactory,
    DeliveryFactory,
    NoticeFactory,
    WebhookFactory,
)
from tests.husbandry import test_readings_at_once as at_once

pytestmark = pytest.mark.django_db
shared_database = at_once.shared_database
MINUTE = timedelta(minutes=1)


class Least(Random):
    """Chance that never lengthens anything."""

    def random(self) -> float:
        return 0.0


class Told(Sender):
    """A sender without a network, for what is not about it."""

    def __init__(self, *statuses: int | BaseException | None) -> None:
        super().__init__()
        object.__setattr__(self, "statuses", list(statuses))
        object.__setattr__(self, "posted", [])

    def post(self, url: str, *, body: bytes, headers: Any) -> Answer:
        self.posted.append((url, body, dict(headers)))  # type: ignore[attr-defined]
        said = self.statuses.pop(0) if len(self.statuses) > 1 else self.statuses[0]  # type: ignore[attr-defined]
        if isinstance(said, BaseException):
            raise said
        problem = "" if said is not None and said < 300 else f"It answered {said}."
        return Answer(said, problem, "text")


class KilledError(BaseException):
    """What a worker's end looks like from within."""


def run(sender: Sender, *, at: datetime = NOW, most: int = 200) -> int:
    return send_waiting(sender=sender, at=at, rng=Least(), most=most)


def states() -> list[str]:
    return list(Delivery.objects.order_by("pk").values_list("state", flat=True))


def test_what_waits_is_sent_signed_and_noted() -> None:
    at = now()
    row = DeliveryFactory.create(notice__at=at, next_at=at)
    secret = secret_of(row.webhook.nonce)
    with listening((200, {}, b"thanks")) as hub:
        Webhook.objects.update(url=hub.url)
        sent = send_waiting(sender=house_sender(), at=at, rng=Random(7))
        again = send_waiting(sender=house_sender(), at=at + LEASE, rng=Random(7))

    assert (sent, again) == (1, 0)
    (came,) = hub.came
    said = Judge(secret).verify(came.body, came.headers)
    assert (said["type"], said["data"]["id"]) == ("finding.opened", 7)
    row.refresh_from_db()
    assert (row.state, row.tries, row.leased_until) == ("sent", 1, None)
    attempt = row.attempts.get()
    assert (attempt.status, attempt.problem, attempt.answer) == (200, "", "thanks")
    assert attempt.at >= at
    assert attempt.duration_ms is not None


@pytest.mark.parametrize(
    ("tries", "pause"),
    [
        (1, timedelta(minutes=1)),
        (2, timedelta(minutes=5)),
        (3, timedelta(minutes=30)),
        (4, timedelta(hours=2)),
        (5, timedelta(hours=6)),
        (6, timedelta(hours=12)),
        (7, timedelta(hours=24)),
    ],
)
def test_when_it_is_tried_again(tries: int, pause: timedelta) -> None:
    assert next_try(tries, at=NOW, rng=Least()) == NOW + pause
    # The same chance gives the same instant; by hand: pause × (1 + 0.2 × chance).
    chance = Random(4).random()
    assert next_try(tries, at=NOW, rng=Random(4)) == NOW + pause * (1 + 0.2 * chance)


@pytest.mark.parametrize("tries", [8, 9, 200])
def test_after_the_eighth_it_is_given_up(tries: int) -> None:
    assert next_try(tries, at=NOW, rng=Least()) is None


def test_a_message_that_nobody_takes_is_given_up_after_the_last_try() -> None:
    row, sender, at = DeliveryFactory.create(), Told(500), NOW
    Webhook.objects.update(failing_since=None)
    gaps = []
    while states() == ["waiting"]:
        assert run(sender, at=at) == 1
        # Nothing is due before its time.
        assert run(sender, at=at + timedelta(seconds=10)) == 0
        Webhook.objects.update(failing_since=None)
        row.refresh_from_db()
        gaps.append(row.next_at - at)
        at = row.next_at

    assert states() == ["given_up"]
    assert row.attempts.count() == row.tries == MOST_TRIES == 8
    minutes = [round(gap / MINUTE) for gap in gaps]
    assert minutes == [1, 5, 30, 120, 360, 720, 1440, 0]
    names = {headers["webhook-id"] for _, _, headers in sender.posted}  # type: ignore[attr-defined]
    bodies = {body for _, body, _ in sender.posted}  # type: ignore[attr-defined]
    stamps = {h["webhook-timestamp"] for _, _, h in sender.posted}  # type: ignore[attr-defined]
    assert names == {row.notice.key}
    assert (len(bodies), len(stamps)) == (1, 8)


def test_a_worker_that_dies_after_the_answer_sends_it_twice_under_one_name(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    DeliveryFactory.create()
    with listening((200, {}, b"")) as hub:
        Webhook.objects.update(url=hub.url)
        with monkeypatch.context() as patch:
            # Nothing is left to do but to note it: that is where it ends.
            def killed(*_: object) -> None:
                raise KilledError

            patch.setattr(delivering, "_note", killed)
            with pytest.raises(KilledError):
                run(house_sender())

        assert states() == ["waiting"]
        assert run(house_sender(), at=NOW + LEASE / 2) == 0
        assert run(house_sender(), at=NOW + LEASE + MINUTE) == 1

    first, second = (came.headers["webhook-id"] for came in hub.came)
    assert first == second
    assert states() == ["sent"]
    unseen, seen = Attempt.objects.order_by("at", "pk")
    assert (unseen.status, unseen.duration_ms) == (None, None)
    assert "nobody knows whether it arrived" in unseen.problem
    assert seen.status == 200


def test_what_every_worker_dies_of_is_given_up() -> None:
    row = DeliveryFactory.create(tries=8, leased_until=NOW)

    assert run(Told(200)) == 0

    row.refresh_from_db()
    assert (row.state, row.leased_until) == ("given_up", None)
    assert row.ended_at is not None
    assert "nobody knows" in row.attempts.get().problem


def test_a_worker_that_was_taken_for_dead_notes_nothing() -> None:
    row = DeliveryFactory.create()

    class Slow(Told):
        def post(self, url: str, *, body: bytes, headers: Any) -> Answer:
            # Meanwhile its lease ran out, and somebody else sent it.
            assert run(Told(200), at=NOW + LEASE + MINUTE) == 1
            return Answer(500, "It answered 500.")

    assert run(Slow(500)) == 1

    row.refresh_from_db()
    assert (row.state, row.tries) == ("sent", 2)
    assert [a.status for a in row.attempts.order_by("pk")] == [None, 200]


@pytest.mark.django_db(transaction=True)
def test_two_workers_never_send_the_same(shared_database: Any) -> None:
    DeliveryFactory.create_batch(12, webhook=WebhookFactory.create())
    at = now()
    Delivery.objects.update(next_at=at)
    counts: list[int] = []
    with listening((204, {}, b"")) as hub:
        Webhook.objects.update(url=hub.url)
        shared_database()

        def work() -> None:
            counts.append(send_waiting(sender=house_sender(), at=at, rng=Random(1)))

        raised = at_once.together(work, work, work)

    assert raised == []
    names = [came.headers["webhook-id"] for came in hub.came]
    assert len(names) == len(set(names)) == sum(counts) == 12
    found: list[int] = []
    thread = threading.Thread(target=_count_sent, args=(found,))
    thread.start()
    thread.join()
    assert found == [12]


def _count_sent(found: list[int]) -> None:
    found.append(Delivery.objects.filter(state="sent").count())
    connections.close_all()


def test_one_that_fails_does_not_keep_the_others_waiting() -> None:
    dead, good = WebhookFactory.create(url="https://dead.example/"), WebhookFactory()
    DeliveryFactory.create_batch(3, webhook=dead)
    DeliveryFactory.create_batch(2, webhook=good)

    class Some(Told):
        def post(self, url: str, *, body: bytes, headers: Any) -> Answer:
            status = 503 if "dead" in url else 200
            return Answer(status, "" if status == 200 else "It answered 503.")

    assert run(Some(None)) == 3

    assert states() == ["waiting", "waiting", "waiting", "sent", "sent"]
    dead.refresh_from_db()
    assert dead.failing_since is not None
    # Next time the second one of the dead is tried, not the first again.
    run(Some(None), at=NOW + timedelta(seconds=30))
    assert Delivery.objects.filter(tries=1, state="waiting").count() == 2


def test_what_works_again_counts_as_working() -> None:
    hook = WebhookFactory.create(failing_since=NOW - timedelta(days=1))
    DeliveryFactory.create(webhook=hook)

    run(Told(204))

    hook.refresh_from_db()
    assert (hook.failing_since, hook.paused_at) == (None, None)


@pytest.mark.parametrize(
    ("failing_for", "paused"),
    [
        (timedelta(days=3) - MINUTE, False),
        (timedelta(days=3), True),
        (timedelta(days=30), True),
    ],
)
def test_what_takes_nothing_for_three_days_is_paused(
    failing_for: timedelta, paused: bool
) -> None:
    hook = WebhookFactory.create(failing_since=NOW - failing_for)
    DeliveryFactory.create_batch(2, webhook=hook)

    run(Told(None))

    hook.refresh_from_db()
    assert (hook.paused_at is not None) is paused
    assert hook.why == ("It took nothing for three days." if paused else "")
    told = AuditEntry.objects.filter(verb="pause_webhook", by=None)
    assert told.count() == int(paused)
    # Paused: nothing is sent; what waits goes on waiting.
    assert run(Told(200), at=NOW + timedelta(hours=1)) == (0 if paused else 2)


def test_410_ends_a_webhook() -> None:
    hook = WebhookFactory.create()
    DeliveryFactory.create_batch(3, webhook=hook)

    assert run(Told(410)) == 1

    hook.refresh_from_db()
    assert hook.ended_at is not None
    assert "410" in hook.why
    assert states() == ["given_up"] * 3
    assert AuditEntry.objects.get(verb="end_webhook").by is None
    assert run(Told(200), at=NOW + timedelta(days=2)) == 0


def test_an_error_that_nobody_foresaw_is_tried_again_and_told(
    caplog: pytest.LogCaptureFixture,
) -> None:
    row = DeliveryFactory.create()

    with caplog.at_level(logging.ERROR):
        assert run(Told(ZeroDivisionError())) == 1

    assert states() == ["waiting"]
    assert "nobody foresaw" in row.attempts.get().problem
    assert row.notice.key in caplog.text


def test_at_most_so_many_at_once() -> None:
    DeliveryFactory.create_batch(3)

    assert run(Told(200), most=2) == 2

    assert sorted(states()) == ["sent", "sent", "waiting"]


def test_a_run_ends_before_the_next_begins(monkeypatch: pytest.MonkeyPatch) -> None:
    DeliveryFactory.create_batch(2)
    monkeypatch.setattr(delivering, "RUN_FOR", timedelta(microseconds=-1))

    assert run(Told(200)) == 0
    assert states() == ["waiting", "waiting"]


def test_messages_are_kept_for_ninety_days() -> None:
    old = NoticeFactory.create(at=NOW - timedelta(days=90, seconds=1))
    kept = NoticeFactory.create(at=NOW - timedelta(days=90))
    for notice in (old, kept):
        AttemptFactory.create(delivery__notice=notice)

    assert drop_old_notices(at=NOW) == 1
    assert drop_old_notices(at=NOW) == 0

    assert Notice.objects.get() == kept
    assert Delivery.objects.get().notice == kept
    assert Attempt.objects.get().delivery.notice == kept


def test_the_schedule_sends_and_removes(settings: Any) -> None:
    DeliveryFactory.create(next_at=now(), notice__at=now())
    NoticeFactory.create(at=datetime(2020, 1, 1, tzinfo=UTC))
    settings.WEBHOOK_NETWORKS = LOOPBACK
    with listening() as hub:
        Webhook.objects.update(url=hub.url)

        assert (send_messages(), drop_old_messages()) == (1, 1)

    assert json.loads(hub.came[0].body)["type"] == "finding.opened"
    assert states() == [DeliveryState.SENT]


def test_by_hand_it_is_the_same(settings: Any) -> None:
    DeliveryFactory.create(next_at=now())
    settings.WEBHOOK_NETWORKS = LOOPBACK
    out = StringIO()
    with listening() as hub:
        Webhook.objects.update(url=hub.url)
        for _ in range(2):
            call_command("send_messages", stdout=out)

    assert out.getvalue() == "1 sent.\nNothing is due.\n"
    with pytest.raises(CommandError, match="1 or more"):
        call_command("send_messages", "--most=0")
