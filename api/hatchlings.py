"""Hatchlings: a box is hatched, a litter housed, animals ascribed to their clutch."""

from collections.abc import Sequence
from http import HTTPStatus
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import QuerySet
from django.utils import timezone
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from api.errors import RefusedError
from api.filters import (
    CharFilter,
    DayFilter,
    FilterSet,
    NumberFilter,
)
from api.hatchling_structs import (
    AnimalsAscribedIn,
    BoxHatchedIn,
    BoxHatchedOut,
    HatchlingOut,
    HatchlingsOut,
    LabelsAsked,
    LitterHousedIn,
    YoungIn,
)
from api.inputs import exact, read_body, sent
from api.renderers import Pdf
from api.row_lists import check_count
from api.structs import Ref, ref
from api.views import Rows
from clutches.actions.ascribing import AscribedRow, ascribe_animals
from clutches.actions.hatching import BornRow, HatchlingRow, hatch_box, house_young
from clutches.models import Clutch, Hatchling
from clutches.pdf import draw_labels
from clutches.queries.boxes import box_of
from clutches.queries.eggs import eggs_named
from clutches.queries.labels import labels
from core.roles import Permission
from husbandry.models import Animal, Enclosure
from husbandry.rules.vocabulary import Confidence, Sex

MOST_YOUNG = 500


class HatchlingFilter(FilterSet):
    """Which hatchlings."""

    clutch = CharFilter("clutch__code", help_text="Code of the clutch.")
    animal = CharFilter("animal__code", help_text="Code of the animal.")
    egg = NumberFilter("egg", help_text="Number of the egg.")
    hatched_from = DayFilter(
        "animal__hatched_on", "gte", help_text="Hatched on this day or later."
    )
    hatched_until = DayFilter(
        "animal__hatched_on", "lte", help_text="Hatched on this day or earlier."
    )

    class Meta:
        model = Hatchling
        fields = [
            "clutch",
            "animal",
            *("egg", "hatched_from", "hatched_until"),
        ]


