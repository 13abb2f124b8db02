"""Which pairs there could be, the one with the least against it first."""

from datetime import date
from decimal import Decimal
from typing import Annotated

from django.utils import timezone
from msgspec import Meta
from rest_framework.request import Request
from rest_framework.response import Response

from api.errors import RefusedError
from api.lineages import CollectionOut, asked_species, shown_collection
from api.named import site_named
from api.structs import LARGEST_PAGE, Asked, Out, Ref
from api.views import Door
from clutches.queries.advice import PairAdvice, pair_advice
from clutches.rules.advice.telling import tell_reason
from clutches.rules.advice.values import AdvisedPair, Breeder, Reason
from clutches.rules.vocabulary import AgainstPairing
from core.models import Site
from core.roles import Permission
from husbandry.models import Animal, Species
from husbandry.rules.profiles.values import Provenance
from husbandry.rules.profiles.vocabulary import IncubationMatter
from husbandry.rules.vocabulary import DatePrecision

LARGEST_RANK = 100_000_000
GRAMS = Meta(description="Grams, at the last weighing; null: never weighed.")


class PairAdviceAsked(Asked, frozen=True):
    """Of which animals, and for which day."""

    species: Annotated[
        str | None,
        Meta(description="Code of the species; needed unless an animal is named."),
    ] = None
    animal: Annotated[
        str | None, Meta(description="Code of an animal: only its pairs.")
    ] = None
    animals: Annotated[
        str | None, Meta(description="Codes, with commas between: only these.")
    ] = None
    site: Annotated[
        str | None, Meta(description="Code of the site where they live now.")
    ] = None
    on: Annotated[
        date | None, Meta(description="The local day; today in UTC unless given.")
    ] = None
    from_rank: Annotated[
        int, Meta(ge=1, le=LARGEST_RANK, description="Begin with this pair.")
    ] = 1
    page_size: Annotated[
        int, Meta(ge=1, le=LARGEST_PAGE, description="So many pairs.")
    ] = 100


class ReasonOut(Out, frozen=True):
    """One reason against a pair, with the number that it rests on."""

    kind: AgainstPairing
    animal: Annotated[
        Ref | None, Meta(description="Whom it is about; null: both, or the season.")
    ]
    figure: Annotated[
        Decimal | None,
        Meta(description="Kinship, days, grams, clutches or the month, by its kind."),
    ]
    limit: Annotated[Decimal | None, Meta(description="In the same unit.")]
    since: date | None
    words: tuple[str, ...]
    sentence: str
    rule_id: Annotated[str, Meta(description="The care profile's row; may be empty.")]
    provenance: Provenance | None


class BreederOut(Out, frozen=True):
    """One of a pair."""

    animal: Ref
    hatched_on: date | None
    hatched_precision: DatePrecision
    age_days: Annotated[
        int | None, Meta(description="The least it can be; null: not known.")
    ]
    mass_g: Annotated[Decimal | None, GRAMS]
    weighed_on: date | None
    mean_kinship: Annotated[
        float, Meta(description="To the animals of the species in care.")
    ]


class PairOut(Out, frozen=True):
    """A female and a male."""

    rank: int
    female: BreederOut
    male: BreederOut
    inbreeding: Annotated[
        float, Meta(description="F that their young would have: the two's kinship.")
    ]
    lower_bound: Annotated[
        bool, Meta(description="true: a parent is missing in their ancestry.")
    ]
    mean_kinship: Annotated[
        float, Meta(description="That their young would have: the mean of the two.")
    ]
    last_laid_on: date | None
    rest_days: Annotated[
        int | None, Meta(description="Since her last clutch; null: none on record.")
    ]
    clutches_in_a_year: int
    reasons: Annotated[
        tuple[ReasonOut, ...], Meta(description="Against it; empty: none is known.")
    ]


class PairAdviceOut(Out, frozen=True):
    """All pairs in order; figures of kinship say nothing about health."""

    species: Ref
    on: date
    profile: Annotated[
        Ref | None, Meta(description="Care profile in force; null: none.")
    ]
    collection: CollectionOut
    unsexed: Annotated[
        tuple[str, ...], Meta(description="Left out: their sex is not known.")
    ]
    not_judged: Annotated[
        tuple[IncubationMatter, ...],
        Meta(description="Matters on which no profile says anything."),
    ]
    pairs_in_all: int
    next_rank: Annotated[
        int | None, Meta(description="Where to go on; null: there are no more.")
    ]
    pairs: tuple[PairOut, ...]


