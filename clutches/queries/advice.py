"""Which pairs there could be of animals in care."""

from collections import defaultdict
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

from django.db.models import Q, QuerySet

from clutches.models import Clutch
from clutches.queries.collections import (
    CollectionFigures,
    collection_figures,
    in_care,
)
from clutches.queries.lineage import lineage_of
from clutches.rules.advice.pairs import Advice, Kin, advise
from clutches.rules.advice.values import YEAR_DAYS, Breeder
from clutches.rules.lineage.kinship import (
    collection_kinship,
    kinship_of,
    lower_bounds,
)
from clutches.rules.lineage.lineages import Floats, Lineage
from core.errors import NotFoundError
from core.models import Site
from husbandry.models import Animal, Finding, ReproductiveSpell, Species, Stay
from husbandry.queries.animals import relative
from husbandry.queries.profiles import ProfileVersion, profile_in_force
from husbandry.queries.stays import current_stays
from husbandry.queries.weights import last_weighings
from husbandry.rules.vocabulary import (
    Confidence,
    FindingKind,
    Reproduction,
    Sex,
    Urgency,
)
from husbandry.rules.weights import WeighingPoint


@dataclass(frozen=True, slots=True)
class PairAdvice:
    """All pairs that there could be, with what the answer rests on.

    Attributes:
        version: the care profile in force; None: none is published.
        unsexed: labels of animals left out, since nobody knows what sex they are.
    """

    species: Species
    on: date
    advice: Advice
    collection: CollectionFigures
    version: ProfileVersion | None
    unsexed: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Records:
    """What is on record of animals, by their ids."""

    weighings: dict[int, WeighingPoint]
    stays: dict[int, Stay]
    laid_on: dict[int, list[date]]
    gravid: dict[int, date]
    unwell: dict[int, list[FindingKind]]


def pair_advice(
    *,
    species: Species,
    on: date,
    at: datetime,
    site: Site | None = None,
    codes: Collection[str] = (),
    animal: Animal | None = None,
) -> PairAdvice:
    """Return every pair there could be of animals in care; ten queries.

    Args:
        species: of the animals; mean kinship is to all of it that are in care.
        on: the local day.
        at: now; weighings after it do not count.
        site: only animals that live there now; None: all.
        codes: only these; none: all. With a site, all of them must live there.
        animal: only pairs of this one, wherever it lives; None: every female with
            every male.

    Raises:
        NotFoundError: a code that no animal of the species in care has, or an animal
            of another species or not in care.
        LineageError: somebody descends from itself.
    """
    keepers = in_care(species)
    ids = list(keepers.values_list("pk", flat=True))
    chosen = _chosen(keepers, site=site, codes=codes, animal=animal)
    lineage = lineage_of(animal_ids=ids)
    means = collection_kinship(lineage, ids)
    females, males = (_of_sex(chosen, sex, animal) for sex in (Sex.FEMALE, Sex.MALE))
    version = profile_in_force(species_id=species.pk, on=on)
    records = _records([*females, *males], on=on, at=at)
    return PairAdvice(
        species=species,
        on=on,
        advice=advise(
            [_breeder(one, records, on=on) for one in females],
            [_breeder(one, records, on=on) for one in males],
            kin=_kin(lineage, means, females, males),
            profile=version.profile if version else None,
            on=on,
        ),
        collection=collection_figures(lineage, means, ids),
        version=version,
        unsexed=tuple(str(one) for one in _of_sex(chosen, Sex.UNKNOWN, None)),
    )


