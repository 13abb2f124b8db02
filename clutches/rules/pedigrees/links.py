"""Which parents of a file can be, and why others cannot."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

from clutches.rules.pedigrees.animals import Gathered, Link, Subject, on_record
from clutches.rules.pedigrees.loops import path_back, rings, told_path
from clutches.rules.pedigrees.records import Known, ParentRole
from clutches.rules.pedigrees.rows import Said
from husbandry.rules.parents import ParentError, Relative, check_parents
from husbandry.rules.vocabulary import Sex

LEFT_OUT = "It was left out; the animal stays."
PATHS_TOLD = 20
"""So many lines of one loop name its path; the others only that they are on it."""


def sound_links(
    gathered: Gathered, known: Mapping[int, Known], keys: Mapping[int, str]
) -> tuple[Link, ...]:
    """Return the links that can be; why others cannot is added to what is said.

    The order of the file does not matter: what contradicts something else in the
    file is left out on both sides, and a loop loses all its links from the file.

    Args:
        gathered: the animals of the file and the parents that its lines name.
        known: the animals on record, by their keys there.
        keys: by what the spellings of their codes share.

    Returns:
        Links that are new; those on record already are not among them.
    """
    _take_back_fills(gathered, known)
    links = list(_one_by_one(gathered, keys))
    links = list(_not_both(gathered, links, known))
    return tuple(_not_in_loops(gathered, links, known, keys))


def _refuse(gathered: Gathered, link: Link, why: str) -> None:
    gathered.said.append(Said(link.line, f"{why} {LEFT_OUT}"))


def _one_by_one(gathered: Gathered, keys: Mapping[int, str]) -> Iterator[Link]:
    both = _named_twice(gathered.links)
    for link in gathered.links:
        why = _wrong(gathered, link, keys, twice=(link.line, link.young) in both)
        if why:
            _refuse(gathered, link, why)
        elif not _is_on_record(gathered.subjects[link.young], link, keys):
            yield link


def _named_twice(links: Iterable[Link]) -> set[tuple[int, str]]:
    parents: dict[tuple[int, str], list[str]] = defaultdict(list)
    for link in links:
        parents[(link.line, link.young)].append(link.parent)
    return {which for which, named in parents.items() if len(set(named)) < len(named)}


def _is_on_record(young: Subject, link: Link, keys: Mapping[int, str]) -> bool:
    held = young.known.parent(link.role) if young.known else None
    return held is not None and keys[held] == link.parent


def _wrong(
    gathered: Gathered, link: Link, keys: Mapping[int, str], *, twice: bool
) -> str:
    """Return why a link cannot be, whatever else is in the file; "" where it can."""
    young = gathered.subjects[link.young]
    if link.parent == link.young:
        return f"{young.label} is named as its own {link.role}."
    if twice:
        return f"{link.written} is named as both dam and sire of {young.label}."
    if _is_on_record(young, link, keys):
        return ""
    if young.known is not None and (why := _against_record(young.known, link)):
        return why
    if link.parent in gathered.refused:
        lines = sorted({said.line for _, said in gathered.refused[link.parent]})
        told = ", ".join(map(str, lines))
        return f"Its {link.role} {link.written} was refused (line {told})."
    parent = gathered.subjects[link.parent]
    return _cannot_be(young.relative(), parent.relative(), link.role)


def _against_record(young: Known, link: Link) -> str:
    if young.parent(link.role) is not None:
        return (
            f"{young.label} has another {link.role} on record than {link.written}. "
            "Correct the animal first if the file is right."
        )
    if link.role is ParentRole.SIRE and young.candidates:
        return (
            f"Candidate sires of {young.label} are on record; decide among them there "
            f"instead of naming {link.written} here."
        )
    return ""


def _cannot_be(young: Relative, parent: Relative, role: ParentRole) -> str:
    given = {"dam": parent} if role is ParentRole.DAM else {"sire": parent}
    try:
        check_parents(
            young,
            dam=given.get("dam"),
            sire=given.get("sire"),
            parents={},
            labels={},
        )
    except ParentError as error:
        return error.sentence
    return ""


def _not_both(
    gathered: Gathered, links: list[Link], known: Mapping[int, Known]
) -> Iterator[Link]:
    """Yield links but for those that make an unsexed animal both dam and sire."""
    roles: dict[str, dict[ParentRole, set[int]]] = defaultdict(lambda: defaultdict(set))
    for link in links:
        roles[link.parent][link.role].add(link.line)
    held = {(k.dam, ParentRole.DAM) for k in known.values()}
    held |= {
        (s, ParentRole.SIRE) for k in known.values() for s in (k.sire, *k.candidates)
    }
    for link in links:
        parent = gathered.subjects[link.parent]
        other = ParentRole.SIRE if link.role is ParentRole.DAM else ParentRole.DAM
        lines = sorted(roles[link.parent][other])
        elsewhere = (parent.number, other) in held
        if parent.sex is not Sex.UNKNOWN or not (lines or elsewhere):
            yield link
            continue
        where = f"line {', '.join(map(str, lines))}" if lines else "on record"
        _refuse(
            gathered,
            link,
            f"{parent.label} is named as {link.role} here and as {other} in another "
            f"place ({where}). Give its sex, and correct the other.",
        )


def _not_in_loops(
    gathered: Gathered,
    links: list[Link],
    known: Mapping[int, Known],
    keys: Mapping[int, str],
) -> Iterator[Link]:
    """Yield links but for those that make an animal its own ancestor."""
    parents: dict[str, list[str]] = defaultdict(list)
    for animal in known.values():
        for parent in (animal.dam, animal.sire, *animal.candidates):
            if parent is not None:
                parents[keys[animal.id]].append(keys[parent])
    for link in links:
        parents[link.young].append(link.parent)
    ring = rings(parents)
    codes = {keys[animal.id]: animal.code for animal in known.values()}
    codes |= {key: subject.code for key, subject in gathered.subjects.items()}
    told: Counter[int] = Counter()
    for link in sorted(links, key=lambda link: link.line):
        own = ring.get(link.young)
        if own is None or own != ring.get(link.parent):
            yield link
            continue
        told[own] += 1
        why = f"{codes[link.young]} would descend from itself"
        if told[own] <= PATHS_TOLD:
            path = path_back(link.young, link.parent, parents=parents, ring=ring)
            why += f": {told_path([codes[key] for key in path])}"
        _refuse(gathered, link, f"{why}. Mend one of these parents.")


def _take_back_fills(gathered: Gathered, known: Mapping[int, Known]) -> None:
    """Keep a sex or a hatch date off the record where kin on record forbid it."""
    filling = {
        subject.number: key
        for key, subject in gathered.subjects.items()
        if subject.fills & {"sex", "hatched"}
    }
    if not filling:
        return
    for young in known.values():
        for role in ParentRole:
            parent = young.parent(role)
            if parent is not None and (young.id in filling or parent in filling):
                _check_fill(gathered, filling, young, known[parent], role)


def _check_fill(
    gathered: Gathered,
    filling: Mapping[int, str],
    young: Known,
    parent: Known,
    role: ParentRole,
) -> None:
    one, other = (
        gathered.subjects[filling[k.id]] if k.id in filling else on_record(k, None)
        for k in (young, parent)
    )
    why = _cannot_be(one.relative(), other.relative(), role)
    if not why:
        return
    for subject in (one, other):
        row = subject.row
        if row is None or subject.known is None or not subject.fills:
            continue
        key = filling[subject.number]
        gathered.subjects[key] = replace(
            on_record(subject.known, row),
            name=subject.name,
            fills=subject.fills & {"name"},
        )
        gathered.said.append(
            Said(
                row.line,
                f"{why} So its sex and hatch date stay as they are on record.",
            )
        )
