"""When the ground floor works by itself: each task reads the clock and makes one call."""

from celery import shared_task
from django.utils.timezone import now

from core import answers


@shared_task(name="core.tasks.forget_answers")
def forget_answers() -> int:
    """Forget answers that were kept for a day, in case their requests were sent again."""
    return answers.forget_old_answers(at=now())
