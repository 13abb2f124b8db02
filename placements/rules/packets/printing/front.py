"""The first page: who the animal is, and the first things to get right."""

from husbandry.rules.vocabulary import Confidence, DatePrecision, Origin, Sex, SexBasis
from placements.rules.packets import words
from placements.rules.packets.documents import Document
from placements.rules.packets.histories import AnimalLine, ParentLine
from placements.rules.packets.printing.care import mark
from placements.rules.packets.printing.rows import Row
from placements.rules.vocabulary import PlacementKind

FIRST_THINGS = 3
SEXES = {Sex.FEMALE: "Female", Sex.MALE: "Male", Sex.UNKNOWN: "Not known"}
BASES = {
    SexBasis.HEEL_SPUR: "seen by the heel spurs of the hind feet",
    SexBasis.BODY_FORM: "judged by the form of its body",
    SexBasis.PROBING: "found by probing",
    SexBasis.LAID_EGGS: "she has laid eggs",
    SexBasis.LABORATORY: "found in a laboratory",
    SexBasis.REPORTED: "as told by whoever had it before",
    SexBasis.NOT_SEXED: "nobody has looked yet",
}
ORIGINS = {
    Origin.BORN_HERE: "Hatched or born here",
    Origin.BORN_ELSEWHERE: "Hatched or born with another keeper",
    Origin.WILD_CAUGHT: "Caught in the wild",
    Origin.SURRENDERED: "Given up by its keeper",
    Origin.UNKNOWN: "Not known",
}
KINDS = {
    PlacementKind.ADOPTION: "Adoption",
    PlacementKind.SALE: "Sale",
    PlacementKind.TRANSFER: "Transfer to another keeper",
    PlacementKind.LOAN: "Loan",
}


def call_name(animal: AnimalLine) -> str:
    """Return what the animal is called: its name, or else its code."""
    return animal.name or animal.code


def identity(document: Document) -> tuple[Row, ...]:
    """Return who the animal is, row by row; what is not known says so."""
    animal = document.animal
    return (
        Row("Code", animal.code),
        Row("Kind", animal.species, animal.scientific_name),
        Row("Sex", SEXES[animal.sex], _how_known(animal)),
        Row("Hatched or born", *_birthday(document)),
        Row("Mother", _parent(animal.dam)),
        Row("Father", *_father(animal)),
        Row(
            "Origin",
            ORIGINS[animal.origin],
            f"here since {words.day(animal.arrived_on)}",
        ),
        Row("Microchip", animal.microchip or "none"),
        Row("Life stage", *_stage(document)),
        Row("Leaves as", KINDS[document.kind], f"on {words.day(document.on)}"),
    )


def _father(animal: AnimalLine) -> tuple[str, str]:
    """Return who the father is, or who it may be; never a guess."""
    if animal.sire is not None or not animal.may_be_sires:
        return _parent(animal.sire), ""
    names = [
        f"{_parent(ParentLine(one.code, one.name))} ({one.percent} %)"
        for one in animal.may_be_sires
    ]
    left = 100 - sum(one.percent for one in animal.may_be_sires)
    # Shares are rounded down: less than one in a hundred is nobody.
    unknown = [f"a male not on record ({left} %)"] if left > 1 else []
    listed = " or ".join([*names, *unknown])
    return listed, "which of them it was is not known"


def _how_known(animal: AnimalLine) -> str:
    if animal.sex is Sex.UNKNOWN:
        return BASES[animal.sex_basis]
    sure = {
        Confidence.CONFIRMED: "confirmed",
        Confidence.LIKELY: "likely",
        Confidence.UNCERTAIN: "uncertain",
    }
    return f"{BASES[animal.sex_basis]}; {sure[animal.sex_confidence]}"


def _birthday(document: Document) -> tuple[str, str]:
    animal = document.animal
    shown = words.roughly(animal.hatched_on, animal.hatched_precision)
    if animal.hatched_on is None or animal.hatched_on > document.on:
        return shown, "so nobody can say how old it is"
    about = "" if animal.hatched_precision is DatePrecision.DAY else "about "
    return shown, f"{about}{words.age(animal.hatched_on, document.on)} old on that day"


def _parent(parent: ParentLine | None) -> str:
    return f"{parent.code} {parent.name}".strip() if parent else "not on record"


def _stage(document: Document) -> tuple[str, str]:
    if document.plan is None:
        return "not known", "no care profile for its kind was in force"
    if not document.plan.stage:
        return "not known", "because its age is not known"
    state = "carrying eggs" if document.plan.gravid else ""
    return document.plan.stage, state


def first_things(document: Document) -> tuple[Row, ...]:
    """Return the three things to get right in the first week."""
    if document.plan is None:
        return ()
    lines = (*document.plan.first_things, *document.plan.checklist)
    return tuple(
        Row(str(n), line.text, mark(line.basis))
        for n, line in enumerate(lines[:FIRST_THINGS], start=1)
    )