class Hatchlings(Rows[Hatchling]):
    """The newest first, with the clutch and the egg that each came from."""

    plural = "hatchlings"
    permissions = {
        "list": Permission.SEE_ANIMALS,
        "retrieve": Permission.SEE_ANIMALS,
        "create": Permission.RECORD_BREEDING,
        "house": Permission.RECORD_BREEDING,
        "ascribe": Permission.RECORD_BREEDING,
        "labels": Permission.SEE_ANIMALS,
    }
    filterset_class = HatchlingFilter
    asks = {"labels": LabelsAsked}
    takes = {
        "create": BoxHatchedIn,
        "house": LitterHousedIn,
        "ascribe": AnimalsAscribedIn,
    }
    gives = {
        "create": {HTTPStatus.CREATED: BoxHatchedOut},
        "house": {HTTPStatus.CREATED: HatchlingsOut},
        "ascribe": {HTTPStatus.CREATED: HatchlingsOut},
        "labels": bytes,
    }
    out = HatchlingOut
    ordering = ("-id",)
    searched = ("animal__code", "clutch__code")
    orderable = ("id",)

    def get_queryset(self) -> QuerySet[Hatchling]:
        """Return all hatchlings."""
        return Hatchling.objects.select_related("animal__sire", "clutch", "egg")

    def shown(self, rows: Sequence[Hatchling]) -> list[HatchlingOut]:
        """Return hatchlings with the codes of what they came from."""
        return [
            HatchlingOut(
                id=row.pk,
                animal=Ref(id=row.animal_id, code=row.animal.code),
                clutch=Ref(id=row.clutch_id, code=row.clutch.code),
                egg=row.egg.number if row.egg else None,
                hatched_on=row.animal.hatched_on,
                sex=Sex(row.animal.sex),
                sex_confidence=Confidence(row.animal.sex_confidence),
                sire=ref(row.animal.sire),
            )
            for row in rows
        ]

    def create(self, request: Request) -> Response:
        """Hatch eggs of one box on one day; all of them or none.

        Each becomes an animal with a code, the clutch's dam, its sire where he is
        certain, its hatch date, mass and enclosure; what is said of its heels counts
        as the sender's look. 409 names everything that is wrong, a line each with its
        egg. Sent again it is refused: the eggs have hatched.
        """
        given, now = read_body(sent(request), BoxHatchedIn), timezone.now()
        check_count(len(given.hatchlings), most=MOST_YOUNG)
        box = box_of(code=given.box)
        eggs = eggs_named(names=[(one.clutch, one.number) for one in given.hatchlings])
        if not eggs:
            raise RefusedError(
                "nothing_hatched",
                "Name at least one egg that hatched.",
                fields={"hatchlings": "at least one"},
            )
        homes = _enclosures(given.hatchlings)
        zone = ZoneInfo(eggs[0].clutch.site.time_zone)
        hatched = hatch_box(
            box=box,
            hatched_on=given.hatched_on or now.astimezone(zone).date(),
            rows=[
                HatchlingRow(egg=egg, **_said(one, homes))
                for egg, one in zip(eggs, given.hatchlings, strict=True)
            ],
            by=self.person,
            at=now,
        )
        told = BoxHatchedOut(
            hatchlings=self._shown_again(hatched.young), remarks=hatched.remarks
        )
        return Response(told, status=HTTPStatus.CREATED)

    @action(detail=False, methods=["post"])
    def house(self, request: Request) -> Response:
        """Register young that were born alive; all of them or none.

        They were born on the day of their clutch; no more than were counted then.
        """
        given = read_body(sent(request), LitterHousedIn)
        check_count(len(given.young), most=MOST_YOUNG)
        homes = _enclosures(given.young)
        housed = house_young(
            clutch=_clutch(given.clutch),
            rows=[BornRow(**_said(one, homes)) for one in given.young],
            by=self.person,
            at=timezone.now(),
        )
        return self._answer(housed)

    @action(detail=False, methods=["post"])
    def ascribe(self, request: Request) -> Response:
        """Say of animals on record from which clutch they came; all of them or none.

        For what hatched before it was written down here. An egg that is named counts
        as hatched on the animal's day.
        """
        given = read_body(sent(request), AnimalsAscribedIn)
        check_count(len(given.animals), most=MOST_YOUNG)
        animals = _animals([one.animal for one in given.animals])
        ascribed = ascribe_animals(
            clutch=_clutch(given.clutch),
            rows=[AscribedRow(animals[one.animal], one.egg) for one in given.animals],
            by=self.person,
            at=timezone.now(),
        )
        return self._answer(ascribed)

    @action(detail=False, renderer_classes=[Pdf])
    def labels(self, request: Request) -> Response:
        """Draw the labels of those in care that came from a clutch, 24 on a sheet.

        Each has the animal's code as a QR code too, which is read without a network.
        """
        asked = self.asked
        assert isinstance(asked, LabelsAsked)  # noqa: S101 - see `asks`
        drawn = draw_labels(labels(clutch=_clutch(asked.clutch).code))
        name = 'attachment; filename="labels.pdf"'
        return Response(drawn, headers={"Content-Disposition": name})

    def _answer(self, hatchlings: Sequence[Hatchling]) -> Response:
        told = HatchlingsOut(hatchlings=self._shown_again(hatchlings))
        return Response(told, status=HTTPStatus.CREATED)

    def _shown_again(self, hatchlings: Sequence[Hatchling]) -> tuple[HatchlingOut, ...]:
        """Return what was just recorded as it now stands; one query."""
        found = self.get_queryset().in_bulk([one.pk for one in hatchlings])
        return tuple(self.shown([found[one.pk] for one in hatchlings]))


def _said(one: YoungIn, homes: dict[str, Enclosure]) -> dict[str, Any]:
    """Return what is said of a young one, as the actions take it."""
    return {
        "code": one.code.strip(),
        "name": one.name.strip(),
        "mass_g": None if one.mass_g is None else exact(one.mass_g),
        "confirmed": one.confirmed,
        "enclosure": None if one.enclosure is None else homes[one.enclosure],
        "heels": None if one.heels is None else (one.heels.left, one.heels.right),
    }


def _enclosures(young: Sequence[YoungIn]) -> dict[str, Enclosure]:
    """Return the enclosures that are named, by code; one query.

    Raises:
        RefusedError: there are none of some of these codes.
    """
    codes = {one.enclosure for one in young if one.enclosure is not None}
    found = {e.code: e for e in Enclosure.objects.filter(code__in=codes)}
    _check_known(codes, found, "enclosure")
    return found


def _animals(codes: Sequence[str]) -> dict[str, Animal]:
    found = {a.code: a for a in Animal.objects.filter(code__in=codes)}
    _check_known(set(codes), found, "animal")
    return found


def _check_known(codes: set[str], found: dict[str, Any], noun: str) -> None:
    missing = sorted(codes - found.keys())
    if missing:
        raise RefusedError(
            f"unknown_{noun}",
            f"There is no {noun} {', no '.join(missing)}. Give the code on its label.",
            fields={noun: f"the code of an {noun}"},
        )


def _clutch(code: str) -> Clutch:
    found = Clutch.objects.filter(code=code).first()
    if found is None:
        raise RefusedError(
            "unknown_clutch",
            f"There is no clutch {code!r}. Give the code on its label.",
            fields={"clutch": "the code of a clutch"},
        )
    return found
