"""How one animal grows, as it is answered."""

from datetime import date
from decimal import Decimal
from typing import Annotated, Any

from msgspec import Meta

from api.structs import Asked, Instant, Out, Ref
from husbandry.rules.growth.comparing import NotCompared
from husbandry.rules.growth.fits import AsymptoteDoubt, NotFitted, Parameter
from husbandry.rules.growth.projecting import Projection
from husbandry.rules.profiles.values import Provenance
from husbandry.rules.vocabulary import FindingKind, GrowthModel, Urgency

HEAVIEST_G = 9_999_999
GRAMS = Meta(description="Grams.")
PER_DAY = Meta(description="Grams a day.")
OPEN_LOW = Meta(description="Grams a day; null: too few weighings to bound it.")
AGE = Meta(description="Days since hatching; null: the day of hatching is not known.")


class GrowthAsked(Asked, frozen=True):
    """Which mass."""

    mass_g: Annotated[
        Annotated[float, Meta(gt=0, le=HEAVIEST_G)] | None,
        Meta(description="Grams; the age at it is projected."),
    ] = None


class AgedWeighingOut(Out, frozen=True):
    """A weighing in force."""

    id: int
    on: Annotated[date, Meta(description="Local day.")]
    age_days: Annotated[int | None, AGE]
    mass_g: Annotated[Decimal, GRAMS]


class TrendOut(Out, frozen=True):
    """A robust trend with its 95 % interval."""

    slope_g_per_day: Annotated[float, PER_DAY]
    low_g_per_day: Annotated[float | None, OPEN_LOW]
    high_g_per_day: Annotated[float | None, OPEN_LOW]
    weighings: int
    from_on: date
    to_on: date
    window_days: int
    since_laying: Annotated[
        bool, Meta(description="Begins after a laying: the eggs are gone since then.")
    ]


class AssessmentOut(Out, frozen=True):
    """What is wrong, as the night would say it."""

    kind: FindingKind
    urgency: Urgency
    facts: Annotated[dict[str, Any], Meta(description="The numbers that made it.")]
    rule: Annotated[
        str, Meta(description="Id of the care profile's row; may be empty.")
    ]
    provenance: Provenance | None


class ByReferenceOut(Out, frozen=True):
    """Where the last weighing lies in a published reference."""

    reference: str
    z: float
    centile: Annotated[float, Meta(description="Per cent that weigh less.")]
    unlikely: Annotated[
        bool, Meta(description="Check the scale and the day of hatching first.")
    ]
    provenance: Provenance


class MateAtAgeOut(Out, frozen=True):
    """What a clutch-mate weighed at the animal's age."""

    animal: Ref
    in_care: bool
    on: date
    age_days: Annotated[int | None, AGE]
    mass_g: Annotated[Decimal, GRAMS]


class AmongMatesOut(Out, frozen=True):
    """How the last weighing lies among its clutch-mates' at the same age."""

    why_not: Annotated[
        NotCompared | None, Meta(description="Why nothing is compared; null: it is.")
    ]
    on_record: Annotated[int, Meta(description="Clutch-mates, weighed then or not.")]
    mates: tuple[MateAtAgeOut, ...]
    least: Annotated[int | None, Meta(description="So many mates are needed.")]
    within_days: Annotated[int | None, Meta(description="Of hatching, and of age.")]
    median_g: Annotated[float | None, GRAMS]
    scaled_mad_g: Annotated[float | None, GRAMS]
    score: Annotated[
        float | None, Meta(description="Scaled median deviations from the median.")
    ]
    rank: Annotated[int | None, Meta(description="1: the heaviest of all.")]


class SiblingOut(Out, frozen=True):
    """A clutch-mate and its weighings, oldest first."""

    animal: Ref
    in_care: bool
    hatched_on: date | None
    weighings: tuple[AgedWeighingOut, ...]


class CurveOut(Out, frozen=True):
    """A growth curve fitted by least squares."""

    model: GrowthModel
    parameters: tuple[Parameter, ...]
    residual_standard_error_g: Annotated[float, GRAMS]
    aicc: float | None
    aicc_difference: Annotated[float | None, Meta(description="From the best curve's.")]
    weight: Annotated[float | None, Meta(description="Akaike's.")]
    asymptote_supported: Annotated[
        bool, Meta(description="false: its asymptote is no fact; see `why_not`.")
    ]
    why_not: AsymptoteDoubt | None
    asymptote_low_g: Annotated[
        float | None, Meta(description="Grams, 95 %; null where not supported.")
    ]
    asymptote_high_g: Annotated[
        float | None, Meta(description="Grams, 95 %; null where not supported.")
    ]


class NoCurveOut(Out, frozen=True):
    """A curve that could not be fitted, and why."""

    model: GrowthModel
    reason: NotFitted


class ConditionOut(Out, frozen=True):
    """Mass by length: for one animal over time; no validated score exists."""

    measured_at: Instant
    snout_vent_cm: Annotated[Decimal, Meta(description="Snout to vent, in cm.")]
    weighed_at: Instant
    mass_g: Annotated[Decimal, GRAMS]
    g_per_cm: Annotated[Decimal, Meta(description="Grams by cm.")]


class SpellOut(Out, frozen=True):
    """From when until when it was gravid; a last day of null: still."""

    from_on: date
    until_on: date | None


class GrowthOut(Out, frozen=True):
    """How one animal grows, as it stands today."""

    animal: Ref | None
    on: Annotated[date, Meta(description="The local day.")]
    time_zone: str
    profile: Annotated[
        Ref | None, Meta(description="Care profile in force; null: none is published.")
    ]
    stage: Annotated[str | None, Meta(description="Life stage; null: not known.")]
    hatched_on: Annotated[
        date | None, Meta(description="Null unless known to the day: then no ages.")
    ]
    weighings: tuple[AgedWeighingOut, ...]
    trend: Annotated[
        TrendOut | None,
        Meta(description="Null: not weighed on two days of the window."),
    ]
    assessments: tuple[AssessmentOut, ...]
    switched_off: Annotated[
        tuple[FindingKind, ...],
        Meta(description="Of what the site does not want to hear."),
    ]
    by_reference: ByReferenceOut | None
    among_mates: AmongMatesOut
    siblings: tuple[SiblingOut, ...]
    curves: Annotated[tuple[CurveOut, ...], Meta(description="The best first.")]
    gravid_weighings: Annotated[
        int, Meta(description="Left out of the curves: it carried eggs.")
    ]
    curves_left_out: tuple[NoCurveOut, ...]
    projection: Annotated[
        Projection | None,
        Meta(description="Of the mass asked for; null: none asked, or no curve."),
    ]
    conditions: tuple[ConditionOut, ...]
    gravid: tuple[SpellOut, ...]
    laid_on: tuple[date, ...]
    shed_on: tuple[date, ...]
