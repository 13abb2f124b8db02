"""Readings under unknown codes: kept once, bounded, and lost to nobody."""

from datetime import UTC, date, datetime, timedelta

import numpy as np
import pytest
from django.db import connection

from core.models import AuditEntry
from husbandry.actions.claimed_readings import (
    UnclaimedError,
    claim_readings,
    discard_readings,
)
from husbandry.actions.parked_readings import ParkedReport, park_readings
from husbandry.models import Reading, UnclaimedBatch, UnclaimedReadings
from husbandry.queries.unclaimed_readings import waiting_codes
from husbandry.rules import unclaimed as rules
from husbandry.rules.loggers.vocabulary import MISSING
from husbandry.rules.readings import ReadingColumns
from husbandry.rules.unclaimed import UnclaimedColumns
from tests.factories import ProbeFactory, UserFactory
from tests.husbandry.batches import NOW, NOW_S, night_of, stored

pytestmark = pytest.mark.django_db
XX = "XX-9"


def unclaimed(*rows: tuple[str, int, int]) -> UnclaimedColumns:
    """Make readings of (code, seconds before now, temperature)."""
    codes = tuple(dict.fromkeys(code for code, *_ in rows))
    return UnclaimedColumns(
        codes,
        ReadingColumns.of(
            probe_ids=np.array(
                [codes.index(code) for code, *_ in rows], dtype=np.int64
            ),
            at=np.array([NOW_S - before for _, before, _ in rows], dtype=np.int64),
            temperature=np.array([milli for *_, milli in rows], dtype=np.int64),
        ),
    )


def park(*rows: tuple[str, int, int], at: datetime = NOW) -> ParkedReport:
    return park_readings(unclaimed=unclaimed(*rows), by=None, token_name="hub", at=at)


def _counts(report: ParkedReport) -> tuple[int, int, int, int]:
    return report.received, report.waiting, report.repeated, report.refused


def waiting() -> UnclaimedReadings:
    return UnclaimedReadings.objects.get(state="waiting")


def test_what_nobody_knows_is_kept_with_who_sent_it() -> None:
    by = UserFactory()
    columns = unclaimed((XX, 600, 24_000), ("YY-1", 0, 20_000), (XX, 0, 25_000))

    report = park_readings(unclaimed=columns, by=by, token_name="hub", at=NOW)

    assert _counts(report) == (3, 3, 0, 0)
    assert report.codes == (XX, "YY-1")
    row = UnclaimedReadings.objects.get(code=XX)
    assert (row.state, row.readings, row.sent_by, row.sent_with) == (
        *("waiting", 2),
        *(by, "hub"),
    )
    assert (row.first_at, row.last_at) == (NOW - timedelta(minutes=10), NOW)
    assert row.arrived_at == row.last_arrived_at == NOW
    entry = AuditEntry.objects.get(verb="park_readings", subject_id=str(row.pk))
    assert (entry.by, entry.after["code"]) == (by, XX)
    assert not Reading.objects.exists()


def test_the_same_batch_again_is_kept_once_whatever_its_order() -> None:
    first = park((XX, 600, 24_000), (XX, 0, 25_000))
    later = NOW + timedelta(minutes=1)

    again = park((XX, 0, 25_000), (XX, 600, 24_000), at=later)

    assert _counts(first) == _counts(again) == (2, 2, 0, 0)
    assert (waiting().readings, UnclaimedBatch.objects.count()) == (2, 1)
    park((XX, 1_200, 24_000), at=later)
    row = waiting()
    assert (row.readings, row.arrived_at, row.last_arrived_at) == (3, NOW, later)
    assert row.first_at == NOW - timedelta(minutes=20)
    assert waiting_codes()[0].since_at == NOW
    assert AuditEntry.objects.filter(verb="park_readings").count() == 1


def test_each_falls_into_one_count_and_is_judged_as_far_as_it_can_be() -> None:
    report = park(
        (XX, 0, 24_000),
        (XX, 0, 24_000),
        (XX, -301, 24_000),
        (XX, 60, MISSING),
        (XX, 120, 151_000),
        (XX, NOW_S, 24_000),
        (XX, 180, 24_000),
        (XX, 180, 24_001),
        ("", 0, 24_000),
        ("X" * 41, 0, 24_000),
        ("a\tb", 0, 24_000),
        (XX, -300, 24_000),
    )

    assert _counts(report) == (12, 2, 1, 9)
    assert [(one.index, one.code.value) for one in report.refusals] == [
        *((2, "in_future"), (3, "nothing_measured"), (4, "out_of_range")),
        *((5, "too_early"), (6, "repeated_differently"), (7, "repeated_differently")),
        *((8, "unknown_probe"), (9, "unknown_probe"), (10, "unknown_probe")),
    ]
    assert report.refusals[-1].reason == (
        "there is no probe 'a\\tb'; give the code on its label"
    )
    assert waiting().readings == 2


@pytest.mark.parametrize(
    ("limit", "value", "refused"),
    [
        ("MOST_CODES", 1, {"YY-1": "1 unknown codes wait already"}),
        ("MOST_OF_ONE", 1, {XX: "2 readings of it wait already"}),
        ("MOST_ALTOGETHER", 3, {"YY-1": "3 readings of unknown codes wait already"}),
    ],
)
def test_what_exceeds_is_refused_and_not_dropped(
    monkeypatch: pytest.MonkeyPatch, limit: str, value: int, refused: dict[str, str]
) -> None:
    park((XX, 600, 24_000), (XX, 0, 25_000))
    monkeypatch.setattr(rules, limit, value)

    report = park((XX, 1_200, 24_000), ("YY-1", 0, 20_000))

    told = {("YY-1" if one.index else XX): one for one in report.refusals}
    assert set(told) == set(refused)
    for code, said in refused.items():
        assert told[code].code == "unclaimed_full"
        assert said in told[code].reason
        assert "claim or discard what waits" in told[code].reason
    assert report.waiting + report.refused == 2
    # What is kept already is kept, and told so, however full it is.
    assert park((XX, 600, 24_000), (XX, 0, 25_000)).waiting == 2


