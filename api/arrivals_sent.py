"""What is sent of a delivery, as the action takes it."""

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any, TypeVar

from django.db.models import Model

from api.errors import RefusedError
from api.inputs import exact
from api.intake_structs import ArrivalIn, ExamIn, IntakeIn
from api.named import home_numbered
from core.models import Site
from husbandry.models import Animal, Enclosure, Species
from husbandry.rules.sexes import Sexing
from placements.actions.intakes import (
    ArrivalDetails,
    ExamGiven,
    Giver,
    IntakeRow,
)
from placements.models import Home
from placements.rules.exams import ExamPart

M = TypeVar("M", bound=Model)


def details(given: ArrivalIn, now: datetime) -> ArrivalDetails:
    """Return how the animals came; at most two queries.

    Raises:
        RefusedError: the site or the home is not on record, or both a home and a
            giver are named.
    """
    if given.home is not None and given.giver is not None:
        raise RefusedError(
            "home_and_giver",
            "Name a home on record, or somebody new, not both.",
            fields={"giver": "null where home is given"},
        )
    return ArrivalDetails(
        site=_named(Site, given.site, "site"),
        source=given.source,
        arrived_at=given.arrived_at or now,
        home=_from_whom(given),
        found_at=given.found_at,
        hold_until=given.hold_until,
        hold_reason=given.hold_reason,
        came_with=given.came_with,
        note=given.note,
    )


def _from_whom(given: ArrivalIn) -> Home | Giver | None:
    if given.giver is not None:
        return Giver(given.giver.name, given.giver.contact)
    if given.home is None:
        return None
    return home_numbered(given.home)


def rows(given: Sequence[IntakeIn]) -> list[IntakeRow]:
    """Return the animals; three queries, however many there are.

    Raises:
        RefusedError: an animal that was here before, a species or an enclosure is not
            on record.
    """
    animals = _all(Animal, {one.code.strip() for one in given if one.again}, "animal")
    species = _all(Species, {one.species for one in given}, "species")
    enclosures = _all(Enclosure, {one.enclosure for one in given}, "enclosure")
    return [
        IntakeRow(
            code=one.code,
            again=animals[one.code.strip()] if one.again else None,
            name=one.name,
            species=species[one.species] if one.species else None,
            species_told=one.species_told,
            species_sure=one.species_sure,
            sexing=Sexing(one.sex, one.sex_basis, one.sex_confidence),
            hatched_on=one.hatched_on,
            hatched_precision=one.hatched_precision,
            origin=one.origin,
            origin_note=one.origin_note,
            microchip=one.microchip,
            chip_scan=one.chip_scan,
            condition=one.condition,
            mass_g=None if one.mass_g is None else exact(one.mass_g),
            mass_reason=one.mass_reason,
            enclosure=enclosures[one.enclosure] if one.enclosure else None,
            exam=exam_given(one.exam) if one.exam else None,
            signs=one.signs,
            came_with=one.came_with,
            note=one.note,
        )
        for one in given
    ]


def exam_given(exam: ExamIn) -> ExamGiven:
    """Return a look over an animal as the action takes it."""
    parts = tuple(ExamPart(p.system, p.outcome, p.note) for p in exam.parts)
    return ExamGiven(exam.examined_by, parts, exam.note)


def _all(
    model: type[M], codes: set[str | None] | set[str], noun: str
) -> Mapping[str, M]:
    wanted = {code for code in codes if code}
    manager: Any = model._default_manager  # noqa: SLF001 - public API of Django
    found = {row.code: row for row in manager.filter(code__in=wanted)}
    missing = sorted(wanted - found.keys())
    if missing:
        raise RefusedError(
            f"unknown_{noun}",
            f"There is no {noun} {', no '.join(missing)}. Give the code on record.",
            fields={noun: f"the code of a known {noun}"},
        )
    return found


def _named(model: type[M], code: str, noun: str) -> M:
    return _all(model, {code or " "}, noun)[code]
