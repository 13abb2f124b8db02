"""Arithmetic on what a licensed vet prescribed: when doses are due, and how much.

Nothing here chooses a drug or a dose. Where the arithmetic cannot be trusted it is
refused, with what to ask the vet.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal
from fractions import Fraction
from math import floor
from zoneinfo import ZoneInfo

from dateutil.rrule import HOURLY, rrule

from core.errors import DomainError
from husbandry.rules.care.facts import PrescriptionFact
from husbandry.rules.masses import LARGEST_FACTOR
from husbandry.rules.profiles.values import DosingPolicy, WeightBand
from husbandry.rules.vocabulary import DoseUnit
from husbandry.rules.weights import WeighingPoint

GRAMS_PER_KG = 1000
LARGEST_ROUNDING = Fraction(10, 100)
LARGEST_ML = 99_999


class DoseRefusedError(DomainError):
    """No volume is computed; `code` says why, the sentence what to do."""

    code = "dose_refused"

    def __init__(self, code: str, sentence: str) -> None:
        """Keep the code of this refusal beside its sentence."""
        super().__init__(sentence)
        self.code = code


@dataclass(frozen=True, slots=True)
class DoseVolume:
    """What to draw up, and what it was computed from.

    Attributes:
        volume_ml: to the syringe's step.
        exact_ml: before it was rounded.
        amount_mg: of the drug, before rounding; None where it is given by volume.
        remarks: what could not be checked, a sentence each.
    """

    volume_ml: Decimal
    exact_ml: Decimal
    amount_mg: Decimal | None
    mass_g: Decimal
    weighed_on: date
    remarks: tuple[str, ...]


def doses_due(
    prescription: PrescriptionFact, *, zone: ZoneInfo, from_on: date, until_on: date
) -> tuple[datetime, ...]:
    """Return when doses are due on some local days, oldest first.

    They follow one another by hours that have passed, not by the clock on the wall:
    a day of 23 or 25 hours moves the clock time, not the interval.

    Args:
        prescription: first dose, hours between doses, last local day. After it was
            stopped nothing is due; a dose due at that very instant is not either.
        zone: whose local days count.
        from_on: first local day asked about.
        until_on: last local day asked about; before `from_on` nothing is due.

    Returns:
        Instants in UTC, whole seconds.

    Source:
        rfc-5545, FREQ=HOURLY.
    """
    until = _turn(min(until_on, prescription.until_on) + timedelta(days=1), zone)
    if prescription.stopped_at is not None:
        until = min(until, prescription.stopped_at.astimezone(UTC))
    first = prescription.first_at.astimezone(UTC).replace(microsecond=0)
    every = timedelta(hours=prescription.every_hours)
    # Begun near the days asked about, in step with the first dose.
    skipped = max(0, -((first - _turn(from_on, zone)) // every))
    rule = rrule(
        HOURLY,
        interval=prescription.every_hours,
        dtstart=first + skipped * every,
        until=until,
    )
    return tuple(at for at in rule if at < until)


def _turn(on: date, zone: ZoneInfo) -> datetime:
    """Return the instant at which a local day begins."""
    return datetime.combine(on, time.min, tzinfo=zone).astimezone(UTC)


def dose_from(
    prescription: PrescriptionFact,
    *,
    weighing: WeighingPoint | None,
    zone: ZoneInfo,
    on: date,
    policy: DosingPolicy | None,
    band: WeightBand | None,
) -> DoseVolume:
    """Return the volume of a dose from the newest weighing, if there is one.

    Args:
        prescription: what the vet wrote.
        weighing: the newest one in force, or None.
        zone: whose local days count.
        on: local day of the dose.
        policy: see `compute_dose`.
        band: see `compute_dose`.

    Raises:
        DoseRefusedError: it was never weighed (`no_weight`), or as `compute_dose`.
    """
    if weighing is None:
        raise DoseRefusedError(
            "no_weight",
            f"No weighing is on record, so no dose of {prescription.drug} is "
            f"computed. Weigh it on {on:%d %b %Y}, or ask the vet for the volume.",
        )
    return compute_dose(
        prescription,
        mass_g=weighing.mass_g,
        weighed_on=weighing.at.astimezone(zone).date(),
        on=on,
        policy=policy,
        band=band,
    )


def compute_dose(
    prescription: PrescriptionFact,
    *,
    mass_g: Decimal,
    weighed_on: date,
    on: date,
    policy: DosingPolicy | None,
    band: WeightBand | None,
) -> DoseVolume:
    """Return the volume of one dose, to the syringe's step, halves up.

    mg = mg/kg × g / 1000 and mL = mg / (mg/mL), or mL = mL/kg × g / 1000. Computed
    in exact fractions; only the end is rounded.

    Args:
        prescription: dose by kilogram, concentration, the syringe's smallest step.
        mass_g: what the animal weighed.
        weighed_on: local day of that weighing.
        on: local day of the dose.
        policy: how old a weighing may be (exactly as many days are accepted). None:
            no policy stands; its age is not judged, and a remark says so.
        band: masses that are plausible for such an animal; half its low end and
            twice its high end are still accepted. None: not judged, and said so.

    Returns:
        The volume, at least one step and at most 10 % off the exact one.

    Raises:
        DoseRefusedError: `concentration` is missing, `weight_too_old`,
            `weight_out_of_band`, `dose_too_small` (less than one step),
            `dose_too_large` (no syringe is), or `dose_rounding_too_coarse` (more
            than 10 % off).

    Source:
        vet-nursing-arithmetic; dose-rounding-convention for the 10 %;
        weight-plausibility-convention for the factor of two.
    """
    _check_age(prescription, weighed_on=weighed_on, on=on, policy=policy)
    _check_band(mass_g, band)
    by_kg = Fraction(prescription.dose_per_kg) * Fraction(mass_g) / GRAMS_PER_KG
    exact_ml = by_kg / _mg_in_ml(prescription)
    in_mg = prescription.dose_unit is DoseUnit.MG_PER_KG
    return DoseVolume(
        volume_ml=_measured(exact_ml, prescription.smallest_step_ml),
        exact_ml=_decimal(exact_ml),
        amount_mg=_decimal(by_kg) if in_mg else None,
        mass_g=mass_g,
        weighed_on=weighed_on,
        remarks=tuple(_remarks(policy, band, weighed_on=weighed_on, on=on)),
    )


def _mg_in_ml(prescription: PrescriptionFact) -> Fraction:
    """Return by what the amount is divided; 1 where it is a volume already."""
    if prescription.dose_unit is DoseUnit.ML_PER_KG:
        return Fraction(1)
    concentration = prescription.concentration_mg_per_ml
    if concentration is None or concentration <= 0:
        raise DoseRefusedError(
            "concentration",
            f"{prescription.drug} is prescribed in mg/kg, but how many mg a mL holds "
            "is not on record, so no volume is computed. Ask the vet.",
        )
    return Fraction(concentration)


def _check_age(
    prescription: PrescriptionFact,
    *,
    weighed_on: date,
    on: date,
    policy: DosingPolicy | None,
) -> None:
    days = (on - weighed_on).days
    if policy is not None and days > policy.weight_max_age_days:
        raise DoseRefusedError(
            "weight_too_old",
            f"The last weighing is {days} days old ({weighed_on:%d %b %Y}); a dose of "
            f"{prescription.drug} is computed from one of the last "
            f"{policy.weight_max_age_days} days. Weigh it first.",
        )


def _check_band(mass_g: Decimal, band: WeightBand | None) -> None:
    if band is None:
        return
    low_g, high_g = band.low_g / LARGEST_FACTOR, band.high_g * LARGEST_FACTOR
    if not low_g <= mass_g <= high_g:
        raise DoseRefusedError(
            "weight_out_of_band",
            f"A mass of {_plain(mass_g)} g is not plausible for it: {_plain(low_g)} "
            f"to {_plain(high_g)} g would be. A wrong unit makes a dose a thousand "
            "times too large. Weigh it again; if the mass is right, ask the vet for "
            "the volume.",
        )


def _measured(exact_ml: Fraction, step_ml: Decimal) -> Decimal:
    """Return a volume to the syringe's step, halves up; refuse what it would spoil."""
    step = Fraction(step_ml)
    if exact_ml < step:
        raise DoseRefusedError(
            "dose_too_small",
            f"The dose is {_shown(exact_ml)} mL, less than the {_plain(step_ml)} mL "
            "that the syringe can measure. It is not rounded: dilute, ask the vet.",
        )
    if exact_ml > LARGEST_ML:
        raise DoseRefusedError(
            "dose_too_large",
            f"A dose of {_shown(exact_ml)} mL cannot be. Check dose, concentration and "
            "weight, and ask the vet.",
        )
    # A step on record as 0.0100 must not make a volume read as 0.1200.
    volume_ml = Decimal(_plain(floor(exact_ml / step + Fraction(1, 2)) * step_ml))
    if abs(Fraction(volume_ml) - exact_ml) > LARGEST_ROUNDING * exact_ml:
        raise DoseRefusedError(
            "dose_rounding_too_coarse",
            f"The dose is {_shown(exact_ml)} mL; in steps of {_plain(step_ml)} mL it "
            f"would be {_plain(volume_ml)} mL, more than 10 % off. Ask the vet for a "
            "dilution, or use a finer syringe.",
        )
    return volume_ml


def _remarks(
    policy: DosingPolicy | None, band: WeightBand | None, *, weighed_on: date, on: date
) -> Iterator[str]:
    if policy is None:
        yield (
            "No dosing policy stands for this species: how old a weighing may be was "
            f"not judged. It is {(on - weighed_on).days} days old."
        )
    if band is None:
        yield "No band of plausible masses is known for it: the mass was not judged."


def _decimal(value: Fraction) -> Decimal:
    return Decimal(value.numerator) / Decimal(value.denominator)


def _shown(value: Fraction) -> str:
    """Return a volume to four significant figures, without an exponent."""
    return f"{Decimal(f'{float(value):.4g}'):f}"


def _plain(value: Decimal) -> str:
    """Return a number without an exponent and without zeros that say nothing."""
    text = f"{value:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
