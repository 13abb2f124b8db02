"""Whom females met, what they laid, and who of a site breeds."""

from collections import defaultdict
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any, TypeAlias
from zoneinfo import ZoneInfo

from django.db.models import F, Q, QuerySet

from clutches.models import Clutch, Introduction
from clutches.rules.facts import BreedingFemale, Laying, Mating
from clutches.rules.pairings.introductions import MAY_MAKE_EGGS
from clutches.rules.vocabulary import IntroductionOutcome
from core.models import Site
from husbandry.models import Animal, ReproductiveSpell
from husbandry.queries.care_places import cared_for
from husbandry.queries.care_span import CareSpan
from husbandry.queries.places import enclosures_on
from husbandry.queries.policies import site_profiles
from husbandry.queries.profiles import profiles_on_days
from husbandry.queries.whereabouts import whereabouts
from husbandry.rules.night.facts import EnclosureFacts
from husbandry.rules.profiles.resolving import laying_for, stage_on
from husbandry.rules.profiles.values import Profile
from husbandry.rules.vocabulary import Reproduction, Sex

# Keys, or a subquery of them: a site may have more animals than SQLite takes
# parameters.
Dams: TypeAlias = Collection[int] | QuerySet[Animal, Any]
LAID = F("eggs_set") + F("eggs_infertile") + F("eggs_broken")
BORN = F("born_alive") + F("born_dead")


@dataclass(frozen=True, slots=True)
class KnownFemale:
    """What is on record of one female for a local day.

    Attributes:
        female: without where she is and what is asked for there.
        on: today where she is.
    """

    female: BreedingFemale
    profile: Profile | None
    on: date


def breeding_females(*, site: Site, on: date) -> tuple[BreedingFemale, ...]:
    """Return who at a site met a male, carries eggs or young, or has laid.

    As it was at the end of a local day: later introductions, clutches and states are
    left out, and so is what was struck out. The number of queries does not depend on
    how many animals there are.

    Args:
        site: where.
        on: the local day.

    Returns:
        Animals in care there that are not on record as male, by code.
    """
    span = CareSpan(ZoneInfo(site.time_zone), on, on)
    cared = cared_for(site=site, room=None, span=span)
    matings = matings_of(cared.ids, before_at=span.end_at, day_of=_by_site(span))
    layings = layings_of(cared.ids, until_on=on)
    gravid = gravid_since(cared.ids, on=on)
    breeding = matings.keys() | layings.keys() | gravid.keys()
    rows = [r for r in cared.rows if r["pk"] in breeding and r["sex"] != Sex.MALE.value]
    if not rows:
        return ()
    species = {row["species_id"] for row in rows}
    versions = site_profiles(site=site, species_ids=species, on=on)
    profiles = {key: version.profile for key, version in versions.items()}
    enclosures = enclosures_on(site=site, on=on)
    return tuple(
        BreedingFemale(
            id=row["pk"],
            label=f"{row['code']} {row['name']}".strip(),
            species=row["species_id"],
            matings=tuple(matings.get(row["pk"], ())),
            layings=tuple(layings.get(row["pk"], ())),
            gravid_since=gravid.get(row["pk"]),
            enclosure=row["enclosure"],
            laying_bin=_laying_bin(enclosures.get(row["enclosure"])),
            bin_asked=_bin_asked(row, profiles.get(row["species_id"]), on),
        )
        for row in rows
    )


