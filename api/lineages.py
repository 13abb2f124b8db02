"""An animal's ancestry in figures, and those of the collection of its species."""

from decimal import Decimal
from typing import Annotated

from msgspec import Meta
from rest_framework.request import Request
from rest_framework.response import Response

from api.errors import RefusedError
from api.structs import Asked, Out, Ref, from_row, ref
from api.views import Door
from clutches.queries.collections import (
    CollectionFigures,
    MemberFigures,
    animal_lineage,
    collection_members,
)
from clutches.rules.vocabulary import SireBasis
from core.roles import Permission
from husbandry.models import Animal, Species

BOUND = Meta(
    description="true: somewhere a parent is not on record, so the figures may be "
    "higher in truth."
)
INBRED = Meta(description="F, 0 to 1; over candidate sires the expected one.")
MEAN = Meta(description="Mean kinship to the animals of the species in care.")
KNOWN = Meta(description="Generations of ancestors on record; 1: both parents.")


class LikelySireOut(Out, frozen=True):
    """A male that may be the sire."""

    sire: Ref
    probability: Decimal
    basis: SireBasis


class CollectionOut(Out, frozen=True):
    """What the animals in care of a species hold; null: none is in care."""

    animals: int
    mean_kinship: Annotated[
        float | None, Meta(description="Mean of all, each counting itself.")
    ]
    gene_diversity: Annotated[
        float | None, Meta(description="1 less the mean: what founders' is left.")
    ]
    founder_genome_equivalents: Annotated[
        float | None, Meta(description="So many unrelated founders hold as much.")
    ]
    bounded: Annotated[
        int, Meta(description="Of how many the figures are lower bounds.")
    ]


class LineageOut(Out, frozen=True):
    """One animal's ancestry in figures."""

    animal: Ref | None
    inbreeding: Annotated[float, INBRED]
    lower_bound: Annotated[bool, BOUND]
    known_generations: Annotated[float, KNOWN]
    mean_kinship: Annotated[float, MEAN]
    collection: CollectionOut
    dam: Ref | None
    sire: Annotated[Ref | None, Meta(description="On its own record, so certain.")]
    clutch: Annotated[Ref | None, Meta(description="That it came from.")]
    candidate_sires: Annotated[
        tuple[LikelySireOut, ...],
        Meta(description="The likeliest first; they count where `sire` is null."),
    ]
    candidates_of_clutch: Annotated[
        bool, Meta(description="false: they were given for the animal itself.")
    ]


class MemberOut(Out, frozen=True):
    """One animal in care."""

    animal: Ref
    inbreeding: Annotated[float, INBRED]
    lower_bound: Annotated[bool, BOUND]
    known_generations: Annotated[float, KNOWN]
    mean_kinship: Annotated[float, MEAN]


class FounderOut(Out, frozen=True):
    """An animal of whose parents nothing is on record, and what comes from it."""

    animal: Ref
    share: Annotated[float, Meta(description="Of the collection's genes, 0 to 1.")]


class CollectionKinshipOut(Out, frozen=True):
    """Everybody in care of a species, and the founders they come from."""

    species: Ref
    figures: CollectionOut
    members: Annotated[
        tuple[MemberOut, ...], Meta(description="The lowest mean kinship first.")
    ]
    founders: Annotated[
        tuple[FounderOut, ...], Meta(description="The largest share first.")
    ]
    unknown_share: Annotated[
        float, Meta(description="From parents that are not on record.")
    ]
    founder_equivalents: Annotated[
        float | None,
        Meta(description="So many founders with equal shares are as even."),
    ]


class CollectionKinshipAsked(Asked, frozen=True):
    """Of which species."""

    species: Annotated[str | None, Meta(description="Code of the species; needed.")] = (
        None
    )


class CollectionKinship(Door):
    """How closely the animals in care of a species are related."""

    permissions = {"retrieve": Permission.SEE_ANIMALS}
    asks = {"retrieve": CollectionKinshipAsked}
    gives = {"retrieve": CollectionKinshipOut}

    def retrieve(self, request: Request) -> Response:
        """Show everybody in care of a species by mean kinship, and their founders.

        An unknown parent counts as unrelated to everybody, so every figure of an
        animal with one in its ancestry is a lower bound and marked so.
        """
        asked = self.asked
        assert isinstance(asked, CollectionKinshipAsked)  # noqa: S101 - see `asks`
        species = asked_species(asked.species)
        found = collection_members(species=species)
        shares = found.contributions.founders
        codes = dict(
            Animal.objects.filter(pk__in=[id_ for id_, _ in shares]).values_list(
                "pk", "code"
            )
        )
        return Response(
            CollectionKinshipOut(
                species=Ref(id=species.pk, code=species.code),
                figures=shown_collection(found.figures),
                members=tuple(map(_member, found.members)),
                founders=tuple(
                    FounderOut(animal=Ref(id=id_, code=codes[id_]), share=share)
                    for id_, share in shares
                ),
                unknown_share=found.contributions.unknown,
                founder_equivalents=found.founder_equivalents,
            )
        )


def shown_lineage(animal: Animal) -> LineageOut:
    """Return an animal's ancestry in figures.

    Args:
        animal: with its species, dam and sire.
    """
    found = animal_lineage(animal=animal)
    figures = found.figures
    return LineageOut(
        animal=ref(animal),
        inbreeding=figures.inbreeding,
        lower_bound=figures.lower_bound,
        known_generations=figures.known_generations,
        mean_kinship=figures.mean_kinship,
        collection=shown_collection(found.collection),
        dam=ref(animal.dam),
        sire=ref(animal.sire),
        clutch=ref(found.clutch),
        candidate_sires=tuple(
            LikelySireOut(
                sire=Ref(id=one.sire, code=one.code),
                probability=one.probability,
                basis=SireBasis(one.basis),
            )
            for one in found.candidates
        ),
        candidates_of_clutch=found.of_clutch and bool(found.candidates),
    )


def shown_collection(figures: CollectionFigures) -> CollectionOut:
    """Return a collection's figures as they are answered."""
    return from_row(figures, CollectionOut)


def asked_species(code: str | None) -> Species:
    """Return the species that a parameter names.

    Raises:
        RefusedError: none is named, or there is none of that code.
    """
    accepted = "code of a species"
    if code is None:
        raise RefusedError(
            "no_species", "Say of which species: species=CODE.",
            fields={"species": accepted},
        )  # fmt: skip
    species = Species.objects.filter(code=code).first()
    if species is None:
        codes = Species.objects.order_by("code").values_list("code", flat=True)
        raise RefusedError(
            "unknown_species",
            f"There is no species {code!r}. There are: {', '.join(codes) or 'none'}.",
            fields={"species": accepted},
        )
    return species


def _member(member: MemberFigures) -> MemberOut:
    return MemberOut(
        animal=Ref(id=member.id, code=member.code),
        inbreeding=member.inbreeding,
        lower_bound=member.lower_bound,
        known_generations=member.known_generations,
        mean_kinship=member.mean_kinship,
    )
