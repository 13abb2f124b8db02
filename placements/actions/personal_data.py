"""Erase homes' personal data, and decide how long they are kept.

What was counted stays counted: states, kinds, days and sizes are left as they are.
"""

from collections.abc import Sequence
from datetime import datetime

from django.db import transaction

from core import audit
from core.answers import withhold_all_answers
from core.audit import Deed
from core.errors import DomainError
from core.models import User
from placements.actions.homes import locked
from placements.models import (
    Application,
    ApplicationCheck,
    Arrival,
    FollowUp,
    Home,
    HomeEnclosure,
    HomeReading,
    HomeReport,
    PersonalDataPolicy,
    Placement,
    PrivateAddress,
)
from placements.queries.personal_data import (
    histories_of,
    homes_to_erase,
    local_day,
)
from placements.rules.applications.texts import problem_with, tidy
from placements.rules.homes import ERASED, LONGEST_NOTES
from placements.rules.personal_data import (
    FEWEST_MONTHS,
    MOST_MONTHS,
    ErasureReason,
    why_not_now,
    without_words,
)
from placements.rules.vocabulary import FollowUpKind


class ErasureRefusedError(DomainError):
    """A home's personal data cannot be erased now."""

    code = "erasure_refused"


class RetentionError(DomainError):
    """It cannot be decided like this how long personal data are kept."""

    code = "retention_refused"


@transaction.atomic
def erase_home(
    *, home: Home, reason: ErasureReason, by: User | None, at: datetime
) -> Home:
    """Erase a home's personal data; the row and what was counted of it stay.

    Emptied are name, contact, e-mail, notes; answers, what was noted at checks and
    what the home was told; what it called its enclosures, wrote in reports and
    answers, and the names of its files; what was noted of animals that came from it
    and why they came back. Its private addresses open nothing any more.

    Args:
        home: not erased.
        reason: why; it goes on record.
        by: the person; None: the night, of data past their time.
        at: when.

    Raises:
        HomeError: it was erased before.
        ErasureRefusedError: an application of it is open, an animal of ours is or is
            to be there, or its data have to be kept.
    """
    row = locked(home)
    history = histories_of(Home.objects.filter(pk=row.pk))[row.pk]
    if obstacles := why_not_now(history, local_day(at)):
        raise ErasureRefusedError(" ".join(obstacles))
    _erase([row], reason, by=by, at=at)
    row.refresh_from_db()
    return row


@transaction.atomic
def erase_past_data(*, at: datetime) -> int:
    """Erase the personal data of all homes that are past their time.

    A constant number of queries. Once more the same day, there is nothing left.

    Args:
        at: now; the day is the organisation's.

    Returns:
        How many homes were erased.
    """
    homes = homes_to_erase(local_day(at))
    _erase(homes, ErasureReason.PAST_ITS_TIME, by=None, at=at)
    return len(homes)


@transaction.atomic
def set_retention(
    *,
    months_after_decline: int,
    months_after_last_placement: int,
    reason: str,
    by: User | None,
    at: datetime,
) -> PersonalDataPolicy:
    """Decide for how long homes' personal data are kept, from now on.

    Args:
        months_after_decline: after an application was declined or withdrawn.
        months_after_last_placement: after the last animal went or came; local law
            may ask for more.
        reason: which law or decision it follows.
        by: the person.
        at: when.

    Raises:
        RetentionError: no reason, or months that cannot be.
    """
    given = {
        "months_after_decline": months_after_decline,
        "months_after_last_placement": months_after_last_placement,
    }
    wanted = f"{FEWEST_MONTHS} to {MOST_MONTHS} months"
    problems = {
        name: f"{months} months cannot be; give {wanted}."
        for name, months in given.items()
        if not FEWEST_MONTHS <= months <= MOST_MONTHS
    }
    reason = tidy(reason)
    told = problem_with(reason, longest=LONGEST_NOTES)
    if not reason or told:
        problems["reason"] = told or "Say which law or decision it follows."
    if problems:
        raise RetentionError(" ".join(problems.values()), fields=problems)
    row = PersonalDataPolicy.objects.create(
        **given, reason=reason, made_by=by, made_at=at
    )
    after = audit.values(row, *given)
    audit.record(
        row, verb="set_retention", by=by, at=at, after=after, reason=row.reason
    )
    return row


def _erase(
    homes: Sequence[Home], reason: ErasureReason, *, by: User | None, at: datetime
) -> None:
    ids = [home.pk for home in homes]
    _empty_home(ids, by=by, at=at)
    _empty_applications(ids)
    _empty_what_it_wrote(ids)
    of_home = PrivateAddress.objects.filter(application__home__in=ids)
    of_home |= PrivateAddress.objects.filter(placement__home__in=ids)
    of_home.filter(revoked_at__isnull=True).update(revoked_at=at)
    if ids:
        withhold_all_answers()
    deeds = [Deed(home, "erase_home", reason=reason.value) for home in homes]
    audit.record_all(deeds, by=by, at=at)


def _empty_home(ids: Sequence[int], *, by: User | None, at: datetime) -> None:
    Home.objects.filter(pk__in=ids).update(
        name=ERASED,
        contact="",
        email="",
        notes="",
        keep_until=None,
        erased_at=at,
        erased_by=by,
    )


def _empty_applications(ids: Sequence[int]) -> None:
    Application.objects.filter(home__in=ids).update(answers={}, told="")
    ApplicationCheck.objects.filter(application__home__in=ids).update(note="")
    Arrival.objects.filter(home__in=ids).update(note="")
    Placement.objects.filter(home__in=ids).update(ended_reason="")


def _empty_what_it_wrote(ids: Sequence[int]) -> None:
    enclosures = HomeEnclosure.objects.filter(home__in=ids)
    enclosures.update(label=ERASED, note="")
    HomeReading.objects.filter(enclosure__home__in=ids).update(file_name="")
    HomeReport.objects.filter(placement__home__in=ids).update(note="")
    asked = FollowUp.objects.filter(placement__home__in=ids)
    asked.exclude(dropped_reason="").update(dropped_reason=ERASED)
    answered = list(asked.exclude(answers={}))
    for row in answered:
        row.answers = without_words(FollowUpKind(row.kind), row.answers)
    FollowUp.objects.bulk_update(answered, ["answers"], batch_size=500)
