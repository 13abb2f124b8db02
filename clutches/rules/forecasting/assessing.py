"""Which eggs are due to hatch, and which are late."""

from collections.abc import Iterator, Mapping
from datetime import date, timedelta

from clutches.rules.facts import ClutchNight, EggGroup
from clutches.rules.forecasting.windows import Window, hatch_rule
from clutches.rules.vocabulary import ForecastBasis
from husbandry.rules.assessments import Assessment
from husbandry.rules.profiles.resolving import incubation_for
from husbandry.rules.profiles.values import IncubationRule, Profile
from husbandry.rules.profiles.vocabulary import IncubationMatter
from husbandry.rules.vocabulary import FindingKind, Urgency

AHEAD = timedelta(days=3)


def assess_hatching(
    night: ClutchNight, windows: Mapping[tuple[int, int], Window]
) -> Iterator[Assessment]:
    """Tell which eggs are due to hatch and which are left after their window.

    Args:
        night: of one site.
        windows: by clutch and box; a group without one is due only once an egg pips.

    Yields:
        `HATCH_DUE` from three days before the window until its end, or since some of
        the clutch pipped or hatched: to watch; once an egg has pipped, today.
        `HATCH_OVERDUE` after the window's end, never at its middle: to watch; past
        the profile's longest time, or with a pipped egg, today. Never at once.

    Source:
        hatch-forecast-convention; booth-2022 for not calling a middle late.
    """
    for group in night.groups:
        window = windows.get((group.clutch, group.box))
        if window is None or not group.eggs:
            continue
        profile = night.profiles[group.species][1]
        found = _found(group, window, profile, on=night.day.on)
        if found is not None:
            yield _assessment(*found, group, window, profile, on=night.day.on)


def _found(
    group: EggGroup, window: Window, profile: Profile, *, on: date
) -> tuple[FindingKind, Urgency] | None:
    soon = Urgency.TODAY if group.pipped else Urgency.WATCH
    if on > window.latest_on:
        longest = hatch_rule(profile)
        past_all = longest is not None and _day(group, on) > int(longest.high or 0)
        return FindingKind.HATCH_OVERDUE, Urgency.TODAY if past_all else soon
    if on >= window.earliest_on - AHEAD or group.pipped or group.hatched:
        return FindingKind.HATCH_DUE, soon
    return None


def _assessment(
    kind: FindingKind,
    urgency: Urgency,
    group: EggGroup,
    window: Window,
    profile: Profile,
    *,
    on: date,
) -> Assessment:
    rule = _rule(window, profile)
    return Assessment(
        kind=kind,
        urgency=urgency,
        facts={
            "clutch": group.clutch_code,
            "box": group.box_code,
            "eggs": group.eggs,
            "pipped": group.pipped,
            "hatched": group.hatched,
            "day": _day(group, on),
            "earliest_on": window.earliest_on.isoformat(),
            "likely_on": window.likely_on.isoformat(),
            "latest_on": window.latest_on.isoformat(),
            "coverage": window.coverage,
            "rests_on": window.basis.value,
            "past": window.evidence["past"],
        },
        rule_id=rule.id if rule else "",
        provenance=rule.provenance if rule else None,
        detail=("clutch", str(group.clutch), str(group.box)),
        enclosure=group.incubator,
    )


def _day(group: EggGroup, on: date) -> int:
    return (on - group.laid_on).days


def _rule(window: Window, profile: Profile) -> IncubationRule | None:
    """Return the profile's row on which a window stands; None: on own clutches."""
    if window.basis is ForecastBasis.PUBLISHED_RATE:
        return incubation_for(profile, IncubationMatter.DEVELOPMENT_DEGREE_DAYS)
    if window.basis is ForecastBasis.PROFILE_WINDOW:
        return hatch_rule(profile)
    return None
