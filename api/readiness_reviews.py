"""Reviews of homes' enclosures: how each compared with what an animal needs."""

from collections.abc import Sequence
from dataclasses import asdict

from django.db.models import QuerySet
from msgspec.structs import replace

from api.filters import CharFilter, DayFilter, FilterSet, HomeNumberFilter, WordFilter
from api.home_enclosure_structs import MatterOut, ReadinessReviewOut, review_values
from api.views import Rows
from core.roles import Permission
from placements.models import ReadinessReview
from placements.rules.readiness.sentences import matter_words
from placements.rules.vocabulary import Readiness, UnitSystem


class ReadinessReviewFilter(FilterSet):
    """Which reviews."""

    enclosure = HomeNumberFilter("enclosure", help_text="Number of the enclosure.")
    animal = CharFilter("animal__code", help_text="Code of the animal.")
    outcome = WordFilter(Readiness)
    from_on = DayFilter("on", "gte", help_text="Of this day or later.")
    until_on = DayFilter("on", "lte", help_text="Of this day or earlier.")

    class Meta:
        model = ReadinessReview
        fields = [
            "enclosure",
            "animal",
            "outcome",
            *("from_on", "until_on"),
        ]


class ReadinessReviews(Rows[ReadinessReview]):
    """The newest first; of whose enclosure, only for those who may see homes."""

    plural = "readiness reviews"
    permissions = {
        "list": Permission.SEE_PLACEMENTS,
        "retrieve": Permission.SEE_PLACEMENTS,
    }
    filterset_class = ReadinessReviewFilter
    out = ReadinessReviewOut
    ordering = ("-judged_at", "-id")
    searched = ("animal__code", "species__code")
    orderable = ("id", "on", "judged_at")

    def get_queryset(self) -> QuerySet[ReadinessReview]:
        """Return all reviews."""
        return ReadinessReview.objects.select_related("animal", "species", "judged_by")

    def shown(self, rows: Sequence[ReadinessReview]) -> list[ReadinessReviewOut]:
        """Return reviews with their matters in words, to those who may see homes."""
        shown = [shown_review(row) for row in rows]
        if self.person.may(Permission.SEE_HOMES):
            return shown
        return [replace(one, enclosure=None, matters=None) for one in shown]


def shown_review(row: ReadinessReview) -> ReadinessReviewOut:
    """Return one review with its matters in words and numbers, in SI."""
    matters = []
    for judged in row.result:
        words = asdict(matter_words(judged, UnitSystem.METRIC))
        words.pop("stands")
        matters.append(MatterOut(judged=judged, **words))
    return ReadinessReviewOut(matters=tuple(matters), **review_values(row))
