"""How placements end after the animal has left: back again, or dead."""

from collections.abc import Callable
from datetime import UTC, date, datetime
from typing import Any

import pytest

from core.models import AuditEntry
from placements.actions.endings import EndingError, mark_came_back, mark_died_there
from placements.actions.states import PlacementStateError
from placements.models import Placement
from tests import factories

pytestmark = pytest.mark.django_db
AT = datetime(2026, 4, 2, 15, 0, tzinfo=UTC)
BACK_ON = date(2026, 4, 2)
End = Callable[..., Placement]
ENDS: list[Any] = [
    pytest.param(mark_came_back, "came_back", id="came_back"),
    pytest.param(mark_died_there, "died_there", id="died_there"),
]


@pytest.mark.parametrize(("end", "state"), ENDS)
def test_a_placement_ends_on_a_day(end: End, state: str) -> None:
    user = factories.UserFactory.create()
    placement = factories.PlacementFactory.create(handed_over=True)
    left_on = placement.handed_over_on

    end(placement=placement, on=BACK_ON, by=user, at=AT, reason=" they moved away ")

    stored = Placement.objects.get(pk=placement.pk)
    assert (stored.state, stored.ended_on) == (state, BACK_ON)
    assert (stored.handed_over_on, stored.ended_reason) == (left_on, "they moved away")
    entry = AuditEntry.objects.get(verb=f"mark_{state}")
    assert (entry.by, entry.after) == (
        user,
        {"state": state, "ended_on": "2026-04-02"},
    )


@pytest.mark.parametrize(("end", "state"), ENDS)
@pytest.mark.parametrize("before", ["planned", "called_off"])
def test_what_never_left_does_not_end(end: End, state: str, before: str) -> None:
    placement = factories.PlacementFactory.create(state=before)

    with pytest.raises(PlacementStateError, match="it has to be handed over"):
        end(placement=placement, on=BACK_ON, by=None, at=AT)

    assert Placement.objects.get().state == before


@pytest.mark.parametrize(("end", "state"), ENDS)
def test_nothing_ends_twice(end: End, state: str) -> None:
    placement = factories.PlacementFactory.create(handed_over=True)
    end(placement=placement, on=BACK_ON, by=None, at=AT)

    with pytest.raises(PlacementStateError, match="it has to be handed over"):
        mark_came_back(placement=placement, on=BACK_ON, by=None, at=AT)

    assert Placement.objects.get().state == state


@pytest.mark.parametrize(
    ("on", "reason", "told"),
    [
        (date(2026, 1, 31), "", "cannot have ended on 2026-01-31"),
        (date(2026, 4, 3), "", "2026-04-03 has not come yet"),
        (BACK_ON, "x" * 301, "301 signs; up to 300 fit"),
    ],
)
def test_an_end_that_cannot_be_is_refused(on: date, reason: str, told: str) -> None:
    placement = factories.PlacementFactory.create(handed_over=True)

    with pytest.raises(EndingError, match=told):
        mark_came_back(placement=placement, on=on, by=None, at=AT, reason=reason)

    assert Placement.objects.get().state == "handed_over"
    assert not AuditEntry.objects.exists()


@pytest.mark.parametrize(("end", "state"), ENDS)
def test_a_plan_to_make_it_lasting_is_called_off(end: End, state: str) -> None:
    foster = factories.PlacementFactory.create(kind="foster", handed_over=True)
    plan = factories.PlacementFactory.create(
        animal=foster.animal, home=foster.home, follows=foster
    )

    end(placement=foster, on=BACK_ON, by=None, at=AT)

    plan.refresh_from_db()
    assert (plan.state, plan.handed_over_on) == ("called_off", None)
    assert "lasting has ended" in AuditEntry.objects.get(verb="call_off").reason
