"""What a care task asks for, by its kind."""

from datetime import date
from decimal import Decimal
from typing import Annotated

from msgspec import Meta

from api.structs import Instant, Out, from_row
from husbandry.rules.care import tasks
from husbandry.rules.vocabulary import HealthTestKind, LampKind, MistingTime, Route

GRAMS = Meta(description="Grams.")


class SupplementOut(Out, frozen=True):
    """What food is dusted with."""

    id: Annotated[str, Meta(description="Id of the care profile's row.")]
    name: str


class FeedPlanOut(Out, frozen=True, tag_field="of", tag="feed"):
    """What to offer."""

    feeder: Annotated[
        str, Meta(description="Id of the care profile's row; empty: as the unit says.")
    ]
    feeder_name: str
    portion_low: int
    portion_high: int
    unit: Annotated[str, Meta(description="Of the portion.")]
    supplements: tuple[SupplementOut, ...]
    assisted: Annotated[bool, Meta(description="Fed by hand.")]
    agreed: Annotated[
        str, Meta(description="By whom and why, where it was agreed for this animal.")
    ]


class GutLoadPlanOut(Out, frozen=True, tag_field="of", tag="gut_load"):
    """What the insects of a whole room are fed for."""

    feeder: str
    feeder_name: str
    insects_low: int
    insects_high: int
    animals: int
    feeding_on: date


class MistPlanOut(Out, frozen=True, tag_field="of", tag="mist"):
    """For how many minutes to mist."""

    time: MistingTime
    minutes_low: int
    minutes_high: int


class LampPlanOut(Out, frozen=True, tag_field="of", tag="lamp"):
    """Which lamp to measure or to change, and why now."""

    lamp: int
    kind: LampKind
    label: str
    fitted_on: date
    burnt_hours: float
    last_on: Annotated[date | None, Meta(description="Of the last meter reading.")]


class DosePlanOut(Out, frozen=True, tag_field="of", tag="dose"):
    """A dose of what a licensed vet prescribed."""

    prescription: int
    drug: str
    route: Route
    vet: str
    due_at: Instant
    volume_ml: Annotated[
        Decimal | None,
        Meta(description="Millilitres for the last weight; null: see `refusal`."),
    ]
    refusal: Annotated[
        str, Meta(description="Why no volume is computed, and what to do.")
    ]
    mass_g: Annotated[Decimal | None, GRAMS]
    weighed_on: date | None


class LookPlanOut(Out, frozen=True, tag_field="of", tag="look"):
    """What to look at again, or which result to ask for."""

    record: Annotated[
        int, Meta(description="Number of the observation, or of the test.")
    ]
    since_on: date
    text: str
    test: HealthTestKind | None


class WeighPlanOut(Out, frozen=True, tag_field="of", tag="weigh"):
    """How often, and the last weighing."""

    every_days: int
    last_g: Annotated[Decimal | None, GRAMS]
    last_on: date | None


class WatchPlanOut(Out, frozen=True, tag_field="of", tag="watch"):
    """A daily look at a gravid female: is she bright, does she dig, does she lay?"""

    since_on: Annotated[
        date, Meta(description="First day on which she was seen gravid.")
    ]


PlanOut = (
    FeedPlanOut
    | GutLoadPlanOut
    | MistPlanOut
    | LampPlanOut
    | DosePlanOut
    | LookPlanOut
    | WeighPlanOut
    | WatchPlanOut
)
_SHOWN: dict[type, type[PlanOut]] = {
    tasks.FeedPlan: FeedPlanOut,
    tasks.GutLoadPlan: GutLoadPlanOut,
    tasks.MistPlan: MistPlanOut,
    tasks.LampPlan: LampPlanOut,
    tasks.DosePlan: DosePlanOut,
    tasks.WeighPlan: WeighPlanOut,
    tasks.WatchPlan: WatchPlanOut,
}


def shown_plan(plan: tasks.Plan) -> PlanOut:
    """Return a plan as it is answered; `of` names its kind."""
    if isinstance(plan, tasks.LookPlan):
        return LookPlanOut(
            record=plan.about, since_on=plan.since_on, text=plan.text, test=plan.test
        )
    return from_row(plan, _SHOWN[type(plan)])
