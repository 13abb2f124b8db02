"""The page for people who write receivers works as it is printed."""

import json
import os
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from random import Random
from typing import Any

import pytest
from django.conf import settings
from django.utils.timezone import now

from config import environment
from core.models import Attempt, Delivery, Webhook
from core.notice_words import WANTABLE
from core.webhooks.delivering import send_waiting
from core.webhooks.payloads import body_of
from core.webhooks.retrying import PAUSES
from core.webhooks.signing import secret_of
from tests.core.webhook_hub import house_sender
from tests.factories import DeliveryFactory, NoticeFactory, WebhookFactory

pytestmark = pytest.mark.django_db
PAGE = (Path(settings.BASE_DIR) / "docs" / "webhooks.md").read_text(encoding="utf-8")


def block(language: str) -> str:
    found = re.search(rf"```{language}\n(.*?)```", PAGE, re.DOTALL)
    assert found
    return found[1]


@pytest.fixture
def hook() -> Webhook:
    return WebhookFactory.create()


@pytest.fixture
def receiver(hook: Webhook, tmp_path: Path) -> Iterator[subprocess.Popen[str]]:
    """Run the receiver of the page as whoever copies it does."""
    script = tmp_path / "receiver.py"
    script.write_text(block("python"), encoding="utf-8")
    told = {"SPURBOOK_WEBHOOK_SECRET": secret_of(hook.nonce), "PORT": "0"}
    with subprocess.Popen(
        [sys.executable, "-I", str(script)],
        env=os.environ | told,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
    ) as process:
        assert process.stdout
        port = process.stdout.readline().removeprefix("listening on ").strip()
        Webhook.objects.filter(pk=hook.pk).update(url=f"http://127.0.0.1:{port}/")
        yield process
        process.terminate()


def send() -> None:
    send_waiting(sender=house_sender(), at=now(), rng=Random(1))


def statuses() -> list[int | None]:
    return list(Attempt.objects.order_by("pk").values_list("status", flat=True))


def test_the_receiver_takes_what_is_ours_once(
    hook: Webhook, receiver: subprocess.Popen[str]
) -> None:
    at = now()
    row = DeliveryFactory.create(webhook=hook, notice__at=at, next_at=at)
    send()
    Delivery.objects.update(state="waiting", ended_at=None)
    send()
    other = DeliveryFactory.create(webhook=hook, notice__at=at, next_at=at)
    send()

    receiver.terminate()
    assert receiver.stdout
    lines = receiver.stdout.read().splitlines()

    assert statuses() == [204, 204, 204]
    assert row.notice.key != other.notice.key
    # The second one came under the name of the first, and was left out.
    assert lines == ["finding.opened /api/v1/findings/7/"] * 2


def test_the_receiver_refuses_what_is_not(
    hook: Webhook, receiver: subprocess.Popen[str]
) -> None:
    Webhook.objects.update(nonce="another")
    DeliveryFactory.create(webhook=hook, next_at=now())

    send()

    assert statuses() == [401]


def test_the_receiver_takes_either_secret_while_one_is_changed(
    hook: Webhook, receiver: subprocess.Popen[str]
) -> None:
    at = now()
    Webhook.objects.update(
        nonce="new", nonce_before=hook.nonce, before_until=at + PAUSES[0]
    )
    DeliveryFactory.create(webhook=hook, next_at=at)

    send()

    assert statuses() == [204]


def test_the_message_of_the_page_is_one() -> None:
    told = json.loads(block("json"))
    data = {k: v for k, v in told["data"].items() if k not in ("id", "address")}
    notice = NoticeFactory.create(at=told["timestamp"], subject_id=412, data=data)
    notice.refresh_from_db()

    assert json.loads(body_of(notice, address="https://keep.example")) == told


def test_the_page_names_every_kind_and_the_setting(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    assert re.findall(r"^\| `([a-z_.]+)` \|", PAGE, re.MULTILINE) == list(WANTABLE)
    (value,) = re.findall(r"export SPURBOOK_WEBHOOK_NETWORKS=(\S+)", PAGE)
    monkeypatch.setenv("SPURBOOK_WEBHOOK_NETWORKS", value)
    assert len(environment.networks("SPURBOOK_WEBHOOK_NETWORKS")) == 2


def test_what_the_page_sends_is_understood() -> None:
    (body,) = re.findall(r"-d '(.*)'", PAGE)
    said: dict[str, Any] = json.loads(body)

    assert set(said) == {"name", "url", "kinds"}
    assert set(said["kinds"]) <= set(WANTABLE)
