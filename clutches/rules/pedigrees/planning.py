"""What a pedigree file would change: decided as a whole, before anything is written."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import date

from clutches.rules.pedigrees.animals import Gathered, Link, Subject, gather
from clutches.rules.pedigrees.files import Cells
from clutches.rules.pedigrees.links import sound_links
from clutches.rules.pedigrees.records import (
    FilledIn,
    ImportPlan,
    Known,
    LineOutcome,
    LineTold,
    NewAncestor,
    ParentRef,
    ParentRole,
    Records,
)
from clutches.rules.pedigrees.rows import ParsedPedigree, read_rows
from clutches.rules.pedigrees.subjects import (
    Sorted,
    known_by_key,
    labels_of,
    sort_rows,
)
from husbandry.rules.loggers.vocabulary import DayOrder
from husbandry.rules.vocabulary import Confidence, Sex

Links = Mapping[tuple[str, ParentRole], Link]


def plan_import(
    cells: Cells,
    records: Records,
    *,
    species: int | None,
    day_order: DayOrder | None,
    today: date,
) -> ImportPlan:
    """Decide what becomes of a pedigree file.

    Rows match animals on record by their code, capitals aside. Who is not on record
    is registered, also who is only named as a parent. On record, parents are filled
    in where there is none, never another in its place; of an animal that was never
    here a line may add name, sex and hatch date too. The order of lines does not
    matter, and the same file once more changes nothing.

    Args:
        cells: of the file.
        records: all animals and species on record.
        species: key of the species where a line names none; None: not said.
        day_order: of hatch dates, where a person said it.
        today: the latest local day that has begun anywhere.

    Raises:
        PedigreeUndecidedError: the order of days, or a species, has to be said.

    Source:
        House rule, no source: both sides of a contradiction are refused.
    """
    parsed = read_rows(cells, day_order=day_order, today=today)
    labels = labels_of(animal.code for animal in records.animals)
    found = sort_rows(parsed, labels)
    known = known_by_key(records, labels)
    gathered = gather(found, known, records, labels=labels, species=species)
    by_id = {animal.id: animal for animal in records.animals}
    keys = {animal.id: key for key, animal in known.items()}
    links = {
        (link.young, link.role): link for link in sound_links(gathered, by_id, keys)
    }
    subjects = _sexed(gathered.subjects, links.values())
    return ImportPlan(
        generations=_generations(subjects, links),
        filled=tuple(_filled(subjects, links)),
        lines=_lines(parsed, found, gathered, links),
    )


def _sexed(
    subjects: Mapping[str, Subject], links: Iterable[Link]
) -> dict[str, Subject]:
    """Return the animals; a new one without a sex has that of its part as a parent."""
    sexed = dict(subjects)
    for link in links:
        parent = sexed[link.parent]
        if parent.known is None and parent.sex is Sex.UNKNOWN:
            sexed[link.parent] = replace(
                parent, sex=link.role.sex, confidence=Confidence.LIKELY
            )
    return sexed


def _generations(
    subjects: Mapping[str, Subject], links: Links
) -> tuple[tuple[NewAncestor, ...], ...]:
    """Return who is to be registered, parents before their young."""
    named = {link.parent for link in links.values()}
    new = {
        key
        for key, subject in subjects.items()
        if subject.known is None and (subject.row is not None or key in named)
    }
    waiting: dict[str, int] = dict.fromkeys(new, 0)
    young: dict[str, list[str]] = defaultdict(list)
    for link in links.values():
        if link.parent in new and link.young in new:
            waiting[link.young] += 1
            young[link.parent].append(link.young)
    generations = []
    ready = [key for key, count in waiting.items() if not count]
    while ready:
        ready.sort()
        generations.append(tuple(_ancestor(key, subjects, links) for key in ready))
        following = []
        for parent in ready:
            for key in young[parent]:
                waiting[key] -= 1
                if not waiting[key]:
                    following.append(key)
        ready = following
    return tuple(generations)


def _parents(
    key: str, subjects: Mapping[str, Subject], links: Links
) -> tuple[ParentRef | None, ParentRef | None]:
    dam, sire = (
        _reference(subjects[link.parent]) if (link := links.get((key, role))) else None
        for role in ParentRole
    )
    return dam, sire


def _reference(parent: Subject) -> ParentRef:
    return parent.code if parent.known is None else parent.known.id


def _ancestor(key: str, subjects: Mapping[str, Subject], links: Links) -> NewAncestor:
    subject = subjects[key]
    dam, sire = _parents(key, subjects, links)
    return NewAncestor(
        line=subject.row.line if subject.row else None,
        code=subject.code,
        name=subject.name,
        species=subject.species,
        sex=subject.sex,
        confidence=subject.confidence,
        hatched_on=subject.hatched_on,
        hatched_precision=subject.hatched_precision,
        dam=dam,
        sire=sire,
    )


def _filled(subjects: Mapping[str, Subject], links: Links) -> list[FilledIn]:
    found = []
    for key, subject in subjects.items():
        if subject.known is None or subject.row is None:
            continue
        dam, sire = _parents(key, subjects, links)
        if dam is not None or sire is not None or subject.fills:
            found.append(_fill(subject, subject.known, subject.row.line, dam, sire))
    return sorted(found, key=lambda fill: fill.line)


def _fill(
    subject: Subject,
    known: Known,
    line: int,
    dam: ParentRef | None,
    sire: ParentRef | None,
) -> FilledIn:
    sexed, dated = "sex" in subject.fills, "hatched" in subject.fills
    return FilledIn(
        line=line,
        id=known.id,
        dam=dam,
        sire=sire,
        name=subject.name if "name" in subject.fills else "",
        sex=subject.sex if sexed else None,
        confidence=subject.confidence if sexed else None,
        hatched_on=subject.hatched_on if dated else None,
        hatched_precision=subject.hatched_precision if dated else None,
    )


def _lines(
    parsed: ParsedPedigree, found: Sorted, gathered: Gathered, links: Links
) -> tuple[LineTold, ...]:
    said: dict[int, list[str]] = defaultdict(list)
    for one in (*parsed.said, *gathered.said):
        said[one.line].append(one.text)
    linked = {link.young for link in links.values()}
    told = [
        LineTold(
            subject.row.line,
            subject.row.code,
            _outcome(subject, has_new_parent=key in linked),
            tuple(sorted(set(said[subject.row.line]))),
        )
        for key, subject in gathered.subjects.items()
        if subject.row is not None
    ]
    told += [
        LineTold(one.line, code, LineOutcome.REFUSED, (one.text,))
        for refusals in gathered.refused.values()
        for code, one in refusals
    ]
    refused = {line.line for line in told if line.outcome is LineOutcome.REFUSED}
    told += [
        LineTold(row.line, row.code, LineOutcome.KNOWN, (f"It repeats line {first}.",))
        for row, first in found.repeated
        if first not in refused
    ]
    return tuple(sorted(told, key=lambda line: line.line))


def _outcome(subject: Subject, *, has_new_parent: bool) -> LineOutcome:
    if subject.known is None:
        return LineOutcome.REGISTERED
    filled = has_new_parent or bool(subject.fills)
    return LineOutcome.FILLED_IN if filled else LineOutcome.KNOWN
