"""Plans of every kind, plans that change, and stays that are made lasting."""

from datetime import UTC, date, datetime
from typing import Any

import pytest

from core.models import AuditEntry
from husbandry.models import Animal
from placements.actions.placements import (
    AlreadyPlannedError,
    PlanError,
    call_off,
    change_plan,
    extend_stay,
    plan_lasting,
    plan_placement,
)
from placements.actions.states import PlacementStateError
from placements.models import Placement
from placements.rules.placing import NotInCareError
from placements.rules.vocabulary import PlacementKind
from tests import factories

pytestmark = pytest.mark.django_db
AT = datetime(2026, 3, 18, 15, 0, tzinfo=UTC)
LEAVES_ON = date(2026, 3, 20)
DUE_ON = date(2026, 6, 20)
K = PlacementKind


def plan(animal: Animal | None = None, **changes: Any) -> Placement:
    said: dict[str, Any] = {
        "animal": animal or factories.AnimalFactory.create(),
        "home": factories.HomeFactory.create(),
        "kind": K.SALE,
        "planned_on": LEAVES_ON,
        "by": None,
        "at": AT,
    }
    return plan_placement(**(said | changes))


@pytest.mark.parametrize("kind", [K.LOAN, K.FOSTER])
def test_what_stays_ours_is_due_back_on_a_day(kind: PlacementKind) -> None:
    placement = plan(kind=kind, due_back_on=DUE_ON)

    placement.refresh_from_db()
    assert (placement.kind, placement.due_back_on) == (kind.value, DUE_ON)


def test_a_release_goes_to_a_place_and_to_no_home() -> None:
    placement = plan(kind=K.RELEASE, home=None, release_place=" the cork oaks ")

    placement.refresh_from_db()
    assert (placement.home, placement.release_place) == (None, "the cork oaks")


def test_a_plan_names_the_homes_application_and_enclosure() -> None:
    home = factories.HomeFactory.create()
    application = factories.ApplicationFactory.create(home=home)
    enclosure = factories.HomeEnclosureFactory.create(home=home)

    placement = plan(home=home, application=application, home_enclosure=enclosure)

    assert (placement.application, placement.home_enclosure) == (application, enclosure)
    after = AuditEntry.objects.get(verb="plan_placement").after
    assert after["home"] == home.pk
    assert home.name not in str(after)


def others(kind: str) -> Any:
    if kind == "application":
        return factories.ApplicationFactory.create()
    return factories.HomeEnclosureFactory.create()


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"kind": K.LOAN}, "due_back_on"),
        ({"kind": K.FOSTER, "due_back_on": LEAVES_ON}, "due_back_on"),
        ({"due_back_on": DUE_ON}, "due_back_on"),
        ({"home": None}, "home"),
        ({"release_place": "the hills"}, "release_place"),
        ({"kind": K.RELEASE, "release_place": "the hills"}, "home"),
        ({"kind": K.RELEASE, "home": None, "release_place": "  "}, "release_place"),
        ({"planned_on": date(2024, 12, 31)}, "planned_on"),
    ],
)
def test_what_does_not_go_together_is_refused(
    changes: dict[str, Any], field: str
) -> None:
    with pytest.raises(PlanError) as raised:
        plan(**changes)

    assert list(raised.value.fields) == [field]
    assert not Placement.objects.exists()


@pytest.mark.parametrize("field", ["application", "home_enclosure"])
def test_what_is_of_another_home_is_refused(field: str) -> None:
    with pytest.raises(PlanError, match="of another home"):
        plan(**{field: others(field)})


def test_a_home_that_was_erased_is_refused() -> None:
    home = factories.HomeFactory.create(name="(erased)", contact="", erased_at=AT)

    with pytest.raises(PlanError, match="record it anew"):
        plan(home=home)


def test_an_animal_that_left_meanwhile_is_refused() -> None:
    animal = factories.AnimalFactory.create()
    Animal.objects.filter(pk=animal.pk).update(status="placed", left_on=LEAVES_ON)

    with pytest.raises(NotInCareError):
        plan(animal)


