"""Send what waits: rows are claimed, posted outside of any transaction, and noted.

A message is sent at least once. Where a worker dies between the answer and its note,
nobody knows whether it arrived, so it is sent again under the same name, and the
receiver leaves out what it has already.
"""

import logging
from dataclasses import dataclass
from datetime import datetime, timedelta
from random import Random  # noqa: TID251 - its type only; whoever calls brings one
from time import perf_counter

from django.conf import settings
from django.db import transaction
from django.db.models import F, QuerySet

from core import audit
from core.models import Attempt, Delivery, Notice, Webhook
from core.notice_words import DeliveryState
from core.webhooks.payloads import body_of
from core.webhooks.queries import next_delivery
from core.webhooks.retrying import (
    KEPT_FOR,
    LEASE,
    MOST_TRIES,
    failing_too_long_since,
    next_try,
)
from core.webhooks.sending import Answer, Sender
from core.webhooks.signing import nonces_of, signed_headers

logger = logging.getLogger(__name__)

MOST_AT_ONCE = 200
# The schedule comes again within a minute; what is left waits for that.
RUN_FOR = timedelta(seconds=45)
GONE = 410
UNSEEN = (
    "The worker that sent it ended before it could note the answer, so nobody knows "
    "whether it arrived."
)
UNFORESEEN = "An error that nobody foresaw; the log has the rest."
ENDED_BY_RECEIVER = "It answered 410: it wants nothing any more."
FAILED_TOO_LONG = "It took nothing for three days."


@dataclass(frozen=True, slots=True)
class _Claim:
    """A delivery that this worker has, until when, and since when by two clocks."""

    row: Delivery
    at: datetime
    began: float

    def still_mine(self) -> QuerySet[Delivery]:
        """Return the row, unless another worker has taken it meanwhile."""
        return Delivery.objects.filter(
            pk=self.row.pk,
            state=DeliveryState.WAITING.value,
            leased_until=self.row.leased_until,
            tries=self.row.tries,
        )


def send_waiting(
    *, sender: Sender, at: datetime, rng: Random, most: int = MOST_AT_ONCE
) -> int:
    """Send the messages that are due, one after the other.

    Any number of workers may do so at once: each message is claimed by a conditional
    update of exactly what was read. A webhook that fails is left alone for the rest of
    the run, so that one that is dead does not keep the others waiting.

    Args:
        sender: what posts them.
        at: when it begins; what is sent later is dated by the time that has passed.
        rng: what spreads the next tries.
        most: how many at most; a run ends after 45 seconds as well.

    Returns:
        How many were sent, taken by their receivers or not.
    """
    began = perf_counter()
    failed: set[int] = set()
    for sent in range(most):
        passed = timedelta(seconds=perf_counter() - began)
        if passed > RUN_FOR:
            return sent
        claim = _claim(at=at + passed, without=failed)
        if claim is None:
            return sent
        answer = _post(claim, sender)
        _note(claim, answer, rng)
        if not answer.is_taken:
            failed.add(claim.row.webhook_id)
    return most


def _claim(*, at: datetime, without: set[int]) -> _Claim | None:
    """Take the next delivery that nobody has; None where nothing is due."""
    while (row := next_delivery(at=at, without=without)) is not None:
        if _take(row, at=at):
            return _Claim(row, at, perf_counter())
    return None


@transaction.atomic
def _take(row: Delivery, *, at: datetime) -> bool:
    """Take a delivery as it was read; False where it is somebody else's or over."""
    # Who is later changes nothing.
    as_read = Delivery.objects.filter(
        pk=row.pk,
        state=DeliveryState.WAITING.value,
        leased_until=row.leased_until,
        tries=row.tries,
    )
    # Each worker that had it died; so it is not given to one after the other for ever.
    if is_last := row.tries >= MOST_TRIES:
        mine = as_read.update(
            state=DeliveryState.GIVEN_UP.value, leased_until=None, ended_at=at
        )
    else:
        mine = as_read.update(leased_until=at + LEASE, tries=F("tries") + 1)
    if mine and row.leased_until is not None:
        Attempt.objects.create(
            delivery=row, at=row.leased_until - LEASE, problem=UNSEEN
        )
    row.leased_until, row.tries = at + LEASE, row.tries + 1
    return bool(mine) and not is_last


