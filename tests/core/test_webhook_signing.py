"""Signatures, judged by the reference library of Standard Webhooks."""

import base64
import json
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from standardwebhooks.webhooks import Webhook as Judge
from standardwebhooks.webhooks import WebhookVerificationError

from core.models import Webhook
from core.webhooks.payloads import body_of
from core.webhooks.signing import (
    new_nonce,
    nonces_of,
    secret_of,
    signed_headers,
)
from tests.factories import NOW, NoticeFactory

BODY = json.dumps({"type": "egg.hatched", "data": {"clutch": "C-é"}}).encode()


def just_now() -> datetime:
    """The judge looks at the clock: it refuses what is older than five minutes."""
    return datetime.now(UTC)


def test_the_reference_takes_what_is_signed() -> None:
    nonce = new_nonce()

    headers = signed_headers(BODY, key="msg_1", at=just_now(), nonces=[nonce])

    assert Judge(secret_of(nonce)).verify(BODY, headers) == json.loads(BODY)


def test_the_reference_signs_alike() -> None:
    nonce, at = new_nonce(), datetime(2026, 3, 2, 12, 0, 0, 999_999, tzinfo=UTC)

    headers = signed_headers(BODY, key="msg_1", at=at, nonces=[nonce])

    assert headers == {
        "webhook-id": "msg_1",
        "webhook-timestamp": "1772452800",
        "webhook-signature": Judge(secret_of(nonce)).sign("msg_1", at, BODY.decode()),
    }


@pytest.mark.parametrize(
    "change",
    [
        {"webhook-id": "msg_2"},
        {"webhook-timestamp": str(int(just_now().timestamp()) + 1)},
        {"webhook-signature": "v1,AAAA"},
    ],
)
def test_the_reference_refuses_what_was_altered(change: dict[str, str]) -> None:
    nonce = new_nonce()
    headers = signed_headers(
        BODY, key="msg_1", at=just_now() - timedelta(seconds=9), nonces=[nonce]
    )
    judge = Judge(secret_of(nonce))
    judge.verify(BODY, headers)

    with pytest.raises(WebhookVerificationError):
        judge.verify(BODY, headers | change)
    with pytest.raises(WebhookVerificationError):
        judge.verify(BODY + b" ", headers)


def test_another_secret_fits_nothing() -> None:
    headers = signed_headers(BODY, key="m", at=just_now(), nonces=[new_nonce()])

    with pytest.raises(WebhookVerificationError):
        Judge(secret_of(new_nonce())).verify(BODY, headers)


def test_both_secrets_sign_for_a_day() -> None:
    old, new = new_nonce(), new_nonce()
    hook = Webhook(nonce=new, nonce_before=old, before_until=NOW)
    second = timedelta(seconds=1)

    assert nonces_of(hook, at=NOW - second) == (new, old)
    assert nonces_of(hook, at=NOW) == (new,)
    assert nonces_of(Webhook(nonce=new), at=NOW) == (new,)
    headers = signed_headers(BODY, key="m", at=just_now(), nonces=[new, old])
    for nonce in (old, new):
        assert Judge(secret_of(nonce)).verify(BODY, headers)


def test_a_secret_is_as_the_specification_wants_it(settings: Any) -> None:
    nonce = new_nonce()

    secret = secret_of(nonce)

    # 24 to 64 bytes, Base64, this prefix.
    assert secret.startswith("whsec_")
    assert len(base64.b64decode(secret.removeprefix("whsec_"), validate=True)) == 32
    assert secret == secret_of(nonce)
    assert nonce not in secret
    settings.SECRET_KEY = "another key of the same house, long enough to be one"
    assert secret_of(nonce) != secret


@pytest.mark.django_db
@pytest.mark.parametrize("address", ["", "https://keep.example"])
def test_a_message_says_what_happened_and_where_to_ask(address: str) -> None:
    notice = NoticeFactory.create(at=datetime(2026, 3, 2, 6, 0, 0, 500, tzinfo=UTC))

    body = body_of(notice, address=address)

    assert json.loads(body) == {
        "type": "finding.opened",
        "timestamp": "2026-03-02T06:00:00.000500Z",
        "data": {
            "id": 7,
            "address": f"{address}/api/v1/findings/7/",
            "kind": "weight_loss",
            "animal": "V-1",
        },
    }
    notice.refresh_from_db()
    assert body_of(notice, address=address) == body
