"""What a message says: what happened and where to ask, nothing of a household."""

import json
from datetime import UTC

from core.models import Notice
from core.notice_words import ABOUT, NoticeKind


def body_of(notice: Notice, *, address: str) -> bytes:
    """Return a message's body: the same bytes each time, so that it can be signed.

    Args:
        notice: what happened.
        address: where people reach this house, without a slash at its end; "": the
            address of the thing is told without it.

    Returns:
        JSON in UTF-8: `type`, `timestamp`, `data` with `id` and `address` of the thing.

    Source:
        standard-webhooks
    """
    path = ABOUT[NoticeKind(notice.kind)].path.format(notice.subject_id)
    data = {
        "id": notice.subject_id,
        "address": f"{address}/api/v1/{path}",
        **notice.data,
    }
    told = {
        "type": notice.kind,
        "timestamp": notice.at.astimezone(UTC).isoformat().replace("+00:00", "Z"),
        "data": data,
    }
    return json.dumps(told, ensure_ascii=False, separators=(",", ":")).encode()