def test_a_batch_costs_the_same_for_few_codes_and_for_many(
    django_assert_num_queries: object,
) -> None:
    park((XX, 7_200, 24_000))
    lock = 1 if connection.vendor == "postgresql" else 0
    for count in (1, 3, 60):
        rows = [(f"C-{count}-{n}", 60, 24_000) for n in range(count)]
        with django_assert_num_queries(8 + lock):  # type: ignore[operator]
            park((XX, count, 24_000), *rows)


def test_claimed_they_are_the_probes_and_their_nights_are_stale() -> None:
    probe, by = ProbeFactory(from_on=date(2026, 3, 1)), UserFactory()
    run = night_of(probe, date(2026, 3, 1))
    other = night_of(probe, date(2026, 2, 27))
    park((XX, 86_400, 24_000), (XX, 60, 25_000))
    park((XX, 86_400, 24_000), (XX, 0, 26_000))

    row = claim_readings(unclaimed=waiting(), probe=probe, by=by, at=NOW)

    assert [(before, milli) for before, milli, _ in stored()] == [
        *((0, 26_000), (60, 25_000), (86_400, 24_000)),
    ]
    assert (row.state, row.probe, row.settled_by, row.settled_at) == (
        *("claimed", probe),
        *(by, NOW),
    )
    assert row.report["received"] == 4
    assert (row.report["stored"], row.report["repeated"]) == (3, 1)
    run.refresh_from_db()
    other.refresh_from_db()
    assert (run.stale_since, other.stale_since) == (NOW, None)
    assert not UnclaimedBatch.objects.exists()
    entry = AuditEntry.objects.get(verb="claim_readings")
    assert (entry.by, entry.after["stored"], entry.after["probe"]) == (by, 3, probe.pk)


def test_what_a_probe_cannot_have_goes_on_waiting() -> None:
    probe, other = ProbeFactory(from_on=date(2026, 3, 2)), ProbeFactory()
    park((XX, 5 * 86_400, 24_000), (XX, 0, 25_000))
    park((XX, 60, 24_000), (XX, 4 * 86_400, 24_000))
    park((XX, 60, 24_500), (XX, 4 * 86_400, 24_000))

    first = claim_readings(unclaimed=waiting(), probe=probe, by=None, at=NOW)

    # Said twice differently: nobody can say which of the two is right.
    assert (first.report["stored"], first.report["refused"]) == (1, 5)
    assert any("not in use" in said for said in first.report["refusals"])
    rest = waiting()
    # Two batches became the same one; an instant of two others is said twice.
    assert (rest.code, rest.readings) == (XX, 5)
    second = claim_readings(unclaimed=rest, probe=other, by=None, at=NOW)
    assert (second.report["stored"], second.report["refused"]) == (2, 2)
    assert waiting().readings == 2


def test_claimed_for_a_probe_that_has_them_already_nothing_changes() -> None:
    probe = ProbeFactory()
    park((XX, 0, 25_000))
    claim_readings(unclaimed=waiting(), probe=probe, by=None, at=NOW)
    park((XX, 0, 25_000))

    row = claim_readings(unclaimed=waiting(), probe=probe, by=None, at=NOW)

    assert (row.report["stored"], row.report["known"]) == (0, 1)
    assert stored() == [(0, 25_000, None)]


def test_a_claim_that_takes_nothing_is_refused_and_they_wait() -> None:
    probe = ProbeFactory(from_on=date(2026, 3, 3))
    park((XX, 0, 25_000))

    with pytest.raises(UnclaimedError, match="Not one of the 1 readings of 'XX-9'"):
        claim_readings(unclaimed=waiting(), probe=probe, by=None, at=NOW)

    assert waiting().readings == UnclaimedBatch.objects.get().readings == 1
    assert not AuditEntry.objects.filter(verb="claim_readings").exists()


def test_discarded_they_are_gone_with_the_reason_on_record() -> None:
    by = UserFactory()
    park((XX, 0, 25_000))
    row = waiting()

    with pytest.raises(UnclaimedError, match="Say why"):
        discard_readings(unclaimed=row, reason=" ", by=by, at=NOW)
    done = discard_readings(unclaimed=row, reason=" On a bench. ", by=by, at=NOW)

    assert (done.state, done.reason, done.settled_by) == (
        "discarded",
        "On a bench.",
        by,
    )
    assert not UnclaimedBatch.objects.exists()
    assert AuditEntry.objects.get(verb="discard_readings").reason == "On a bench."
    for again in (
        lambda: discard_readings(unclaimed=row, reason="Again", by=by, at=NOW),
        lambda: claim_readings(unclaimed=row, probe=ProbeFactory(), by=by, at=NOW),
    ):
        with pytest.raises(UnclaimedError, match="do not wait any more"):
            again()
    # What comes later waits anew.
    park((XX, 0, 25_000))
    assert waiting().pk != row.pk


def test_the_earliest_instant_has_its_date() -> None:
    first = datetime(1990, 1, 1, tzinfo=UTC)

    park((XX, NOW_S - int(first.timestamp()), 25_000))

    assert waiting().first_at == first
