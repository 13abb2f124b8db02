"""Clutches: what females laid or bore, and how the eggs stand."""

from collections.abc import Sequence
from datetime import date, datetime
from http import HTTPStatus
from zoneinfo import ZoneInfo

from django.db.models import QuerySet
from django.utils import timezone
from msgspec import structs
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from api.clutch_structs import (
    BirthIn,
    ClutchCorrectionIn,
    ClutchOut,
    LayingIn,
    RecordedClutch,
    changes_of,
    named,
    shown_clutch,
)
from api.errors import RefusedError
from api.filters import (
    CharFilter,
    DayFilter,
    FilterSet,
    NumberFilter,
    WordFilter,
    on_record_by,
    on_record_from,
)
from api.inputs import exact, read_body, sent
from api.views import Rows
from clutches.actions.clutches import correct_clutch, record_birth, record_laying
from clutches.models import Clutch
from clutches.queries.clutches import clutch_counts
from clutches.rules.vocabulary import ClutchKind
from core.models import Site
from core.roles import Permission
from husbandry.models import Animal, Species


class ClutchFilter(FilterSet):
    """Which clutches."""

    code = CharFilter(help_text="Code on its label.")
    species = CharFilter("species__code", help_text="Code of the species.")
    site = CharFilter("site__code", help_text="Code of the site.")
    dam = CharFilter("dam__code", help_text="Code of the female.")
    kind = WordFilter(ClutchKind)
    laid_from = DayFilter("laid_on", "gte", help_text="First day of laying.")
    laid_until = DayFilter("laid_on", "lte", help_text="Last day of laying.")
    pairing = NumberFilter("pairing", help_text="Number of the pairing.")
    recorded_from = on_record_from()
    recorded_by = on_record_by()

    class Meta:
        model = Clutch
        fields = [
            *("code", "species", "site", "dam", "kind"),
            *("laid_from", "laid_until"),
            *("pairing", "recorded_from", "recorded_by"),
        ]


class Clutches(Rows[Clutch]):
    """The newest laid first, with how the eggs of each stand."""

    plural = "clutches"
    permissions = {
        "list": Permission.SEE_ANIMALS,
        "retrieve": Permission.SEE_ANIMALS,
        "lay": Permission.RECORD_BREEDING,
        "bear": Permission.RECORD_BREEDING,
        "correct": Permission.RECORD_BREEDING,
    }
    filterset_class = ClutchFilter
    takes = {"lay": LayingIn, "bear": BirthIn, "correct": ClutchCorrectionIn}
    gives = {
        "lay": {HTTPStatus.CREATED: RecordedClutch},
        "bear": {HTTPStatus.CREATED: RecordedClutch},
        "correct": RecordedClutch,
    }
    out = ClutchOut
    ordering = ("-laid_on", "-id")
    searched = ("code", "dam__code", "note")
    orderable = ("id", "code", "laid_on", "recorded_at")

    def get_queryset(self) -> QuerySet[Clutch]:
        """Return all clutches."""
        return Clutch.objects.select_related(
            "species", "site", "dam", "plan", "recorded_by"
        )

    def shown(self, rows: Sequence[Clutch]) -> list[ClutchOut]:
        """Return clutches with how their eggs stand; two queries."""
        counts = clutch_counts(clutch_ids=[row.pk for row in rows])
        return [shown_clutch(row, counts[row.pk]) for row in rows]

    @action(detail=False, methods=["post"])
    def lay(self, request: Request) -> Response:
        """Record a clutch of eggs; those that are kept are numbered from 1.

        The dam's gravid spell ends with that day, and who may be the sire is put
        forward from the males that she met. A laying of days ago is recorded with
        `laid_on`; the nights since are reviewed again. What is unusual is kept with a
        remark, what cannot be is refused with 409.
        """
        given, now = read_body(sent(request), LayingIn), timezone.now()
        dam, site = named("dam", given.dam), named("site", given.site)
        result = record_laying(
            code=given.code,
            dam=dam,
            species=_species(given.species, dam),
            site=site,
            laid_on=given.laid_on or _today(site, now),
            eggs_set=given.eggs_set,
            eggs_infertile=given.eggs_infertile,
            eggs_broken=given.eggs_broken,
            mass_g=None if given.mass_g is None else exact(given.mass_g),
            plan=named("plan", given.plan),
            pairing=named("pairing", given.pairing),
            box=named("box", given.box),
            note=given.note,
            by=self.person,
            at=now,
        )
        told = self._told(result.clutch, result.remarks)
        return Response(told, status=HTTPStatus.CREATED)

    @action(detail=False, methods=["post"])
    def bear(self, request: Request) -> Response:
        """Record live young; each is registered as an animal of its own.

        Of a species that lays eggs by its care profile this is refused with 409.
        """
        given, now = read_body(sent(request), BirthIn), timezone.now()
        dam, site = named("dam", given.dam), named("site", given.site)
        result = record_birth(
            code=given.code,
            dam=dam,
            species=_species(given.species, dam),
            site=site,
            born_on=given.born_on or _today(site, now),
            born_alive=given.born_alive,
            born_dead=given.born_dead,
            mass_g=None if given.mass_g is None else exact(given.mass_g),
            pairing=named("pairing", given.pairing),
            note=given.note,
            by=self.person,
            at=now,
        )
        told = self._told(result.clutch, result.remarks)
        return Response(told, status=HTTPStatus.CREATED)

    @action(detail=True, methods=["post"])
    def correct(self, request: Request, **kwargs: str) -> Response:
        """Mend what is on record of a clutch; what is left out stays.

        What it said stays in the audit trail. Eggs that something is on record of are
        never taken away; give each of those its end instead.
        """
        row = self.one()
        given = read_body(sent(request), ClutchCorrectionIn)
        clutch, remarks = correct_clutch(
            clutch=row,
            by=self.person,
            at=timezone.now(),
            reason=given.reason,
            **changes_of(given),
        )
        return Response(self._told(clutch, remarks))

    def _told(self, clutch: Clutch, remarks: tuple[str, ...]) -> RecordedClutch:
        (shown,) = self.shown([self.get_queryset().get(pk=clutch.pk)])
        return RecordedClutch(**structs.asdict(shown), remarks=remarks)


def _species(code: str | None, dam: Animal | None) -> Species:
    """Return the species that is named, or the dam's.

    Raises:
        RefusedError: neither is given, or there is no such species.
    """
    if code is None and dam is not None:
        return dam.species
    if code is None:
        raise RefusedError(
            "species_needed",
            "Eggs of an unknown female need the code of their species.",
            fields={"species": "the code of a species"},
        )
    found: Species = named("species", code)
    return found


def _today(site: Site, at: datetime) -> date:
    return at.astimezone(ZoneInfo(site.time_zone)).date()
