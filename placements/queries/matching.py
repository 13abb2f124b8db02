"""Who waits, and whose application an animal may suit."""

from datetime import date

from django.db.models import F, Q, QuerySet

from husbandry.models import Animal, Prescription
from husbandry.queries.profiles import profile_in_force
from husbandry.rules.vocabulary import LampKind, Sex
from placements.models import Application
from placements.rules.applications.matching import Applied, Match, Wanted, match
from placements.rules.vocabulary import ApplicationState

_READY = (ApplicationState.ACCEPTED.value, ApplicationState.WAITING.value)


def waiting_list() -> QuerySet[Application]:
    """Return who waits, whoever has waited longest first; one query."""
    rows = Application.objects.filter(state=ApplicationState.WAITING.value)
    return _in_order(rows.select_related("home", "species", "animal__species"))


def matches(*, animal: Animal, on: date) -> tuple[Match, ...]:
    """Return the accepted applications that an animal may suit; four queries at most.

    Nothing is offered to anybody by this: a person reads the reasons and decides.

    Args:
        animal: which.
        on: the local day: by the care profile and the prescriptions of that day.

    Returns:
        Accepted and waiting ones for it or its species, in the order of the waiting
        list; accepted ones that do not wait stand by the day they came.
    """
    wanted = Wanted(
        animal=animal.pk,
        sex=Sex(animal.sex),
        needs_uvb_tube=_needs_uvb_tube(animal, on),
        under_treatment=_under_treatment(animal, on),
    )
    asked_for = Q(animal=animal) | Q(species=animal.species_id)
    rows = Application.objects.filter(asked_for, state__in=_READY)
    return tuple(
        match(wanted, _applied(row)) for row in _in_order(rows.select_related("home"))
    )


def _in_order(rows: QuerySet[Application]) -> QuerySet[Application]:
    since = F("waiting_since").asc(nulls_last=True)
    return rows.order_by(since, "received_at", "pk")


def _needs_uvb_tube(animal: Animal, on: date) -> bool:
    version = profile_in_force(species_id=animal.species_id, on=on)
    lamps = version.profile.lamps if version else ()
    return any(rule.kind is LampKind.UVB_TUBE for rule in lamps)


def _under_treatment(animal: Animal, on: date) -> bool:
    return Prescription.objects.filter(
        animal=animal, stopped_at__isnull=True, until_on__gte=on
    ).exists()


def _applied(row: Application) -> Applied:
    return Applied(
        id=row.pk,
        home=row.home_id,
        home_name=row.home.name,
        state=ApplicationState(row.state),
        animal=row.animal_id,
        since=row.waiting_since or row.received_at.date(),
        answers=tuple(sorted(row.answers.items())),
    )
