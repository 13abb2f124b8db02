"""Plan when homes are asked how an animal is doing, keep their answers, drop asking."""

from collections.abc import Mapping
from datetime import date, datetime

from django.db import transaction
from django.db.models import QuerySet

from core import audit
from core.errors import DomainError
from core.models import User
from husbandry.queries.stays import local_day_of
from placements.actions.home_reports import report_from_home
from placements.models import FollowUp, Placement
from placements.rules.follow_up_answers import (
    check_answers,
    died,
    questions_for,
    worried,
)
from placements.rules.follow_ups import due_days
from placements.rules.vocabulary import FollowUpKind, HomeReportKind, PlacementKind

_REASON_LENGTH = 200


class FollowUpClosedError(DomainError):
    """A follow-up was answered or dropped before."""

    code = "follow_up_closed"


@transaction.atomic
def plan_follow_ups(
    *, placement: Placement, on: date, by: User | None, at: datetime
) -> list[FollowUp]:
    """Plan when a home is asked about its animal. Safe to run again.

    Args:
        placement: handed over; nobody is asked about a release to the wild.
        on: the local day on which the animal left.
        by: the person.
        at: now.

    Returns:
        Those that were planned now, in order of time; none where they were before.
    """
    if PlacementKind(placement.kind) is PlacementKind.RELEASE:
        return []
    known = set(placement.follow_ups.values_list("kind", flat=True))
    planned = FollowUp.objects.bulk_create(
        FollowUp(placement=placement, kind=kind.value, due_on=due_on)
        for kind, due_on in due_days(on)
        if kind.value not in known
    )
    deeds = [
        audit.Deed(
            follow_up,
            "plan_follow_up",
            after=audit.values(follow_up, "placement", "kind", "due_on"),
        )
        for follow_up in planned
    ]
    audit.record_all(deeds, by=by, at=at)
    return planned


@transaction.atomic
def answer_follow_up(
    *,
    follow_up: FollowUp,
    answers: Mapping[str, str],
    by: User | None,
    at: datetime,
) -> FollowUp:
    """Keep what a home answers; what worries it is also kept as its report.

    Args:
        follow_up: neither answered nor dropped.
        answers: by question's id; empty ones count as not given.
        by: the person; None: the home itself, on its private page.
        at: now.

    Raises:
        FollowUpClosedError: it was answered or dropped before.
        AnswersError: an answer is missing, not offered or too long; nothing is kept.
    """
    kept = check_answers(questions_for(FollowUpKind(follow_up.kind)), answers)
    changed = _open(follow_up).update(answers=kept, answered_at=at, recorded_by=by)
    if not changed:
        raise _closed(follow_up)
    follow_up.refresh_from_db()
    # What was answered is the home's own: the trail says only that it was.
    audit.record(follow_up, verb="answer_follow_up", by=by, at=at)
    kind = _report_kind(kept)
    if kind is not None:
        report_from_home(
            placement=follow_up.placement,
            kind=kind,
            on=local_day_of(animal=follow_up.placement.animal, at=at),
            note=kept.get("told", "") or "Answered so when asked how it is doing.",
            by=by,
            at=at,
        )
    return follow_up


def _report_kind(answers: Mapping[str, str]) -> HomeReportKind | None:
    if died(answers):
        return HomeReportKind.DEATH
    return HomeReportKind.HEALTH if worried(answers) else None


@transaction.atomic
def drop_follow_up(
    *, follow_up: FollowUp, reason: str, by: User | None, at: datetime
) -> FollowUp:
    """Ask a home no more, and keep why.

    Args:
        follow_up: neither answered nor dropped.
        reason: why, up to 200 characters.
        by: the person.
        at: now.

    Raises:
        DomainError: no reason, or too long a one.
        FollowUpClosedError: it was answered or dropped before.
    """
    reason = reason.strip()
    if not 0 < len(reason) <= _REASON_LENGTH:
        raise DomainError(
            f"A reason is wanted, of up to {_REASON_LENGTH} characters; this one has "
            f"{len(reason)}.",
            fields={"reason": f"Say why in 1 to {_REASON_LENGTH} characters."},
        )
    if not _open(follow_up).update(dropped_at=at, dropped_reason=reason):
        raise _closed(follow_up)
    follow_up.refresh_from_db()
    # The reason may tell of people, so it stays with the row.
    audit.record(
        follow_up,
        verb="drop_follow_up",
        by=by,
        at=at,
        after=audit.values(follow_up, "dropped_at"),
    )
    return follow_up


@transaction.atomic
def drop_open_follow_ups(
    *, placement: Placement, reason: str, by: User | None, at: datetime
) -> int:
    """Drop all that is still open, as the animal does not live there any more.

    Args:
        placement: whose.
        reason: why, up to 200 characters, without personal data.
        by: the person.
        at: now.

    Returns:
        How many were dropped.
    """
    still = list(
        placement.follow_ups.filter(answered_at__isnull=True, dropped_at__isnull=True)
    )
    FollowUp.objects.filter(pk__in=[one.pk for one in still]).update(
        dropped_at=at, dropped_reason=reason[:_REASON_LENGTH]
    )
    deeds = [audit.Deed(one, "drop_follow_up") for one in still]
    audit.record_all(deeds, by=by, at=at)
    return len(still)


def _open(follow_up: FollowUp) -> QuerySet[FollowUp]:
    return FollowUp.objects.filter(
        pk=follow_up.pk, answered_at__isnull=True, dropped_at__isnull=True
    )


def _closed(follow_up: FollowUp) -> FollowUpClosedError:
    follow_up.refresh_from_db()
    how = "answered" if follow_up.answered_at else "dropped"
    return FollowUpClosedError(
        f"This follow-up was {how} before. Add a report instead; it is kept beside it."
    )
