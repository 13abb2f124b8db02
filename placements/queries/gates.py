"""What the gates of placements look at, gathered once for many placements."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta

from django.db.models import OuterRef, Subquery

from husbandry.models import Finding, Prescription
from husbandry.queries.weights import last_weighings
from husbandry.queries.whereabouts import Whereabouts, whereabouts
from husbandry.rules.vocabulary import (
    Confidence,
    DatePrecision,
    FindingKind,
    Origin,
    Sex,
    Urgency,
)
from husbandry.rules.weights import WeighingPoint
from placements.models import (
    GateOpening,
    Intake,
    Packet,
    Placement,
    TreatmentHandover,
)
from placements.queries.applications import application_state
from placements.queries.holds import hold_of
from placements.queries.papers import papers_of
from placements.queries.placement_policies import policy_rows
from placements.queries.quarantine import quarantine_states
from placements.queries.readiness import ReadinessFacts, newest_review
from placements.rules.applications.checks import ApplicationFacts
from placements.rules.gates.facts import (
    GateFacts,
    GateResult,
    HomeJudged,
    KeptApart,
    Mass,
    Opening,
    PacketMade,
    Treatment,
    UrgentFinding,
)
from placements.rules.gates.judging import judge_gates
from placements.rules.gates.opening import leaving_on
from placements.rules.gates.policies import PolicyRow, policy_for
from placements.rules.holds import HoldFacts
from placements.rules.papers.facts import PaperFacts
from placements.rules.quarantine.telling import tell
from placements.rules.vocabulary import Gate, IntakeSource, PlacementKind

# The end of a local day comes at most twelve hours later than in UTC.
LATEST_END = timedelta(days=1, hours=12)


def gates_of(
    *, placement_ids: Collection[int], on: date
) -> dict[int, tuple[GateResult, ...]]:
    """Return how the gates of placements stand on a day; a fixed number of queries.

    Args:
        placement_ids: of these; one that there is not is absent.
        on: the local day on which the animals leave.
    """
    facts = gate_facts(placement_ids=placement_ids, on=on)
    return {placement: judge_gates(found) for placement, found in facts.items()}


def gates_ahead(
    *, placement_ids: Collection[int], today: date
) -> dict[int, tuple[GateResult, ...]]:
    """Return how the gates of plans stand; a fixed number of queries.

    Args:
        placement_ids: of these; one that there is not is absent.
        today: the local day. What is known today is held against the day on which
            each animal is meant to leave, or against today where that has passed.
    """
    rows = _rows(placement_ids)
    seen = _gather(rows, today)
    return {
        row.pk: judge_gates(
            _facts(row, seen, leaving_on(planned_on=row.planned_on, today=today))
        )
        for row in rows
    }


def gate_facts(*, placement_ids: Collection[int], on: date) -> Mapping[int, GateFacts]:
    """Return what the gates of placements look at; a fixed number of queries.

    Args:
        placement_ids: of these; one that there is not is absent.
        on: the local day on which the animals leave; what holds, runs out and is
            weighed is told as of that day.
    """
    rows = _rows(placement_ids)
    seen = _gather(rows, on)
    return {row.pk: _facts(row, seen, on) for row in rows}


def _rows(placement_ids: Collection[int]) -> list[Placement]:
    return list(
        Placement.objects.filter(pk__in=placement_ids)
        .select_related("animal__species")
        .order_by("pk")
    )


@dataclass(frozen=True, slots=True)
class _Seen:
    """What was read for many placements, by animal or by placement."""

    policies: tuple[PolicyRow, ...]
    kept_apart: Mapping[int, KeptApart]
    urgent: Mapping[int, list[UrgentFinding]]
    prescriptions: Mapping[int, list[Prescription]]
    weighings: Mapping[int, WeighingPoint]
    where: Whereabouts
    holds: Mapping[int, HoldFacts]
    strays: frozenset[int]
    papers: Mapping[int, tuple[PaperFacts, ...]]
    handed_over: frozenset[tuple[int, int]]
    applied: Mapping[int, ApplicationFacts]
    judged: Mapping[int, ReadinessFacts | None]
    packets: Mapping[int, PacketMade]
    openings: Mapping[int, list[Opening]]


def _gather(rows: Iterable[Placement], on: date) -> _Seen:
    placements = {row.pk for row in rows}
    animals = {row.animal_id for row in rows}
    handing = placements | {row.follows_id for row in rows if row.follows_id}
    return _Seen(
        policies=policy_rows(),
        kept_apart=_kept_apart(animals, on),
        urgent=_urgent(animals),
        prescriptions=_prescriptions(animals, on),
        weighings=last_weighings(
            animal_ids=animals,
            before_at=datetime.combine(on, time(), UTC) + LATEST_END,
        ),
        where=whereabouts(animal_ids=animals),
        holds=hold_of(animal_ids=animals, on=on),
        strays=_strays(animals),
        papers=papers_of(animal_ids=animals, on=on),
        handed_over=_handed_over(handing),
        applied=application_state(placement_ids=placements),
        judged=newest_review(placement_ids=placements),
        packets=_packets(placements),
        openings=_openings(placements),
    )


def _facts(row: Placement, seen: _Seen, on: date) -> GateFacts:
    animal, kind = row.animal, PlacementKind(row.kind)
    return GateFacts(
        placement=row.pk,
        kind=kind,
        on=on,
        policy=policy_for(seen.policies, species_id=animal.species_id, kind=kind),
        sex=Sex(animal.sex),
        sex_confidence=Confidence(animal.sex_confidence),
        hatched_on=animal.hatched_on,
        hatched_precision=DatePrecision(animal.hatched_precision),
        origin=Origin(animal.origin),
        found_stray=animal.pk in seen.strays,
        native=animal.species.native_here,
        mass=_mass(row, seen),
        kept_apart=seen.kept_apart.get(animal.pk),
        urgent=tuple(seen.urgent.get(animal.pk, ())),
        treatments=_treatments(row, seen, on),
        hold=seen.holds.get(animal.pk),
        papers=seen.papers[animal.pk],
        applied=seen.applied[row.pk],
        home_judged=_judged(seen.judged[row.pk]),
        packet=seen.packets.get(row.pk),
        openings=tuple(seen.openings.get(row.pk, ())),
    )


def _mass(row: Placement, seen: _Seen) -> Mass | None:
    point = seen.weighings.get(row.animal_id)
    if point is None:
        return None
    return Mass(point.mass_g, seen.where.local_day(row.animal_id, at=point.at))


def _treatments(row: Placement, seen: _Seen, on: date) -> tuple[Treatment, ...]:
    # A stay that is made lasting goes on where the vet's word was given already.
    told = [row.pk, *([row.follows_id] if row.follows_id else [])]
    return tuple(
        Treatment(
            drug=one.drug,
            until_on=one.until_on,
            handed_over=any((pk, one.pk) in seen.handed_over for pk in told),
        )
        for one in seen.prescriptions.get(row.animal_id, ())
        if one.until_on >= on
    )


def _judged(found: ReadinessFacts | None) -> HomeJudged | None:
    if found is None:
        return None
    amiss = found.not_as_wanted or found.not_known
    return HomeJudged(found.outcome, found.on, len(amiss))


def _kept_apart(animals: Collection[int], on: date) -> dict[int, KeptApart]:
    return {
        one.animal: KeptApart(
            one.began_on,
            # What is not known yet of a day to come is not told as amiss.
            tuple(tell(c) for c in one.criteria if c.asked and c.met is False),
        )
        for one in quarantine_states(animal_ids=animals, on=on)
    }


def _urgent(animals: Collection[int]) -> dict[int, list[UrgentFinding]]:
    rows = Finding.objects.filter(
        animal__in=animals,
        closed_on__isnull=True,
        withdrawn_on__isnull=True,
        urgency__in=(Urgency.NOW.value, Urgency.TODAY.value),
    )
    found: defaultdict[int, list[UrgentFinding]] = defaultdict(list)
    columns = ("animal", "pk", "kind", "urgency", "opened_on")
    for animal, pk, kind, urgency, opened_on in rows.order_by(
        "opened_on", "key"
    ).values_list(*columns):
        one = UrgentFinding(pk, FindingKind(kind), Urgency(urgency), opened_on)
        found[animal].append(one)
    return found


def _prescriptions(animals: Collection[int], on: date) -> dict[int, list[Prescription]]:
    rows = Prescription.objects.filter(
        animal__in=animals, stopped_at__isnull=True, until_on__gte=on
    )
    found: defaultdict[int, list[Prescription]] = defaultdict(list)
    for row in rows.order_by("until_on", "pk"):
        found[row.animal_id].append(row)
    return found


def _strays(animals: Collection[int]) -> frozenset[int]:
    rows = Intake.objects.filter(
        animal__in=animals, arrival__source=IntakeSource.STRAY.value
    )
    return frozenset(rows.values_list("animal", flat=True))


def _handed_over(placements: Collection[int]) -> frozenset[tuple[int, int]]:
    rows = TreatmentHandover.objects.filter(placement__in=placements)
    return frozenset(rows.values_list("placement", "prescription"))


def _packets(placements: Collection[int]) -> dict[int, PacketMade]:
    newest = Packet.objects.filter(placement=OuterRef("pk")).order_by("-version")
    ids = Placement.objects.filter(pk__in=placements).values(
        newest=Subquery(newest.values("pk")[:1])
    )
    rows = Packet.objects.filter(pk__in=ids).values_list(
        "placement", "number", "made_at"
    )
    return {placement: PacketMade(number, at) for placement, number, at in rows}


def _openings(placements: Collection[int]) -> dict[int, list[Opening]]:
    rows = GateOpening.objects.filter(placement__in=placements)
    found: defaultdict[int, list[Opening]] = defaultdict(list)
    for row in rows.order_by("opened_at", "pk"):
        found[row.placement_id].append(
            Opening(Gate(row.gate), row.reason, row.opened_at, row.shut_again_at)
        )
    return found
