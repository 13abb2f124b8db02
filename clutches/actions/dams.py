"""What a laying or a birth says of the female: state, sex, and who may be the sire."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

from clutches.actions.sires import set_candidate_sires
from clutches.models import Clutch
from clutches.queries.layings import matings_of
from clutches.queries.plans import species_profile
from clutches.rules.facts import Mating
from clutches.rules.layings.counts import ClutchError
from clutches.rules.layings.loads import YEAR_DAYS
from clutches.rules.layings.matters import carried_days, span_of
from clutches.rules.lineage.sires import SireShare, likely_sires
from clutches.rules.vocabulary import ClutchKind
from core.models import User
from core.zones import day_bounds
from husbandry.actions.animals import correct_animal, record_reproductive_state
from husbandry.actions.observations import ObservationRow, record_observations
from husbandry.models import Animal, Observation, ReproductiveSpell
from husbandry.queries.stays import local_day_of
from husbandry.queries.whereabouts import whereabouts
from husbandry.rules.profiles.vocabulary import IncubationMatter
from husbandry.rules.vocabulary import (
    AnimalStatus,
    Confidence,
    ObservationKind,
    Observed,
    Reproduction,
    RowOutcome,
    Sex,
    SexBasis,
)

DAY, SECOND = timedelta(days=1), timedelta(seconds=1)
STORED_DAYS = YEAR_DAYS
"""For how long a mating counts where the care profile does not say."""


def laid_at(clutch: Clutch, *, at: datetime) -> datetime:
    """Return an instant at which a clutch was there: now, or as its day ended."""
    _, end_s = day_bounds(clutch.laid_on, zone=ZoneInfo(clutch.site.time_zone))
    return min(at, datetime.fromtimestamp(end_s, UTC) - SECOND)


def note_on_dam(clutch: Clutch, *, total: int, by: User | None, at: datetime) -> str:
    """Note on the record of a dam that she laid or bore.

    Her sex is known by it where it was not; her gravid spell ends with that day; that
    she finished laying is observed, unless that is on record of the day already.

    Args:
        clutch: saved, with its dam.
        total: how many eggs or young.
        by: the person.
        at: now.

    Returns:
        What is worth a second look, or "".

    Raises:
        ClutchError: the observation contradicts one that is on record.
    """
    dam = clutch.dam
    if dam is None or dam.status == AnimalStatus.ELSEWHERE:
        return ""
    if dam.sex == Sex.UNKNOWN:
        correct_animal(
            animal=dam,
            by=by,
            at=at,
            reason=f"{_did(clutch)} {clutch.code}.",
            sex=Sex.FEMALE,
            sex_basis=SexBasis.LAID_EGGS,
            sex_confidence=Confidence.CONFIRMED,
        )
    remark = _end_spell(clutch, dam, by=by, at=at)
    _observe(clutch, dam, total, by=by, at=at)
    return remark


def put_forward_sires(
    clutch: Clutch, *, by: User | None, at: datetime, reason: str = ""
) -> None:
    """Put forward who may be the sire: the males that the dam met in time.

    Nobody is favoured; without a male none is put forward. One that has turned out to
    be female is passed over.

    Args:
        clutch: saved.
        by: the person.
        at: now.
        reason: why they are put forward anew, if so.
    """
    matings = _matings(clutch)
    profile = species_profile(species=clutch.species, on=clutch.laid_on)
    stored = span_of(profile, IncubationMatter.STORED_SPERM_DAYS)
    carried = carried_days(profile)
    males = (
        Animal.objects.filter(pk__in={mating.sire for mating in matings})
        .exclude(sex=Sex.FEMALE.value)
        .in_bulk()
    )
    likely = likely_sires(
        [mating for mating in matings if mating.sire in males],
        laid_on=clutch.laid_on,
        stored_days=(stored.high if stored else None) or STORED_DAYS,
        fresh_days=carried.high if carried else None,
    )
    set_candidate_sires(
        clutch=clutch,
        sires=[SireShare(males[sire], share, basis) for sire, share, basis in likely],
        by=by,
        at=at,
        reason=reason,
    )


def _matings(clutch: Clutch) -> list[Mating]:
    dam = clutch.dam_id
    if dam is None:
        return []
    places = whereabouts(animal_ids=[dam])
    _, end_s = day_bounds(clutch.laid_on, zone=ZoneInfo(clutch.site.time_zone))
    return matings_of(
        [dam],
        before_at=datetime.fromtimestamp(end_s, UTC),
        day_of=lambda key, met_at: places.local_day(key, at=met_at),
    ).get(dam, [])


def _end_spell(clutch: Clutch, dam: Animal, *, by: User | None, at: datetime) -> str:
    """End the gravid spell that is open; its last day is that of laying."""
    spell = ReproductiveSpell.objects.filter(
        animal=dam, state=Reproduction.GRAVID.value, until_on__isnull=True
    ).first()
    if spell is None or dam.status != AnimalStatus.IN_CARE:
        return ""
    if spell.from_on > clutch.laid_on:
        return (
            f"{dam} is on record as gravid since {spell.from_on:%d %b %Y}, after she "
            f"{_did(clutch).lower()} {clutch.code}; that stays as it is."
        )
    # Where she is it may be another day than at the clutch's site.
    last_on = min(clutch.laid_on, local_day_of(animal=dam, at=at))
    record_reproductive_state(
        animal=dam,
        state=Reproduction.RESTING,
        on=max(last_on, spell.from_on) + DAY,
        by=by,
        at=at,
        basis=f"{_did(clutch)} {clutch.code}.",
    )
    return ""


def _observe(
    clutch: Clutch, dam: Animal, total: int, *, by: User | None, at: datetime
) -> None:
    start_s, end_s = day_bounds(clutch.laid_on, zone=ZoneInfo(clutch.site.time_zone))
    known = Observation.objects.filter(
        animal=dam,
        kind=ObservationKind.LAYING.value,
        observed=Observed.FINISHED.value,
        struck_at__isnull=True,
        at__gte=datetime.fromtimestamp(start_s, UTC),
        at__lt=datetime.fromtimestamp(end_s, UTC),
    )
    if known.exists():
        return
    (result,) = record_observations(
        rows=[
            ObservationRow(
                animal=dam.code,
                at=laid_at(clutch, at=at),
                kind=ObservationKind.LAYING,
                observed=Observed.FINISHED,
                eggs=total if clutch.kind == ClutchKind.EGGS else None,
                note=f"{_did(clutch)} {clutch.code}.",
            )
        ],
        by=by,
        recorded_at=at,
    )
    if result.outcome is RowOutcome.REFUSED:
        raise ClutchError(result.sentence, fields=dict(result.fields))


def _did(clutch: Clutch) -> str:
    return "Laid" if clutch.kind == ClutchKind.EGGS else "Bore"
