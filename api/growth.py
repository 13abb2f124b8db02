"""How one animal grows, in numbers."""

from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal
from math import isfinite
from typing import Any

from api.growth_structs import (
    AgedWeighingOut,
    AmongMatesOut,
    AssessmentOut,
    ByReferenceOut,
    ConditionOut,
    CurveOut,
    GrowthAsked,
    GrowthOut,
    MateAtAgeOut,
    NoCurveOut,
    SiblingOut,
    SpellOut,
    TrendOut,
)
from api.structs import Ref, from_row, ref
from husbandry.models import Animal
from husbandry.queries.growth import growth_of
from husbandry.rules.assessments import Assessment
from husbandry.rules.growth.choosing import LeftOut, RankedFit
from husbandry.rules.growth.comparing import AmongMates, ByReference
from husbandry.rules.growth.pictures import Growth, Sibling, Trend
from husbandry.rules.growth.recorded import Aged


def shown_growth(animal: Animal, *, asked: GrowthAsked, at: datetime) -> GrowthOut:
    """Return how an animal grows.

    Args:
        animal: with the code of its species.
        asked: the mass whose age is projected, if any.
        at: now.
    """
    mass_g = None if asked.mass_g is None else Decimal(str(asked.mass_g))
    found = growth_of(animal=animal, at=at, mass_g=mass_g)
    growth, version = found.growth, found.version
    code = f"{version.profile.species} v{version.version}" if version else ""
    choice = growth.choice
    return GrowthOut(
        animal=ref(animal),
        on=growth.on,
        time_zone=growth.zone.key,
        profile=Ref(id=version.id, code=code) if version else None,
        stage=growth.stage.code if growth.stage else None,
        hatched_on=growth.record.animal.hatched_on,
        weighings=_weighings(growth.weighings),
        trend=_trend(growth.trend) if growth.trend else None,
        assessments=tuple(map(_assessment, growth.assessments)),
        switched_off=growth.switched_off,
        by_reference=_by_reference(growth.reference) if growth.reference else None,
        among_mates=_among_mates(growth.among_mates),
        siblings=tuple(map(_sibling, growth.siblings)),
        curves=tuple(map(_curve, choice.ranked)) if choice else (),
        gravid_weighings=growth.gravid_weighings,
        curves_left_out=tuple(map(_no_curve, choice.left_out)) if choice else (),
        projection=growth.projection,
        **_beside(growth),
    )


def _beside(growth: Growth) -> dict[str, Any]:
    record = growth.record
    return {
        "conditions": tuple(from_row(c, ConditionOut) for c in growth.conditions),
        "gravid": tuple(from_row(s, SpellOut) for s in record.gravid),
        "laid_on": record.laid_on,
        "shed_on": record.shed_on,
    }


def _weighings(weighings: Sequence[Aged]) -> tuple[AgedWeighingOut, ...]:
    return tuple(from_row(w, AgedWeighingOut) for w in weighings)


def _trend(trend: Trend) -> TrendOut:
    slope = trend.slope
    return TrendOut(
        slope_g_per_day=slope.slope,
        low_g_per_day=slope.low if isfinite(slope.low) else None,
        high_g_per_day=slope.high if isfinite(slope.high) else None,
        weighings=slope.n,
        from_on=trend.from_on,
        to_on=trend.to_on,
        window_days=trend.window_days,
        since_laying=trend.since_laying,
    )


def _assessment(found: Assessment) -> AssessmentOut:
    return AssessmentOut(
        kind=found.kind,
        urgency=found.urgency,
        facts=found.facts,
        rule=found.rule_id,
        provenance=found.provenance,
    )


def _by_reference(found: ByReference) -> ByReferenceOut:
    return ByReferenceOut(
        reference=found.reference.id,
        z=found.z,
        centile=found.centile,
        unlikely=found.unlikely,
        provenance=found.reference.provenance,
    )


def _among_mates(among: AmongMates) -> AmongMatesOut:
    policy, found = among.policy, among.found
    return AmongMatesOut(
        why_not=among.why_not,
        on_record=among.on_record,
        mates=tuple(
            MateAtAgeOut(
                animal=Ref(id=one.mate.id, code=one.mate.code),
                in_care=one.mate.in_care,
                on=one.weighed.on,
                age_days=one.weighed.age_days,
                mass_g=one.weighed.mass_g,
            )
            for one in among.mates
        ),
        least=policy.mates_least if policy else None,
        within_days=policy.mates_within_days if policy else None,
        median_g=found.median_g if found else None,
        scaled_mad_g=found.scaled_mad_g if found else None,
        score=found.score if found else None,
        rank=found.rank if found else None,
    )


def _sibling(mate: Sibling) -> SiblingOut:
    animal = mate.animal
    return SiblingOut(
        animal=Ref(id=animal.id, code=animal.code),
        in_care=animal.in_care,
        hatched_on=animal.hatched_on,
        weighings=_weighings(mate.weighings),
    )


def _curve(ranked: RankedFit) -> CurveOut:
    fit = ranked.fit
    low, high = fit.asymptote_interval_g if fit.asymptote_supported else (None, None)
    return CurveOut(
        model=fit.model,
        parameters=fit.parameters,
        residual_standard_error_g=fit.residual_standard_error_g,
        aicc=fit.aicc,
        aicc_difference=ranked.difference,
        weight=ranked.weight,
        asymptote_supported=fit.asymptote_supported,
        why_not=fit.why,
        asymptote_low_g=low,
        asymptote_high_g=high,
    )


def _no_curve(left: LeftOut) -> NoCurveOut:
    return NoCurveOut(model=left.model, reason=left.reason)
