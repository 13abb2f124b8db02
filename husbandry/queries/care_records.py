"""What is on record of animals' care, by animal; each in one query."""

from collections import defaultdict
from dataclasses import replace
from datetime import date, timedelta
from json import loads

from django.db.models import Exists, OuterRef, Q, Subquery, TextField
from django.db.models.functions import Cast, TruncDate

from husbandry.models import (
    Animal,
    Dose,
    Feeding,
    FeedingOrder,
    HealthTest,
    Observation,
    Prescription,
    ReproductiveSpell,
    Weighing,
)
from husbandry.queries.care_span import CareSpan, Ids
from husbandry.queries.prescriptions import prescription_fact
from husbandry.rules.care.facts import (
    DoseFact,
    FeedingFact,
    ObservationFact,
    OrderFact,
    PrescriptionFact,
    TestFact,
)
from husbandry.rules.vocabulary import (
    DoseOutcome,
    FeedingOrderKind,
    HealthTestKind,
    HealthTestResult,
    ObservationKind,
    Observed,
    Reproduction,
    Urates,
)
from husbandry.rules.weights import GravidSpell, WeighingPoint

# Laying that stopped, weakness, blood or a stuck shed do not mend by getting old.
STAYS_TRUE = tuple(
    kind.value
    for kind in (
        *(ObservationKind.LAYING, ObservationKind.ALERTNESS),
        *(ObservationKind.DROPPINGS, ObservationKind.SHED),
    )
)


def feedings_of(*, ids: Ids, span: CareSpan) -> dict[int, list[FeedingFact]]:
    """Return the feedings in force, oldest first, by animal."""
    found: dict[int, list[FeedingFact]] = defaultdict(list)
    # Few lists of supplements are written many thousand times; each is read once.
    dusted: dict[str, tuple[str, ...]] = {}
    day_of = span.day_of
    rows = Feeding.objects.filter(span.gathered(), animal__in=ids).order_by(
        "animal_id", "at", "pk"
    )
    for animal, pk, at, feeder, offered, eaten, text, assisted in rows.values_list(
        *("animal_id", "pk", "at", "feeder", "offered", "eaten"),
        Cast("supplements", TextField()),
        "assisted",
    ).iterator(chunk_size=10_000):
        supplements = dusted.get(text)
        if supplements is None:
            supplements = dusted[text] = tuple(loads(text))
        found[animal].append(
            FeedingFact(
                pk, at, day_of(at), feeder, offered, eaten, supplements, assisted
            )
        )
    return found


def weighings_of(
    *, ids: Ids, span: CareSpan
) -> tuple[dict[int, list[date]], dict[int, WeighingPoint]]:
    """Return on which days animals were weighed, and their newest weighing in force.

    Two queries: the newest may lie before the days that are gathered.
    """
    days: dict[int, list[date]] = defaultdict(list)
    newest: dict[int, WeighingPoint] = {}
    in_force = Weighing.objects.filter(corrected_by__isnull=True, at__lt=span.end_at)
    recent = in_force.filter(at__gte=span.since_at)
    for animal, pk, at, mass_g in (
        recent.filter(animal__in=ids)
        .order_by("animal_id", "at", "pk")
        .values_list("animal_id", "pk", "at", "mass_g")
    ):
        on, known = span.day_of(at), days[animal]
        if not known or known[-1] != on:
            known.append(on)
        newest[animal] = WeighingPoint(pk, at, mass_g)
    last = in_force.filter(animal=OuterRef("pk")).order_by("-at", "-pk").values("pk")
    not_recent = Animal.objects.filter(
        ~Exists(recent.filter(animal=OuterRef("pk"))), pk__in=ids
    )
    for animal, pk, at, mass_g in Weighing.objects.filter(
        pk__in=not_recent.values(last=Subquery(last[:1]))
    ).values_list("animal_id", "pk", "at", "mass_g"):
        newest[animal] = WeighingPoint(pk, at, mass_g)
    return days, newest


def orders_of(*, ids: Ids, span: CareSpan) -> dict[int, list[OrderFact]]:
    """Return what was agreed about food, also for days to come, by animal.

    An agreement that was withdrawn held until the day before; withdrawn after the
    last day, it held.
    """
    found: dict[int, list[OrderFact]] = defaultdict(list)
    rows = FeedingOrder.objects.filter(animal__in=ids, until_on__gte=span.since_on)
    for row in rows.select_related("made_by").order_by("made_at", "pk"):
        until_on = row.until_on
        if row.withdrawn_at is not None and row.withdrawn_at < span.end_at:
            until_on = min(until_on, span.day_of(row.withdrawn_at) - timedelta(1))
        if until_on >= row.from_on:
            found[row.animal_id].append(
                OrderFact(
                    id=row.pk,
                    kind=FeedingOrderKind(row.kind),
                    from_on=row.from_on,
                    until_on=until_on,
                    every_days=row.every_days,
                    portion=row.portion,
                    unit=row.unit,
                    reason=row.reason,
                    by=str(row.made_by or ""),
                )
            )
    return found


