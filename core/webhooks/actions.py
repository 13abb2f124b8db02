"""What people do with webhooks: make, change, rotate, pause, resume, end, test, again."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from core import audit
from core.errors import DomainError
from core.models import Delivery, User, Webhook
from core.notice_words import WANTABLE, DeliveryState, NoticeKind
from core.notices import News, write_down
from core.webhooks.addresses import target_of
from core.webhooks.delivering import give_up_waiting
from core.webhooks.retrying import BOTH_SIGN_FOR
from core.webhooks.sending import Sender, checked_addresses
from core.webhooks.signing import new_nonce, secret_of

LONGEST_NAME = 80


class WebhookError(DomainError):
    """A webhook cannot be as asked."""

    code = "webhook_refused"


@dataclass(frozen=True, slots=True)
class WithSecret:
    """A webhook and its secret, which is shown this once."""

    webhook: Webhook
    secret: str


def make_webhook(
    *,
    name: str,
    url: str,
    kinds: Collection[NoticeKind],
    sender: Sender,
    by: User | None,
    at: datetime,
) -> WithSecret:
    """Let another program be told what happens here, from now on.

    Args:
        name: what listens there.
        url: where messages go; looked at now, and again whenever one is sent.
        kinds: of what it is told, at least one.
        sender: what will send them; it knows which networks are allowed.
        by: the person.
        at: now.

    Returns:
        The webhook, and the secret that its messages are signed with.

    Raises:
        WebhookError: no name, or nothing is wanted.
        WebhookAddressError: no message may go to that address.
    """
    row = Webhook(
        name=_checked_name(name),
        url=url,
        kinds=_checked_kinds(kinds),
        nonce=new_nonce(),
        made_at=at,
        made_by=by,
    )
    # A name server may be slow; nobody else waits for it to write.
    target = target_of(url, networks=sender.networks)
    checked_addresses(target, resolve=sender.resolve, networks=sender.networks)
    with transaction.atomic():
        row.save()
        after = audit.values(row, "name", "url", "kinds")
        audit.record(row, verb="make_webhook", by=by, at=at, after=after)
    return WithSecret(row, secret_of(row.nonce))


def _checked_name(name: str) -> str:
    if not 0 < len(name.strip()) <= LONGEST_NAME:
        raise WebhookError(
            "A webhook needs a name: say what listens there.",
            fields={"name": f"1 to {LONGEST_NAME} signs"},
        )
    return name.strip()


def _checked_kinds(kinds: Collection[NoticeKind]) -> list[str]:
    known = ", ".join(WANTABLE)
    if not kinds or not set(kinds) <= set(WANTABLE):
        raise WebhookError(
            f"Say of what it is told; there are: {known}.",
            fields={"kinds": f"one or more of: {known}"},
        )
    return [kind.value for kind in WANTABLE if kind in kinds]


@transaction.atomic
def change_webhook(
    *,
    webhook: Webhook,
    name: str,
    kinds: Collection[NoticeKind],
    by: User | None,
    at: datetime,
) -> Webhook:
    """Call a webhook otherwise, or tell it of other things from now on.

    Its address stays: another one is another webhook, with a secret of its own.

    Args:
        webhook: not ended.
        name: what listens there.
        kinds: of what it is told, at least one.
        by: the person.
        at: now.

    Raises:
        WebhookError: it has ended, no name, or nothing is wanted.
    """
    row = _standing(webhook)
    before = audit.values(row, "name", "kinds")
    row.name, row.kinds = _checked_name(name), _checked_kinds(kinds)
    row.save(update_fields=["name", "kinds"])
    after = audit.values(row, "name", "kinds")
    audit.record(row, verb="change_webhook", by=by, at=at, before=before, after=after)
    return row


@transaction.atomic
def rotate_secret(*, webhook: Webhook, by: User | None, at: datetime) -> WithSecret:
    """Give a webhook a new secret; for a day the one before signs along.

    Args:
        webhook: not ended.
        by: the person.
        at: now.

    Returns:
        The webhook, and its new secret.

    Raises:
        WebhookError: it has ended.
    """
    row = _standing(webhook)
    row.nonce_before, row.nonce = row.nonce, new_nonce()
    row.before_until = at + BOTH_SIGN_FOR
    row.save(update_fields=["nonce", "nonce_before", "before_until"])
    after = audit.values(row, "before_until")
    audit.record(row, verb="rotate_webhook_secret", by=by, at=at, after=after)
    return WithSecret(row, secret_of(row.nonce))


@transaction.atomic
def pause_webhook(
    *, webhook: Webhook, by: User | None, at: datetime, reason: str = ""
) -> Webhook:
    """Send nothing to a webhook for now; what happens meanwhile waits for it.

    Args:
        webhook: neither paused nor ended.
        by: the person.
        at: now.
        reason: why; may be empty.

    Raises:
        WebhookError: it is paused already, or has ended.
    """
    row = _standing(webhook)
    if row.paused_at is not None:
        raise WebhookError(f"{row} is paused since {row.paused_at:%Y-%m-%d %H:%M %Z}.")
    row.paused_at, row.why = at, reason.strip()
    return _kept(row, "pause_webhook", by=by, at=at, reason=reason)


@transaction.atomic
def resume_webhook(*, webhook: Webhook, by: User | None, at: datetime) -> Webhook:
    """Send to a webhook again, first what waited for it.

    Args:
        webhook: paused.
        by: the person.
        at: now.

    Raises:
        WebhookError: it is not paused, or has ended.
    """
    row = _standing(webhook)
    if row.paused_at is None:
        raise WebhookError(f"{row} is not paused; there is nothing to resume.")
    row.paused_at, row.failing_since, row.why = None, None, ""
    return _kept(row, "resume_webhook", by=by, at=at)


@transaction.atomic
def end_webhook(
    *, webhook: Webhook, by: User | None, at: datetime, reason: str = ""
) -> Webhook:
    """Tell a webhook nothing any more; what still waits for it is given up.

    Args:
        webhook: not ended.
        by: the person.
        at: now.
        reason: why; may be empty.

    Raises:
        WebhookError: it has ended already.
    """
    row = _standing(webhook)
    row.ended_at, row.why = at, reason.strip()
    give_up_waiting(row, at=at)
    return _kept(row, "end_webhook", by=by, at=at, reason=reason)


def _standing(webhook: Webhook) -> Webhook:
    """Return a webhook as it stands now, for this transaction alone.

    Raises:
        WebhookError: it has ended.
    """
    row = Webhook.objects.select_for_update().get(pk=webhook.pk)
    if row.ended_at is not None:
        raise WebhookError(
            f"{row} ended on {row.ended_at:%Y-%m-%d}. Make a new one for its address."
        )
    return row


def _kept(
    row: Webhook, verb: str, *, by: User | None, at: datetime, reason: str = ""
) -> Webhook:
    row.save(update_fields=["paused_at", "ended_at", "failing_since", "why"])
    after = audit.values(row, "paused_at", "ended_at")
    audit.record(row, verb=verb, by=by, at=at, after=after, reason=reason.strip())
    return row


@transaction.atomic
def send_test(*, webhook: Webhook, by: User | None, at: datetime) -> Delivery:
    """Let a message that says nothing wait for a webhook, to see whether it arrives.

    Args:
        webhook: not ended; a paused one gets it when it is resumed.
        by: the person.
        at: now.

    Returns:
        The delivery; within a minute it says what came of it.

    Raises:
        WebhookError: it has ended.
    """
    row = _standing(webhook)
    news = News(NoticeKind.WEBHOOK_TEST, row.pk, {})
    (notice,) = write_down([news], [row], at=at, whatever_is_wanted=True)
    audit.record(row, verb="test_webhook", by=by, at=at)
    return notice.deliveries.get()


@transaction.atomic
def send_again(*, delivery: Delivery, by: User | None, at: datetime) -> Delivery:
    """Let a message wait to be sent once more, under the name that it had.

    A receiver that has taken it knows it by that name and leaves it out.

    Args:
        delivery: sent or given up, to a webhook that has not ended.
        by: the person.
        at: now.

    Raises:
        WebhookError: the webhook has ended, or the message waits already.
    """
    _standing(delivery.webhook)
    changed = (
        Delivery.objects.filter(pk=delivery.pk)
        .exclude(state=DeliveryState.WAITING.value)
        .update(
            state=DeliveryState.WAITING.value,
            tries=0,
            next_at=at,
            leased_until=None,
            ended_at=None,
        )
    )
    if not changed:
        raise WebhookError("This message waits already; look at it again in a minute.")
    delivery.refresh_from_db()
    after = audit.values(delivery, "webhook", "notice", "state")
    audit.record(delivery, verb="send_again", by=by, at=at, after=after)
    return delivery
