"""Where the applications behind placements stand."""

from collections.abc import Callable
from datetime import timedelta

import pytest

from placements.queries.applications import application_state
from placements.rules.applications.checks import NO_APPLICATION, ApplicationFacts
from placements.rules.vocabulary import (
    ApplicationState,
    CheckKind,
    CheckOutcome,
    HomeKind,
)
from tests.factories import (
    NOW,
    ApplicationCheckFactory,
    ApplicationFactory,
    HomeFactory,
    PlacementFactory,
)

pytestmark = pytest.mark.django_db


def test_application_state(
    django_assert_num_queries: Callable[[int], object],
) -> None:
    home = HomeFactory.create(kind=HomeKind.ORGANISATION.value)
    application = ApplicationFactory.create(home=home, state="accepted")
    # Recorded out of order: what counts is when it was, not which row came last.
    ApplicationCheckFactory.create(
        application=application, outcome=CheckOutcome.PASSED.value, recorded_at=NOW
    )
    ApplicationCheckFactory.create(
        application=application,
        outcome=CheckOutcome.FAILED.value,
        recorded_at=NOW - timedelta(days=1),
    )
    ApplicationCheckFactory.create(
        application=application,
        kind=CheckKind.LOCAL_LAW.value,
        outcome=CheckOutcome.FAILED.value,
    )
    placed = PlacementFactory.create(application=application, home=home)
    alone = PlacementFactory.create()
    ApplicationCheckFactory.create()

    with django_assert_num_queries(2):
        found = application_state(placement_ids=[placed.pk, alone.pk, 10**9])

    assert found == {
        placed.pk: ApplicationFacts(
            application=application.pk,
            state=ApplicationState.ACCEPTED,
            failed=(CheckKind.LOCAL_LAW,),
            open=(CheckKind.HOME_READY,),
        ),
        alone.pk: NO_APPLICATION,
    }
