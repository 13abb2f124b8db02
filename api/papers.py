"""Papers: permits, certificates and statements about animals, and of keeping species."""

from collections.abc import Sequence
from datetime import date
from http import HTTPStatus
from typing import Annotated

from django.db.models import QuerySet
from django.utils import timezone
from msgspec import Meta
from rest_framework.decorators import action
from rest_framework.exceptions import NotFound
from rest_framework.renderers import BaseRenderer
from rest_framework.request import Request
from rest_framework.response import Response

from api.animal_codes import animal_named
from api.care_structs import Text
from api.filters import (
    BooleanFilter,
    CharFilter,
    DayFilter,
    FilterSet,
    WordFilter,
    on_record_by,
    on_record_from,
)
from api.inputs import read_body, sent
from api.named import species_named
from api.photographs import PHOTOGRAPHS, PRIVATE, sent_photograph
from api.renderers import Jpeg, Json
from api.structs import In, Instant, Out, Ref, ref
from api.views import Rows
from core.roles import Permission
from placements.actions.papers import keep_paper_photo, record_paper, withdraw_paper
from placements.models import AnimalPaper
from placements.queries.papers import paper_photo
from placements.rules.papers.cites import meaning_of
from placements.rules.vocabulary import CitesSource, PaperKind


class PaperFilter(FilterSet):
    """Which papers."""

    animal = CharFilter("animal__code", help_text="Code of the animal.")
    species = CharFilter(
        "species__code", help_text="Code of the species that it is about as a whole."
    )
    kind = WordFilter(PaperKind)
    cites_source = WordFilter(CitesSource)
    ends_until = DayFilter(
        "valid_until", "lte", help_text="Its last day is this day or earlier."
    )
    withdrawn = BooleanFilter(
        "withdrawn_at", "isnull", exclude=True, help_text="true: it was withdrawn."
    )
    recorded_from = on_record_from()
    recorded_by = on_record_by()

    class Meta:
        model = AnimalPaper
        fields = [
            *("animal", "species", "kind", "cites_source", "ends_until", "withdrawn"),
            *("recorded_from", "recorded_by"),
        ]


class PaperIn(In, frozen=True, kw_only=True):
    """A paper about one animal, or about keeping a species."""

    kind: PaperKind
    animal: Annotated[str, Meta(description="Code of the animal; or else")] = ""
    species: Annotated[str, Meta(description="the code of the species.")] = ""
    number: Annotated[str, Meta(max_length=60, description="As printed on it.")]
    cites_source: Annotated[
        CitesSource | None,
        Meta(description="The letter on it; CITES permits and certificates name one."),
    ] = None
    issued_by: Annotated[str, Meta(max_length=160, description="As printed on it.")]
    issued_on: Annotated[date | None, Meta(description="Null: not known.")] = None
    valid_until: Annotated[
        date | None, Meta(description="Its last day; null: it does not end.")
    ] = None
    note: Text = ""


class WithdrawalIn(In, frozen=True):
    """That a paper was recorded wrongly, or holds no more."""

    reason: Annotated[str, Meta(max_length=200)]


class PaperOut(Out, frozen=True):
    """One paper. What it is good for, the authorities and local law decide."""

    about = AnimalPaper
    id: int
    kind: PaperKind
    animal: Ref | None
    species: Ref | None
    number: str
    cites_source: CitesSource | None
    cites_source_means: Annotated[str, Meta(description="In a few words.")]
    treated_as_wild: Annotated[
        bool,
        Meta(
            description="Permits for this source are treated as for what was taken "
            "from the wild: W, and F too."
        ),
    ]
    issued_by: str
    issued_on: date | None
    valid_until: date | None
    has_photo: Annotated[
        bool, Meta(description="There is a photograph, at `photo/` under this one.")
    ]
    note: Annotated[str, Meta(description="Empty for those who may not see homes.")]
    recorded_by: str | None
    recorded_at: Instant
    withdrawn_at: Instant | None
    withdrawn_reason: str


