"""What is asked before animals leave: policies on record, and the shipped default."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from core.errors import DomainError
from husbandry.rules.vocabulary import Standing
from placements.rules.vocabulary import PaperKind, PlacementKind, SexNeed

MOST_AGE_DAYS = 3650
MOST_MASS_G = Decimal(100_000)
STEP_G = Decimal("0.01")


class PlacementPolicyError(DomainError):
    """A policy of placements cannot be like that."""

    code = "placement_policy"


@dataclass(frozen=True, slots=True)
class Policy:
    """What is asked of an animal and its new home before it leaves.

    Attributes:
        least_age_days: at least so old; None: not asked.
        least_mass_g: at least so heavy; None: not asked.
        sex: how well its sex has to be known.
        papers: kinds of papers that have to be there.
        application: an accepted application has to be there.
        home_ready: the home's enclosure has to be as wanted.
        standing: what it rests on.
        made_on: day of the row on record; None: the shipped default.
    """

    least_age_days: int | None = None
    least_mass_g: Decimal | None = None
    sex: SexNeed = SexNeed.NOT_NEEDED
    papers: tuple[PaperKind, ...] = ()
    application: bool = False
    home_ready: bool = False
    standing: Standing = Standing.COMMON_PRACTICE
    made_on: date | None = None


@dataclass(frozen=True, slots=True)
class PolicyRow:
    """A policy on record, with whom it holds for; None: for all others."""

    species_id: int | None
    kind: PlacementKind | None
    policy: Policy


NOTHING_ASKED = Policy()
"""A breeder's sale, a transfer, a loan or a foster stay: what every animal has to pass
is asked without a policy, and nothing else."""

SHIPPED: dict[PlacementKind, Policy] = {
    PlacementKind.ADOPTION: Policy(application=True, home_ready=True),
    PlacementKind.SALE: NOTHING_ASKED,
    PlacementKind.TRANSFER: NOTHING_ASKED,
    PlacementKind.LOAN: NOTHING_ASKED,
    PlacementKind.FOSTER: NOTHING_ASKED,
    PlacementKind.RELEASE: NOTHING_ASKED,
}


def shipped_policy(kind: PlacementKind) -> Policy:
    """Return what is asked where no policy is on record.

    Args:
        kind: in what way the animal goes.

    Source:
        ADR 0014: an adoption asks for an accepted application and a home that is
        ready, as careful rescues do (`common-practice`); nothing else asks more than
        the gates that every animal passes.
    """
    return SHIPPED[kind]


def policy_for(
    rows: Sequence[PolicyRow], *, species_id: int, kind: PlacementKind
) -> Policy:
    """Return the policy that holds for an animal of a species.

    Args:
        rows: on record, the newest first.
        species_id: of the animal.
        kind: in what way it goes.

    Returns:
        Of the rows for the species and the kind, for the species, for the kind and
        for all, the newest of the first of these that has any; else the shipped one.

    Source:
        ADR 0014: what was said more narrowly holds before what was said for all.
    """
    reaches = ((species_id, kind), (species_id, None), (None, kind), (None, None))
    for reach in reaches:
        for row in rows:
            if (row.species_id, row.kind) == reach:
                return row.policy
    return shipped_policy(kind)


def check_policy(policy: Policy, *, reason: str) -> None:
    """Refuse a policy that cannot be.

    Args:
        policy: as it is to hold.
        reason: why, in plain words.

    Raises:
        PlacementPolicyError: no reason, an age or a mass that no policy asks for, a
            paper named twice.
    """
    if not reason.strip():
        raise PlacementPolicyError(
            "Say why this is asked; it goes on record.", fields={"reason": "not blank"}
        )
    age, mass_g = policy.least_age_days, policy.least_mass_g
    if age is not None and not 1 <= age <= MOST_AGE_DAYS:
        raise PlacementPolicyError(
            f"A least age of {age} days cannot be asked; accepted is 1 to "
            f"{MOST_AGE_DAYS}, or none.",
            fields={"least_age_days": f"1 to {MOST_AGE_DAYS}, or none"},
        )
    if mass_g is not None and not _can_be_asked(mass_g):
        accepted = f"{STEP_G} to {MOST_MASS_G} in steps of {STEP_G}, or none"
        raise PlacementPolicyError(
            f"A least mass of {mass_g} g cannot be asked; accepted is {accepted}.",
            fields={"least_mass_g": accepted},
        )
    if len(set(policy.papers)) < len(policy.papers):
        raise PlacementPolicyError(
            "A kind of paper is named twice; name each once.",
            fields={"papers": "each kind once"},
        )


def _can_be_asked(mass_g: Decimal) -> bool:
    # Finer than it is stored, it would be asked otherwise than it was said.
    return STEP_G <= mass_g <= MOST_MASS_G and mass_g == mass_g.quantize(STEP_G)