class PairsAdvised(Door):
    """Which pairs there could be."""

    permissions = {"retrieve": Permission.SEE_ANIMALS}
    asks = {"retrieve": PairAdviceAsked}
    gives = {"retrieve": PairAdviceOut}

    def retrieve(self, request: Request) -> Response:
        """Show every pair there could be, the one with the least against it first.

        Nothing is hidden: pairs with reasons against them stand below those with
        fewer. Among equals the lowest mean kinship comes first. It is advice about
        relationship and about what the care profile asks for; whether an animal is
        fit to breed is for whoever sees it, and a licensed reptile vet, to say.
        """
        asked = self.asked
        assert isinstance(asked, PairAdviceAsked)  # noqa: S101 - see `asks`
        now = timezone.now()
        animal = _animal(asked.animal)
        codes = (asked.animals or "").split(",")
        found = pair_advice(
            species=_species(asked.species, animal),
            on=asked.on or now.date(),
            at=now,
            site=_site(asked.site),
            codes=[code.strip() for code in codes if code.strip()],
            animal=animal,
        )
        return Response(_shown(found, asked))


def _species(code: str | None, animal: Animal | None) -> Species:
    if code is None and animal is not None:
        return animal.species
    return asked_species(code)


def _animal(code: str | None) -> Animal | None:
    if code is None:
        return None
    animal = Animal.objects.filter(code=code).select_related("species").first()
    if animal is None:
        raise RefusedError(
            "unknown_animal",
            f"There is no animal {code!r}. Give the code on its label.",
            fields={"animal": "code of an animal, as on its label"},
        )
    return animal


def _site(code: str | None) -> Site | None:
    return None if code is None else site_named(code)


def _shown(found: PairAdvice, asked: PairAdviceAsked) -> PairAdviceOut:
    advice, first = found.advice, asked.from_rank - 1
    after = first + asked.page_size
    version, species = found.version, found.species
    return PairAdviceOut(
        species=Ref(id=species.pk, code=species.code),
        on=found.on,
        profile=Ref(id=version.id, code=f"{species.code} v{version.version}")
        if version
        else None,
        collection=shown_collection(found.collection),
        unsexed=found.unsexed,
        not_judged=advice.unsaid,
        pairs_in_all=len(advice),
        next_rank=after + 1 if after < len(advice) else None,
        pairs=tuple(
            _pair(rank, pair)
            for rank, pair in enumerate(advice.pairs(first, after), start=first + 1)
        ),
    )


def _pair(rank: int, pair: AdvisedPair) -> PairOut:
    codes = {one.animal.id: one for one in (pair.female, pair.male)}
    return PairOut(
        rank=rank,
        female=_breeder(pair.female, pair.female_age_days, pair.female_mean_kinship),
        male=_breeder(pair.male, pair.male_age_days, pair.male_mean_kinship),
        inbreeding=pair.inbreeding,
        lower_bound=pair.lower_bound,
        mean_kinship=pair.mean_kinship,
        last_laid_on=pair.female.laid_on,
        rest_days=pair.female_rest_days,
        clutches_in_a_year=pair.female.clutches,
        reasons=tuple(_reason(one, codes.get(one.animal)) for one in pair.reasons),
    )


def _breeder(one: Breeder, age_days: int | None, mean_kinship: float) -> BreederOut:
    return BreederOut(
        animal=_ref(one),
        hatched_on=one.animal.hatched_on,
        hatched_precision=one.animal.hatched_precision,
        age_days=age_days,
        mass_g=one.mass_g,
        weighed_on=one.weighed_on,
        mean_kinship=mean_kinship,
    )


def _reason(reason: Reason, about: Breeder | None) -> ReasonOut:
    return ReasonOut(
        kind=reason.kind,
        animal=_ref(about) if about else None,
        figure=reason.figure,
        limit=reason.limit,
        since=reason.since,
        words=reason.words,
        sentence=tell_reason(reason, label=about.animal.label if about else ""),
        rule_id=reason.rule_id,
        provenance=reason.provenance,
    )


def _ref(one: Breeder) -> Ref:
    assert one.animal.id is not None  # noqa: S101 - it was read from its record
    return Ref(id=one.animal.id, code=one.code)
