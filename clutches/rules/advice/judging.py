"""What speaks against pairing one animal on a day, and against the day itself."""

from collections.abc import Iterator
from datetime import date
from decimal import Decimal

from clutches.rules.advice.values import Breeder, Judged, Reason
from clutches.rules.vocabulary import AgainstPairing
from husbandry.rules.parents import Relative, earliest_on, latest_on
from husbandry.rules.profiles.resolving import incubation_for
from husbandry.rules.profiles.values import IncubationRule, Profile, Provenance
from husbandry.rules.profiles.vocabulary import IncubationMatter
from husbandry.rules.vocabulary import Confidence, Sex, Standing

K, M = AgainstPairing, IncubationMatter
# Young of first cousins; of closer relatives more.
RELATED_FROM = Decimal("0.0625")
CONVENTION = Provenance(
    "pairing-advice-convention", Standing.FROM_MEMORY, date(2026, 11, 20)
)
OF_FEMALES = (
    M.BREEDING_AGE_FEMALE_DAYS,
    M.BREEDING_MASS_FEMALE_G,
    M.REST_BETWEEN_CLUTCHES_DAYS,
    M.CLUTCHES_A_YEAR,
)
OF_MALES = (M.BREEDING_AGE_MALE_DAYS,)


def judge_breeder(breeder: Breeder, *, profile: Profile | None, on: date) -> Judged:
    """Return what speaks against pairing an animal on a day, whoever the other is.

    Args:
        breeder: a female or a male; rest, mass and clutches are asked of females.
        profile: the care profile in force; None: nothing is published, so only what
            is so without a figure counts.
        on: the local day.

    Source:
        pairing-advice-convention; each limit on its profile's row.
    """
    female = breeder.animal.sex is Sex.FEMALE
    wanted = OF_FEMALES if female else OF_MALES
    rows = {m: incubation_for(profile, m) for m in wanted} if profile else {}
    reasons = [*_by_figures(breeder, rows, on), *_as_it_is(breeder)]
    unsaid = tuple(matter for matter in wanted if _limit(rows.get(matter)) is None)
    return Judged(tuple(reasons), unsaid)


def judge_season(profile: Profile | None, *, on: date) -> tuple[Reason, ...]:
    """Return the time of year as a reason, or none.

    Args:
        profile: without a season every month will do.
        on: the local day.
    """
    season = profile.season if profile else None
    if season is None:
        return ()
    first, last = season.from_month, season.to_month
    if first <= last:
        inside = first <= on.month <= last
    else:
        inside = on.month >= first or on.month <= last
    if inside:
        return ()
    return (
        Reason(
            K.OUT_OF_SEASON,
            animal=None,
            figure=Decimal(on.month),
            words=(str(first), str(last)),
            rule_id=season.id,
            provenance=season.provenance,
        ),
    )


def age_days(animal: Relative, *, on: date) -> tuple[int, int] | None:
    """Return the least and most days that an animal can be old; None: not known."""
    first, last = earliest_on(animal), latest_on(animal)
    if first is None or last is None:
        return None
    return max((on - last).days, 0), max((on - first).days, 0)


def _by_figures(
    breeder: Breeder, rows: dict[IncubationMatter, IncubationRule | None], on: date
) -> Iterator[Reason]:
    """Yield the reasons that are a number beyond a limit of the profile."""
    female = breeder.animal.sex is Sex.FEMALE
    age = M.BREEDING_AGE_FEMALE_DAYS if female else M.BREEDING_AGE_MALE_DAYS
    if row := rows.get(age):
        yield from _age(breeder, row, on)
    if row := rows.get(M.BREEDING_MASS_FEMALE_G):
        yield from _mass(breeder, row)
    if row := rows.get(M.REST_BETWEEN_CLUTCHES_DAYS):
        yield from _rest(breeder, row, on)
    if row := rows.get(M.CLUTCHES_A_YEAR):
        yield from _clutches(breeder, row)


def _limit(row: IncubationRule | None) -> Decimal | None:
    """Return the figure of a row that counts: the most clutches, else the least."""
    if row is None:
        return None
    return row.high if row.matter is M.CLUTCHES_A_YEAR else row.low


def _against(
    kind: AgainstPairing,
    breeder: Breeder,
    row: IncubationRule,
    figure: Decimal | int | None,
    since: date | None = None,
) -> Reason:
    return Reason(
        kind,
        animal=breeder.animal.id,
        figure=None if figure is None else Decimal(figure),
        limit=_limit(row),
        since=since,
        rule_id=row.id,
        provenance=row.provenance,
    )


def _age(breeder: Breeder, row: IncubationRule, on: date) -> Iterator[Reason]:
    limit, days = _limit(row), age_days(breeder.animal, on=on)
    if limit is None:
        return
    if days is None:
        yield _against(K.AGE_UNKNOWN, breeder, row, None)
    elif days[1] < limit:
        yield _against(K.TOO_YOUNG, breeder, row, days[1])
    elif days[0] < limit:
        yield _against(K.AGE_UNKNOWN, breeder, row, days[0])


def _mass(breeder: Breeder, row: IncubationRule) -> Iterator[Reason]:
    limit, mass_g = _limit(row), breeder.mass_g
    if limit is None:
        return
    if mass_g is None:
        yield _against(K.NOT_WEIGHED, breeder, row, None)
    elif mass_g < limit:
        yield _against(K.TOO_LIGHT, breeder, row, mass_g, breeder.weighed_on)


def _rest(breeder: Breeder, row: IncubationRule, on: date) -> Iterator[Reason]:
    limit, laid_on = _limit(row), breeder.laid_on
    if limit is not None and laid_on is not None and (on - laid_on).days < limit:
        yield _against(K.NOT_RESTED, breeder, row, (on - laid_on).days, laid_on)


def _clutches(breeder: Breeder, row: IncubationRule) -> Iterator[Reason]:
    limit = _limit(row)
    # The one that she would lay comes on top.
    if limit is not None and breeder.clutches >= limit:
        yield _against(K.TOO_MANY_CLUTCHES, breeder, row, breeder.clutches)


def _as_it_is(breeder: Breeder) -> Iterator[Reason]:
    """Yield the reasons that need no figure of a profile."""
    id_ = breeder.animal.id
    if breeder.gravid_since is not None:
        yield Reason(K.GRAVID, id_, since=breeder.gravid_since)
    if breeder.sex_confidence is not Confidence.CONFIRMED:
        words = (breeder.sex_confidence.value,)
        yield Reason(K.SEX_NOT_CONFIRMED, id_, words=words)
    if breeder.quarantine:
        yield Reason(K.IN_QUARANTINE, id_, words=(breeder.quarantine,))
    if breeder.unwell:
        yield Reason(K.UNWELL, id_, words=tuple(k.value for k in breeder.unwell))
