"""Looks at heels, each by one person: what they say together."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from clutches.rules.vocabulary import Heel
from core.errors import DomainError
from husbandry.rules.profiles.values import Profile
from husbandry.rules.profiles.vocabulary import SexMark
from husbandry.rules.sexes import UNSEXED, Sexing
from husbandry.rules.vocabulary import Confidence, Sex, SexBasis

# What looks may settle, or open again.
BY_LOOKS = frozenset({SexBasis.HEEL_SPUR, SexBasis.NOT_SEXED})
# What no look at heels outweighs, however surely it was put down.
DECISIVE = frozenset({SexBasis.LAID_EGGS, SexBasis.LABORATORY})


class SexingError(DomainError):
    """An animal cannot be sexed so."""

    code = "sexing_refused"


class Why(StrEnum):
    """Why looks do not settle a sex yet."""

    SECOND_LOOK = "second_look"
    DISAGREE = "disagree"
    ONE_SIDED = "one_sided"
    UNCLEAR = "unclear"


@dataclass(frozen=True, slots=True)
class Look:
    """One look at both heels.

    Attributes:
        looked_by: key of the person; None: nobody knows who, so that it counts as
            nobody else's second look.
    """

    left: Heel
    right: Heel
    looked_by: int | None
    at: datetime


@dataclass(frozen=True, slots=True)
class Verdict:
    """What looks say together.

    Attributes:
        sexing: the sex, by heel spur, and how surely.
        why: what is still open; None: nothing is.
    """

    sexing: Sexing
    why: Why | None


def seen_of(look: Look) -> Sex:
    """Return the sex that one look says; unknown where it is one-sided or unclear.

    Source:
        adw-chamaeleo, willems-dvm: a bump on both heels is a male's, at any age.
    """
    heels = (look.left, look.right)
    if heels == (Heel.PRESENT, Heel.PRESENT):
        return Sex.MALE
    if heels == (Heel.ABSENT, Heel.ABSENT):
        return Sex.FEMALE
    return Sex.UNKNOWN


def settle(looks: Sequence[Look], *, second_look: bool) -> Verdict:
    """Say what an animal's looks settle.

    Of each person the newest look counts, so that whoever looks again may change
    their mind. All that count must agree; one that is unclear or one-sided leaves the
    sex open until a later look of the same person is clear.

    Args:
        looks: in force, in any order; none settles nothing.
        second_look: whether a second person's agreeing look is asked for before a sex
            counts as confirmed.

    Returns:
        Confirmed where the looks of two people agree, or where one is enough; likely
        while the second is outstanding.

    Source:
        adw-chamaeleo for the mark; the second look is the house's own policy.
    """
    counted = _newest_of_each(looks)
    if not counted:
        return Verdict(UNSEXED, None)
    said = {seen_of(look) for look in counted}
    if said == {Sex.UNKNOWN} or Sex.UNKNOWN in said:
        return Verdict(UNSEXED, _unclear(counted))
    if len(said) > 1:
        return Verdict(UNSEXED, Why.DISAGREE)
    [sex] = said
    known = [look for look in counted if look.looked_by is not None]
    if second_look and len(known) < 2:
        return Verdict(
            Sexing(sex, SexBasis.HEEL_SPUR, Confidence.LIKELY), Why.SECOND_LOOK
        )
    return Verdict(Sexing(sex, SexBasis.HEEL_SPUR, Confidence.CONFIRMED), None)


def gives_way(known: Sexing, verdict: Verdict) -> bool:
    """Return whether a sex on record is to be replaced by what looks say.

    Args:
        known: the sex on record.
        verdict: of all looks in force.

    Returns:
        True where it came from heels, or was never told; also where it is known by
        something else, but not confirmed, and the looks say a sex. A confirmed sex,
        one known by laid eggs and one from a laboratory stay.

    Source:
        sexing-convention.
    """
    if known.basis in BY_LOOKS:
        return True
    if known.basis in DECISIVE or known.confidence is Confidence.CONFIRMED:
        return False
    return verdict.sexing.sex is not Sex.UNKNOWN


def _newest_of_each(looks: Sequence[Look]) -> list[Look]:
    newest: dict[int | None, Look] = {}
    for look in sorted(looks, key=lambda look: look.at):
        newest[look.looked_by] = look
    return list(newest.values())


def _unclear(looks: Sequence[Look]) -> Why:
    """Return whether a bump on one side only, or anything unclear, was seen."""
    one_sided = any(
        {look.left, look.right} == {Heel.PRESENT, Heel.ABSENT} for look in looks
    )
    return Why.ONE_SIDED if one_sided else Why.UNCLEAR


def check_markable(profile: Profile | None, *, label: str) -> None:
    """Refuse to sex by heel spur where the species has none.

    Args:
        profile: the species' care profile; None: it has none.
        label: of the animal.

    Raises:
        SexingError: the profile says that the species has no such mark, or says
            nothing about it.
    """
    rule = profile.sexing if profile else None
    if rule is not None and rule.mark is SexMark.HEEL_SPUR:
        return
    species = profile.common_name if profile else "its species"
    because = (
        f"the care profile of {species} says nothing about it"
        if rule is None
        else f"{species} has no such mark"
    )
    raise SexingError(
        f"{label} cannot be sexed by heel spur: {because}. Record the sex by what it "
        "is known by, once it is.",
        fields={"animal": "of a species whose care profile names the heel spur"},
    )
