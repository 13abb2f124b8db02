"""Everything that a packet says of the journey and the time in the new home."""

from dataclasses import dataclass
from datetime import date

from husbandry.rules.profiles.resolving import stage_on
from husbandry.rules.vocabulary import DatePrecision
from placements.rules.follow_ups import due_days
from placements.rules.packets.buying import buy_list
from placements.rules.packets.days import plan_day
from placements.rules.packets.facts import PacketFacts
from placements.rules.packets.journeys import before_journey, calls, first_weeks
from placements.rules.packets.leaving import CallLine, FollowUpLine
from placements.rules.packets.needs import ProfileVersion
from placements.rules.packets.planning import food_known
from placements.rules.packets.plans import CarePlan, TextLine
from placements.rules.packets.routines import DayPlan, MonthPlan
from placements.rules.packets.words import day
from placements.rules.packets.years import plan_months


@dataclass(frozen=True, slots=True)
class HomePlan:
    """What is to be had, done and asked; empty for a release to the wild."""

    day: DayPlan | None = None
    months: tuple[MonthPlan, ...] = ()
    buy: tuple[TextLine, ...] = ()
    before_journey: tuple[TextLine, ...] = ()
    first_weeks: tuple[TextLine, ...] = ()
    calls: tuple[CallLine, ...] = ()
    follow_ups: tuple[FollowUpLine, ...] = ()


NO_HOME = HomePlan()


def plan_home(facts: PacketFacts, plan: CarePlan | None) -> HomePlan:
    """Plan the journey and the time in the new home.

    Args:
        facts: of an animal that goes to a home.
        plan: its care plan; None: no care profile is in force, and what holds for
            every animal is said.
    """
    found = facts.profile
    months = _months(facts, found) if found else ()
    weigh_on = [on for month in months for on in month.weigh_on]
    return HomePlan(
        day=_day(facts, found) if found else None,
        months=months,
        buy=_buy(facts, found, plan) if found and plan else (),
        before_journey=tuple(
            before_journey(
                facts.leaving.papers,
                under_treatment=any(t.open for t in facts.care.treatments),
            )
        ),
        first_weeks=tuple(
            first_weeks(
                found.profile if found else None,
                first_weighing_on=_words(weigh_on, after=facts.on),
            )
        ),
        calls=calls(facts.keeper, facts.keeper_contact),
        follow_ups=tuple(FollowUpLine(kind, on) for kind, on in due_days(facts.on)),
    )


def _stage(facts: PacketFacts, found: ProfileVersion) -> str | None:
    stage = stage_on(found.profile, hatched_on=facts.needs.hatched_on, on=facts.on)
    return stage.code if stage else None


def _day(facts: PacketFacts, found: ProfileVersion) -> DayPlan | None:
    return plan_day(found.profile, _stage(facts, found), lights=facts.leaving.lights)


def _months(facts: PacketFacts, found: ProfileVersion) -> tuple[MonthPlan, ...]:
    return plan_months(
        found.profile,
        facts.needs,
        first_on=facts.on,
        about=facts.animal.hatched_precision is not DatePrecision.DAY,
        known=food_known(facts.care, found),
    )


def _buy(
    facts: PacketFacts, found: ProfileVersion, plan: CarePlan
) -> tuple[TextLine, ...]:
    return buy_list(found.profile, _stage(facts, found), facts.needs, plan)


def _words(weigh_on: list[date], *, after: date) -> str:
    """Return the first weighing after the day it arrives, in words."""
    return next((day(on) for on in weigh_on if on > after), "")
