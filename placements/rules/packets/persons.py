"""Everything that people wrote about an animal, without people's names."""

from collections.abc import Callable
from dataclasses import replace
from functools import partial

from placements.rules.packets.facts import (
    Background,
    CareOnRecord,
    Leaving,
    PacketFacts,
)
from placements.rules.packets.names import without_names

Cleaner = Callable[[str], str]


def without_persons(facts: PacketFacts) -> PacketFacts:
    """Return the facts with the names known here left out of all free text.

    Args:
        facts: with the names of people and homes that may stand in it.

    Source:
        ADR 0004
    """
    if not facts.leaving.names:
        return facts
    clean = partial(without_names, names=facts.leaving.names)
    overrides = tuple(replace(o, reason=clean(o.reason)) for o in facts.needs.overrides)
    return replace(
        facts,
        needs=replace(facts.needs, overrides=overrides),
        background=_background(facts.background, clean),
        care=_care(facts.care, clean),
        leaving=_leaving(facts.leaving, clean),
    )


def _background(background: Background, clean: Cleaner) -> Background:
    return replace(
        background,
        intakes=tuple(
            replace(
                i,
                species_told=clean(i.species_told),
                came_with=clean(i.came_with),
            )
            for i in background.intakes
        ),
        quarantines=tuple(
            replace(q, despite=clean(q.despite)) for q in background.quarantines
        ),
        exams=tuple(
            replace(
                exam, parts=tuple(replace(p, note=clean(p.note)) for p in exam.parts)
            )
            for exam in background.exams
        ),
    )


def _care(care: CareOnRecord, clean: Cleaner) -> CareOnRecord:
    return replace(
        care,
        orders=tuple(replace(o, reason=clean(o.reason)) for o in care.orders),
        treatments=tuple(
            replace(
                t,
                reason=clean(t.reason),
                stopped_reason=clean(t.stopped_reason),
            )
            for t in care.treatments
        ),
        tests=tuple(replace(t, finding=clean(t.finding)) for t in care.tests),
    )


def _leaving(leaving: Leaving, clean: Cleaner) -> Leaving:
    return replace(
        leaving,
        gates_opened=tuple(
            replace(g, why_shut=clean(g.why_shut), reason=clean(g.reason))
            for g in leaving.gates_opened
        ),
        treatment_handovers=tuple(
            replace(h, plan=clean(h.plan)) for h in leaving.treatment_handovers
        ),
        papers=tuple(replace(p, issued_by=clean(p.issued_by)) for p in leaving.papers),
    )
