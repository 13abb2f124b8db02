"""Make plans by which eggs are kept, and retire them.

A plan is never altered: clutches were kept by it, and nights were judged by it. Who
wants it otherwise makes another.
"""

import re
from collections.abc import Sequence
from datetime import date, datetime

from django.db import transaction

from clutches.models import IncubationPhase, IncubationPlan
from clutches.queries.plans import species_profile
from clutches.rules.facts import Phase
from clutches.rules.incubation.phases import hard_limits
from clutches.rules.incubation.plans import IncubationPlanError, check_plan
from core import audit
from core.models import User
from husbandry.models import Species

CODE = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,39}")


@transaction.atomic
def make_plan(
    *,
    code: str,
    name: str,
    species: Species,
    phases: Sequence[Phase],
    note: str,
    by: User | None,
    at: datetime,
) -> IncubationPlan:
    """Make an incubation plan with all its phases.

    Args:
        code: short, for labels and addresses: letters, digits, dots, hyphens and
            underscores, at most 40.
        name: as people call it.
        species: whose eggs are kept by it.
        phases: in their order; only the last is open.
        note: who says so, and why.
        by: the person.
        at: now.

    Returns:
        The plan.

    Raises:
        IncubationPlanError: the code is taken or cannot be one, there is no name, or
            no egg can be kept by such phases.
    """
    code, name = code.strip(), name.strip()
    _check_names(code, name)
    profile = species_profile(species=species, on=at.date())
    hard_low_c, hard_high_c = hard_limits(profile) if profile else (None, None)
    check_plan(phases, hard_low_c=hard_low_c, hard_high_c=hard_high_c)
    plan = IncubationPlan.objects.create(
        code=code, name=name, species=species, note=note.strip()
    )
    IncubationPhase.objects.bulk_create(
        IncubationPhase(
            plan=plan,
            position=position,
            kind=phase.kind.value,
            days=phase.days,
            day_low_c=phase.day_low_c,
            day_high_c=phase.day_high_c,
            night_low_c=phase.night_low_c,
            night_high_c=phase.night_high_c,
        )
        for position, phase in enumerate(phases, start=1)
    )
    audit.record(
        plan,
        verb="make_incubation_plan",
        by=by,
        at=at,
        after={
            **audit.values(plan, "code", "name", "species"),
            "phases": [told(phase) for phase in phases],
        },
        reason=plan.note,
    )
    return plan


def _check_names(code: str, name: str) -> None:
    if not CODE.fullmatch(code):
        accepted = "letters, digits, dots, hyphens and underscores, at most 40"
        raise IncubationPlanError(
            f"{code!r} cannot be a plan's code: {accepted} would do.",
            fields={"code": accepted},
        )
    if not 1 <= len(name) <= 80:
        raise IncubationPlanError(
            f"A plan has a name of 1 to 80 characters; {len(name)} were given.",
            fields={"name": "1 to 80 characters"},
        )
    if IncubationPlan.objects.filter(code=code).exists():
        raise IncubationPlanError(
            f"There is a plan {code!r} already, and a plan is never altered. Give this "
            "one another code.",
            fields={"code": "one that is not taken"},
        )


def told(phase: Phase) -> str:
    """Return a phase in a line: `warm, 45 days, 25.0–28.0 °C by day, …`."""
    lasting = "until they hatch" if phase.days is None else f"{phase.days} days"
    return (
        f"{phase.kind.value}, {lasting}, {phase.day_low_c}–{phase.day_high_c} °C by "
        f"day, {phase.night_low_c}–{phase.night_high_c} °C by night"
    )


@transaction.atomic
def retire_plan(
    *, plan: IncubationPlan, on: date, by: User | None, at: datetime
) -> IncubationPlan:
    """Offer a plan no longer; clutches that are kept by it stay so.

    Args:
        plan: one that is not retired.
        on: first local day on which it is not offered; no later than today anywhere.
        by: the person.
        at: now.

    Returns:
        The plan.

    Raises:
        IncubationPlanError: it is retired already, or the day is to come.
    """
    plan = IncubationPlan.objects.select_for_update(of=("self",)).get(pk=plan.pk)
    if plan.retired_on is not None:
        raise IncubationPlanError(
            f"{plan} was retired on {plan.retired_on:%d %b %Y} already.",
            fields={"plan": "one that is not retired"},
        )
    if (on - at.date()).days > 1:
        raise IncubationPlanError(
            f"{on:%d %b %Y} is to come; a plan is retired today or was earlier.",
            fields={"on": "today or earlier"},
        )
    plan.retired_on = on
    plan.save(update_fields=["retired_on"])
    audit.record(
        plan,
        verb="retire_incubation_plan",
        by=by,
        at=at,
        before={"retired_on": None},
        after=audit.values(plan, "retired_on"),
    )
    return plan
