"""Webhooks through the API: made, changed, paused, ended, and every message read."""

from datetime import timedelta
from random import Random
from typing import Any

import pytest
from rest_framework.test import APIClient

from api.urls import urlpatterns
from api.webhooks import Webhooks
from core.models import AuditEntry, Delivery, Webhook
from core.notice_words import ABOUT
from core.roles import Role
from core.webhooks.delivering import send_waiting
from core.webhooks.signing import secret_of
from tests.api.conftest import Caller
from tests.core.webhook_hub import LOOPBACK, house_sender, listening
from tests.factories import NOW, AttemptFactory, DeliveryFactory, WebhookFactory

API = "/api/v1"
# A literal address needs no name server; nothing is sent to it here.
WANTED = {
    "name": "hub",
    "url": "https://8.8.8.8/hook",
    "kinds": ["packet.ready", "egg.hatched"],
}


def test_one_is_made_and_its_secret_answered_once(owner: APIClient) -> None:
    answer = owner.post(f"{API}/webhooks/", WANTED)

    assert answer.status_code == 201
    assert answer["Cache-Control"] == "no-store"
    row = Webhook.objects.get()
    made = answer.json()
    assert made["secret"] == secret_of(row.nonce)
    assert made["webhook"] == {
        "id": row.pk,
        "name": "hub",
        "url": "https://8.8.8.8/hook",
        "kinds": ["egg.hatched", "packet.ready"],
        "state": "active",
        "made_at": made["webhook"]["made_at"],
        "made_by": row.made_by.username,
        "before_until": None,
        "failing_since": None,
        "paused_at": None,
        "ended_at": None,
        "why": "",
    }
    one = owner.get(f"{API}/webhooks/{row.pk}/")
    assert one.json() == made["webhook"]
    for text in (one.content, owner.get(f"{API}/audit-entries/").content):
        assert made["secret"].encode() not in text
        assert row.nonce.encode() not in text


def test_which_answers_hold_a_secret() -> None:
    assert Webhooks.secret_answers == {"create", "rotate"}


@pytest.mark.parametrize(
    ("change", "status", "code", "field"),
    [
        ({"url": "http://8.8.8.8/"}, 409, "webhook_address_refused", "url"),
        ({"url": "https://127.0.0.1/"}, 409, "webhook_address_refused", "url"),
        ({"url": "https://[::1]/"}, 409, "webhook_address_refused", "url"),
        ({"url": "https://169.254.169.254/"}, 409, "webhook_address_refused", "url"),
        ({"url": "https://a..b/"}, 409, "webhook_address_refused", "url"),
        ({"url": "x" * 501}, 400, "invalid_body", "url"),
        ({"name": ""}, 400, "invalid_body", "name"),
        ({"name": " "}, 409, "webhook_refused", "name"),
        ({"kinds": []}, 400, "invalid_body", "kinds"),
        ({"kinds": ["webhook.test"]}, 409, "webhook_refused", "kinds"),
        ({"kinds": ["egg.laid"]}, 400, "invalid_body", "kinds[0]"),
        ({"secret": "mine"}, 400, "invalid_body", "secret"),
    ],
)
def test_what_is_refused_says_why(
    change: dict[str, Any], status: int, code: str, field: str, owner: APIClient
) -> None:
    answer = owner.post(f"{API}/webhooks/", WANTED | change)

    assert (answer.status_code, answer.json()["code"]) == (status, code)
    assert list(answer.json()["fields"]) == [field]
    assert answer["Content-Type"] == "application/problem+json"
    assert not Webhook.objects.exists()


def test_a_kind_that_is_none_is_told_which_there_are(owner: APIClient) -> None:
    answer = owner.post(f"{API}/webhooks/", WANTED | {"kinds": ["egg.laid"]})

    assert "egg.hatched, placement.handed_over" in answer.json()["fields"]["kinds[0]"]


def test_a_house_can_allow_its_own_hub(owner: APIClient, settings: Any) -> None:
    settings.WEBHOOK_NETWORKS = LOOPBACK

    answer = owner.post(f"{API}/webhooks/", WANTED | {"url": "http://127.0.0.1:8123/"})

    assert answer.status_code == 201


