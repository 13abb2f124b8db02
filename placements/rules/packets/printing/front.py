"""The first page: who the animal is, and the first things to get right."""

from husbandry.rules.vocabulary import Confidence, DatePrecision, Origin, Sex, SexBasis
from placements.rules.packets.documents import Document
from placements.rules.packets.histories import AnimalLine, ParentLine
from placements.rules.packets.printing.rows import Row
from placements.rules.packets.printing.speech import Speech, mark, word
from placements.rules.vocabulary import PlacementKind

FIRST_THINGS = 3
SEXES = {
    Sex.FEMALE: word("Female"),
    Sex.MALE: word("Male"),
    Sex.UNKNOWN: word("Not known"),
}
BASES = {
    SexBasis.HEEL_SPUR: word("seen by the heel spurs of the hind feet"),
    SexBasis.BODY_FORM: word("judged by the form of its body"),
    SexBasis.PROBING: word("found by probing"),
    SexBasis.LAID_EGGS: word("she has laid eggs"),
    SexBasis.LABORATORY: word("found in a laboratory"),
    SexBasis.REPORTED: word("as told by whoever had it before"),
    SexBasis.NOT_SEXED: word("nobody has looked yet"),
}
CONFIDENCES = {
    Confidence.CONFIRMED: word("confirmed"),
    Confidence.LIKELY: word("likely"),
    Confidence.UNCERTAIN: word("uncertain"),
}
ORIGINS = {
    Origin.BORN_HERE: word("Hatched or born here"),
    Origin.BORN_ELSEWHERE: word("Hatched or born with another keeper"),
    Origin.WILD_CAUGHT: word("Caught in the wild"),
    Origin.SURRENDERED: word("Given up by its keeper"),
    Origin.UNKNOWN: word("Not known"),
}
KINDS = {
    PlacementKind.ADOPTION: word("Adoption"),
    PlacementKind.SALE: word("Sale"),
    PlacementKind.TRANSFER: word("Transfer to another keeper"),
    PlacementKind.LOAN: word("Loan: it stays the property of whoever lends it"),
    PlacementKind.FOSTER: word("Foster care: it stays ours and is due back"),
    PlacementKind.RELEASE: word("Release to the wild, by permit"),
}
NOT_ON_RECORD = word("not on record")


def call_name(animal: AnimalLine) -> str:
    """Return what the animal is called: its name, or else its code."""
    return animal.name or animal.code


def identity(speech: Speech, document: Document) -> tuple[Row, ...]:
    """Return who the animal is, row by row; what is not known says so."""
    animal = document.animal
    say = speech.say
    sexed, born = _how_known(speech, animal), _birthday(speech, document)
    here = say("here since {day}", day=speech.day(animal.arrived_on))
    leaves = say("on {day}", day=speech.day(document.on))
    return (
        Row(say("Code"), animal.code),
        Row(say("Kind"), animal.species, animal.scientific_name),
        Row(say("Sex"), say(SEXES[animal.sex]), sexed),
        Row(say("Hatched or born"), *born),
        Row(say("Mother"), _parent(speech, animal.dam)),
        Row(say("Father"), *_father(speech, animal)),
        Row(say("Origin"), say(ORIGINS[animal.origin]), here),
        Row(say("Microchip"), animal.microchip or say("none")),
        Row(say("Life stage"), *_stage(speech, document)),
        Row(say("Leaves as"), say(KINDS[document.kind]), leaves),
    )


def _father(speech: Speech, animal: AnimalLine) -> tuple[str, str]:
    """Return who the father is, or who it may be; never a guess."""
    if animal.sire is not None or not animal.may_be_sires:
        return _parent(speech, animal.sire), ""
    names = [
        f"{_parent(speech, ParentLine(one.code, one.name))} ({one.percent} %)"
        for one in animal.may_be_sires
    ]
    left = 100 - sum(one.percent for one in animal.may_be_sires)
    # Shares are rounded down: less than one in a hundred is nobody.
    if left > 1:
        names.append(speech.say("a male not on record ({percent} %)", percent=left))
    listed = speech.say(" or ").join(names)
    return listed, speech.say("which of them it was is not known")


def _how_known(speech: Speech, animal: AnimalLine) -> str:
    how = speech.say(BASES[animal.sex_basis])
    if animal.sex is Sex.UNKNOWN:
        return how
    return f"{how}; {speech.say(CONFIDENCES[animal.sex_confidence])}"


def _birthday(speech: Speech, document: Document) -> tuple[str, str]:
    animal = document.animal
    shown = speech.roughly(animal.hatched_on, animal.hatched_precision)
    if animal.hatched_on is None or animal.hatched_on > document.on:
        return shown, speech.say("so nobody can say how old it is")
    age = speech.age(animal.hatched_on, document.on)
    if animal.hatched_precision is DatePrecision.DAY:
        return shown, speech.say("{age} old on that day", age=age)
    return shown, speech.say("about {age} old on that day", age=age)


def _parent(speech: Speech, parent: ParentLine | None) -> str:
    if parent is None:
        return speech.say(NOT_ON_RECORD)
    return f"{parent.code} {parent.name}".strip()


def _stage(speech: Speech, document: Document) -> tuple[str, str]:
    if document.plan is None and document.kind is PlacementKind.RELEASE:
        return speech.say("no care plan: it goes back to the wild"), ""
    if document.plan is None:
        why = speech.say("no care profile for its kind was in force")
        return speech.say("not known"), why
    if not document.plan.stage:
        return speech.say("not known"), speech.say("because its age is not known")
    state = speech.say("carrying eggs") if document.plan.gravid else ""
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
