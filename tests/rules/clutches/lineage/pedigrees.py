"""Pedigrees written down as they stand in print: young, then dam and sire."""

from clutches.rules.lineage.kinship import (
    Lineage,
    LineageRow,
    build_lineage,
    inbreeding_of,
    kinship_of,
)


def lineage(text: str) -> Lineage:
    """Return a lineage of lines such as `C A B`; `?` is an unknown parent."""
    return build_lineage(rows(text))


def rows(text: str) -> list[LineageRow]:
    """Return one row for each line."""
    found = []
    for line in text.replace(";", "\n").split("\n"):
        if not line.split():
            continue
        young, dam, sire = line.split()
        found.append(
            LineageRow(
                id_of(young),
                None if dam == "?" else id_of(dam),
                () if sire == "?" else ((id_of(sire), 1.0),),
                label=young,
            )
        )
    return found


def id_of(name: str) -> int:
    """Return a name's number: itself, or that of its letters."""
    return int(name) if name.isdigit() else int.from_bytes(name.encode())


def inbreeding(text: str, animal: str) -> float:
    """Return the inbreeding of one animal."""
    found = lineage(text)
    return float(inbreeding_of(found)[found.places[id_of(animal)]])


def kinship(text: str, one: str, other: str) -> float:
    """Return the kinship of two animals."""
    return float(kinship_of(lineage(text), [id_of(one), id_of(other)])[0, 1])
