"""The gates that look at the animal itself."""

from calendar import monthrange
from datetime import date, timedelta

from husbandry.rules.sentences import numbers
from husbandry.rules.sentences.names import listed
from husbandry.rules.vocabulary import Confidence, DatePrecision, FindingKind, Sex
from placements.rules.gates.facts import GateFacts, GateResult, Treatment
from placements.rules.gates.telling import (
    ALWAYS,
    asker,
    day,
    not_asked,
    passed,
    refused,
    words,
)
from placements.rules.vocabulary import Gate, PlacementKind, SexNeed

MASS_COUNTS_DAYS = 30
NOT_URGENT_HERE = frozenset(
    {
        # Other gates look at these, or they are about the placement itself.
        FindingKind.QUARANTINE_BROKEN,
        FindingKind.QUARANTINE_READY,
        FindingKind.PAPER_EXPIRING,
        FindingKind.DUE_BACK,
        FindingKind.PLACEMENT_STUCK,
        FindingKind.HOME_UNHEARD,
        FindingKind.HOME_REPORT,
    }
)


def quarantine_over(facts: GateFacts) -> GateResult:
    """Judge whether the animal is not kept apart any more.

    Args:
        facts: of the placement.

    Returns:
        Shut while a quarantine is open. Of a release nobody may open it: what it may
        carry would be carried into the wild.

    Source:
        quarantine-guidance, and `van-zanten-2021`: an animal leaves quarantine when it
        is cleared; ADR 0014 for the release.
    """
    apart, gate = facts.kept_apart, Gate.QUARANTINE_OVER
    if apart is None:
        return passed(gate, "It is not in quarantine.", ALWAYS)
    since = f"It is in quarantine since {day(apart.began_on)}; nobody has cleared it."
    told = f" Not met: {' '.join(apart.unmet)}" if apart.unmet else ""
    return refused(
        gate,
        f"{since}{told}",
        ALWAYS,
        evidence=(("began_on", str(apart.began_on)),),
        can_be_opened=facts.kind is not PlacementKind.RELEASE,
    )


def nothing_urgent(facts: GateFacts) -> GateResult:
    """Judge whether nothing about the animal has to be seen to now or today.

    Args:
        facts: of the placement.

    Source:
        ADR 0014.
    """
    gate = Gate.NOTHING_URGENT
    urgent = [one for one in facts.urgent if one.kind not in NOT_URGENT_HERE]
    if not urgent:
        return passed(gate, "Nothing about it has to be seen to today.", ALWAYS)
    told = [f"{words(u.kind)} since {day(u.opened_on)}" for u in urgent]
    return refused(
        gate,
        f"This has to be seen to first: {listed(told)}.",
        ALWAYS,
        evidence=tuple(("finding", str(u.id)) for u in urgent),
    )


def sex_checked(facts: GateFacts) -> GateResult:
    """Judge whether the sex is known as well as the policy asks.

    Args:
        facts: of the placement.

    Source:
        ADR 0014; the words of confidence are the house's own.
    """
    gate, need, source = Gate.SEX_CHECKED, facts.policy.sex, asker(facts.policy)
    if need is SexNeed.NOT_NEEDED:
        return not_asked(gate, "How well its sex is known is not asked.", source)
    enough = {Confidence.CONFIRMED}
    if need is SexNeed.LIKELY:
        enough.add(Confidence.LIKELY)
    wanted = "confirmed" if need is SexNeed.CONFIRMED else "at least likely"
    known = facts.sex is not Sex.UNKNOWN
    if known and facts.sex_confidence in enough:
        sure = facts.sex_confidence.value
        return passed(gate, f"It is {facts.sex.value}, {sure}.", source)
    found = f"{facts.sex.value}, {facts.sex_confidence.value}" if known else "not known"
    return refused(
        gate,
        f"Its sex is {found}; it has to be {wanted}.",
        source,
        evidence=(
            ("sex", facts.sex.value),
            ("confidence", facts.sex_confidence.value),
            ("wanted", need.value),
        ),
    )


