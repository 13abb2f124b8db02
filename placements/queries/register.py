"""The register read back: which lines stand, and what new ones have to say."""

from collections.abc import Collection, Iterable, Iterator, Mapping
from datetime import date
from typing import Any

from django.db.models import F, Max, QuerySet
from django.db.models.fields.json import KT

from husbandry.models import Animal
from placements.models import RegisterEntry
from placements.queries.papers import papers_of
from placements.rules.papers.facts import PaperFacts
from placements.rules.register.exporting import RegisterRow
from placements.rules.register.facts import Movement
from placements.rules.register.lines import Entered, Line
from placements.rules.vocabulary import Direction, RegisterHow

Ids = Collection[int] | None
STRUCK = "struck"
AT_ONCE = 500


def last_number() -> int:
    """Return the number of the register's last line; 0: it has none."""
    found: int | None = RegisterEntry.objects.aggregate(last=Max("number"))["last"]
    return found or 0


def standing_lines(*, animal_ids: Ids = None) -> tuple[Entered, ...]:
    """Return the lines that nothing corrects and that strike out nothing; one query.

    Args:
        animal_ids: of which animals; None: of all.
    """
    rows = RegisterEntry.objects.filter(corrected_by__isnull=True)
    if animal_ids is not None:
        rows = rows.filter(animal__in=animal_ids)
    columns = (
        *("pk", "number", "animal_id", "direction", "on", "how", "home_id"),
        *("arrival_id", "placement_id", "animal_code"),
    )
    told = rows.order_by("number").values(
        *columns, species=KT("facts__species"), struck=KT(f"facts__{STRUCK}")
    )
    return tuple(_entered(row) for row in told if row["struck"] is None)


def _entered(row: Mapping[str, Any]) -> Entered:
    movement = Movement(
        animal=row["animal_id"],
        direction=Direction(row["direction"]),
        on=row["on"],
        how=RegisterHow(row["how"]),
        home=row["home_id"],
        arrival=row["arrival_id"],
        placement=row["placement_id"],
    )
    return Entered(
        row["pk"], row["number"], Line(movement, row["animal_code"], row["species"])
    )


def described(*, animal_ids: Collection[int], on: date) -> Mapping[int, dict[str, Any]]:
    """Return what new lines say of animals beside their movement.

    Sex, hatch date, chip, parents' codes, origin, papers and CITES sources as they
    are on record now. No names of people, no addresses. Three queries for each five
    hundred animals: SQLite takes only so many keys.

    Args:
        animal_ids: of which.
        on: papers that hold on this day.
    """
    keys, found = sorted(animal_ids), {}
    for start in range(0, len(keys), AT_ONCE):
        found.update(_described(keys[start : start + AT_ONCE], on))
    return found


def _described(animal_ids: Collection[int], on: date) -> dict[int, dict[str, Any]]:
    papers = papers_of(animal_ids=animal_ids, on=on)
    rows = Animal.objects.filter(pk__in=animal_ids).values(
        *("pk", "sex", "sex_confidence", "hatched_on", "hatched_precision", "origin"),
        *("microchip",),
        species_code=F("species__code"),
        scientific_name=F("species__scientific_name"),
        dam_code=F("dam__code"),
        sire_code=F("sire__code"),
    )
    return {row["pk"]: _description(row, papers.get(row["pk"], ())) for row in rows}


def _description(
    row: Mapping[str, Any], papers: tuple[PaperFacts, ...]
) -> dict[str, Any]:
    held = [paper for paper in papers if paper.in_force]
    hatched_on: date | None = row["hatched_on"]
    return {
        "species": row["species_code"],
        "scientific_name": row["scientific_name"],
        "sex": row["sex"],
        "sex_confidence": row["sex_confidence"],
        "hatched_on": hatched_on.isoformat() if hatched_on else None,
        "hatched_precision": row["hatched_precision"],
        "microchip": row["microchip"],
        "dam": row["dam_code"],
        "sire": row["sire_code"],
        "origin": row["origin"],
        "papers": [{"kind": p.kind.value, "number": p.number} for p in held],
        "cites_sources": sorted({p.cites_source.value for p in held if p.cites_source}),
    }


def register_lines(
    *, from_on: date | None = None, until_on: date | None = None
) -> QuerySet[RegisterEntry]:
    """Return the register's lines by number, of a period by the day of the movement.

    Args:
        from_on: first day; None: from the beginning.
        until_on: last day; None: to the end.
    """
    rows = RegisterEntry.objects.select_related(
        *("animal", "home", "arrival", "placement", "corrects"),
        *("corrected_by", "entered_by"),
    )
    if from_on is not None:
        rows = rows.filter(on__gte=from_on)
    if until_on is not None:
        rows = rows.filter(on__lte=until_on)
    return rows.order_by("number")


def register_rows(
    lines: Iterable[RegisterEntry], *, names: bool
) -> Iterator[RegisterRow]:
    """Read lines as frozen values.

    Args:
        lines: as `register_lines` returns them.
        names: the reader may see homes; else nobody is named and no place told.
    """
    for line in lines:
        facts = line.facts
        later = getattr(line, "corrected_by", None)
        yield RegisterRow(
            id=line.pk,
            number=line.number,
            on=line.on,
            direction=Direction(line.direction),
            how=RegisterHow(line.how),
            animal=line.animal_id,
            code=line.animal_code,
            scientific_name=line.scientific_name,
            sex=facts.get("sex") or "",
            hatched_on=facts.get("hatched_on") or "",
            microchip=facts.get("microchip") or "",
            dam=facts.get("dam") or "",
            sire=facts.get("sire") or "",
            cites_sources=tuple(facts.get("cites_sources", ())),
            papers=tuple(_paper(paper) for paper in facts.get("papers", ())),
            whom=line.home.name if names and line.home else "",
            contact=line.home.contact if names and line.home else "",
            place=_place(line) if names else "",
            corrects=line.corrects.number if line.corrects else None,
            corrected_by=later.number if later else None,
            strikes=facts.get(STRUCK),
            note=line.note,
            entered_at=line.entered_at,
            entered_by=line.entered_by.username if line.entered_by else "",
        )


def _paper(paper: Mapping[str, str]) -> str:
    return f"{paper['kind'].replace('_', ' ')} {paper['number']}"


def _place(line: RegisterEntry) -> str:
    """Return where a stray was found, or an animal was released."""
    if line.direction == Direction.CAME:
        return line.arrival.found_at if line.arrival else ""
    return line.placement.release_place if line.placement else ""


def numbers_are_whole() -> bool:
    """Say whether the lines are numbered from 1 on without a gap; one query."""
    rows = RegisterEntry.objects.aggregate(last=Max("number"))
    last: int = rows["last"] or 0
    return RegisterEntry.objects.count() == last
