"""What a female brought forth: what cannot be, and what is worth a second count."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from clutches.rules.layings.matters import kind_of, span_of
from clutches.rules.vocabulary import ClutchKind
from core.errors import DomainError
from husbandry.rules.profiles.resolving import incubation_for
from husbandry.rules.profiles.values import Profile
from husbandry.rules.profiles.vocabulary import IncubationMatter

MOST = 500
LARGEST_G = Decimal("99999.99")
FAR_ABOVE = Decimal("1.3")
LONGEST_CODE, LONGEST_NOTE = 20, 300
CENT = Decimal("0.01")


class ClutchError(DomainError):
    """A clutch cannot be as recorded."""

    code = "clutch_refused"


@dataclass(frozen=True, slots=True)
class Brought:
    """All that was laid, or born, at one time.

    Attributes:
        parts: how many of each, by the name under which they are given.
        mass_g: of all of them; None: not weighed.
    """

    kind: ClutchKind
    parts: tuple[tuple[str, int], ...]
    mass_g: Decimal | None

    @property
    def total(self) -> int:
        """Return how many it was in all."""
        return sum(number for _, number in self.parts)

    @property
    def noun(self) -> str:
        """Return what they are called."""
        return "eggs" if self.kind is ClutchKind.EGGS else "young"


def check_names(*, code: str, note: str) -> None:
    """Refuse a code that is no label, or a note too long to be kept.

    Raises:
        ClutchError: the code is blank or longer than 20 characters, or the note than
            300.
    """
    if not 0 < len(code.strip()) <= LONGEST_CODE:
        raise ClutchError(
            f"{code!r} is no code for a clutch: give 1 to {LONGEST_CODE} characters, as "
            "on its label.",
            fields={"code": f"1 to {LONGEST_CODE} characters"},
        )
    if len(note) > LONGEST_NOTE:
        raise ClutchError(
            f"The note has {len(note)} characters; at most {LONGEST_NOTE} are kept.",
            fields={"note": f"at most {LONGEST_NOTE} characters"},
        )


def check_counts(brought: Brought) -> None:
    """Refuse numbers and a mass that cannot be.

    Args:
        brought: 1 to 500 in all, none of the parts below 0; a mass above 0 g.

    Raises:
        ClutchError: nothing, too much, less than nothing, or no mass.

    Source:
        House rule: more than 500 at once is taken for a slip of the hand.
    """
    for name, number in brought.parts:
        if not 0 <= number <= MOST:
            raise ClutchError(
                f"{number} {brought.noun} cannot be: give 0 to {MOST}.",
                fields={name: f"0 to {MOST}"},
            )
    first = brought.parts[0][0]
    if not 1 <= brought.total <= MOST:
        raise ClutchError(
            f"{brought.total} {brought.noun} in all cannot be: give 1 to {MOST}. If "
            "nothing came there is no clutch to record; note what was seen of her "
            "instead.",
            fields={first: f"1 to {MOST} in all"},
        )
    mass_g = brought.mass_g
    if mass_g is not None and not (mass_g.is_finite() and 0 < mass_g <= LARGEST_G):
        raise ClutchError(
            f"{mass_g} g cannot be the mass of a clutch: give more than 0 g, or leave "
            "it empty where it was not weighed.",
            fields={"mass_g": f"more than 0, at most {LARGEST_G} g"},
        )


def check_kind(brought: Brought, profile: Profile | None, *, species: str) -> None:
    """Refuse live young of a species that lays eggs.

    Raises:
        ClutchError: by its care profile the species lays.
    """
    if brought.kind is ClutchKind.LIVE_YOUNG and kind_of(profile) is ClutchKind.EGGS:
        raise ClutchError(
            f"By its care profile the {species.lower()} lays eggs; record a laying.",
            fields={"species": "one that bears live young"},
        )


def check_plan(
    name: str, *, same_species: bool, retired_on: date | None, laid_on: date
) -> None:
    """Refuse a plan by which these eggs are not kept.

    Args:
        name: of the plan.
        same_species: whether it is for the clutch's species.
        retired_on: from which day on it is not offered; None: it is.
        laid_on: local day of laying.

    Raises:
        ClutchError: it is another species', or was retired by then.
    """
    if not same_species:
        raise ClutchError(
            f"{name} is a plan for another species' eggs.",
            fields={"plan": "one for the clutch's species, or none"},
        )
    if retired_on is not None and laid_on >= retired_on:
        raise ClutchError(
            f"{name} was retired on {retired_on:%d %b %Y}, before these eggs were laid.",
            fields={"plan": "one that is offered, or none"},
        )


def remarks_on_counts(brought: Brought, profile: Profile | None) -> tuple[str, ...]:
    """Return what is worth a second look at a clutch that is kept.

    Args:
        brought: that can be.
        profile: care profile of the species; None: nothing is known to be usual.

    Returns:
        A sentence where it holds more than 1.3 times the most that is usual, where
        one of them weighs on the average what none usually does, and where eggs
        are recorded of a species that bears live young.

    Source:
        laying-window-convention for the 1.3; the profile's rows for what is usual (for
        the veiled chameleon diaz-2015 and, from memory, the mass of an egg).
    """
    found = []
    if brought.kind is ClutchKind.EGGS and kind_of(profile) is ClutchKind.LIVE_YOUNG:
        found.append("By its care profile the species bears live young. Look again.")
    usual = span_of(profile, IncubationMatter.CLUTCH_EGGS)
    if usual and usual.high is not None and brought.total > usual.high * FAR_ABOVE:
        found.append(
            f"{brought.total} {brought.noun} are far more than usual (up to "
            f"{usual.high}): count again."
        )
    mass = _remark_on_mass(brought, profile)
    return (*found, mass) if mass else tuple(found)


def _remark_on_mass(brought: Brought, profile: Profile | None) -> str:
    matter = (
        IncubationMatter.EGG_MASS_G
        if brought.kind is ClutchKind.EGGS
        else IncubationMatter.HATCHLING_MASS_G
    )
    rule = incubation_for(profile, matter) if profile else None
    if brought.mass_g is None or rule is None:
        return ""
    each_g = (brought.mass_g / brought.total).quantize(CENT)
    low_g, high_g = rule.low, rule.high
    below = low_g is not None and each_g < low_g
    if not below and (high_g is None or each_g <= high_g):
        return ""
    band = "–".join(str(g.normalize()) for g in (low_g, high_g) if g is not None)
    one = "an egg" if brought.kind is ClutchKind.EGGS else "one"
    return (
        f"{brought.mass_g} g of {brought.total} {brought.noun} is {each_g} g each; "
        f"{one} usually weighs {band} g. Weigh and count again."
    )
