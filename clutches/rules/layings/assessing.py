"""Females that should have laid, or have no place to: what to look at, no diagnosis."""

from collections.abc import Iterator
from datetime import timedelta

from clutches.rules.facts import BreedingFemale, ClutchNight
from clutches.rules.layings.windows import ExpectedLaying, expected_laying
from clutches.rules.vocabulary import LayingSign
from husbandry.rules.assessments import Assessment
from husbandry.rules.health.laying import NO_BIN
from husbandry.rules.vocabulary import FindingKind, Urgency


def assess_females(night: ClutchNight) -> Iterator[Assessment]:
    """Say which females are past their laying window, and which have no place to dig.

    Past the window without a laying: today, for a female that keeps her eggs can
    become egg-bound. Where nobody watched the pair and she was never seen gravid,
    there may be no eggs at all: that is watched. A female that is not gravid for as
    long again after the window is taken not to have conceived. One that is only known
    to be gravid is judged by husbandry's own rules about laying.

    No bin, from the mating or the first gravid sign on: now while she is gravid, today
    otherwise; not where husbandry's review asks for one already, and not for
    live-bearers.

    Args:
        night: with the females at the site at the end of the day, no male among them.

    Source:
        laying-window-convention for when and for how long; common-practice for the
        bin. Why it matters: vca-dystocia, wikivet.
    """
    for female in night.females:
        _, profile = night.profiles.get(female.species, (0, None))
        expected = expected_laying(female, profile, on=night.day.on)
        if expected is not None:
            yield from _overdue(female, expected, night)
            yield from _without_bin(female, expected)


def _overdue(
    female: BreedingFemale, expected: ExpectedLaying, night: ClutchNight
) -> Iterator[Assessment]:
    on = night.day.on
    if expected.because is LayingSign.GRAVID or on <= expected.window_until:
        return
    gravid = female.gravid_since is not None
    told_until = expected.window_until + timedelta(days=expected.most_days)
    if not gravid and on > told_until:
        return
    seen = gravid or expected.because is LayingSign.MATED
    yield Assessment(
        FindingKind.LAYING_OVERDUE,
        Urgency.TODAY if seen else Urgency.WATCH,
        {
            "mated_on": expected.since_on.isoformat(),
            "days": (on - expected.since_on).days,
            "window_from": expected.window_from.isoformat(),
            "window_until": expected.window_until.isoformat(),
            "sire": expected.sire,
        },
        rule_id=expected.rule_id,
        provenance=expected.provenance,
        animal=female.id,
        enclosure=female.enclosure,
    )


def _without_bin(
    female: BreedingFemale, expected: ExpectedLaying
) -> Iterator[Assessment]:
    if female.bin_asked or expected.bin_from is None or female.laying_bin is not False:
        return
    gravid = female.gravid_since is not None
    yield Assessment(
        FindingKind.NO_LAYING_BIN,
        Urgency.NOW if gravid else Urgency.TODAY,
        {"rule": "", "gravid": gravid},
        provenance=NO_BIN,
        animal=female.id,
        enclosure=female.enclosure,
    )
