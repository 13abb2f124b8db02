"""Tell other programs what happened: rows in the same transaction as what happened.

Nothing is sent here and no worker is called; the schedule looks for what waits.
"""

import secrets
from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import transaction

from core.models import Delivery, Notice, Webhook
from core.notice_words import ABOUT, NoticeKind

KEY_BYTES = 16


@dataclass(frozen=True, slots=True)
class News:
    """One thing that happened.

    Attributes:
        subject_id: number of the record that it is about.
        data: plain JSON values that identify it: numbers, codes, words, days. Nothing
            of a household, no sentence, no name of a person or an animal; who wants
            more asks the API, where permissions are.
    """

    kind: NoticeKind
    subject_id: int
    data: dict[str, Any]


def tell(
    kinds: Collection[NoticeKind],
    news: Callable[[], Iterable[News]],
    *,
    at: datetime,
) -> int:
    """Write down what happened for the webhooks that want to know of it.

    Call it inside the transaction of the action in which it happens: then there is a
    message exactly where the thing was recorded. Where nobody listens it is one query
    and nothing is written; otherwise three, and those of `news`.

    Args:
        kinds: all that `news` may be of.
        news: makes it; called only where somebody listens.
        at: when it was recorded.

    Returns:
        How many things were written down.
    """
    listeners = _listeners(kinds)
    if not listeners:
        return 0
    wanted = {kind for listener in listeners for kind in listener.kinds}
    told = [one for one in news() if one.kind in wanted]
    return len(write_down(told, listeners, at=at))


def _listeners(kinds: Collection[NoticeKind]) -> list[Webhook]:
    """Return the webhooks that want any of these; paused ones too: theirs wait."""
    # Kinds are compared here: JSON is asked differently by each database, and a
    # house has a handful of webhooks.
    wanted = {kind.value for kind in kinds}
    standing = Webhook.objects.filter(ended_at__isnull=True).order_by("pk")
    return [row for row in standing if wanted & set(row.kinds)]


@transaction.atomic
def write_down(
    news: Sequence[News],
    listeners: Sequence[Webhook],
    *,
    at: datetime,
    whatever_is_wanted: bool = False,
) -> list[Notice]:
    """Write notices, and for each webhook that wants one a delivery that waits.

    Args:
        news: what happened; none writes nothing.
        listeners: to whom.
        at: now.
        whatever_is_wanted: each is for each listener, such as a test.

    Returns:
        The notices, in the order of the news.
    """
    notices = Notice.objects.bulk_create(
        Notice(
            key=f"msg_{secrets.token_hex(KEY_BYTES)}",
            kind=one.kind.value,
            at=at,
            subject=ABOUT[one.kind].subject,
            subject_id=one.subject_id,
            data=one.data,
        )
        for one in news
    )
    Delivery.objects.bulk_create(
        Delivery(webhook=listener, notice=notice, next_at=at)
        for notice in notices
        for listener in listeners
        if whatever_is_wanted or notice.kind in listener.kinds
    )
    return notices
