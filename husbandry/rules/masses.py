"""Catch a mass in the wrong unit before it is stored: ask, and let a person confirm."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, Decimal

from core.errors import DomainError
from core.units import GRAMS_PER, MassUnit
from husbandry.rules.profiles.values import WeightBand
from husbandry.rules.weights import WeighingPoint

SMALLEST_STEP_G = Decimal("0.01")
LARGEST_G = Decimal("9999999.99")
# Twice or half the last weighing: more than any convention of loss, and far less
# than the factor of the nearest unit trap (an ounce is 28.35 g).
LARGEST_FACTOR = Decimal(2)
# How near to another animal's last mass makes one think of that animal.
CLOSE = Decimal("0.05")
MOST_NAMED = 2


class ImpossibleMassError(DomainError):
    """No animal has this mass, and no confirmation makes it one."""

    code = "impossible_mass"


class ImplausibleMassError(DomainError):
    """A mass may be right but looks like a slip; a person must confirm it."""

    code = "implausible_mass"


@dataclass(frozen=True, slots=True)
class PlausibleMasses:
    """From which mass to which nobody needs to be asked; both ends included."""

    low_g: Decimal
    high_g: Decimal

    def __contains__(self, mass_g: Decimal) -> bool:
        """Say whether a mass lies in it."""
        return self.low_g <= mass_g <= self.high_g


def round_mass(mass_g: Decimal) -> Decimal:
    """Return a mass as it is stored: to 0.01 g, half to even.

    Raises:
        ImpossibleMassError: it is not a number above zero, or too large to store.
    """
    if not mass_g.is_finite() or not 0 < mass_g <= LARGEST_G:
        raise ImpossibleMassError(
            f"A mass of {mass_g} g cannot be: it must be more than 0 g and at most "
            f"{LARGEST_G} g.",
            fields={"mass_g": "more than 0"},
        )
    rounded = mass_g.quantize(SMALLEST_STEP_G, ROUND_HALF_EVEN)
    if not rounded:
        raise ImpossibleMassError(
            f"A mass of {mass_g} g is less than the smallest step, "
            f"{SMALLEST_STEP_G} g. Weigh on a finer scale or check the unit.",
            fields={"mass_g": f"at least {SMALLEST_STEP_G}"},
        )
    return rounded


def plausible_masses(
    *,
    last: WeighingPoint | None,
    band: WeightBand | None,
    species: Sequence[WeightBand],
) -> PlausibleMasses | None:
    """Return which masses are plausible for an animal.

    Args:
        last: its last weighing before; from half of it to twice it is plausible,
            as far as that lies within what the species reaches at all.
        band: what the profile holds usual for such an animal. It counts only
            without a last weighing: an animal known to be outside its band is not
            asked about again each time.
        species: all bands of the profile, from the smallest hatchling to the
            heaviest adult.

    Returns:
        The range, with a factor of two to spare at both ends of a band; None
        where nothing is known.

    Source:
        weight-plausibility-convention.
    """
    reached = _around(species)
    if last is None:
        return reached if band is None else _around((band,))
    near = PlausibleMasses(last.mass_g / LARGEST_FACTOR, last.mass_g * LARGEST_FACTOR)
    if reached is None or last.mass_g not in reached:
        return near
    return PlausibleMasses(
        max(near.low_g, reached.low_g), min(near.high_g, reached.high_g)
    )


def _around(bands: Sequence[WeightBand]) -> PlausibleMasses | None:
    if not bands:
        return None
    return PlausibleMasses(
        min(b.low_g for b in bands) / LARGEST_FACTOR,
        max(b.high_g for b in bands) * LARGEST_FACTOR,
    )


def check_plausible_mass(
    mass_g: Decimal,
    *,
    last: WeighingPoint | None,
    band: WeightBand | None,
    species: Sequence[WeightBand] = (),
    neighbours: Sequence[tuple[str, Decimal]] = (),
) -> None:
    """Refuse a mass that looks like a slip of unit, of the finger or of the animal.

    Args:
        mass_g: as it would be stored.
        last: its last weighing before, or None.
        band: what the profile holds usual for such an animal, or None.
        species: all bands of the profile; see `plausible_masses`.
        neighbours: how animals nearby are called, and what each weighed last.

    Raises:
        ImplausibleMassError: it lies outside the plausible range. The sentence
            says the range, which unit or which neighbour (within 5 % of what it
            weighed last) may have been meant, and how to confirm.

    Source:
        weight-plausibility-convention.
    """
    plausible = plausible_masses(last=last, band=band, species=species)
    if plausible is None or mass_g in plausible:
        return
    span = f"{_shown(plausible.low_g)} to {_shown(plausible.high_g)} g"
    because = f"its last weighing was {last.mass_g} g" if last else "by its profile"
    meant = "".join(f" Was it {guess}?" for guess in _meant(mass_g, plausible))
    raise ImplausibleMassError(
        f"A mass of {_shown(mass_g)} g is not plausible: {span} would be ({because})."
        f"{meant}{_swapped(mass_g, neighbours)} Weigh again; if it is right, confirm "
        "it and say why.",
        fields={"mass_g": f"{span}, or confirmed with a reason"},
    )


def _meant(mass_g: Decimal, plausible: PlausibleMasses) -> Iterator[str]:
    """Suggest what the number would be in another unit, or the other way round."""
    for unit, factor in GRAMS_PER.items():
        if unit is MassUnit.G:
            continue
        if mass_g * factor in plausible:
            yield f"{_shown(mass_g)} {unit.value} ({_shown(mass_g * factor)} g)"
        elif mass_g / factor in plausible:
            yield f"{_shown(mass_g / factor)} g, taken for {unit.value}"


def _swapped(mass_g: Decimal, neighbours: Sequence[tuple[str, Decimal]]) -> str:
    """Ask whether another animal was on the scale; "" where none weighs about that."""
    near = sorted(
        (abs(mass_g - last_g), label, last_g)
        for label, last_g in neighbours
        if abs(mass_g - last_g) <= CLOSE * last_g
    )
    named = [f"{label} ({_shown(last_g)} g)" for _, label, last_g in near[:MOST_NAMED]]
    if not named:
        return ""
    if len(named) == 1:
        return f" It is close to the last weighing of {named[0]}: was that one on the scale?"
    return (
        f" It is close to the last weighings of {' and '.join(named)}: was one of them "
        "on the scale?"
    )


def _shown(mass_g: Decimal) -> str:
    """Return a mass to 0.01 g, without zeros that say nothing."""
    text = f"{mass_g.quantize(SMALLEST_STEP_G, ROUND_HALF_EVEN):f}"
    return text.rstrip("0").rstrip(".")
