"""How homes' enclosures were last judged."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import F, OuterRef, Subquery

from placements.models import Placement, ReadinessReview
from placements.rules.vocabulary import Readiness, ReadinessMatter


@dataclass(frozen=True, slots=True)
class ReadinessFacts:
    """How the enclosure that an animal is to live in compared with what it needs.

    Attributes:
        on: the day whose targets held.
        not_as_wanted, not_known: the matters that keep it from being ready.
    """

    review: int
    enclosure: int
    on: date
    judged_at: datetime
    outcome: Readiness
    not_as_wanted: tuple[ReadinessMatter, ...] = ()
    not_known: tuple[ReadinessMatter, ...] = ()


def newest_review(
    *, placement_ids: Collection[int]
) -> Mapping[int, ReadinessFacts | None]:
    """Return how the enclosure of each placement was last judged; two queries.

    Args:
        placement_ids: unknown ones are passed over.

    Returns:
        By placement: the newest review of its enclosure for that very animal, made
        after the enclosure was last described; None where there is none, as a review
        of what was there before says nothing.
    """
    newest = ReadinessReview.objects.filter(
        enclosure=OuterRef("home_enclosure"),
        animal=OuterRef("animal"),
        judged_at__gte=OuterRef("home_enclosure__recorded_at"),
    ).order_by("-judged_at", "-pk")
    chosen = dict(
        Placement.objects.filter(pk__in=placement_ids)
        .annotate(review=Subquery(newest.values("pk")[:1]))
        .values_list("pk", F("review"))
    )
    reviews = ReadinessReview.objects.in_bulk(
        [pk for pk in chosen.values() if pk is not None]
    )
    return {
        placement: facts_of(reviews[pk]) if pk is not None else None
        for placement, pk in chosen.items()
    }


def facts_of(review: ReadinessReview) -> ReadinessFacts:
    """Return a review as frozen values."""

    def matters(state: Readiness) -> tuple[ReadinessMatter, ...]:
        named = (m["matter"] for m in review.result if m["state"] == state.value)
        return tuple(ReadinessMatter(matter) for matter in dict.fromkeys(named))

    return ReadinessFacts(
        review=review.pk,
        enclosure=review.enclosure_id,
        on=review.on,
        judged_at=review.judged_at,
        outcome=Readiness(review.outcome),
        not_as_wanted=matters(Readiness.NOT_AS_WANTED),
        not_known=matters(Readiness.NOT_KNOWN),
    )
