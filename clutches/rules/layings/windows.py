"""Between which days a female is expected to lay, or to bear, and why."""

from dataclasses import dataclass
from datetime import date, timedelta

from clutches.rules.facts import BreedingFemale, Laying, Mating
from clutches.rules.layings.matters import Span, carried_days, kind_of, span_of
from clutches.rules.vocabulary import ClutchKind, LayingSign
from husbandry.rules.profiles.values import Profile, Provenance
from husbandry.rules.profiles.vocabulary import IncubationMatter


@dataclass(frozen=True, slots=True)
class ExpectedLaying:
    """A laying, or a birth, that is expected.

    Attributes:
        window_from, window_until: the days between which, both included.
        because: what they are counted from; of several, the surest.
        since_on: day of the last mating that is counted, or first gravid sign.
        sire: label of the male of that mating; "" where a sign is counted from.
        bin_from: from when on she has a place to dig; None: she bears live young.
        watch_from: from when on somebody looks at her every day.
        most_days: the most days that the profile gives.
        rule_id, provenance: of the profile's row.
    """

    kind: ClutchKind
    window_from: date
    window_until: date
    because: LayingSign
    since_on: date
    sire: str
    bin_from: date | None
    watch_from: date
    most_days: int
    rule_id: str
    provenance: Provenance


@dataclass(frozen=True, slots=True)
class NextClutch:
    """From when on stored sperm can make another clutch, male or no male.

    Attributes:
        until_on: the usual end; None: the profile names none.
    """

    from_on: date
    until_on: date | None
    rule_id: str
    provenance: Provenance


def expected_laying(
    female: BreedingFemale, profile: Profile | None, *, on: date
) -> ExpectedLaying | None:
    """Return when a female is expected to lay, as far as was known on a day.

    Counted from each mating since her last laying, whether it was watched or not; the
    windows are joined, but for those that have passed while another has not. A female
    seen gravid is counted from the matings that can have made these eggs; where there
    is none, from the first sign: she may lay at once.

    Args:
        female: with her matings and layings in any order; those after the day are
            passed over, and a laying answers every mating of its day and before.
        profile: care profile of her species.
        on: the local day.

    Returns:
        None where nothing points to eggs, or the profile names no days.

    Source:
        laying-window-convention; the days are the profile's (for the veiled chameleon
        kramer-case and zoo-profile-2014), the bin from the start common-practice.
    """
    rule = carried_days(profile)
    if rule is None or rule.high is None:
        return None
    laid_on = last_laid_on(female.layings, on=on)
    open_since = date.min if laid_on is None else laid_on
    matings = [m for m in female.matings if open_since < m.on <= on]
    gravid_on = female.gravid_since
    if gravid_on is not None and not open_since < gravid_on <= on:
        gravid_on = None
    counted = _counted(matings, gravid_on, high=rule.high, on=on)
    kind = kind_of(profile) or ClutchKind.EGGS
    if counted:
        return _from_matings(counted, gravid_on, rule, kind)
    if gravid_on is None:
        return None
    return ExpectedLaying(
        kind=kind,
        window_from=gravid_on,
        window_until=gravid_on + timedelta(days=rule.high),
        because=LayingSign.GRAVID,
        since_on=gravid_on,
        sire="",
        bin_from=gravid_on if kind is ClutchKind.EGGS else None,
        watch_from=gravid_on,
        most_days=rule.high,
        rule_id=rule.rule_id,
        provenance=rule.provenance,
    )


def next_clutch(
    layings: tuple[Laying, ...], profile: Profile | None, *, on: date
) -> NextClutch | None:
    """Return from when on a female can lay again from stored sperm.

    Args:
        layings: in any order; those after the day are passed over.
        profile: care profile of her species.
        on: the local day.

    Returns:
        None where she has not laid, or the profile names no days.

    Source:
        encyclopaedic-page, as the profile's row names it for the veiled chameleon.
    """
    rule = span_of(profile, IncubationMatter.LAYING_TO_NEXT_CLUTCH_DAYS)
    laid_on = last_laid_on(layings, on=on)
    if rule is None or rule.low is None or laid_on is None:
        return None
    until_on = None if rule.high is None else laid_on + timedelta(days=rule.high)
    return NextClutch(
        laid_on + timedelta(days=rule.low), until_on, rule.rule_id, rule.provenance
    )


def last_laid_on(layings: tuple[Laying, ...], *, on: date) -> date | None:
    """Return the day of the last laying until a day, or None."""
    return max((laying.on for laying in layings if laying.on <= on), default=None)


def _counted(
    matings: list[Mating], gravid_on: date | None, *, high: int, on: date
) -> list[Mating]:
    """Return from which matings the window is counted, oldest first."""
    most = timedelta(days=high)
    if gravid_on is not None:
        matings = [m for m in matings if m.on <= gravid_on <= m.on + most]
    matings = sorted(matings, key=lambda m: (m.on, m.mated, m.sire))
    running = [m for m in matings if m.on + most >= on]
    return running or matings[-1:]


def _from_matings(
    counted: list[Mating], gravid_on: date | None, rule: Span, kind: ClutchKind
) -> ExpectedLaying:
    first, last = counted[0], counted[-1]
    window_from = first.on + timedelta(days=rule.low or 0)
    assert rule.high is not None  # noqa: S101 - see `expected_laying`
    watched = any(mating.mated for mating in counted)
    return ExpectedLaying(
        kind=kind,
        window_from=window_from,
        window_until=last.on + timedelta(days=rule.high),
        because=LayingSign.MATED if watched else LayingSign.NOT_WATCHED,
        since_on=last.on,
        sire=last.sire_label,
        bin_from=first.on if kind is ClutchKind.EGGS else None,
        watch_from=min(window_from, gravid_on or window_from),
        most_days=rule.high,
        rule_id=rule.rule_id,
        provenance=rule.provenance,
    )