def test_a_plan_changes_and_says_what_it_said() -> None:
    placement = plan(kind=K.FOSTER, due_back_on=DUE_ON)
    enclosure = factories.HomeEnclosureFactory.create(home=placement.home)
    later = date(2026, 4, 1)

    change_plan(
        placement=placement,
        planned_on=later,
        home_enclosure=enclosure,
        by=None,
        at=AT,
    )

    placement.refresh_from_db()
    assert (placement.planned_on, placement.home_enclosure) == (later, enclosure)
    entry = AuditEntry.objects.get(verb="change_plan")
    assert entry.before == {"home_enclosure": None, "planned_on": "2026-03-20"}


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({}, "Nothing would change"),
        ({"planned_on": LEAVES_ON}, "Nothing would change"),
        ({"planned_on": date(2024, 1, 1)}, "when .* came"),
        ({"due_back_on": DUE_ON}, "Nothing is due back"),
    ],
)
def test_a_change_that_cannot_be_is_refused(changes: Any, told: str) -> None:
    placement = plan()

    with pytest.raises(PlanError, match=told):
        change_plan(placement=placement, by=None, at=AT, **changes)

    assert Placement.objects.get().planned_on == LEAVES_ON


def test_what_has_left_is_not_planned_any_more() -> None:
    placement = factories.PlacementFactory.create(handed_over=True)

    with pytest.raises(PlacementStateError):
        change_plan(placement=placement, planned_on=LEAVES_ON, by=None, at=AT)


def foster(**more: Any) -> Placement:
    animal = factories.AnimalFactory.create(left=True)
    said = {"kind": "foster", "due_back_on": DUE_ON, "handed_over": True} | more
    return factories.PlacementFactory.create(animal=animal, **said)


def test_a_stay_goes_on_until_another_day() -> None:
    stay = foster()

    extend_stay(placement=stay, due_back_on=date(2026, 9, 1), by=None, at=AT)

    stay.refresh_from_db()
    assert stay.due_back_on == date(2026, 9, 1)
    entry = AuditEntry.objects.get(verb="extend_stay")
    assert entry.before == {"due_back_on": "2026-06-20"}


@pytest.mark.parametrize(
    ("kind", "day"), [("foster", date(2026, 3, 2)), ("sale", DUE_ON)]
)
def test_a_stay_that_cannot_go_on_is_refused(kind: str, day: date) -> None:
    due = DUE_ON if kind == "foster" else None
    stay = foster(kind=kind, due_back_on=due)

    with pytest.raises(PlanError):
        extend_stay(placement=stay, due_back_on=day, by=None, at=AT)


def test_a_foster_stay_is_planned_to_last() -> None:
    application = factories.ApplicationFactory.create()
    stay = foster(home=application.home, application=application)

    lasting = plan_lasting(
        placement=stay, kind=K.ADOPTION, planned_on=LEAVES_ON, by=None, at=AT
    )

    lasting.refresh_from_db()
    stay.refresh_from_db()
    assert (lasting.follows, lasting.state, lasting.kind) == (
        stay,
        "planned",
        "adoption",
    )
    assert (lasting.home, lasting.application) == (stay.home, application)
    assert stay.state == "handed_over"


@pytest.mark.parametrize(
    ("made", "kind", "told"),
    [
        ({"kind": "sale", "due_back_on": None}, K.ADOPTION, "Only a loan or a foster"),
        ({}, K.LOAN, "not by loan"),
        ({}, K.RELEASE, "not by release"),
    ],
)
def test_what_does_not_last_is_refused(made: Any, kind: Any, told: str) -> None:
    stay = foster(**made)

    with pytest.raises(PlanError, match=told):
        plan_lasting(placement=stay, kind=kind, planned_on=LEAVES_ON, by=None, at=AT)


def test_it_lasts_from_no_day_before_the_stay_began() -> None:
    with pytest.raises(PlanError, match="lies before 2026-03-02"):
        plan_lasting(
            placement=foster(),
            kind=K.SALE,
            planned_on=date(2026, 3, 1),
            by=None,
            at=AT,
        )


def test_a_stay_is_planned_to_last_once_and_again_after_it_was_called_off() -> None:
    stay = foster()
    said: dict[str, Any] = {"placement": stay, "kind": K.SALE, "planned_on": LEAVES_ON}
    first = plan_lasting(**said, by=None, at=AT)

    with pytest.raises(AlreadyPlannedError):
        plan_lasting(**said, by=None, at=AT)
    change_plan(placement=first, planned_on=date(2026, 3, 3), by=None, at=AT)
    call_off(placement=first, reason="They need time.", by=None, at=AT)
    again = plan_lasting(**said, by=None, at=AT)

    first.refresh_from_db()
    assert (first.state, first.follows, again.follows) == ("called_off", None, stay)
    before = AuditEntry.objects.get(verb="call_off").before
    assert before == {"state": "planned", "follows": stay.pk}
