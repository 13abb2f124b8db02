"""The signature of a message: Standard Webhooks, symmetric.

The secret is derived, not stored: from a row's nonce and the installation's key. Who
reads the database, or a copy of it, can sign nothing.
"""

import base64
import hashlib
import hmac
import secrets
from collections.abc import Sequence
from datetime import datetime

from django.utils.crypto import salted_hmac

from core.models import Webhook

PREFIX = "whsec_"
NONCE_BYTES = 24
_SALT = "core.webhooks.secret"


def new_nonce() -> str:
    """Return something new to derive a secret from; by itself it signs nothing."""
    return secrets.token_urlsafe(NONCE_BYTES)


def secret_of(nonce: str) -> str:
    """Return the secret as its owner is given it: `whsec_` and 32 bytes in Base64.

    Args:
        nonce: of a webhook. Under another `SECRET_KEY` it gives another secret.

    Source:
        standard-webhooks
    """
    return f"{PREFIX}{base64.b64encode(_bytes_of(nonce)).decode()}"


def _bytes_of(nonce: str) -> bytes:
    return salted_hmac(_SALT, nonce, algorithm="sha256").digest()


def nonces_of(webhook: Webhook, *, at: datetime) -> tuple[str, ...]:
    """Return what signs a webhook's messages: its nonce, and for a day the one before.

    Args:
        webhook: whose.
        at: when it is signed.
    """
    before = webhook.before_until is not None and at < webhook.before_until
    return (webhook.nonce, webhook.nonce_before) if before else (webhook.nonce,)


def signed_headers(
    body: bytes, *, key: str, at: datetime, nonces: Sequence[str]
) -> dict[str, str]:
    """Return the headers by which a receiver knows who sent a message, and when.

    Args:
        body: the very bytes that are posted.
        key: the message's name; the same each time it is sent.
        at: when it is sent; a receiver refuses what is minutes old.
        nonces: a signature each, the newest secret's first.

    Returns:
        `webhook-id`, `webhook-timestamp` in whole seconds, and `webhook-signature`:
        `v1,` and the HMAC-SHA256 of `id.timestamp.body` in Base64, one for each secret.

    Source:
        standard-webhooks
    """
    stamp = str(int(at.timestamp()))
    signed = f"{key}.{stamp}.".encode() + body
    signatures = [_signature(_bytes_of(nonce), signed) for nonce in nonces]
    return {
        "webhook-id": key,
        "webhook-timestamp": stamp,
        "webhook-signature": " ".join(signatures),
    }


def _signature(secret: bytes, signed: bytes) -> str:
    digest = hmac.new(secret, signed, hashlib.sha256).digest()
    return f"v1,{base64.b64encode(digest).decode()}"