def _post(claim: _Claim, sender: Sender) -> Answer:
    notice, webhook = claim.row.notice, claim.row.webhook
    body = body_of(notice, address=settings.ADDRESS)
    headers = signed_headers(
        body, key=notice.key, at=claim.at, nonces=nonces_of(webhook, at=claim.at)
    )
    try:
        return sender.post(webhook.url, body=body, headers=headers)
    except Exception:
        # One message must not keep the others waiting.
        logger.exception("message %s to webhook %s failed", notice.key, webhook.pk)
        return Answer(None, UNFORESEEN)


@transaction.atomic
def _note(claim: _Claim, answer: Answer, rng: Random) -> None:
    """Note what came of an attempt; nothing where another worker has it by now."""
    passed = timedelta(seconds=perf_counter() - claim.began)
    ended_at = claim.at + passed
    again_at = next_try(claim.row.tries, at=ended_at, rng=rng)
    if answer.is_taken:
        mine = _end(claim, DeliveryState.SENT, ended_at)
    elif answer.status == GONE or again_at is None:
        mine = _end(claim, DeliveryState.GIVEN_UP, ended_at)
    else:
        mine = claim.still_mine().update(leased_until=None, next_at=again_at)
    if not mine:
        return
    Attempt.objects.create(
        delivery=claim.row,
        at=claim.at,
        status=answer.status,
        problem=answer.problem[:300],
        answer=answer.text,
        duration_ms=round(passed.total_seconds() * 1000),
    )
    _judge(claim.row.webhook, answer, at=ended_at)


def _end(claim: _Claim, state: DeliveryState, at: datetime) -> int:
    return claim.still_mine().update(state=state.value, leased_until=None, ended_at=at)


def _judge(webhook: Webhook, answer: Answer, *, at: datetime) -> None:
    """Note whether a webhook works, and leave it alone where it does not."""
    standing = Webhook.objects.filter(
        pk=webhook.pk, ended_at__isnull=True, paused_at__isnull=True
    )
    if answer.is_taken:
        standing.filter(failing_since__isnull=False).update(failing_since=None)
        return
    standing.filter(failing_since__isnull=True).update(failing_since=at)
    if answer.status == GONE:
        if standing.update(ended_at=at, why=ENDED_BY_RECEIVER):
            give_up_waiting(webhook, at=at)
            _note_end(webhook, "end_webhook", at=at)
    elif standing.filter(failing_since__lte=failing_too_long_since(at)).update(
        paused_at=at, why=FAILED_TOO_LONG
    ):
        _note_end(webhook, "pause_webhook", at=at)


def _note_end(webhook: Webhook, verb: str, *, at: datetime) -> None:
    webhook.refresh_from_db()
    after = audit.values(webhook, "paused_at", "ended_at", "why")
    audit.record(webhook, verb=verb, by=None, at=at, after=after)


def give_up_waiting(webhook: Webhook, *, at: datetime) -> int:
    """Give up what still waits for a webhook that has ended.

    Returns:
        How many messages.
    """
    waiting = webhook.deliveries.filter(state=DeliveryState.WAITING.value)
    return waiting.update(
        state=DeliveryState.GIVEN_UP.value, leased_until=None, ended_at=at
    )


@transaction.atomic
def drop_old_notices(*, at: datetime) -> int:
    """Remove messages past their time, with all that was noted of sending them.

    Args:
        at: now; what happened ninety days before goes, even where it still waits for a
            webhook that somebody left paused.

    Returns:
        How many messages.

    Source:
        ADR 0022.
    """
    _, dropped = Notice.objects.filter(at__lt=at - KEPT_FOR).delete()
    return dropped.get("core.Notice", 0)
