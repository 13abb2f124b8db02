"""What people do with webhooks, and what is refused them."""

from datetime import timedelta
from random import Random
from typing import Any

import pytest
from django.utils.timezone import now
from standardwebhooks.webhooks import Webhook as Judge

from core.models import AuditEntry, Delivery, User, Webhook
from core.notice_words import NoticeKind, WebhookState
from core.webhooks.actions import (
    WebhookError,
    WithSecret,
    change_webhook,
    end_webhook,
    make_webhook,
    pause_webhook,
    resume_webhook,
    rotate_secret,
    send_again,
    send_test,
)
from core.webhooks.addresses import WebhookAddressError
from core.webhooks.delivering import send_waiting
from tests.core.webhook_hub import house_sender, listening, resolver
from tests.factories import NOW, DeliveryFactory, UserFactory, WebhookFactory

pytestmark = pytest.mark.django_db
URL = "http://127.0.0.1:8099/hook"
HATCHED = NoticeKind.EGG_HATCHED


@pytest.fixture
def person() -> User:
    return UserFactory.create()


def make(person: User, **said: Any) -> WithSecret:
    wanted: dict[str, Any] = {
        "name": " hub ",
        "url": URL,
        "kinds": [NoticeKind.PACKET_READY, HATCHED],
        "sender": house_sender(),
        "by": person,
        "at": NOW,
    }
    return make_webhook(**(wanted | said))


def test_a_webhook_is_made_and_its_secret_is_nowhere(person: User) -> None:
    made = make(person)

    row = Webhook.objects.get()
    assert (row.name, row.url, row.made_by, row.made_at) == ("hub", URL, person, NOW)
    # In the order of the vocabulary, whatever order was asked for.
    assert row.kinds == ["egg.hatched", "packet.ready"]
    assert row.state is WebhookState.ACTIVE
    stored = str(Webhook.objects.values().get()) + str(AuditEntry.objects.values())
    assert made.secret not in stored
    assert made.secret.removeprefix("whsec_") not in stored
    entry = AuditEntry.objects.get()
    assert (entry.verb, entry.by, "nonce" in entry.after) == (
        "make_webhook",
        person,
        False,
    )


@pytest.mark.parametrize(
    "said",
    [
        {"name": "  "},
        {"name": "x" * 81},
        {"kinds": []},
        {"kinds": [NoticeKind.WEBHOOK_TEST]},
        {"kinds": [HATCHED, NoticeKind.WEBHOOK_TEST]},
    ],
)
def test_what_is_no_webhook_is_refused(said: dict[str, Any], person: User) -> None:
    with pytest.raises(WebhookError) as refused:
        make(person, **said)

    assert set(refused.value.fields) == set(said)
    assert not Webhook.objects.exists()


@pytest.mark.parametrize(
    ("url", "found"),
    [
        ("https://10.0.0.1/", "10.0.0.1"),
        ("https://169.254.169.254/latest/", "169.254.169.254"),
        ("https://hub.example/", "192.168.4.9"),
        ("http://hub.example/", "8.8.8.8"),
        ("https://a@hub.example/", "8.8.8.8"),
    ],
)
def test_an_address_inside_is_refused_when_it_is_named(
    url: str, found: str, person: User
) -> None:
    with pytest.raises(WebhookAddressError, match="Accepted:") as refused:
        make(person, url=url, sender=house_sender(resolve=resolver(found)))

    assert "url" in refused.value.fields
    assert not Webhook.objects.exists()


def test_it_is_changed_but_for_its_address(person: User) -> None:
    row = WebhookFactory.create(name="old", kinds=["egg.hatched"])

    change_webhook(
        webhook=row, name="new", kinds=[NoticeKind.PACKET_DRAWN], by=person, at=NOW
    )

    row.refresh_from_db()
    assert (row.name, row.kinds) == ("new", ["packet.drawn"])
    entry = AuditEntry.objects.get()
    assert (entry.before["name"], entry.after["name"]) == ("old", "new")


