"""Record tests and their results, in the laboratory's or the vet's words."""

from datetime import UTC, date, datetime

from django.db import transaction

from core import audit
from core.models import User
from core.zones import day_bounds
from husbandry.actions.staleness import mark_animal_stale
from husbandry.models import Animal, HealthTest
from husbandry.queries.returns import times_away_before
from husbandry.queries.stays import local_day_of, zone_of
from husbandry.rules.animals import never_here
from husbandry.rules.health.testing import (
    HealthTestError,
    check_result,
    check_seen,
    check_taken,
)
from husbandry.rules.returns import check_not_away
from husbandry.rules.vocabulary import (
    AnimalStatus,
    DatePrecision,
    HealthTestKind,
    HealthTestResult,
)

_RESULT = ("result", "result_on", "finding")
_KEPT = (*_RESULT, "seen_by_vet_on")


@transaction.atomic
def record_test(
    *,
    animal: Animal,
    kind: HealthTestKind,
    taken_on: date,
    laboratory: str,
    expected_on: date | None,
    by: User | None,
    at: datetime,
) -> HealthTest:
    """Record that a sample or a picture was taken; its result is awaited.

    Reviews from that day on are marked stale. The same test recorded again changes
    nothing.

    Args:
        animal: whose it is.
        kind: what was tested.
        taken_on: local day, not to come, within its time here.
        laboratory: who looks at it, up to 160 characters; may be empty.
        expected_on: day by which the result should be there; None: not said.
        by: the person.
        at: now.

    Returns:
        The test; the one on record where the same was known already.

    Raises:
        HealthTestError: days that cannot be, or a name that is too long.
    """
    laboratory = laboratory.strip()
    animal = Animal.objects.select_for_update(no_key=True).get(pk=animal.pk)
    if animal.status == AnimalStatus.ELSEWHERE:
        raise HealthTestError(
            never_here(str(animal)), fields={"animal": "one that is or was in care"}
        )
    exact = animal.hatched_precision == DatePrecision.DAY
    check_taken(
        taken_on=taken_on,
        expected_on=expected_on,
        laboratory=laboratory,
        hatched_on=animal.hatched_on if exact else None,
        left_on=animal.left_on,
        today=local_day_of(animal=animal, at=at),
    )
    said = {
        "animal": animal,
        "kind": kind.value,
        "taken_on": taken_on,
        "laboratory": laboratory,
        "expected_on": expected_on,
    }
    known = HealthTest.objects.filter(**said).order_by("pk").first()
    if known is not None:
        return known
    times = times_away_before(animal=animal, on=taken_on)
    check_not_away(
        str(animal), taken_on, times=times, error=HealthTestError, field="taken_on"
    )
    test = HealthTest.objects.create(**said, recorded_by=by, recorded_at=at)
    _mark_stale(test, taken_on, at)
    audit.record(
        test, verb="record_test", by=by, at=at, after=audit.values(test, *said)
    )
    return test


@transaction.atomic
def record_test_result(
    *,
    test: HealthTest,
    result: HealthTestResult,
    result_on: date,
    finding: str,
    by: User | None,
    at: datetime,
    reason: str = "",
) -> HealthTest:
    """Record how a test came out, or mend with a reason what was recorded of it.

    What a vet took over was the result as it stood then: a mended one is still to be
    seen by a vet, and is told until it was.

    Args:
        test: one whose result is awaited; with a reason, one that has a result.
        result: nothing found, or found.
        result_on: local day, from that of the test on, not to come.
        finding: in the laboratory's or vet's words; needed where something was found.
        by: the person.
        at: now.
        reason: what was wrong with the result on record; else empty.

    Returns:
        The test as it is now. The same result recorded again changes nothing.

    Raises:
        HealthTestError: it has another result already and no reason is given, a day
            that cannot be, or nothing said of what was found.
    """
    test = HealthTest.objects.select_for_update(of=("self",)).get(pk=test.pk)
    finding = finding.strip()
    check_result(
        result,
        result_on=result_on,
        finding=finding,
        taken_on=test.taken_on,
        today=local_day_of(animal=test.animal, at=at),
    )
    before = audit.values(test, *_RESULT)
    if before == {"result": result.value, "result_on": result_on, "finding": finding}:
        return test
    had_one = test.result != HealthTestResult.AWAITED
    if had_one:
        _check_mended(test, reason=reason)
    seen_on, test.seen_by_vet_on = test.seen_by_vet_on, None
    since_on = min(result_on, test.result_on or result_on)
    test.result, test.result_on, test.finding = result.value, result_on, finding
    test.save(update_fields=_KEPT)
    _mark_stale(test, since_on, at)
    audit.record(
        test,
        verb="correct_test_result" if had_one else "record_test_result",
        by=by,
        at=at,
        before=before | ({"seen_by_vet_on": seen_on} if seen_on else {}),
        after=audit.values(test, *(_KEPT if seen_on else _RESULT)),
        reason=reason.strip(),
    )
    return test


@transaction.atomic
def note_seen_by_vet(
    *, test: HealthTest, on: date, by: User | None, at: datetime
) -> HealthTest:
    """Note that a licensed vet took over what a test found.

    Args:
        test: one with a result.
        on: local day, from that of the result on, not to come.
        by: the person.
        at: now.

    Raises:
        HealthTestError: its result is awaited, a vet saw it already, or the day
            cannot be.
    """
    test = HealthTest.objects.select_for_update(of=("self",)).get(pk=test.pk)
    check_seen(
        on=on,
        result_on=test.result_on,
        seen_on=test.seen_by_vet_on,
        today=local_day_of(animal=test.animal, at=at),
    )
    test.seen_by_vet_on = on
    test.save(update_fields=["seen_by_vet_on"])
    _mark_stale(test, on, at)
    audit.record(
        test,
        verb="note_seen_by_vet",
        by=by,
        at=at,
        before={"seen_by_vet_on": None},
        after=audit.values(test, "seen_by_vet_on"),
    )
    return test


def _check_mended(test: HealthTest, *, reason: str) -> None:
    if not reason.strip():
        raise HealthTestError(
            f"The result of {test} is on record already. To mend it say what was "
            "wrong with it.",
            fields={"reason": "what was wrong with the result on record"},
        )


def _mark_stale(test: HealthTest, on: date, at: datetime) -> None:
    start_s, _ = day_bounds(on, zone=zone_of(animal=test.animal, at=at))
    since_at = datetime.fromtimestamp(start_s, UTC)
    mark_animal_stale(animal=test.animal, since_at=since_at, at=at)
