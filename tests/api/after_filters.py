"""What is asked of lists about homes' enclosures and what comes after a placement."""

from datetime import timedelta
from typing import Any

from tests.factories import (
    NOW,
    TODAY,
    FollowUpFactory,
    HomeEnclosureFactory,
    HomeReportFactory,
    ReadinessReviewFactory,
)

CASES = [
    ("home-enclosures", "home", "{homes}", "a"),
    ("home-enclosures", "kind", "glass", "b"),
    ("readiness-reviews", "enclosure", "{home-enclosures}", "a"),
    ("readiness-reviews", "animal", "b", "b"),
    ("readiness-reviews", "outcome", "as_wanted", "b"),
    ("follow-ups", "animal", "a", "a"),
    ("follow-ups", "placement", "{placements}", "a"),
    ("follow-ups", "kind", "three_months", "b"),
    ("follow-ups", "until_on", str(TODAY), "a"),
    ("follow-ups", "open", "true", "a"),
    ("follow-ups", "open", "false", "b"),
    ("home-reports", "animal", "b", "b"),
    ("home-reports", "placement", "{placements}", "a"),
    ("home-reports", "kind", "eggs", "b"),
    ("home-reports", "seen", "true", "b"),
    ("home-reports", "seen", "false", "a"),
]


def make_after(a: dict[str, Any], b: dict[str, Any]) -> None:
    """Add two rows of each list; homes, animals and placements are there."""
    for side, kind, outcome in ((a, "screen", "not_known"), (b, "glass", "as_wanted")):
        enclosure = HomeEnclosureFactory(home=side["homes"], kind=kind)
        side["home-enclosures"] = enclosure
        side["readiness-reviews"] = ReadinessReviewFactory(
            enclosure=enclosure,
            animal=side["animals"],
            species=side["animals"].species,
            outcome=outcome,
        )
    a["follow-ups"] = FollowUpFactory(placement=a["placements"], due_on=TODAY)
    b["follow-ups"] = FollowUpFactory(
        placement=b["placements"],
        kind="three_months",
        due_on=TODAY + timedelta(1),
        answered_at=NOW,
    )
    a["home-reports"] = HomeReportFactory(placement=a["placements"])
    b["home-reports"] = HomeReportFactory(
        placement=b["placements"], kind="eggs", eggs=12, seen_at=NOW
    )
