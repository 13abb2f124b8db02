"""Whether the animals of a delivery can be taken in as given, and who they are."""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from husbandry.rules.animals import AnimalError, check_code
from husbandry.rules.microchips import MicrochipError, MicrochipKind, check_microchip
from husbandry.rules.returns import ReturnError, check_return
from husbandry.rules.vocabulary import AnimalStatus
from placements.rules.intakes import Problem
from placements.rules.vocabulary import ChipScan, IntakeSource

LONGEST_TOLD = 120
NOT_YET_KNOWN = "not-yet-known"
"""Code of the species of animals of which nobody knows what they are."""


@dataclass(frozen=True, slots=True)
class KnownAnimal:
    """An animal on record that has a code or a chip that somebody gives.

    Attributes:
        microchip: its digits; "": none on record.
    """

    id: int
    code: str
    label: str
    status: AnimalStatus
    arrived_on: date
    left_on: date | None
    microchip: str


@dataclass(frozen=True, slots=True)
class Newcomer:
    """One animal as it is to be taken in.

    Attributes:
        code: of a new one; of one that was here before, its code.
        again: it was here before, or is on record as an ancestor.
        chip: as it was read or typed; "": none.
        species_known: it is said what it is.
        species_sure: by somebody who knows the species.
        said_anew: what is given of one that was here before, though it is on record.
    """

    code: str
    again: bool
    chip: str
    scan: ChipScan
    species_known: bool
    species_sure: bool
    species_told: str = ""
    said_anew: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Records:
    """The animals on record that a delivery may be about, by code and by chip."""

    by_code: Mapping[str, KnownAnimal]
    by_chip: Mapping[str, KnownAnimal]


def chip_digits(text: str) -> str:
    """Return a chip's number without spaces and dashes; "" where none is given.

    Raises:
        MicrochipError: no animal carries such a number.

    Source:
        iso-11784: the code 999 is for tests.
    """
    if not text.strip():
        return ""
    chip = check_microchip(text)
    if chip.kind is MicrochipKind.TEST:
        raise MicrochipError(
            f"{chip.digits} is a test number (code 999); no animal carries it. Read "
            "the chip again.",
            fields={"microchip": "a number of a country or maker"},
        )
    return chip.digits


def check_newcomers(
    newcomers: Sequence[Newcomer],
    *,
    records: Records,
    source: IntakeSource,
    arrived_on: date,
    today: date,
) -> tuple[Problem, ...]:
    """Say everything that is wrong with the animals of a delivery.

    Args:
        newcomers: in their order.
        records: the animals that have one of their codes or chips.
        source: how they came.
        arrived_on: the local day.
        today: the latest local day that has begun anywhere.

    Returns:
        In the order of the lines; none where all can be taken in. An animal that was
        here before by its chip or code is named and never taken for granted.

    Source:
        iso-11784: a chip's number tells an animal from all others.
    """
    codes = Counter(one.code.strip() for one in newcomers)
    chips = Counter(_digits(one) for one in newcomers)
    found: list[Problem] = []
    for line, one in enumerate(newcomers):
        said = [
            *_wrong_code(one, records, twice=codes[one.code.strip()] > 1),
            *_wrong_chip(one, records, twice=chips[_digits(one)] > 1),
            *_wrong_species(one),
            *_wrong_way(one, source),
        ]
        if one.again:
            said += _wrong_return(one, records, arrived_on, today)
        found += [Problem(line, *parts) for parts in said]
    return tuple(found)


_Said = tuple[str, str, str]


def _digits(one: Newcomer) -> str:
    try:
        return chip_digits(one.chip)
    except MicrochipError:
        return ""


