"""Applications: where they stand, and who waits."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping

from placements.models import ApplicationCheck, Placement
from placements.rules.applications.checks import (
    NO_APPLICATION,
    ApplicationFacts,
    Checked,
    having,
    outcomes,
)
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