def known_females(*, dams: Collection[int], at: datetime) -> dict[int, KnownFemale]:
    """Return what is on record of females now, by key; seven queries.

    Args:
        dams: their keys; males are not told apart.
        at: now; the day is that of where each of them is.
    """
    places = whereabouts(animal_ids=dams)
    animals = list(Animal.objects.filter(pk__in=dams).order_by("code"))
    days = {animal.pk: places.local_day(animal.pk, at=at) for animal in animals}
    profiles = profiles_on_days(
        wanted={(animal.species_id, days[animal.pk]) for animal in animals}
    )
    matings = matings_of(
        dams,
        before_at=at + timedelta.resolution,
        day_of=lambda dam, met_at: places.local_day(dam, at=met_at),
    )
    layings = layings_of(dams, until_on=max(days.values(), default=at.date()))
    gravid = _open_spells(dams)
    return {
        animal.pk: KnownFemale(
            BreedingFemale(
                id=animal.pk,
                label=str(animal),
                species=animal.species_id,
                matings=tuple(matings.get(animal.pk, ())),
                layings=tuple(layings.get(animal.pk, ())),
                gravid_since=gravid.get(animal.pk),
                enclosure=None,
                laying_bin=None,
                bin_asked=False,
            ),
            profiles.get((animal.species_id, days[animal.pk])),
            days[animal.pk],
        )
        for animal in animals
    }


def matings_of(
    dams: Dams, *, before_at: datetime, day_of: Callable[[int, datetime], date]
) -> dict[int, list[Mating]]:
    """Return the introductions in force that may have made eggs, by dam, oldest first.

    Args:
        dams: keys of females.
        before_at: those at this instant and later are left out.
        day_of: the local day of an instant, of a dam.
    """
    rows = (
        Introduction.objects.filter(
            pairing__dam__in=dams,
            at__lt=before_at,
            struck_at__isnull=True,
            outcome__in=[outcome.value for outcome in MAY_MAKE_EGGS],
        )
        .order_by("at", "pk")
        .values_list(
            *("pairing__dam_id", "at", "outcome", "pairing__sire_id"),
            *("pairing__sire__code", "pairing__sire__name"),
        )
    )
    found: dict[int, list[Mating]] = defaultdict(list)
    for dam, at, outcome, sire, code, name in rows:
        mated = outcome == IntroductionOutcome.MATED.value
        label = f"{code} {name}".strip()
        found[dam].append(Mating(day_of(dam, at), sire, label, mated=mated))
    return found


def layings_of(dams: Dams, *, until_on: date) -> dict[int, list[Laying]]:
    """Return what females laid or bore until a day, by dam, oldest first; one query."""
    rows = (
        Clutch.objects.filter(dam__in=dams, laid_on__lte=until_on)
        .annotate(total=LAID + BORN)
        .order_by("laid_on", "pk")
        .values_list("dam_id", "pk", "code", "laid_on", "total")
    )
    found: dict[int, list[Laying]] = defaultdict(list)
    for dam, pk, code, laid_on, total in rows:
        found[dam].append(Laying(pk, code, laid_on, total))
    return found


def gravid_since(dams: Dams, *, on: date) -> dict[int, date]:
    """Return since when females carry eggs at the end of a day, by key; one query.

    The last day of a spell is that of laying: at its end she carries none.
    """
    spells = ReproductiveSpell.objects.filter(
        Q(until_on__isnull=True) | Q(until_on__gt=on),
        animal__in=dams,
        state=Reproduction.GRAVID.value,
        from_on__lte=on,
    )
    return dict(spells.values_list("animal_id", "from_on"))


def _open_spells(dams: Dams) -> dict[int, date]:
    spells = ReproductiveSpell.objects.filter(
        animal__in=dams, state=Reproduction.GRAVID.value, until_on__isnull=True
    )
    return dict(spells.values_list("animal_id", "from_on"))


def _by_site(span: CareSpan) -> Callable[[int, datetime], date]:
    def day_of(dam: int, at: datetime) -> date:  # noqa: ARG001 - all are at one site
        return span.day_of(at)

    return day_of


def _laying_bin(enclosure: EnclosureFacts | None) -> bool | None:
    """Say whether a bin is there; None: she is nowhere, or nobody described where."""
    if enclosure is None or enclosure.width_cm is None:
        return None
    return enclosure.laying_bin


def _bin_asked(row: Mapping[str, Any], profile: Profile | None, on: date) -> bool:
    if profile is None:
        return False
    stage = stage_on(profile, hatched_on=row["hatched_on"], on=on)
    return (
        laying_for(profile, stage.code if stage else None, Sex(row["sex"])) is not None
    )
