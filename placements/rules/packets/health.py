"""Treatments and warning signs, as a packet tells them: no amounts, no diagnosis."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from itertools import groupby
from zoneinfo import ZoneInfo

from husbandry.rules.care.dosing import doses_due
from husbandry.rules.care.facts import PrescriptionFact
from husbandry.rules.profiles.care_rows import warning_sign
from husbandry.rules.profiles.values import Profile
from husbandry.rules.vocabulary import DoseOutcome, Observed
from placements.rules.packets.records import SightingLine, TreatmentLine


@dataclass(frozen=True, slots=True)
class Sighting:
    """A warning sign was looked for, and was there or was gone."""

    sign: str
    on: date
    observed: Observed


@dataclass(frozen=True, slots=True)
class Treatment:
    """A prescription with what is on record of its doses, and the words about it."""

    prescription: PrescriptionFact
    reason: str
    stopped_reason: str


def treatment_line(
    treatment: Treatment, *, zone: ZoneInfo, until_at: datetime
) -> TreatmentLine:
    """Count the doses of a prescription: due, given, left out, without a record.

    Args:
        treatment: with its doses in force.
        zone: whose local days count.
        until_at: doses due later are still to come; that instant counts.

    Returns:
        Without amounts, which are for whoever treats it next to say.
    """
    fact = treatment.prescription
    from_on = fact.first_at.astimezone(zone).date()
    due = doses_due(fact, zone=zone, from_on=from_on, until_on=fact.until_on)
    past = {at for at in due if at <= until_at}
    outcomes = {dose.due_at: dose.outcome for dose in fact.doses}
    return TreatmentLine(
        drug=fact.drug,
        reason=treatment.reason,
        from_on=from_on,
        until_on=fact.until_on,
        stopped_on=_day(fact.stopped_at, zone),
        stopped_reason=treatment.stopped_reason,
        due=len(past | set(outcomes)),
        given=sum(found is DoseOutcome.GIVEN for found in outcomes.values()),
        not_given=sum(found is DoseOutcome.NOT_GIVEN for found in outcomes.values()),
        unrecorded=len(past - set(outcomes)),
        open=any(at > until_at for at in due),
    )


def sighting_lines(
    sightings: Iterable[Sighting], profile: Profile | None
) -> tuple[SightingLine, ...]:
    """Put together what was seen of each warning sign.

    Args:
        sightings: in the order in which they were seen.
        profile: whose words are used; a sign that it does not have keeps its id.

    Returns:
        One line for each sign that was ever there, the newest last sighting first.
    """
    ordered = sorted(sightings, key=lambda seen: seen.sign)
    found = [
        line
        for sign, group in groupby(ordered, key=lambda seen: seen.sign)
        if (line := _of_sign(sign, list(group), profile)) is not None
    ]
    return tuple(sorted(found, key=lambda line: (-line.last_on.toordinal(), line.text)))


def _of_sign(
    sign: str, seen: list[Sighting], profile: Profile | None
) -> SightingLine | None:
    places = [n for n, s in enumerate(seen) if s.observed is not Observed.GONE]
    if not places:
        return None
    row = warning_sign(profile, sign) if profile else None
    after = seen[places[-1] + 1 :]
    return SightingLine(
        text=row.text if row else sign.replace("-", " "),
        urgency=row.urgency if row else None,
        first_on=seen[places[0]].on,
        last_on=seen[places[-1]].on,
        times=len(places),
        gone_on=after[0].on if after else None,
    )


def _day(at: datetime | None, zone: ZoneInfo) -> date | None:
    return None if at is None else at.astimezone(zone).date()
