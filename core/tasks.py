"""When core works by itself: each task reads the clock and makes one call."""

from random import Random

from celery import shared_task
from django.utils.timezone import now

from core import answers
from core.webhooks import delivering
from core.webhooks.sending import own_sender


@shared_task(name="core.tasks.forget_answers")
def forget_answers() -> int:
    """Forget answers that were kept for a day, in case their requests were sent again."""
    return answers.forget_old_answers(at=now())


@shared_task(name="core.tasks.send_messages")
def send_messages() -> int:
    """Send the messages to other programs that are due."""
    return delivering.send_waiting(sender=own_sender(), at=now(), rng=Random())  # noqa: S311 - spreads tries, hides nothing


@shared_task(name="core.tasks.drop_old_messages")
def drop_old_messages() -> int:
    """Remove messages to other programs that are older than ninety days."""
    return delivering.drop_old_notices(at=now())