def test_its_life(owner: APIClient) -> None:
    row = WebhookFactory(kinds=["egg.hatched"])
    one = f"{API}/webhooks/{row.pk}"

    changed = owner.post(f"{one}/change/", {"name": "b", "kinds": ["packet.drawn"]})
    rotated = owner.post(f"{one}/rotate/")
    paused = owner.post(f"{one}/pause/", {"reason": "moving"})
    resumed = owner.post(f"{one}/resume/")
    ended = owner.post(f"{one}/end/", {})
    late = owner.post(f"{one}/resume/")

    assert changed.json()["kinds"] == ["packet.drawn"]
    row.refresh_from_db()
    assert rotated.json()["secret"] == secret_of(row.nonce)
    assert rotated["Cache-Control"] == "no-store"
    assert rotated.json()["webhook"]["before_until"] is not None
    assert (paused.json()["state"], paused.json()["why"]) == ("paused", "moving")
    assert (resumed.json()["state"], resumed.json()["why"]) == ("active", "")
    assert ended.json()["state"] == "ended"
    assert (late.status_code, late.json()["code"]) == (409, "webhook_refused")
    verbs = AuditEntry.objects.order_by("pk").values_list("verb", flat=True)
    assert list(verbs) == [
        "change_webhook",
        "rotate_webhook_secret",
        "pause_webhook",
        "resume_webhook",
        "end_webhook",
    ]


def test_a_test_is_asked_for_sent_and_read(owner: APIClient) -> None:
    row = WebhookFactory()
    asked = owner.post(f"{API}/webhooks/{row.pk}/test/")
    assert asked.status_code == 201
    assert (asked.json()["state"], asked.json()["attempts"]) == ("waiting", [])
    one = f"{API}/webhook-deliveries/{asked.json()['id']}/"
    with listening((500, {}, b"down"), (200, {}, b"up")) as hub:
        Webhook.objects.update(url=hub.url)
        at = Delivery.objects.get().next_at
        for hours in (0, 1):
            send_waiting(
                sender=house_sender(), at=at + timedelta(hours=hours), rng=Random(1)
            )

    told = owner.get(one).json()

    assert told["notice"]["kind"] == "webhook.test"
    assert (told["state"], told["tries"], told["next_at"]) == ("sent", 2, None)
    assert [(a["status"], a["answer"]) for a in told["attempts"]] == [
        (500, "down"),
        (200, "up"),
    ]
    assert told["attempts"][0]["problem"].startswith("It answered 500")
    again = owner.post(f"{one}again/")
    assert (again.status_code, again.json()["state"]) == (200, "waiting")
    twice = owner.post(f"{one}again/")
    assert (twice.status_code, twice.json()["code"]) == (409, "webhook_refused")


def test_a_delivery_as_it_is_answered(owner: APIClient) -> None:
    attempt = AttemptFactory()
    row = attempt.delivery

    (told,) = owner.get(f"{API}/webhook-deliveries/").json()["results"]

    assert told == {
        "id": row.pk,
        "webhook": row.webhook_id,
        "notice": {
            "key": row.notice.key,
            "kind": "finding.opened",
            "at": "2026-03-02T12:00:00Z",
            "subject": "husbandry.finding",
            "subject_id": 7,
            "data": {"kind": "weight_loss", "animal": "V-1"},
        },
        "state": "waiting",
        "tries": 0,
        "next_at": "2026-03-02T12:00:00Z",
        "ended_at": None,
        "attempts": [
            {
                "at": "2026-03-02T12:00:00Z",
                "status": 503,
                "problem": "It answered 503 Service Unavailable.",
                "answer": "",
                "duration_ms": 12,
            }
        ],
    }


def test_ended_ones_can_be_listed(owner: APIClient) -> None:
    WebhookFactory(paused_at=NOW)
    ended = WebhookFactory(paused_at=NOW, ended_at=NOW)

    rows = owner.get(f"{API}/webhooks/?state=ended").json()["results"]

    assert [row["id"] for row in rows] == [ended.pk]


def test_who_may_not_set_webhooks_sees_no_trail_of_them(caller: Caller) -> None:
    person = caller(Role.OWNER)
    person.post(f"{API}/webhooks/", WANTED)
    row = DeliveryFactory(state="sent", ended_at=NOW)
    person.post(f"{API}/webhook-deliveries/{row.pk}/again/")

    assert len(person.get(f"{API}/audit-entries/").json()["results"]) == 2
    vet = caller(Role.VET)
    assert vet.get(f"{API}/audit-entries/").json()["results"] == []


def test_each_address_in_a_message_is_one_of_the_api() -> None:
    lists = {str(p.pattern).strip("^$\\Z") for p in urlpatterns}
    for about in ABOUT.values():
        address = about.path.format("(?P<id>[0-9]{1,18})")
        assert address in lists, about
