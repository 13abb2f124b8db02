"""Candidate sires: who may be the sire of a clutch or an animal, and how likely."""

from collections.abc import Sequence
from decimal import Decimal
from typing import Annotated

from django.db.models import QuerySet
from django.utils import timezone
from msgspec import Meta
from rest_framework.request import Request
from rest_framework.response import Response

from api.errors import RefusedError
from api.filters import CharFilter, FilterSet
from api.inputs import exact, read_body, sent
from api.named import clutch_named
from api.structs import In, Out, Ref, ref
from api.views import Rows
from clutches.actions.sires import set_candidate_sires
from clutches.models import CandidateSire
from clutches.rules.lineage.sires import SireShare
from clutches.rules.vocabulary import SireBasis
from core.roles import Permission
from husbandry.models import Animal

MOST_SIRES = 50


class CandidateSireFilter(FilterSet):
    """Which candidates."""

    clutch = CharFilter("clutch__code", help_text="Code of the clutch.")
    animal = CharFilter("animal__code", help_text="Code of the animal itself.")
    sire = CharFilter("sire__code", help_text="Code of the male.")

    class Meta:
        model = CandidateSire
        fields = ["clutch", "animal", "sire"]


class ShareIn(In, frozen=True, kw_only=True):
    """A male that may be the sire."""

    sire: Annotated[str, Meta(description="Code of the male.")]
    probability: Annotated[float, Meta(gt=0, le=1, description="Up to five decimals.")]
    basis: SireBasis


class CandidateSiresIn(In, frozen=True, kw_only=True):
    """The whole set for one clutch or one animal; it replaces the one before."""

    clutch: Annotated[
        str | None, Meta(description="Code of the clutch, or null: an animal.")
    ] = None
    animal: Annotated[str | None, Meta(description="Code of the animal.")] = None
    sires: Annotated[
        tuple[ShareIn, ...],
        Meta(
            max_length=MOST_SIRES,
            description="At most 1 together; what is missing is an unknown male.",
        ),
    ]
    reason: Annotated[str, Meta(max_length=300, description="Why.")] = ""


class CandidateSireOut(Out, frozen=True):
    """A male that may be the sire of a clutch, or of one animal."""

    about = CandidateSire
    id: int
    clutch: Ref | None
    animal: Ref | None
    sire: Ref | None
    probability: Decimal
    basis: SireBasis


class CandidateSiresOut(Out, frozen=True):
    """What became of a set."""

    candidates: tuple[CandidateSireOut, ...]
    corrected: Annotated[
        tuple[Ref | None, ...],
        Meta(description="Animals whose record names another sire now, or none."),
    ]
    kept: Annotated[
        tuple[Ref | None, ...],
        Meta(description="Hatchlings left alone: more was known of their sire."),
    ]


class CandidateSires(Rows[CandidateSire]):
    """One row for each male that may be a sire."""

    plural = "candidate sires"
    permissions = {
        "list": Permission.SEE_ANIMALS,
        "retrieve": Permission.SEE_ANIMALS,
        "create": Permission.EDIT_ANIMALS,
    }
    filterset_class = CandidateSireFilter
    takes = {"create": CandidateSiresIn}
    gives = {"create": CandidateSiresOut}
    out = CandidateSireOut
    searched = ("clutch__code", "animal__code", "sire__code")
    orderable = ("id", "probability")

    def get_queryset(self) -> QuerySet[CandidateSire]:
        """Return all candidates."""
        return CandidateSire.objects.select_related("clutch", "animal", "sire")

    def shown(self, rows: Sequence[CandidateSire]) -> list[CandidateSireOut]:
        """Return candidates with the codes of what they refer to."""
        return [_shown(row) for row in rows]

    def create(self, request: Request) -> Response:
        """Say who may be the sire of a clutch or of an animal; the whole set at once.

        It replaces the set before; an empty one says that nothing is known. A male of
        probability 1 is certain and goes on the record of the animal, or of all
        hatchlings of the clutch of whom nothing else is known. Sent again, the same
        changes nothing.
        """
        given = read_body(sent(request), CandidateSiresIn)
        males = _males(given.sires)
        result = set_candidate_sires(
            clutch=clutch_named(given.clutch),
            animal=_animal(given.animal),
            sires=[
                SireShare(males[one.sire], exact(one.probability), one.basis)
                for one in given.sires
            ],
            by=self.person,
            at=timezone.now(),
            reason=given.reason,
        )
        return Response(
            CandidateSiresOut(
                candidates=tuple(self.shown(result.candidates)),
                corrected=tuple(map(ref, result.corrected)),
                kept=tuple(map(ref, result.kept)),
            )
        )


def _males(shares: Sequence[ShareIn]) -> dict[str, Animal]:
    codes = [share.sire for share in shares]
    found = {one.code: one for one in Animal.objects.filter(code__in=codes)}
    for code in codes:
        if code not in found:
            raise _no_animal(code, "sires")
    return found


def _animal(code: str | None) -> Animal | None:
    if code is None:
        return None
    animal = Animal.objects.filter(code=code).first()
    if animal is None:
        raise _no_animal(code, "animal")
    return animal


def _no_animal(code: str, name: str) -> RefusedError:
    return RefusedError(
        "unknown_animal",
        f"There is no animal {code!r}. Give the code on its label.",
        fields={name: "codes of animals, as on their labels"},
    )


def _shown(row: CandidateSire) -> CandidateSireOut:
    return CandidateSireOut(
        id=row.pk,
        clutch=ref(row.clutch),
        animal=ref(row.animal),
        sire=ref(row.sire),
        probability=row.probability,
        basis=SireBasis(row.basis),
    )
