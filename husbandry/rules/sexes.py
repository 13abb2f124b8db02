"""Whether a sex, how it is known and how surely fit together."""

from dataclasses import dataclass

from core.errors import DomainError
from husbandry.rules.vocabulary import Confidence, Sex, SexBasis


class SexError(DomainError):
    """A sex and its basis contradict each other."""

    code = "sex_refused"


@dataclass(frozen=True, slots=True)
class Sexing:
    """A sex, what it is known by, and how surely."""

    sex: Sex
    basis: SexBasis
    confidence: Confidence


UNSEXED = Sexing(Sex.UNKNOWN, SexBasis.NOT_SEXED, Confidence.UNCERTAIN)


def check_sexing(sexing: Sexing) -> None:
    """Refuse a sex that its basis cannot show.

    Raises:
        SexError: a known sex without a basis, an unknown sex that is called
            confirmed, a male that laid eggs, or an animal not sexed with a sex.
    """
    sex, basis = sexing.sex, sexing.basis
    if sex is not Sex.UNKNOWN and basis is SexBasis.NOT_SEXED:
        known_by = ", ".join(b for b in SexBasis if b is not SexBasis.NOT_SEXED)
        raise SexError(
            f"The sex {sex.value} needs a basis: say how it is known, one of "
            f"{known_by}.",
            fields={"sex_basis": "say how the sex is known"},
        )
    if sex is Sex.UNKNOWN and sexing.confidence is not Confidence.UNCERTAIN:
        raise SexError(
            f"An unknown sex cannot be {sexing.confidence.value}; it is "
            f"{Confidence.UNCERTAIN.value}.",
            fields={"sex_confidence": Confidence.UNCERTAIN.value},
        )
    if basis is SexBasis.LAID_EGGS and sex is not Sex.FEMALE:
        raise SexError(
            f"An animal that laid eggs is female, not {sex.value}.",
            fields={"sex": Sex.FEMALE.value},
        )


def sex_by_heel_spur(*, spur: bool) -> Sexing:
    """Return what a look at the heels of a veiled chameleon says, at any age.

    Args:
        spur: whether a bump stands on the heel of each hind foot.

    Returns:
        Male, confirmed, where there is one; otherwise female, likely: a small bump
        on a hatchling is more easily missed than imagined (common practice, no
        source).

    Source:
        adw-chamaeleo: males carry a tarsal spur from hatching; willems-dvm: it can
        be checked at any age.
    """
    if spur:
        return Sexing(Sex.MALE, SexBasis.HEEL_SPUR, Confidence.CONFIRMED)
    return Sexing(Sex.FEMALE, SexBasis.HEEL_SPUR, Confidence.LIKELY)
