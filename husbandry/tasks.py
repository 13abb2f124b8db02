"""When husbandry works by itself: each task reads the clock and makes one call."""

from celery import shared_task
from django.utils.timezone import now

from husbandry.actions.review import review_finished_nights


@shared_task(name="husbandry.tasks.nightly_review")
def nightly_review() -> int:
    """Review every finished local day that has no review yet, at every site."""
    return len(review_finished_nights(by=None, at=now()))
