"""From a care profile to the plan of one animal on one day."""

from datetime import date

from husbandry.rules.profiles.resolving import (
    laying_for,
    stage_on,
    supplements_for,
)
from husbandry.rules.profiles.values import Profile
from husbandry.rules.profiles.vocabulary import CareTopic
from husbandry.rules.vocabulary import Reproduction
from placements.rules.packets import lines
from placements.rules.packets.calendars import NOTHING_KNOWN, FoodKnown, calendar
from placements.rules.packets.facts import CareOnRecord
from placements.rules.packets.needs import Needs, ProfileVersion
from placements.rules.packets.plans import CarePlan, SignLine, TextLine
from placements.rules.packets.stages import stage_changes


def food_known(care: CareOnRecord, found: ProfileVersion | None) -> FoodKnown:
    """Return what is on record of its food that the days to come depend on.

    Args:
        care: its feedings and what was agreed.
        found: whose supplements say what holds vitamin D3; None: nobody knows.

    Returns:
        Food that was refused whole brought no D3; food that nobody watched did.
    """
    rows = found.profile.supplements if found else ()
    with_d3 = {row.id for row in rows if row.contains_d3}
    days = {f.on for f in care.feedings if with_d3 & {*f.supplements} and not f.refused}
    return FoodKnown(care.orders, tuple(sorted(days)))


def plan_care(
    found: ProfileVersion,
    needs: Needs,
    *,
    on: date,
    known: FoodKnown = NOTHING_KNOWN,
) -> CarePlan:
    """Resolve a care profile for one animal on a day.

    Args:
        found: the profile in force on that day.
        needs: of the animal; without a day of hatching no row that names a life
            stage holds, and no change of stage can be foretold.
        on: the day the animal is to leave.
        known: what is on record of its food.

    Returns:
        Every value with its source and standing, and with what others say.
    """
    profile = found.profile
    stage = stage_on(profile, hatched_on=needs.hatched_on, on=on)
    code = stage.code if stage else None
    laying = laying_for(profile, code, needs.sex)
    return CarePlan(
        profile_version=found.version,
        profile_sha256=found.sha256,
        stage=stage.name if stage else "",
        stage_from_days=stage.from_days if stage else None,
        stage_to_days=stage.to_days if stage else None,
        gravid=needs.reproduction is Reproduction.GRAVID,
        targets=lines.targets(profile, code, needs, on),
        light=lines.light_line(profile, code),
        room=lines.room_line(profile, code, needs.sex),
        company=lines.company_line(profile, code),
        laying=lines.basis(laying.provenance) if laying else None,
        feeding=lines.feeding_line(profile, code),
        feeders=lines.feeders(profile, needs.hatched_on, on),
        supplements=tuple(
            TextLine(s.id, s.name, s.text, lines.basis(s.provenance))
            for s in supplements_for(profile, code)
        ),
        weighing=lines.weighing_line(profile, code),
        masses=lines.masses(profile, needs, on),
        first_things=_notes(profile, new_home=True),
        checklist=tuple(
            TextLine(c.id, "", c.text, lines.basis(c.provenance))
            for c in profile.checklist
        ),
        signs=tuple(
            SignLine(w.id, w.text, w.urgency, w.do, lines.basis(w.provenance))
            for w in profile.warning_signs
        ),
        notes=_notes(profile, new_home=False),
        changes=stage_changes(
            profile, sex=needs.sex, hatched_on=needs.hatched_on, on=on
        ),
        calendar=calendar(
            profile, hatched_on=needs.hatched_on, first_on=on, known=known
        ),
    )


def _notes(profile: Profile, *, new_home: bool) -> tuple[TextLine, ...]:
    return tuple(
        TextLine(n.id, n.topic.value, n.text, lines.basis(n.provenance))
        for n in profile.notes
        if (n.topic is CareTopic.NEW_HOME) is new_home
    )
