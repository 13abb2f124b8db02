"""Applications: where they stand, and who waits."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping

from django.db.models import QuerySet

from husbandry.models import Animal, Species
from husbandry.rules.vocabulary import AnimalStatus
from placements.models import Application, ApplicationCheck, Placement
from placements.rules.applications.checks import (
    NO_APPLICATION,
    ApplicationFacts,
    Checked,
    having,
    outcomes,
)
from placements.rules.newcomers import NOT_YET_KNOWN
from placements.rules.vocabulary import (
    ApplicationState,
    CheckKind,
    CheckOutcome,
    HomeKind,
)


def application_state(
    *, placement_ids: Collection[int]
) -> Mapping[int, ApplicationFacts]:
    """Return where the applications behind placements stand; two queries.

    Args:
        placement_ids: of these; one that there is not is absent.

    Returns:
        By placement; `NO_APPLICATION` where it has none.
    """
    rows = list(
        Placement.objects.filter(pk__in=placement_ids)
        .select_related("application__home")
        .only("application__state", "application__home__kind")
    )
    checks = checks_of(row.application.pk for row in rows if row.application)
    found: dict[int, ApplicationFacts] = {}
    for row in rows:
        application = row.application
        if application is None:
            found[row.pk] = NO_APPLICATION
            continue
        home = HomeKind(application.home.kind)
        standing = outcomes(checks.get(application.pk, ()), home=home)
        found[row.pk] = ApplicationFacts(
            application=application.pk,
            state=ApplicationState(application.state),
            failed=having(standing, CheckOutcome.FAILED),
            open=having(standing, CheckOutcome.OPEN),
        )
    return found


def checks_of(application_ids: Iterable[int]) -> dict[int, tuple[Checked, ...]]:
    """Return what was looked into for applications, the oldest first; one query."""
    rows = ApplicationCheck.objects.filter(application__in=set(application_ids))
    found: defaultdict[int, list[Checked]] = defaultdict(list)
    for application, kind, outcome in rows.order_by("recorded_at", "pk").values_list(
        "application", "kind", "outcome"
    ):
        found[application].append(Checked(CheckKind(kind), CheckOutcome(outcome)))
    return {application: tuple(made) for application, made in found.items()}


def species_offered() -> tuple[Species, ...]:
    """Return the species that can be asked for: those of animals in care; one query.

    An animal whose species nobody knows yet is not offered: nobody could say what it
    needs.
    """
    rows = Species.objects.filter(animals__status=AnimalStatus.IN_CARE.value)
    rows = rows.exclude(code=NOT_YET_KNOWN).distinct()
    return tuple(rows.order_by("common_name", "pk"))


def animal_offered(code: str, *, species: Collection[str]) -> Animal | None:
    """Return the animal in care that has a code, in capitals or not; one query.

    Args:
        code: as typed.
        species: codes of the species that can be asked for.
    """
    rows = Animal.objects.filter(
        status=AnimalStatus.IN_CARE.value, code__iexact=code, species__code__in=species
    )
    return rows.select_related("species").first()


def applications() -> QuerySet[Application]:
    """Return all applications with who asks and for what, the first to come first."""
    rows = Application.objects.select_related(
        *("home", "species", "animal__species", "recorded_by")
    )
    return rows.order_by("received_at", "pk")


def standing_of(row: Application) -> dict[CheckKind, CheckOutcome]:
    """Return how each check of an application stands; one query.

    Args:
        row: with its home.
    """
    checks = checks_of([row.pk]).get(row.pk, ())
    return outcomes(checks, home=HomeKind(row.home.kind))