def _chosen(
    keepers: QuerySet[Animal],
    *,
    site: Site | None,
    codes: Collection[str],
    animal: Animal | None,
) -> list[Animal]:
    """Return those that are asked for, and the one animal wherever it lives."""
    wanted = Q()
    if site is not None:
        here = Stay.objects.filter(until_at__isnull=True, enclosure__room__site=site)
        wanted &= Q(pk__in=here.values("animal"))
    if codes:
        wanted &= Q(code__in=codes)
    if animal is not None and wanted:
        wanted |= Q(pk=animal.pk)
    chosen = list(keepers.filter(wanted))
    known = {one.code for one in chosen}
    missing = {code for code in codes if code not in known}
    if animal is not None and animal.code not in known:
        missing.add(animal.code)
    if missing:
        where = f" at {site}" if site is not None else ""
        raise NotFoundError(
            f"No animal of this species in care{where} has the code "
            f"{', '.join(sorted(missing))}.",
            fields={"animal": "codes of animals in care of the species"},
        )
    return chosen


def _of_sex(chosen: Sequence[Animal], sex: Sex, animal: Animal | None) -> list[Animal]:
    """Return those of a sex; of the sex of a certain animal only itself."""
    if animal is not None and animal.sex == sex:
        return [one for one in chosen if one == animal]
    if animal is not None and animal.sex == Sex.UNKNOWN:
        return []
    return [one for one in chosen if one.sex == sex]


def _records(animals: Sequence[Animal], *, on: date, at: datetime) -> _Records:
    ids = [one.pk for one in animals]
    laid_on: dict[int, list[date]] = defaultdict(list)
    layings = Clutch.objects.filter(dam__in=ids, laid_on__lte=on).order_by("laid_on")
    for dam, day in layings.values_list("dam", "laid_on"):
        if dam is not None:
            laid_on[dam].append(day)
    spells = ReproductiveSpell.objects.filter(
        animal__in=ids, state=Reproduction.GRAVID.value, from_on__lte=on
    ).exclude(until_on__lt=on)
    unwell: dict[int, list[FindingKind]] = defaultdict(list)
    urgent = Finding.objects.filter(
        animal__in=ids,
        urgency=Urgency.NOW.value,
        closed_on__isnull=True,
        withdrawn_on__isnull=True,
    )
    for subject, kind in urgent.order_by("kind").values_list("animal", "kind"):
        if kind not in unwell[subject]:
            unwell[subject].append(FindingKind(kind))
    return _Records(
        weighings=last_weighings(animal_ids=ids, before_at=at),
        stays=current_stays(animal_ids=ids),
        laid_on=laid_on,
        gravid=dict(spells.values_list("animal", "from_on")),
        unwell=unwell,
    )


def _breeder(animal: Animal, records: _Records, *, on: date) -> Breeder:
    weighing = records.weighings.get(animal.pk)
    stay = records.stays.get(animal.pk)
    room = stay.enclosure.room if stay else None
    zone = ZoneInfo(room.site.time_zone if room else "UTC")
    layings = records.laid_on.get(animal.pk, [])
    year_from = on - timedelta(days=YEAR_DAYS)
    return Breeder(
        animal=relative(animal),
        code=animal.code,
        sex_confidence=Confidence(animal.sex_confidence),
        mass_g=Decimal(weighing.mass_g) if weighing else None,
        weighed_on=weighing.at.astimezone(zone).date() if weighing else None,
        laid_on=layings[-1] if layings else None,
        clutches=sum(day > year_from for day in layings),
        gravid_since=records.gravid.get(animal.pk),
        quarantine=room.name if room and room.quarantine else "",
        unwell=tuple(records.unwell.get(animal.pk, ())),
    )


def _kin(
    lineage: Lineage,
    means: Floats,
    females: Sequence[Animal],
    males: Sequence[Animal],
) -> Kin:
    female_ids, male_ids = ([one.pk for one in some] for some in (females, males))
    bounds = lower_bounds(lineage)
    of_females, of_males = lineage.places_of(female_ids), lineage.places_of(male_ids)
    table = kinship_of(lineage, [*female_ids, *male_ids])
    return Kin(
        kinship=table[: len(females), len(females) :],
        female_means=means[of_females],
        male_means=means[of_males],
        female_bounds=bounds[of_females],
        male_bounds=bounds[of_males],
    )
