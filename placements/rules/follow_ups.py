"""When a home is asked how an animal is doing, and what the night says of silence."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from dateutil.relativedelta import relativedelta

from husbandry.rules.assessments import Assessment
from husbandry.rules.vocabulary import FindingKind, Urgency
from placements.rules.vocabulary import FollowUpKind, HomeReportKind

AFTER = {
    FollowUpKind.TWO_WEEKS: relativedelta(days=14),
    FollowUpKind.THREE_MONTHS: relativedelta(months=3),
    FollowUpKind.TWELVE_MONTHS: relativedelta(months=12),
}
# Somebody writes late before somebody is worried about.
UNHEARD_FROM_DAYS = 3
UNHEARD_TODAY_FROM_DAYS = 14
URGENT_REPORTS = frozenset({HomeReportKind.HEALTH, HomeReportKind.DEATH})


@dataclass(frozen=True, slots=True)
class OpenFollowUp:
    """A question to a home that was neither answered nor dropped by a day."""

    placement: int
    animal_code: str
    kind: FollowUpKind
    due_on: date
    left_on: date


@dataclass(frozen=True, slots=True)
class UnseenReport:
    """What a home told, and nobody has looked at by a day."""

    report: int
    placement: int
    animal_code: str
    kind: HomeReportKind
    about_on: date
    received_on: date


@dataclass(frozen=True, slots=True)
class AfterFacts:
    """What is open about one site's animals that have left, on a day."""

    follow_ups: tuple[OpenFollowUp, ...] = ()
    reports: tuple[UnseenReport, ...] = ()


def due_days(left_on: date) -> tuple[tuple[FollowUpKind, date], ...]:
    """Return on which days a home is asked how an animal is doing.

    Args:
        left_on: the local day on which the animal left.

    Returns:
        Two weeks, three and twelve calendar months later, in that order. Where a
        month has no such day, its last one: three months after 30 November is 28
        or 29 February.

    Source:
        follow-up-convention; iso-8601 for what a calendar month is.
    """
    return tuple((kind, left_on + after) for kind, after in AFTER.items())


def assess_follow_ups(facts: AfterFacts, *, on: date) -> Iterator[Assessment]:
    """Say which homes were not heard of, and which of their reports nobody has seen.

    Args:
        facts: what is open on that day.
        on: the local day.

    Yields:
        One for each placement with a follow-up that is three days late or more, about
        the one that is latest; from two weeks on somebody acts today. One for each
        report that nobody has seen: of health or death for today, else to watch.

    Source:
        follow-up-convention
    """
    latest: dict[int, OpenFollowUp] = {}
    for follow_up in facts.follow_ups:
        known = latest.setdefault(follow_up.placement, follow_up)
        if follow_up.due_on < known.due_on:
            latest[follow_up.placement] = follow_up
    for follow_up in sorted(latest.values(), key=lambda f: (f.due_on, f.placement)):
        yield from _unheard(follow_up, on)
    yield from (_report(report) for report in facts.reports)


def _unheard(follow_up: OpenFollowUp, on: date) -> Iterator[Assessment]:
    days_late = (on - follow_up.due_on).days
    if days_late < UNHEARD_FROM_DAYS:
        return
    late = days_late >= UNHEARD_TODAY_FROM_DAYS
    yield Assessment(
        kind=FindingKind.HOME_UNHEARD,
        urgency=Urgency.TODAY if late else Urgency.WATCH,
        facts={
            "follow_up": follow_up.kind.value,
            "due_on": follow_up.due_on.isoformat(),
            "days_late": days_late,
            "left_on": follow_up.left_on.isoformat(),
            "placement": follow_up.placement,
            "animal_code": follow_up.animal_code,
        },
        detail=("placement", str(follow_up.placement)),
    )


def _report(report: UnseenReport) -> Assessment:
    urgent = report.kind in URGENT_REPORTS
    return Assessment(
        kind=FindingKind.HOME_REPORT,
        urgency=Urgency.TODAY if urgent else Urgency.WATCH,
        facts={
            "report": report.kind.value,
            "about_on": report.about_on.isoformat(),
            "received_on": report.received_on.isoformat(),
            "placement": report.placement,
            "animal_code": report.animal_code,
        },
        detail=("report", str(report.report)),
    )
