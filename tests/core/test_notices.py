"""What happened is written down where somebody listens, and nowhere else."""

from collections.abc import Callable, Iterator
from typing import Any

import pytest

from core.models import Delivery, Notice
from core.notice_words import ABOUT, NoticeKind
from core.notices import News, tell
from tests.factories import NOW, WebhookFactory

pytestmark = pytest.mark.django_db
OPENED, CLOSED = NoticeKind.FINDING_OPENED, NoticeKind.FINDING_CLOSED
BOTH = {OPENED, CLOSED}


def news() -> list[News]:
    return [News(OPENED, 1, {"n": 1}), News(CLOSED, 2, {}), News(OPENED, 3, {})]


def never() -> Iterator[News]:
    raise AssertionError("nobody listens, and it was made all the same")


def test_where_nobody_listens_it_is_one_query_and_nothing_is_made(
    django_assert_num_queries: Callable[..., Any],
) -> None:
    WebhookFactory.create(kinds=["egg.hatched"])
    WebhookFactory.create(ended_at=NOW)

    with django_assert_num_queries(1):
        assert tell(BOTH, never, at=NOW) == 0

    assert not Notice.objects.exists()


def test_each_is_told_what_it_wants() -> None:
    opened = WebhookFactory.create(kinds=["finding.opened"])
    both = WebhookFactory.create(kinds=["finding.opened", "finding.closed"])
    paused = WebhookFactory.create(kinds=["finding.closed"], paused_at=NOW)
    WebhookFactory.create(kinds=["packet.ready"])

    assert tell(BOTH, news, at=NOW) == 3

    told = {
        (row.webhook_id, row.notice.subject_id)
        for row in Delivery.objects.select_related("notice")
    }
    assert told == {
        *((opened.pk, 1), (opened.pk, 3)),
        *((both.pk, 1), (both.pk, 2), (both.pk, 3)),
        (paused.pk, 2),
    }
    first = Notice.objects.get(subject_id=1)
    assert (first.kind, first.at, first.data) == ("finding.opened", NOW, {"n": 1})
    assert first.subject == "husbandry.finding"
    assert len({notice.key for notice in Notice.objects.all()}) == 3


def test_what_nobody_wants_of_it_is_left_out() -> None:
    WebhookFactory.create(kinds=["finding.closed"])

    assert tell(BOTH, news, at=NOW) == 1

    assert Notice.objects.get().kind == "finding.closed"


@pytest.mark.parametrize("number", [1, 40])
def test_as_many_queries_for_a_whole_night(
    number: int, django_assert_num_queries: Callable[..., Any]
) -> None:
    WebhookFactory.create_batch(2)

    # Who listens, the notices, the deliveries; and the transaction around these two.
    with django_assert_num_queries(5):
        tell(BOTH, lambda: [News(OPENED, n, {}) for n in range(number)], at=NOW)

    assert Delivery.objects.count() == 2 * number


def test_every_kind_says_what_it_is_about() -> None:
    assert set(ABOUT) == set(NoticeKind)