def _wrong_code(one: Newcomer, records: Records, *, twice: bool) -> Iterator[_Said]:
    code = one.code.strip()
    try:
        check_code(code)
    except AnimalError as refusal:
        yield "code", refusal.sentence, "1 to 20 characters"
        return
    if twice:
        yield "code", f"the code {code} is given more than once.", "another code"
    known = records.by_code.get(code)
    if known is None and one.again:
        yield (
            "code",
            f"there is no animal {code!r} that was here before. Give the code on its "
            "label, or take it in as a new one.",
            "the code of an animal on record",
        )
    if known is not None and not one.again:
        yield (
            "code",
            f"there is an animal {code} already, {_whereabouts(known)}. If it is the "
            "same animal, say that it was here before; otherwise give another code.",
            "one that no animal ever had",
        )


def _whereabouts(known: KnownAnimal) -> str:
    if known.status is AnimalStatus.IN_CARE:
        return f"in care since {known.arrived_on:%d %b %Y}"
    if known.status is AnimalStatus.ELSEWHERE:
        return "on record as an ancestor"
    left = f" since {known.left_on:%d %b %Y}" if known.left_on else ""
    return f"{known.status.value}{left}"


def _wrong_chip(one: Newcomer, records: Records, *, twice: bool) -> Iterator[_Said]:
    try:
        digits = chip_digits(one.chip)
    except MicrochipError as refusal:
        yield "microchip", refusal.sentence, "15 or 10 digits"
        return
    if (one.scan is ChipScan.READ) is not bool(digits):
        yield (
            "chip_scan",
            "a chip that was read has a number, and a number comes from a chip that "
            "was read: give both, or neither.",
            f"{ChipScan.READ.value} with a number",
        )
    if not digits:
        return
    if twice:
        yield "microchip", f"the chip {digits} is given more than once.", "another"
    bearer = records.by_chip.get(digits)
    if bearer is not None and not (one.again and bearer.code == one.code.strip()):
        yield (
            "microchip",
            f"the chip {digits} is that of {bearer.label}, {_whereabouts(bearer)}. If "
            f"it is this animal, give its code {bearer.code} and say that it was here "
            "before; otherwise read the chip again.",
            f"{bearer.code}, here before",
        )
    known = records.by_code.get(one.code.strip()) if one.again else None
    if known is not None and known.microchip not in ("", digits):
        yield (
            "microchip",
            f"{known.label} carries the chip {known.microchip} on record, not "
            f"{digits}. Read it again; if it is right, this is another animal.",
            known.microchip,
        )


def _wrong_species(one: Newcomer) -> Iterator[_Said]:
    if len(one.species_told) > LONGEST_TOLD:
        yield (
            "species_told",
            f"what it was said to be has {len(one.species_told)} characters; at most "
            f"{LONGEST_TOLD} are kept.",
            f"at most {LONGEST_TOLD} characters",
        )
    if one.species_sure and not one.species_known and not one.again:
        yield (
            "species",
            "nobody can be sure of a species that is not given. Give it, or say that "
            "it is not sure yet.",
            "a species, or not sure",
        )


def _wrong_way(one: Newcomer, source: IntakeSource) -> Iterator[_Said]:
    if source is IntakeSource.RETURN and not one.again:
        yield (
            "code",
            "a return is of an animal that was here before: give its code and say so.",
            "an animal that was here before",
        )
    if source is IntakeSource.BORN_HERE and one.again:
        yield (
            "code",
            "it was here before and cannot have been born here now.",
            "a new animal",
        )


def _wrong_return(
    one: Newcomer, records: Records, arrived_on: date, today: date
) -> Iterator[_Said]:
    known = records.by_code.get(one.code.strip())
    if one.said_anew:
        told = ", ".join(one.said_anew)
        yield (
            one.said_anew[0],
            f"it is on record already: leave out {told}, and mend its record where "
            "that is wrong.",
            "nothing",
        )
    if known is None:
        return
    try:
        check_return(
            label=known.label,
            status=known.status,
            left_on=known.left_on,
            arrived_on=arrived_on,
            today=today,
        )
    except ReturnError as refusal:
        yield "code", refusal.sentence, next(iter(refusal.fields.values()))
