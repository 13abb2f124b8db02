"""Animals as people list them, what they need on a day, and whom they descend from."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from django.db import connection
from django.db.models import Case, Exists, F, OuterRef, Q, Subquery, When
from django.db.models.functions import Coalesce

from core.models import Site
from husbandry.models import Animal, EarlierCare, ReproductiveSpell, Stay
from husbandry.queries.profiles import profiles_in_force
from husbandry.queries.stays import current_stays
from husbandry.queries.weights import last_weighings
from husbandry.rules.parents import Parents, Relative
from husbandry.rules.profiles.resolving import stage_on
from husbandry.rules.profiles.values import Profile, Stage
from husbandry.rules.vocabulary import (
    AnimalStatus,
    DatePrecision,
    Reproduction,
    Sex,
)
from husbandry.rules.weights import WeighingPoint

_ANCESTORS = """
    WITH RECURSIVE line (id, dam_id, sire_id) AS (
        SELECT id, dam_id, sire_id FROM husbandry_animal WHERE id IN ({marks})
        UNION
        SELECT a.id, a.dam_id, a.sire_id FROM husbandry_animal a
        JOIN line ON a.id = line.dam_id OR a.id = line.sire_id
    )
    SELECT line.id, line.dam_id, line.sire_id, a.code, a.name
    FROM line JOIN husbandry_animal a ON a.id = line.id
"""


@dataclass(frozen=True, slots=True)
class Care:
    """What is in force for an animal on a day; None: nothing is published or known."""

    profile: Profile | None
    stage: Stage | None

    @property
    def stage_code(self) -> str | None:
        """Return the life stage's code, or None."""
        return self.stage.code if self.stage else None


@dataclass(frozen=True, slots=True)
class Pedigree:
    """Parents of animals and of all their ancestors, and how to name them."""

    parents: Parents
    labels: Mapping[int, str]


@dataclass(frozen=True, slots=True)
class AnimalLine:
    """One animal as people list it; None where nothing is on record."""

    id: int
    code: str
    name: str
    species: str
    sex: Sex
    stage: str | None
    hatched_on: date | None
    status: AnimalStatus
    enclosure: str | None
    room: str | None
    site: str | None
    mass_g: Decimal | None
    weighed_at: datetime | None


def in_care_on(on: date) -> Q:
    """Return the condition that an animal was in care when a local day ended.

    For queries of animals. The day on which it arrived counts, that on which it left
    does not. Of one that came again, its earlier times in care count as the present
    one does, and the time away between does not.

    Args:
        on: the local day.
    """
    earlier = EarlierCare.objects.filter(
        animal=OuterRef("pk"), arrived_on__lte=on, left_on__gt=on
    )
    present = Q(left_on__isnull=True) | Q(left_on__gt=on)
    return Q(present, arrived_on__lte=on) | Q(Exists(earlier))


def here_since(on: date) -> Case:
    """Return the expression for the day on which an animal's time in care began.

    For queries of animals: of the time in care that a day belongs to, which is not
    the present one where the animal came again later.

    Args:
        on: the local day.
    """
    earlier = EarlierCare.objects.filter(animal=OuterRef("pk"), arrived_on__lte=on)
    began = earlier.order_by("-arrived_on").values("arrived_on")[:1]
    present = When(arrived_on__lte=on, then=F("arrived_on"))
    return Case(present, default=Coalesce(Subquery(began), F("arrived_on")))


def animal_lines(
    *,
    at: datetime,
    on: date,
    site: Site | None,
    statuses: Collection[AnimalStatus] = (AnimalStatus.IN_CARE,),
) -> tuple[AnimalLine, ...]:
    """Return animals as people list them, by code; four queries.

    Args:
        at: weighings after it do not count.
        on: the day whose profiles and life stages hold.
        site: only those that stay there now; None: all, also those that stay
            nowhere.
        statuses: which.
    """
    rows = Animal.objects.filter(status__in=[s.value for s in statuses]).select_related(
        "species"
    )
    if site is not None:
        rows = rows.filter(
            pk__in=Stay.objects.filter(
                until_at__isnull=True, enclosure__room__site=site
            ).values("animal")
        )
    animals = list(rows.order_by("code"))
    ids = [a.pk for a in animals]
    care = care_by_animal(animals=animals, on=on)
    stays = current_stays(animal_ids=ids)
    weighings = last_weighings(animal_ids=ids, before_at=at)
    return tuple(_line(a, care[a.pk], stays, weighings) for a in animals)


def _line(
    animal: Animal,
    care: Care,
    stays: Mapping[int, Stay],
    weighings: Mapping[int, WeighingPoint],
) -> AnimalLine:
    stay, weighing = stays.get(animal.pk), weighings.get(animal.pk)
    return AnimalLine(
        id=animal.pk,
        code=animal.code,
        name=animal.name,
        species=animal.species.common_name,
        sex=Sex(animal.sex),
        stage=care.stage.name if care.stage else None,
        hatched_on=animal.hatched_on,
        status=AnimalStatus(animal.status),
        enclosure=stay.enclosure.code if stay else None,
        room=stay.enclosure.room.name if stay else None,
        site=stay.enclosure.room.site.name if stay else None,
        mass_g=weighing.mass_g if weighing else None,
        weighed_at=weighing.at if weighing else None,
    )


def care_by_animal(*, animals: Iterable[Animal], on: date) -> dict[int, Care]:
    """Return which profile and which life stage hold for animals on a day; one query."""
    animals = list(animals)
    found = profiles_in_force(species_ids={a.species_id for a in animals}, on=on)
    care = {}
    for animal in animals:
        version = found.get(animal.species_id)
        profile = version.profile if version else None
        stage = (
            stage_on(profile, hatched_on=animal.hatched_on, on=on) if profile else None
        )
        care[animal.pk] = Care(profile, stage)
    return care


def reproduction_on(*, animal: Animal, on: date) -> Reproduction:
    """Return an animal's reproductive state on a day; resting unless on record."""
    spell = (
        ReproductiveSpell.objects.filter(animal=animal, from_on__lte=on)
        .exclude(until_on__lt=on)
        .order_by("-from_on")
        .first()
    )
    return Reproduction(spell.state) if spell else Reproduction.RESTING


def relative(animal: Animal) -> Relative:
    """Return an animal as the rules about parents see it."""
    return Relative(
        id=animal.pk,
        label=str(animal),
        species=animal.species_id,
        sex=Sex(animal.sex),
        hatched_on=animal.hatched_on,
        hatched_precision=DatePrecision(animal.hatched_precision),
    )


def pedigree(*, animal_ids: Collection[int]) -> Pedigree:
    """Return the parents of animals and of all their ancestors; one query.

    Args:
        animal_ids: where to begin; none gives an empty pedigree.
    """
    if not animal_ids:
        return Pedigree({}, {})
    marks = ", ".join(["%s"] * len(animal_ids))
    with connection.cursor() as cursor:
        # Only placeholders are put in, never a value.
        cursor.execute(_ANCESTORS.format(marks=marks), list(animal_ids))
        rows = cursor.fetchall()
    return Pedigree(
        parents={pk: (dam, sire) for pk, dam, sire, _, _ in rows},
        labels={pk: f"{code} {name}".strip() for pk, _, _, code, name in rows},
    )