def observations_of(*, ids: Ids, span: CareSpan) -> dict[int, list[ObservationFact]]:
    """Return the observations in force, oldest first, by animal.

    Beside those of the days gathered: older signs that are not gone yet, older ones
    that nobody has looked at again, though somebody should have, and the newest of
    each kind that stays true until something else is seen, however old.
    """
    known = Observation.objects.filter(span.known())
    later = known.filter(animal=OuterRef("animal"), at__gt=OuterRef("at"))
    gone = later.filter(sign=OuterRef("sign"), observed=Observed.GONE.value)
    looked = later.annotate(on=TruncDate("at", tzinfo=span.zone)).filter(
        on__gte=OuterRef("look_again_on")
    )
    still_there = Q(kind=ObservationKind.SIGN.value) & ~Exists(gone)
    unseen = Q(look_again_on__isnull=False) & ~Exists(looked)
    newest = Q(kind__in=STAYS_TRUE) & ~Exists(later.filter(kind=OuterRef("kind")))
    rows = known.filter(
        Q(at__gte=span.since_at) | still_there | unseen | newest, animal__in=ids
    ).order_by("animal_id", "at", "pk")
    found: dict[int, list[ObservationFact]] = defaultdict(list)
    for (
        animal,
        pk,
        at,
        kind,
        sign,
        observed,
        urates,
        eggs,
        again_on,
        note,
    ) in rows.values_list(
        *("animal_id", "pk", "at", "kind", "sign", "observed", "urates", "eggs"),
        *("look_again_on", "note"),
    ):
        found[animal].append(
            ObservationFact(
                id=pk,
                at=at,
                on=span.day_of(at),
                kind=ObservationKind(kind),
                sign=sign,
                observed=Observed(observed) if observed else None,
                urates=Urates(urates) if urates else None,
                eggs=eggs,
                look_again_on=again_on,
                note=note,
            )
        )
    return found


def prescriptions_of(*, ids: Ids, span: CareSpan) -> dict[int, list[PrescriptionFact]]:
    """Return prescriptions that ran in the days gathered, with doses, by animal.

    Those that are over too: a dose of theirs may still be without a record. Two
    queries.
    """
    doses = Dose.objects.filter(span.known())
    rows = Prescription.objects.filter(
        Q(stopped_at__isnull=True) | Q(stopped_at__gte=span.since_at),
        animal__in=ids,
        until_on__gte=span.since_on,
        first_at__lt=span.end_at,
    )
    given: dict[int, list[DoseFact]] = defaultdict(list)
    for dose in doses.filter(
        prescription__in=rows.values("pk"), due_at__gte=span.since_at
    ).order_by("prescription_id", "due_at", "pk"):
        outcome = DoseOutcome(dose.outcome)
        given[dose.prescription_id].append(
            DoseFact(dose.pk, dose.due_at, dose.at, outcome, dose.volume_ml)
        )
    found: dict[int, list[PrescriptionFact]] = defaultdict(list)
    for row in rows.order_by("first_at", "pk"):
        found[row.animal_id].append(_prescription(row, given[row.pk], span))
    return found


def tests_of(*, ids: Ids, span: CareSpan) -> dict[int, list[TestFact]]:
    """Return tests as they stood on the last day, by animal, oldest first.

    Those whose result was awaited then or came in the days gathered, and those that
    found something a licensed vet had not seen.
    """
    unanswered = Q(result_on__isnull=True) | Q(result_on__gte=span.since_on)
    unseen = Q(result=HealthTestResult.FOUND.value) & (
        Q(seen_by_vet_on__isnull=True) | Q(seen_by_vet_on__gt=span.until_on)
    )
    rows = HealthTest.objects.filter(
        unanswered | unseen, animal__in=ids, taken_on__lte=span.until_on
    )
    found: dict[int, list[TestFact]] = defaultdict(list)
    for row in rows.order_by("taken_on", "pk"):
        found[row.animal_id].append(_test(row, span))
    return found


def gravid_spells_of(*, ids: Ids, span: CareSpan) -> dict[int, list[GravidSpell]]:
    """Return the gravid spells that had begun by the last day, by animal."""
    found: dict[int, list[GravidSpell]] = defaultdict(list)
    rows = ReproductiveSpell.objects.filter(
        animal__in=ids, from_on__lte=span.until_on, state=Reproduction.GRAVID.value
    )
    for animal, from_on, until_on in rows.order_by("from_on", "pk").values_list(
        "animal_id", "from_on", "until_on"
    ):
        found[animal].append(GravidSpell(from_on, until_on))
    return found


def _prescription(
    row: Prescription, doses: list[DoseFact], span: CareSpan
) -> PrescriptionFact:
    stopped_at = row.stopped_at
    if stopped_at is not None and stopped_at >= span.end_at:
        stopped_at = None
    fact = prescription_fact(row, ())
    return replace(fact, stopped_at=stopped_at, doses=tuple(doses))


def _test(row: HealthTest, span: CareSpan) -> TestFact:
    answered = row.result_on is not None and row.result_on <= span.until_on
    seen_on = row.seen_by_vet_on
    return TestFact(
        id=row.pk,
        kind=HealthTestKind(row.kind),
        taken_on=row.taken_on,
        expected_on=row.expected_on,
        result=HealthTestResult(row.result) if answered else HealthTestResult.AWAITED,
        result_on=row.result_on if answered else None,
        finding=row.finding if answered else "",
        seen_by_vet_on=seen_on if seen_on and seen_on <= span.until_on else None,
    )
