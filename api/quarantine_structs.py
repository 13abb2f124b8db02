"""Quarantines going in and coming out."""

from datetime import date
from typing import Annotated, Any

from msgspec import Meta

from api.animal_codes import LABEL
from api.structs import In, Instant, Out, Ref
from husbandry.models import Quarantine
from husbandry.rules.quarantine import LONGEST_GROUP, LONGEST_REASON
from placements.models import Clearance
from placements.rules.quarantine.assessing import Broken, why_broken
from placements.rules.quarantine.telling import DAYS_ALONE, tell
from placements.rules.quarantine.values import CriterionState, QuarantineState
from placements.rules.vocabulary import Criterion

LONGEST_DESPITE = 1000
DAY = Annotated[
    date | None, Meta(description="Local day where the animal is; today unless given.")
]


class QuarantineIn(In, frozen=True, kw_only=True):
    """An animal to be kept apart."""

    animal: LABEL
    on: DAY = None
    group: Annotated[
        str,
        Meta(
            max_length=LONGEST_GROUP,
            description="Whose newcomers restart its clock; as the policy of its "
            "species says unless given.",
        ),
    ] = ""
    reason: Annotated[str, Meta(min_length=1, max_length=LONGEST_REASON)]


class ClearIn(In, frozen=True, kw_only=True):
    """A person's word that an animal may leave quarantine."""

    on: DAY = None
    despite: Annotated[
        str,
        Meta(
            max_length=LONGEST_DESPITE,
            description="Why, although a criterion is not met or not known to be.",
        ),
    ] = ""


class CriterionOut(Out, frozen=True):
    """One thing that has to be so before quarantine ends."""

    criterion: Criterion
    asked: Annotated[bool, Meta(description="false: the policy does not ask for it.")]
    met: Annotated[
        bool | None, Meta(description="null: the data do not say, which is not yes.")
    ]
    told: Annotated[str, Meta(description="In words, with its evidence.")]
    evidence: dict[str, Any]


class ExposureOut(Out, frozen=True):
    """What restarted the clock: it met another animal in quarantine in its room."""

    on: date
    animal: Ref
    room: str


class QuarantineStandingOut(Out, frozen=True):
    """How an open quarantine stands now."""

    on: Annotated[date, Meta(description="Local day of which this is told.")]
    clock_from: Annotated[date, Meta(description="From when its days are counted.")]
    earliest_on: Annotated[
        date, Meta(description="First day on which enough days have passed.")
    ]
    restarted_by: Annotated[tuple[ExposureOut, ...], Meta(description="Oldest first.")]
    criteria: tuple[CriterionOut, ...]
    ready: Annotated[bool, Meta(description="All is met; a person decides.")]
    room: Annotated[str | None, Meta(description="null: it is in no enclosure.")]
    enclosure: str | None
    broken: Annotated[
        Broken | None,
        Meta(description="In what way it is not kept apart; null: it is."),
    ]
    others: Annotated[
        tuple[str, ...],
        Meta(description="Codes of animals in its room that are not in quarantine."),
    ]
    caution: str


class ClearanceOut(Out, frozen=True):
    """That somebody let it out, and on what evidence."""

    about = Clearance
    on: date
    criteria: tuple[CriterionOut, ...]
    despite: str
    cleared_by: str | None
    cleared_at: Instant


class QuarantineOut(Out, frozen=True):
    """From when until when an animal is kept apart."""

    about = Quarantine
    id: int
    animal: Ref
    began_on: date
    group: str
    reason: str
    ended_on: date | None
    standing: Annotated[
        QuarantineStandingOut | None, Meta(description="null: it is over.")
    ]
    clearance: Annotated[
        ClearanceOut | None,
        Meta(description="null: still open, or the animal left care while in it."),
    ]


def shown_quarantine(
    row: Quarantine, state: QuarantineState | None, clearance: Clearance | None
) -> QuarantineOut:
    """Return a quarantine as it is answered."""
    return QuarantineOut(
        id=row.pk,
        animal=Ref(id=row.animal_id, code=row.animal.code),
        began_on=row.began_on,
        group=row.group,
        reason=row.reason,
        ended_on=row.ended_on,
        standing=_standing(state) if state else None,
        clearance=_clearance(clearance) if clearance else None,
    )


def _standing(state: QuarantineState) -> QuarantineStandingOut:
    lodging = state.lodging
    return QuarantineStandingOut(
        on=state.on,
        clock_from=state.clock_from,
        earliest_on=state.earliest_on,
        restarted_by=tuple(
            ExposureOut(on=e.on, animal=Ref(id=e.animal, code=e.code), room=e.room)
            for e in state.exposures
        ),
        criteria=tuple(_criterion(c) for c in state.criteria),
        ready=state.is_ready,
        room=lodging.room if lodging else None,
        enclosure=lodging.enclosure if lodging else None,
        broken=why_broken(state),
        others=lodging.others if lodging else (),
        caution=DAYS_ALONE,
    )


def _criterion(state: CriterionState) -> CriterionOut:
    return CriterionOut(
        criterion=state.criterion,
        asked=state.asked,
        met=state.met,
        told=tell(state),
        evidence=dict(state.evidence),
    )


def _clearance(row: Clearance) -> ClearanceOut:
    kept = (
        CriterionState(
            Criterion(c["criterion"]),
            asked=c["asked"],
            met=c["met"],
            evidence=c["evidence"],
        )
        for c in row.criteria
    )
    return ClearanceOut(
        on=row.on,
        criteria=tuple(_criterion(state) for state in kept),
        despite=row.despite,
        cleared_by=str(row.cleared_by) if row.cleared_by else None,
        cleared_at=row.cleared_at,
    )
