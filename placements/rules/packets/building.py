"""From what is known of an animal to the document that goes home with it."""

from collections.abc import Iterator

from husbandry.rules.profiles.values import Profile
from husbandry.rules.sentences.findings import describe
from husbandry.rules.vocabulary import FindingKind
from placements.rules.packets import cautions, journeys, schemas
from placements.rules.packets.appetites import feeding_response
from placements.rules.packets.documents import Document, SourceLine
from placements.rules.packets.facts import FindingFacts, PacketFacts
from placements.rules.packets.health import sighting_lines
from placements.rules.packets.histories import FindingLine, History
from placements.rules.packets.homecoming import NO_HOME, HomePlan, plan_home
from placements.rules.packets.lines import basis
from placements.rules.packets.names import without_names
from placements.rules.packets.persons import without_persons
from placements.rules.packets.planning import food_known, plan_care
from placements.rules.packets.plans import Basis, CarePlan, TextLine
from placements.rules.vocabulary import PlacementKind

NEVER_RELEASE = "caution-never-release"
# What the organisation has to do about a placement is no part of an animal's history.
NOT_OF_ITS_CARE = frozenset(
    {
        FindingKind.DUE_BACK,
        FindingKind.PLACEMENT_STUCK,
        FindingKind.HOME_UNHEARD,
        FindingKind.HOME_REPORT,
    }
)


def build_document(facts: PacketFacts) -> Document:
    """Build the document of a packet: the same facts give the same document.

    Args:
        facts: gathered; an animal without weighings, stays, a known day of hatching
            or a care profile is accepted, and the document then says less.
    """
    facts = without_persons(facts)
    profile = facts.profile.profile if facts.profile else None
    released = facts.kind is PlacementKind.RELEASE
    plan = (
        plan_care(
            facts.profile,
            facts.needs,
            on=facts.on,
            known=food_known(facts.care, facts.profile),
        )
        if facts.profile and not released
        else None
    )
    told = _cautions(profile, released=released)
    home = NO_HOME if released else plan_home(facts, plan)
    return Document(
        schema=schemas.NEWEST,
        on=facts.on,
        known_until=facts.known_until,
        time_zone=facts.time_zone,
        kind=facts.kind,
        keeper=facts.keeper,
        keeper_contact=facts.keeper_contact,
        animal=facts.animal,
        plan=plan,
        history=_history(facts, profile),
        cautions=told,
        sources=_sources(plan, told, home, profile),
        print=facts.leaving.print,
        day=home.day,
        months=home.months,
        feeding_orders=() if released else facts.care.orders,
        buy=home.buy,
        before_journey=home.before_journey,
        journey=journeys.journey(released=released),
        first_weeks=home.first_weeks,
        calls=home.calls,
        follow_ups=home.follow_ups,
        gates_opened=facts.leaving.gates_opened,
        treatment_handovers=facts.leaving.treatment_handovers,
        papers=facts.leaving.papers,
        due_back_on=facts.leaving.due_back_on,
    )


def _history(facts: PacketFacts, profile: Profile | None) -> History:
    return History(
        stays=facts.stays,
        weighings=facts.weighings,
        conditions=facts.conditions,
        findings=tuple(
            _finding(f, facts.leaving.names)
            for f in facts.findings
            if f.kind not in NOT_OF_ITS_CARE
        ),
        intakes=facts.background.intakes,
        earlier_care=facts.background.earlier_care,
        quarantines=facts.background.quarantines,
        exams=facts.background.exams,
        clutch=facts.background.clutch,
        spur_checks=facts.background.spur_checks,
        mates=facts.background.mates,
        feeding=feeding_response(
            facts.care.feedings,
            names={f.id: f.name for f in profile.feeders} if profile else {},
            until_on=facts.known_until,
        ),
        signs=sighting_lines(facts.care.sightings, profile),
        treatments=facts.care.treatments,
        tests=facts.care.tests,
    )


def _finding(facts: FindingFacts, names: tuple[str, ...]) -> FindingLine:
    what, first_step, why = (without_names(said, names) for said in _words(facts))
    return FindingLine(
        kind=facts.kind,
        urgency=facts.urgency,
        opened_on=facts.opened_on,
        last_seen_on=facts.last_seen_on,
        closed_on=facts.closed_on,
        nights=facts.nights,
        what=what,
        first_step=first_step,
        why=why,
    )


def _words(facts: FindingFacts) -> tuple[str, str, str]:
    """Return what, first step and why; of evidence that is not whole, the kind.

    A finding may be older than the evidence that today's sentences want. The
    packet then still says that there was one, and of what kind.
    """
    try:
        words = describe(facts.kind, facts.evidence)
    except KeyError:
        return f"{facts.kind.value.replace('_', ' ').capitalize()}.", "", ""
    return words.what, words.first_step, words.why


def _cautions(profile: Profile | None, *, released: bool) -> tuple[TextLine, ...]:
    """Return the profile's cautions, and the general ones it does not speak of.

    Whoever releases an animal by permit is not told never to.
    """
    own = tuple(
        TextLine(c.id, "", c.text, basis(c.provenance))
        for c in (profile.cautions if profile else ())
    )
    spoken_of = {line.id for line in own}
    told = (*own, *(line for line in cautions.GENERAL if line.id not in spoken_of))
    return tuple(line for line in told if not (released and line.id == NEVER_RELEASE))


def _sources(
    plan: CarePlan | None,
    told: tuple[TextLine, ...],
    home: HomePlan,
    profile: Profile | None,
) -> tuple[SourceLine, ...]:
    used = {line.basis.source for line in (*told, *journeys.JOURNEY)}
    used |= {found.source for found in _home_bases(home)}
    if plan is not None:
        used |= {found.source for found in _bases(plan)}
    known = {
        s.key: SourceLine(s.key, s.title, s.kind.value, s.year, s.where)
        for s in (profile.sources if profile else ())
    }
    general = {s.key: s for s in (*cautions.SOURCES, *journeys.SOURCES)}
    return tuple(s for key, s in sorted((general | known).items()) if key in used)


def _home_bases(home: HomePlan) -> Iterator[Basis]:
    if home.day is not None:
        yield from (line.basis for line in home.day.lines)
    yield from (line.basis for line in home.calls)
    for lines in (home.buy, home.before_journey, home.first_weeks):
        yield from (line.basis for line in lines)


def _bases(plan: CarePlan) -> Iterator[Basis]:
    for target in plan.targets:
        yield target.basis
        yield from (other.basis for other in target.others)
    rules = (plan.light, plan.room, plan.company, plan.feeding, plan.weighing)
    yield from (rule.basis for rule in rules if rule is not None)
    if plan.laying is not None:
        yield plan.laying
    for lines in (
        plan.feeders,
        plan.supplements,
        plan.masses,
        plan.first_things,
        plan.checklist,
        plan.signs,
        plan.notes,
    ):
        yield from (line.basis for line in lines)
