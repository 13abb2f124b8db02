"""Whether what a vet prescribed was typed whole; whether it is wise, a vet says."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import ROUND_DOWN, Decimal

from core.errors import DomainError
from husbandry.rules.overrides import LONGEST_DAYS
from husbandry.rules.vocabulary import DoseUnit

MOST_HOURS = 720
LARGEST_AMOUNT = Decimal("999999.9999")
LARGEST_STEP_ML = Decimal("99.9999")
STEP = Decimal("0.0001")
LONGEST = {"drug": 120, "vet": 160, "reason": 300}


class PrescriptionError(DomainError):
    """A prescription cannot be recorded as given."""

    code = "prescription_refused"


@dataclass(frozen=True, slots=True)
class Amounts:
    """The numbers of a prescription; see `husbandry.models.health`."""

    dose_per_kg: Decimal
    dose_unit: DoseUnit
    concentration_mg_per_ml: Decimal | None
    every_hours: int
    smallest_step_ml: Decimal


def check_amounts(amounts: Amounts) -> None:
    """Refuse numbers that no prescription has; nothing is rounded.

    Args:
        amounts: above zero, to four decimals at most.

    Raises:
        PrescriptionError: an amount is not above zero, too large or too fine; a
            concentration is missing in mg/kg, or given in mL/kg; an interval is not
            1 to 720 hours.

    Source:
        House rule: more than 30 days from dose to dose is taken for a slip.
    """
    _check_amount("dose_per_kg", amounts.dose_per_kg, LARGEST_AMOUNT)
    _check_amount("smallest_step_ml", amounts.smallest_step_ml, LARGEST_STEP_ML)
    _check_concentration(amounts)
    if not 1 <= amounts.every_hours <= MOST_HOURS:
        raise PrescriptionError(
            f"A dose every {amounts.every_hours} hours cannot be: give 1 to "
            f"{MOST_HOURS} hours.",
            fields={"every_hours": f"1 to {MOST_HOURS}"},
        )


def _check_concentration(amounts: Amounts) -> None:
    given = amounts.concentration_mg_per_ml
    if amounts.dose_unit is DoseUnit.ML_PER_KG:
        if given is not None:
            raise PrescriptionError(
                "A dose in mL/kg needs no concentration; with one it is not clear "
                "which is meant. Leave it out, or give the dose in mg/kg.",
                fields={"concentration_mg_per_ml": "empty for mL/kg"},
            )
        return
    if given is None:
        raise PrescriptionError(
            "A dose in mg/kg needs the concentration of what is drawn up, in mg/mL, "
            "as it stands on the label or as the vet diluted it.",
            fields={"concentration_mg_per_ml": "mg in one mL, more than 0"},
        )
    _check_amount("concentration_mg_per_ml", given, LARGEST_AMOUNT)


def _check_amount(name: str, amount: Decimal, most: Decimal) -> None:
    called = name.replace("_", " ")
    if not amount.is_finite() or not 0 < amount <= most:
        raise PrescriptionError(
            f"A {called} of {amount} cannot be: it is more than 0 and at most {most}.",
            fields={name: f"more than 0, at most {most}"},
        )
    if amount != amount.quantize(STEP, ROUND_DOWN):
        raise PrescriptionError(
            f"A {called} of {amount} has more than four decimals and is not rounded "
            "here. Ask the vet for a number with fewer.",
            fields={name: "at most four decimals"},
        )


def same_drug(one: str, other: str) -> bool:
    """Say whether two drugs are written alike, but for capitals and blanks."""
    return one.casefold().split() == other.casefold().split()


def check_alone(
    drug: str,
    *,
    first_on: date,
    until_on: date,
    running: Iterable[tuple[str, date, date]],
) -> None:
    """Refuse a drug that is to be given already: two orders are two doses.

    Args:
        drug: as the vet wrote it.
        first_on: local day of the first dose.
        until_on: last local day.
        running: drug, first and last local day of the animal's other prescriptions
            that were not stopped.

    Raises:
        PrescriptionError: another one of the same drug shares a day with it.

    Source:
        House rule: a second order for one drug is taken for a slip of the hand.
    """
    for name, other_first_on, other_until_on in running:
        if (
            same_drug(drug, name)
            and first_on <= other_until_on
            and other_first_on <= until_on
        ):
            raise PrescriptionError(
                f"{drug} is prescribed for it already, from {other_first_on:%d %b %Y} "
                f"to {other_until_on:%d %b %Y}: by both it would be given twice. Stop "
                "that one first if this one replaces it. If the vet means both, write "
                "into the name how they differ, as on the labels.",
                fields={"drug": "one that is not prescribed for these days"},
            )


def check_words(*, drug: str, vet: str, reason: str) -> None:
    """Refuse a prescription without a drug or a vet.

    Args:
        drug: as the vet wrote it, up to 120 characters.
        vet: the licensed vet, with practice, up to 160 characters.
        reason: in the vet's words, up to 300 characters; may be empty.

    Raises:
        PrescriptionError: one is blank or too long.
    """
    if not vet.strip():
        raise PrescriptionError(
            "Name the licensed vet who prescribed it, with practice: nothing is given "
            "on anybody else's word.",
            fields={"vet": "not blank"},
        )
    if not drug.strip():
        raise PrescriptionError(
            "Name the drug or fluid as the vet wrote it.", fields={"drug": "not blank"}
        )
    for name, text in (("drug", drug), ("vet", vet), ("reason", reason)):
        if len(text.strip()) > LONGEST[name]:
            raise PrescriptionError(
                f"The {name} has {len(text.strip())} characters; at most "
                f"{LONGEST[name]} are kept.",
                fields={name: f"at most {LONGEST[name]} characters"},
            )


def check_days(
    *, prescribed_on: date, first_on: date, until_on: date, today: date
) -> None:
    """Refuse days that cannot be.

    Args:
        prescribed_on: not to come.
        first_on: local day of the first dose.
        until_on: last local day, the first or up to a year later.
        today: the local day now.

    Raises:
        PrescriptionError: the sentence names the day and what would be accepted.

    Source:
        House rule: what no vet looks at again for a year is no prescription.
    """
    if prescribed_on > today:
        raise PrescriptionError(
            f"{prescribed_on:%d %b %Y} has not come yet; give the day on which the "
            "vet prescribed it.",
            fields={"prescribed_on": f"until {today}"},
        )
    days = (until_on - first_on).days + 1
    if not 1 <= days <= LONGEST_DAYS:
        raise PrescriptionError(
            f"From {first_on:%d %b %Y} to {until_on:%d %b %Y} cannot be: it lasts 1 to "
            f"{LONGEST_DAYS} days; a vet prescribes anew afterwards.",
            fields={"until_on": f"{first_on} or up to {LONGEST_DAYS - 1} days later"},
        )
