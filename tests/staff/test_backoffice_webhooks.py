"""Webhooks in the back office: made and rotated, with a secret that is shown once."""

from typing import Any

import pytest
from django.test import Client

from core.models import Delivery, Webhook
from core.webhooks.signing import secret_of
from tests.factories import NOW, DeliveryFactory, WebhookFactory
from tests.staff.record_forms import text, url

pytestmark = pytest.mark.django_db
TYPED: dict[str, Any] = {
    "name": "hub",
    "url": "https://8.8.8.8/hook",
    "kinds": ["egg.hatched"],
}


def test_one_is_made_and_its_secret_shown_once(owner: Client) -> None:
    answer = owner.post(url("core.webhook", "add/"), TYPED)

    row = Webhook.objects.get()
    assert (row.name, row.kinds, row.made_by is None) == ("hub", ["egg.hatched"], False)
    assert secret_of(row.nonce) in text(answer)
    assert "no-store" in answer.headers["Cache-Control"]
    shown = text(owner.get(url("core.webhook", f"{row.pk}/change/")))
    assert "https://8.8.8.8/hook" in shown
    assert row.nonce not in shown
    assert secret_of(row.nonce) not in shown


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"url": "https://10.0.0.1/"}, "leads to 10.0.0.1: a private network"),
        ({"kinds": ["webhook.test"]}, "Select a valid choice"),
        ({"kinds": []}, "This field is required"),
    ],
)
def test_a_refusal_stands_beside_the_form(
    change: dict[str, Any], said: str, owner: Client
) -> None:
    shown = text(owner.post(url("core.webhook", "add/"), TYPED | change))

    assert said in shown
    assert not Webhook.objects.exists()


def test_it_is_renamed_and_keeps_its_address(owner: Client) -> None:
    row = WebhookFactory.create()
    typed = {"name": "b", "kinds": ["packet.drawn", "egg.hatched"], "url": "https://x/"}

    owner.post(url("core.webhook", f"{row.pk}/change/"), typed)

    row.refresh_from_db()
    assert (row.name, row.kinds) == ("b", ["egg.hatched", "packet.drawn"])
    assert row.url == "https://hub.example/hook"


def test_its_steps(owner: Client) -> None:
    row = WebhookFactory.create()
    before = row.nonce

    def take(slug: str, **typed: str) -> str:
        return text(
            owner.post(url("core.webhook", f"{row.pk}/{slug}/"), typed, follow=True)
        )

    assert "gets a test within a minute" in take("test", sure="on")
    assert Delivery.objects.get().notice.kind == "webhook.test"
    shown = take("rotate", sure="on")
    row.refresh_from_db()
    assert (row.nonce != before, row.nonce_before) == (True, before)
    assert secret_of(row.nonce) in shown
    assert "is paused" in take("pause", reason="moving")
    assert "is sent to again" in take("resume", sure="on")
    assert "is not paused" in take("resume", sure="on")
    assert "is told nothing any more" in take("end", reason="gone")
    row.refresh_from_db()
    assert (row.why, row.ended_at is None) == ("gone", False)
    assert "ended on" in take("test", sure="on")


def test_messages_are_sent_again_many_at_once(owner: Client) -> None:
    over = DeliveryFactory.create_batch(2, state="given_up", tries=8, ended_at=NOW)
    waits = DeliveryFactory.create()
    chosen = [row.pk for row in (*over, waits)]

    answer = owner.post(
        url("core.delivery", ""),
        {"action": "again", "_selected_action": chosen},
        follow=True,
    )

    assert set(Delivery.objects.values_list("state", "tries")) == {("waiting", 0)}
    assert text(answer).count("waits already") == 1
