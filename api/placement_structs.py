"""Placements going in and coming out, with their gates."""

from datetime import date
from typing import Annotated, TypeVar

from django.db.models import Model
from msgspec import UNSET, Meta, UnsetType

from api.animal_codes import LABEL
from api.errors import RefusedError
from api.named import MOST
from api.structs import In, Out, Ref
from placements.actions.placements import PlanChanges
from placements.models import Application, HomeEnclosure, Placement
from placements.rules.gates.facts import GateResult
from placements.rules.gates.opening import LONGEST_REASON
from placements.rules.vocabulary import (
    Gate,
    GateState,
    PlacementKind,
    PlacementState,
)

M = TypeVar("M", bound=Model)
REASON = Annotated[str, Meta(max_length=300, description="No names of people.")]


class PlacementOut(Out, frozen=True):
    """One animal on its way to one home."""

    about = Placement
    id: int
    animal: Ref | None
    home: Annotated[
        int | None,
        Meta(description="Number of the home; null for those who may not see homes."),
    ]
    kind: PlacementKind
    state: PlacementState
    planned_on: date
    handed_over_on: date | None
    due_back_on: date | None
    ended_on: date | None
    release_place: str
    follows: Annotated[
        int | None, Meta(description="Number of the stay that it makes lasting.")
    ]
    packets: Annotated[
        tuple[Ref, ...], Meta(description="Its packets, the first version first.")
    ]


class GateOut(Out, frozen=True):
    """One gate that an animal has to pass before it leaves."""

    gate: Gate
    state: GateState
    why: Annotated[str, Meta(description="A whole sentence: why it is shut, or open.")]
    asked_by: Annotated[str, Meta(description="Which policy asks.")]
    evidence: Annotated[
        dict[str, tuple[str, ...]],
        Meta(description="What made it so, by name; of findings and papers, each."),
    ]
    can_be_opened: Annotated[
        bool, Meta(description="A person with the permission may open it while shut.")
    ]
    reason: Annotated[str, Meta(description="Of the person who opened it.")]


class GatesOut(Out, frozen=True):
    """All gates of a placement, for the day on which the animal leaves."""

    gates: tuple[GateOut, ...]


class PlacementIn(In, frozen=True, kw_only=True):
    """That an animal is to go to a home, or is to be released."""

    animal: LABEL
    kind: PlacementKind
    planned_on: date
    home: Annotated[
        int | None,
        Meta(description="Number of the home; null for a release."),
    ] = None
    due_back_on: Annotated[
        date | None, Meta(description="Of a loan or foster stay.")
    ] = None
    release_place: Annotated[
        str, Meta(max_length=200, description="Of a release to the wild.")
    ] = ""
    application: Annotated[
        int | None, Meta(description="Number of that home's application.")
    ] = None
    home_enclosure: Annotated[
        int | None, Meta(description="Number of that home's enclosure.")
    ] = None


class PlanChangeIn(In, frozen=True, kw_only=True):
    """What of a plan changes; what is left out stays."""

    planned_on: date | UnsetType = UNSET
    due_back_on: Annotated[
        date | UnsetType | None, Meta(description="Of a loan or foster stay.")
    ] = UNSET
    application: Annotated[
        int | UnsetType | None,
        Meta(description="Number of that home's application; null: none."),
    ] = UNSET
    home_enclosure: Annotated[
        int | UnsetType | None,
        Meta(description="Number of that home's enclosure; null: none."),
    ] = UNSET


class OpenGateIn(In, frozen=True, kw_only=True):
    """That a shut gate is opened all the same."""

    gate: Gate
    reason: Annotated[
        str,
        Meta(
            min_length=1,
            max_length=LONGEST_REASON,
            description="Goes on record and into the packet: no names of people.",
        ),
    ]


class ShutGateIn(In, frozen=True):
    """That a gate is judged by itself again."""

    gate: Gate


class LeavingIn(In, frozen=True):
    """The local day on which the animal left."""

    on: date


class CallOffIn(In, frozen=True):
    """That a plan is called off."""

    reason: REASON


class DiedThereIn(In, frozen=True, kw_only=True):
    """That the animal died in its home."""

    on: date
    reason: REASON = ""


class ExtendIn(In, frozen=True):
    """Another day of return."""

    due_back_on: date


class LastingIn(In, frozen=True, kw_only=True):
    """That a loan or foster stay is to become lasting."""

    kind: PlacementKind
    planned_on: date


class TreatmentIn(In, frozen=True, kw_only=True):
    """How a treatment goes on, as a licensed vet says."""

    prescription: Annotated[int, Meta(ge=1, le=MOST)]
    plan: Annotated[str, Meta(min_length=1, max_length=2000)]


def gate_out(result: GateResult) -> GateOut:
    """Return a gate as it is sent."""
    return GateOut(
        gate=result.gate,
        state=result.state,
        why=result.why,
        asked_by=result.source,
        evidence=_evidence(result),
        can_be_opened=result.can_be_opened,
        reason=result.reason,
    )


def _evidence(result: GateResult) -> dict[str, tuple[str, ...]]:
    found: dict[str, tuple[str, ...]] = {}
    for name, value in result.evidence:
        found[name] = (*found.get(name, ()), value)
    return found


def changes_of(given: PlanChangeIn) -> PlanChanges:
    """Return what a change names, with the rows that its numbers stand for.

    Raises:
        RefusedError: a number is of nothing.
    """
    changes = PlanChanges()
    if given.planned_on is not UNSET:
        changes["planned_on"] = given.planned_on
    if given.due_back_on is not UNSET:
        changes["due_back_on"] = given.due_back_on
    if given.application is not UNSET:
        found = row_named(Application, given.application, "application")
        changes["application"] = found
    if given.home_enclosure is not UNSET:
        enclosure = row_named(HomeEnclosure, given.home_enclosure, "home_enclosure")
        changes["home_enclosure"] = enclosure
    return changes


def row_named(model: type[M], number: int | None, field: str) -> M | None:
    """Return the row that a number names; None names none.

    Raises:
        RefusedError: there is no such row.
    """
    if number is None:
        return None
    # No key is larger; a database may trip on a number that is.
    if not 0 < number <= MOST:
        raise _unknown(number, field)
    found = model._default_manager.filter(pk=number).first()  # noqa: SLF001 - public API
    if found is None:
        raise _unknown(number, field)
    return found


def _unknown(number: int, field: str) -> RefusedError:
    words = field.replace("_", " ")
    return RefusedError(
        f"unknown_{field}",
        f"There is no {words} {number}.",
        fields={field: f"the number of a {words}, or null"},
    )
