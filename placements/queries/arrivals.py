"""Deliveries and their animals, as lists and pages show them."""

from django.db.models import Prefetch, QuerySet

from placements.models import Arrival, Exam, Intake


def arrivals() -> QuerySet[Arrival]:
    """Return all deliveries with their animals; three queries."""
    return Arrival.objects.select_related(
        "site", "home", "recorded_by"
    ).prefetch_related(Prefetch("intakes", intakes().order_by("pk")))


def intakes() -> QuerySet[Intake]:
    """Return all intakes with their animals and photographs; two queries."""
    return Intake.objects.select_related(
        "animal__species", "arrival__site", "returns"
    ).prefetch_related("photos")


def exams() -> QuerySet[Exam]:
    """Return all looks over animals, part by part; two queries."""
    return Exam.objects.select_related("animal", "recorded_by").prefetch_related(
        "lines"
    )