def test_after_a_rotation_both_secrets_hold_for_a_day(person: User) -> None:
    at = now()
    first = make(person, at=at)
    second = rotate_secret(webhook=first.webhook, by=person, at=at)
    assert first.secret != second.secret
    with listening() as hub:
        Webhook.objects.update(url=hub.url)
        send_test(webhook=second.webhook, by=person, at=at)
        send_waiting(sender=house_sender(), at=at, rng=Random(1))
        Webhook.objects.update(before_until=at)
        send_test(webhook=second.webhook, by=person, at=at)
        send_waiting(sender=house_sender(), at=at, rng=Random(1))

    during, after = hub.came
    assert len(during.headers["webhook-signature"].split()) == 2
    for secret in (first.secret, second.secret):
        assert Judge(secret).verify(during.body, during.headers)
    assert Judge(second.secret).verify(after.body, after.headers)
    with pytest.raises(Exception, match="No matching signature"):
        Judge(first.secret).verify(after.body, after.headers)


def test_the_secret_before_ends_a_day_later(person: User) -> None:
    row = make(person).webhook

    rotate_secret(webhook=row, by=person, at=NOW)

    row.refresh_from_db()
    assert row.before_until == NOW + timedelta(hours=24)


def test_paused_what_happens_waits_and_is_sent_when_resumed(person: User) -> None:
    row = WebhookFactory.create(failing_since=NOW)
    pause_webhook(webhook=row, reason=" holidays ", by=person, at=NOW)
    row.refresh_from_db()
    assert (row.state, row.why) == (WebhookState.PAUSED, "holidays")
    send_test(webhook=row, by=person, at=NOW)
    with listening() as hub:
        Webhook.objects.update(url=hub.url)
        assert send_waiting(sender=house_sender(), at=NOW, rng=Random(1)) == 0

        resume_webhook(webhook=row, by=person, at=NOW)
        assert send_waiting(sender=house_sender(), at=NOW, rng=Random(1)) == 1

    row.refresh_from_db()
    assert (row.state, row.why, row.failing_since) == (WebhookState.ACTIVE, "", None)


def test_ended_it_is_told_nothing_any_more(person: User) -> None:
    row = DeliveryFactory.create().webhook

    end_webhook(webhook=row, by=person, at=NOW)

    row.refresh_from_db()
    assert row.state is WebhookState.ENDED
    delivery = Delivery.objects.get()
    assert (delivery.state, delivery.ended_at) == ("given_up", NOW)
    for verb in (send_test, pause_webhook, resume_webhook, end_webhook, rotate_secret):
        with pytest.raises(WebhookError, match="ended on 2026-03-02"):
            verb(webhook=row, by=person, at=NOW)
    with pytest.raises(WebhookError, match="ended on 2026-03-02"):
        send_again(delivery=delivery, by=person, at=NOW)


def test_twice_is_refused(person: User) -> None:
    row = WebhookFactory.create()
    with pytest.raises(WebhookError, match="not paused"):
        resume_webhook(webhook=row, by=person, at=NOW)
    pause_webhook(webhook=row, by=person, at=NOW)
    with pytest.raises(WebhookError, match="paused since 2026-03-02 12:00"):
        pause_webhook(webhook=row, by=person, at=NOW)


def test_a_test_goes_to_the_one_that_is_tested(person: User) -> None:
    WebhookFactory.create()
    row = WebhookFactory.create(kinds=["egg.hatched"])

    delivery = send_test(webhook=row, by=person, at=NOW)

    assert Delivery.objects.get() == delivery
    assert (delivery.webhook, delivery.state, delivery.next_at) == (row, "waiting", NOW)
    notice = delivery.notice
    assert (notice.kind, notice.subject, notice.subject_id, notice.data) == (
        "webhook.test",
        "core.webhook",
        row.pk,
        {},
    )


@pytest.mark.parametrize("state", ["sent", "given_up"])
def test_what_is_over_is_sent_again_under_its_name(state: str, person: User) -> None:
    row = DeliveryFactory.create(state=state, tries=8, ended_at=NOW - timedelta(days=4))
    with listening() as hub:
        Webhook.objects.update(url=hub.url)

        send_again(delivery=row, by=person, at=NOW)
        row.refresh_from_db()
        assert (row.state, row.tries, row.ended_at) == ("waiting", 0, None)
        with pytest.raises(WebhookError, match="waits already"):
            send_again(delivery=row, by=person, at=NOW)
        send_waiting(sender=house_sender(), at=NOW, rng=Random(1))

    assert [came.headers["webhook-id"] for came in hub.came] == [row.notice.key]
    assert AuditEntry.objects.get(verb="send_again").by == person
