"""What is done with animals: registered, mended, moved, noted as gone."""

from collections.abc import Sequence
from http import HTTPStatus
from typing import ClassVar

import msgspec
from django.db.models import QuerySet
from django.utils import timezone
from msgspec import structs
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from api.animal_structs import (
    AnimalCorrectionIn,
    AnimalIn,
    AnimalOut,
    AnimalsReport,
    LeaveIn,
    LeftAnimal,
    MoveIn,
    animal_rows,
    shown_animals,
)
from api.clutch_structs import changes_of, fields_of, named
from api.errors import RefusedError, RefusedRow
from api.inputs import read_body, sent
from api.row_lists import ListAsked, Taken, check_count, take_rows
from api.structs import Ref
from api.views import Rows
from core.roles import Permission
from husbandry.actions.animal_lists import (
    AnimalResult,
    AnimalRow,
    register_all_animals,
    register_animals,
)
from husbandry.actions.animals import correct_animal, mark_left, register_animal
from husbandry.actions.deaths import record_death
from husbandry.actions.stays import record_move
from husbandry.models import Animal
from husbandry.queries.stays import local_day_of
from husbandry.rules.health.cautions import DEATHS, LOSSES
from husbandry.rules.vocabulary import AnimalStatus

MOST_ROWS = 1_000


class KeptAnimals(Rows[Animal]):
    """Animals, and what is done with them."""

    permissions = {
        "list": Permission.SEE_ANIMALS,
        "retrieve": Permission.SEE_ANIMALS,
        "create": Permission.EDIT_ANIMALS,
        "correct": Permission.EDIT_ANIMALS,
        "leave": Permission.EDIT_ANIMALS,
        "move": Permission.MOVE_ANIMALS,
    }
    asks: ClassVar = {"create": ListAsked}
    takes = {
        "create": AnimalIn | list[AnimalIn],
        "correct": AnimalCorrectionIn,
        "leave": LeaveIn,
        "move": MoveIn,
    }
    gives = {
        "create": {HTTPStatus.CREATED: AnimalOut, HTTPStatus.OK: AnimalsReport},
        "leave": LeftAnimal,
    }
    out = AnimalOut

    def get_queryset(self) -> QuerySet[Animal]:
        """Return all animals."""
        return animal_rows()

    def shown(self, rows: Sequence[Animal]) -> list[AnimalOut]:
        """Return animals with enclosure and latest weight; two queries."""
        return shown_animals(rows)

    def create(self, request: Request) -> Response:
        """Register an animal that is in care from a day on, or a list of them.

        One answers 201. A list answers 200 with what became of each row; a bad row
        does not keep the others out, unless `all_or_none` is asked. Dam and sire are
        on record already, or stand in an earlier row of the list. None has an
        enclosure yet: move it. An animal that was here before, or came with a
        delivery, is taken in at arrivals/ instead.
        """
        body = sent(request)
        if body.lstrip().startswith(b"["):
            return Response(self._register_list(body))
        given, now = read_body(body, AnimalIn), timezone.now()
        animal = register_animal(**fields_of(given), by=self.person, at=now)
        return Response(self._told(animal), status=HTTPStatus.CREATED)

    @action(detail=True, methods=["post"])
    def correct(self, request: Request, **kwargs: str) -> Response:
        """Mend what is on record of an animal; what is left out stays.

        What it said stays in the audit trail. Nights that were judged keep what was
        known then.
        """
        row, given = self.one(), read_body(sent(request), AnimalCorrectionIn)
        animal = correct_animal(
            animal=row,
            by=self.person,
            at=timezone.now(),
            reason=given.reason,
            **changes_of(given),
        )
        return Response(self._told(animal))

    @action(detail=True, methods=["post"])
    def leave(self, request: Request, **kwargs: str) -> Response:
        """Note that an animal died or was lost; its stay ends with that day.

        This cannot be taken back here. An animal goes to a home, or is released by
        those whom the law permits, by its placement: placements/{id}/hand-over/. What
        a vet found after death is recorded at deaths/{id}/necropsy/.
        """
        row, given, now = self.one(), read_body(sent(request), LeaveIn), timezone.now()
        on = given.on or local_day_of(animal=row, at=now)
        if given.status == "dead":
            record_death(
                animal=row,
                on=on,
                circumstances=given.reason,
                euthanised_by=given.euthanised_by,
                by=self.person,
                at=now,
            )
            return Response(self._left(row, DEATHS.text))
        if given.euthanised_by:
            raise RefusedError(
                "lost_not_dead",
                "An animal that was lost was not put to sleep; leave out euthanised_by.",
                fields={"euthanised_by": "empty for one that was lost"},
            )
        mark_left(
            animal=row,
            status=AnimalStatus.LOST,
            on=on,
            by=self.person,
            at=now,
            reason=given.reason,
        )
        return Response(self._left(row, LOSSES.text))

    @action(detail=True, methods=["post"])
    def move(self, request: Request, **kwargs: str) -> Response:
        """Move an animal into an enclosure, or out of the one it is in.

        With `at`, a move that was done earlier; the nights since are reviewed again.
        One in quarantine, company that its care profile does not allow, and a retired
        enclosure are refused with 409.
        """
        row, given, now = self.one(), read_body(sent(request), MoveIn), timezone.now()
        record_move(
            animal=row,
            to=named("to", given.to),
            moved_at=given.at or now,
            by=self.person,
            at=now,
            reason=given.reason,
        )
        return Response(self._told(row))

    def _register_list(self, body: bytes) -> AnimalsReport:
        raw = read_body(body, list[msgspec.Raw])
        check_count(len(raw), most=MOST_ROWS)
        taken, now = take_rows(raw, AnimalIn), timezone.now()
        rows = [AnimalRow(**structs.asdict(given)) for given in taken.rows]
        asked = self.asked
        assert isinstance(asked, ListAsked)  # noqa: S101 - see `asks`
        if asked.all_or_none:
            results = register_all_animals(
                rows=rows, unread=taken.unread, by=self.person, at=now
            )
        else:
            results = register_animals(rows=rows, by=self.person, at=now)
        return _report(len(raw), taken, results)

    def _told(self, animal: Animal) -> AnimalOut:
        (shown,) = self.shown([self.get_queryset().get(pk=animal.pk)])
        return shown

    def _left(self, animal: Animal, caution: str) -> LeftAnimal:
        return LeftAnimal(**structs.asdict(self._told(animal)), caution=caution)


def _report(
    lines: int, taken: Taken[AnimalIn], results: Sequence[AnimalResult]
) -> AnimalsReport:
    animals: list[Ref | None] = [None] * lines
    refused = list(taken.refused)
    for place, result in zip(taken.places, results, strict=True):
        if result.animal is None:
            code, sentence = result.code, result.sentence
            refused.append(RefusedRow(index=place, code=code, sentence=sentence))
        else:
            animals[place] = Ref(id=result.animal.pk, code=result.animal.code)
    return AnimalsReport(
        stored=lines - len(refused),
        refused=tuple(sorted(refused, key=lambda row: row.index)),
        animals=tuple(animals),
    )