def treatment_handed_over(facts: GateFacts) -> GateResult:
    """Judge whether a vet said how each treatment that is not over goes on.

    Args:
        facts: of the placement.

    Source:
        ADR 0014: a prescription is a licensed vet's, and so is its handing over.
    """
    gate = Gate.TREATMENT_HANDED_OVER
    if not facts.treatments:
        return passed(gate, "No treatment goes on beyond that day.", ALWAYS)
    waiting = [one for one in facts.treatments if not one.handed_over]
    if not waiting:
        told = listed([_goes_on(one) for one in facts.treatments])
        return passed(gate, f"A vet said how it goes on: {told}.", ALWAYS)
    told = listed([_goes_on(one) for one in waiting])
    return refused(
        gate,
        f"A treatment is not over and no vet has said how it goes on: {told}.",
        ALWAYS,
        evidence=tuple(("until_on", str(one.until_on)) for one in waiting),
    )


def _goes_on(one: Treatment) -> str:
    return f"{one.drug} until {day(one.until_on)}"


def old_enough(facts: GateFacts) -> GateResult:
    """Judge whether the animal is as old as the policy asks.

    Args:
        facts: of the placement. Of a hatch date known to the month or the year, the
            last day that it may be counts.

    Source:
        ADR 0014.
    """
    gate, source = Gate.OLD_ENOUGH, asker(facts.policy)
    least = facts.policy.least_age_days
    if least is None:
        return not_asked(gate, "No least age is asked.", source)
    hatched_on = latest_hatch(facts.hatched_on, facts.hatched_precision)
    if hatched_on is None:
        return refused(
            gate,
            f"Nobody knows when it hatched; {numbers.days(least)} of age are asked.",
            source,
            evidence=(("least_age_days", str(least)),),
        )
    age, rough = (facts.on - hatched_on).days, ""
    if facts.hatched_precision is not DatePrecision.DAY:
        rough = "at least "
    evidence = (("age_days", str(age)), ("least_age_days", str(least)))
    told = f"It is {rough}{numbers.days(age)} old"
    if age >= least:
        return passed(gate, f"{told}; {least} are asked.", source, evidence=evidence)
    from_on = hatched_on + timedelta(days=least)
    return refused(
        gate,
        f"{told}; {least} are asked, which it is on {day(from_on)}.",
        source,
        evidence=evidence,
    )


def latest_hatch(hatched_on: date | None, precision: DatePrecision) -> date | None:
    """Return the last day on which an animal may have hatched; None: not known.

    Args:
        hatched_on: as it is on record.
        precision: how exactly it is known.
    """
    if hatched_on is None or precision is DatePrecision.UNKNOWN:
        return None
    if precision is DatePrecision.YEAR:
        return hatched_on.replace(month=12, day=31)
    if precision is DatePrecision.MONTH:
        return hatched_on.replace(day=monthrange(hatched_on.year, hatched_on.month)[1])
    return hatched_on


def heavy_enough(facts: GateFacts) -> GateResult:
    """Judge whether the animal is as heavy as the policy asks.

    Args:
        facts: of the placement. A weighing older than 30 days says nothing of today.

    Source:
        ADR 0014: how long a weighing counts is a convention of this program.
    """
    gate, source = Gate.HEAVY_ENOUGH, asker(facts.policy)
    least = facts.policy.least_mass_g
    if least is None:
        return not_asked(gate, "No least mass is asked.", source)
    wanted, mass = numbers.mass(least), facts.mass
    if mass is None:
        return refused(
            gate,
            f"It was never weighed; {wanted} are asked.",
            source,
            evidence=(("least_mass_g", str(least)),),
        )
    found = f"{numbers.mass(mass.mass_g)} on {day(mass.on)}"
    evidence = (
        ("mass_g", str(mass.mass_g)),
        ("weighed_on", str(mass.on)),
        ("least_mass_g", str(least)),
    )
    if (facts.on - mass.on).days > MASS_COUNTS_DAYS:
        return refused(
            gate,
            f"It was last weighed more than {MASS_COUNTS_DAYS} days before ({found}); "
            f"weigh it again, {wanted} are asked.",
            source,
            evidence=evidence,
        )
    if mass.mass_g < least:
        return refused(
            gate,
            f"It weighed {found}; {wanted} are asked.",
            source,
            evidence=evidence,
        )
    return passed(
        gate, f"It weighed {found}; {wanted} are asked.", source, evidence=evidence
    )