class Papers(Rows[AnimalPaper]):
    """The newest first, withdrawn ones too unless asked otherwise."""

    plural = "papers"
    permissions = {
        "list": Permission.SEE_ANIMALS,
        "retrieve": Permission.SEE_ANIMALS,
        "create": Permission.RECORD_INTAKE,
        "withdraw": Permission.RECORD_INTAKE,
        "photo": Permission.SEE_HOMES,
        "keep_photo": Permission.RECORD_INTAKE,
    }
    filterset_class = PaperFilter
    takes = {"create": PaperIn, "withdraw": WithdrawalIn, "keep_photo": bytes}
    gives = {
        "create": {HTTPStatus.CREATED: PaperOut},
        "photo": bytes,
        "keep_photo": {HTTPStatus.CREATED: PaperOut},
    }
    out = PaperOut
    ordering = ("-recorded_at", "-id")
    searched = ("animal__code", "species__code", "number", "issued_by")
    orderable = ("id", "issued_on", "valid_until", "recorded_at")

    def get_queryset(self) -> QuerySet[AnimalPaper]:
        """Return all papers."""
        return AnimalPaper.objects.select_related("animal", "species", "recorded_by")

    def shown(self, rows: Sequence[AnimalPaper]) -> list[PaperOut]:
        """Return papers; a note may name people, so not everybody reads it."""
        sees_homes = self.person.may(Permission.SEE_HOMES)
        return [_shown(row, row.note if sees_homes else "") for row in rows]

    def create(self, request: Request) -> Response:
        """Record a paper about an animal, or about keeping a species.

        Keeping permits, trade licences and release permits may be about a whole species.
        The source codes are those of CITES Resolution Conf. 12.3; A and Y are of plants
        and are refused.
        """
        given = read_body(sent(request), PaperIn)
        row = record_paper(
            kind=given.kind,
            animal=animal_named(given.animal) if given.animal else None,
            species=species_named(given.species) if given.species else None,
            number=given.number,
            cites_source=given.cites_source,
            issued_by=given.issued_by,
            issued_on=given.issued_on,
            valid_until=given.valid_until,
            note=given.note,
            by=self.person,
            at=timezone.now(),
        )
        return Response(self.shown([row])[0], status=HTTPStatus.CREATED)

    @action(detail=True, methods=["post"])
    def withdraw(self, request: Request, **kwargs: str) -> Response:
        """Withdraw a paper that was recorded wrongly or holds no more; it stays."""
        given = read_body(sent(request), WithdrawalIn)
        withdraw_paper(
            paper=self.one(), reason=given.reason, by=self.person, at=timezone.now()
        )
        return Response(self.shown([self.one()])[0])

    def get_renderers(self) -> list[BaseRenderer]:
        """Return how answers are written: what is said of a photograph is JSON."""
        return [Json()] if self.action == "keep_photo" else super().get_renderers()

    @action(detail=True, renderer_classes=[Jpeg], parser_classes=PHOTOGRAPHS)
    def photo(self, request: Request, **kwargs: str) -> Response:
        """Hand out the photograph of a paper, as a JPEG; it may name people."""
        data = paper_photo(paper=self.one())
        if data is None:
            raise NotFound("There is no photograph of this paper.")
        return Response(data, headers=PRIVATE)

    @photo.mapping.post
    def keep_photo(self, request: Request, **kwargs: str) -> Response:
        """Keep a photograph of a paper; one for each.

        A JPEG or PNG of at most 8 MB, as the body or as the part `file` of a form. It
        is drawn anew: where it was taken and by which camera is not kept.
        """
        keep_paper_photo(
            paper=self.one(),
            data=sent_photograph(request),
            by=self.person,
            at=timezone.now(),
        )
        return Response(self.shown([self.one()])[0], status=HTTPStatus.CREATED)


def _shown(row: AnimalPaper, note: str) -> PaperOut:
    source = CitesSource(row.cites_source) if row.cites_source else None
    meaning = meaning_of(source) if source else None
    return PaperOut(
        id=row.pk,
        kind=PaperKind(row.kind),
        animal=ref(row.animal),
        species=ref(row.species),
        number=row.number,
        cites_source=source,
        cites_source_means=meaning.words if meaning else "",
        treated_as_wild=bool(meaning and meaning.as_wild),
        issued_by=row.issued_by,
        issued_on=row.issued_on,
        valid_until=row.valid_until,
        has_photo=bool(row.photo),
        note=note,
        recorded_by=row.recorded_by.username if row.recorded_by else None,
        recorded_at=row.recorded_at,
        withdrawn_at=row.withdrawn_at,
        withdrawn_reason=row.withdrawn_reason,
    )
