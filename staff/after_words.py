"""How follow-ups and homes' reports are told."""

from dataclasses import dataclass
from datetime import date

from husbandry.rules.sentences import numbers
from husbandry.rules.sentences.numbers import Units
from placements.models import FollowUp, HomeReport
from placements.rules.follow_up_answers import questions_for
from placements.rules.vocabulary import FollowUpKind, HomeReportKind
from staff.units import count, day

AFTER = {
    FollowUpKind.TWO_WEEKS: "After two weeks",
    FollowUpKind.THREE_MONTHS: "After three months",
    FollowUpKind.TWELVE_MONTHS: "After twelve months",
}
_KINDS = {
    HomeReportKind.WEIGHT: "Weight",
    HomeReportKind.EGGS: "Eggs",
    HomeReportKind.HEALTH: "Health",
    HomeReportKind.DEATH: "Death",
    HomeReportKind.NOTE: "Note",
}


@dataclass(frozen=True, slots=True)
class Answered:
    """One question and what was answered."""

    question: str
    answer: str


@dataclass(frozen=True, slots=True)
class FollowUpTold:
    """One follow-up; `stands` says where it stands."""

    pk: int
    placement: int
    animal: str
    what: str
    stands: str
    is_open: bool
    late: bool
    answers: tuple[Answered, ...]


@dataclass(frozen=True, slots=True)
class ReportTold:
    """One report; `urgent`: of health or death."""

    pk: int
    placement: int
    animal: str
    on: str
    what: str
    note: str
    received: str
    seen: str
    urgent: bool


def follow_up_told(row: FollowUp, today: date) -> FollowUpTold:
    """Return a follow-up as it is told, answers included."""
    is_open = row.answered_at is None and row.dropped_at is None
    late_days = (today - row.due_on).days
    return FollowUpTold(
        pk=row.pk,
        placement=row.placement_id,
        animal=str(row.placement.animal),
        what=AFTER[FollowUpKind(row.kind)],
        stands=_stands(row, late_days),
        is_open=is_open,
        late=is_open and late_days > 0,
        answers=_answers(row),
    )


def _stands(row: FollowUp, late_days: int) -> str:
    if row.answered_at is not None:
        by = f" by {row.recorded_by}" if row.recorded_by else " by the home itself"
        return f"answered on {day(row.answered_at.date())}{by}"
    if row.dropped_at is not None:
        return f"dropped on {day(row.dropped_at.date())}: {row.dropped_reason}"
    if late_days > 0:
        return f"due since {day(row.due_on)}, {count(late_days, 'day')} late"
    return f"due on {day(row.due_on)}"


def _answers(row: FollowUp) -> tuple[Answered, ...]:
    return tuple(
        Answered(
            question.text,
            dict(question.choices).get(row.answers[question.id])
            or row.answers[question.id],
        )
        for question in questions_for(FollowUpKind(row.kind))
        if row.answers.get(question.id)
    )


def report_told(row: HomeReport, units: Units) -> ReportTold:
    """Return a report as it is told, in the reader's units."""
    kind = HomeReportKind(row.kind)
    what = _KINDS[kind]
    if row.mass_g is not None:
        what = f"{what}: {numbers.mass(row.mass_g, units)}"
    if row.eggs is not None:
        what = f"{what}: {count(row.eggs, 'egg')}"
    seen_by = f" by {row.seen_by}" if row.seen_by else ""
    return ReportTold(
        pk=row.pk,
        placement=row.placement_id,
        animal=str(row.placement.animal),
        on=day(row.on),
        what=what,
        note=row.note,
        received=day(row.received_at.date()),
        seen=f"{day(row.seen_at.date())}{seen_by}" if row.seen_at else "",
        urgent=kind in {HomeReportKind.HEALTH, HomeReportKind.DEATH},
    )
