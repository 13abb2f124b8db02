"""Pairs as people list them: when they last met, and what is expected of the female."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Count, OuterRef, Q, Subquery

from clutches.models import Introduction, Pairing
from clutches.queries.layings import KnownFemale, known_females
from clutches.rules.layings.loads import BreedingLoad, breeding_load
from clutches.rules.layings.windows import (
    ExpectedLaying,
    NextClutch,
    expected_laying,
    next_clutch,
)
from clutches.rules.vocabulary import IntroductionOutcome


@dataclass(frozen=True, slots=True)
class PairingLine:
    """One pairing, with what is on record of it until now.

    Attributes:
        introductions: how many are in force.
        last_at, last_outcome: of the newest of them; None: they have not met.
        expected: the female's laying window, whoever the male was; None: none.
        next_clutch: from when on she can lay again without meeting a male.
        load: what the last year's clutches cost her.
    """

    pairing: int
    introductions: int
    last_at: datetime | None
    last_outcome: IntroductionOutcome | None
    expected: ExpectedLaying | None
    next_clutch: NextClutch | None
    load: BreedingLoad


@dataclass(frozen=True, slots=True)
class Outlook:
    """What is expected of one female, and what her clutches cost her."""

    expected: ExpectedLaying | None
    next_clutch: NextClutch | None
    load: BreedingLoad


def pairing_lines(
    *, pairings: Sequence[Pairing], at: datetime
) -> dict[int, PairingLine]:
    """Return what is on record of pairings, by key; eight queries.

    Args:
        pairings: any; none asks nothing.
        at: now.
    """
    if not pairings:
        return {}
    last = Introduction.objects.filter(
        pairing=OuterRef("pk"), struck_at__isnull=True
    ).order_by("-at", "-pk")
    in_force = Q(introductions__struck_at__isnull=True)
    outlooks = outlooks_of(dams={pairing.dam_id for pairing in pairings}, at=at)
    found = {}
    rows = Pairing.objects.filter(pk__in=[pairing.pk for pairing in pairings])
    for pk, dam, met, last_at, outcome in rows.annotate(
        met=Count("introductions", filter=in_force),
        last_at=Subquery(last.values("at")[:1]),
        last_outcome=Subquery(last.values("outcome")[:1]),
    ).values_list("pk", "dam_id", "met", "last_at", "last_outcome"):
        outlook = outlooks[dam]
        found[pk] = PairingLine(
            pairing=pk,
            introductions=met,
            last_at=last_at,
            last_outcome=IntroductionOutcome(outcome) if outcome else None,
            expected=outlook.expected,
            next_clutch=outlook.next_clutch,
            load=outlook.load,
        )
    return found


def outlooks_of(*, dams: Collection[int], at: datetime) -> dict[int, Outlook]:
    """Return what is expected of females now, by key; seven queries."""
    return {
        key: outlook_of(known) for key, known in known_females(dams=dams, at=at).items()
    }


def outlook_of(known: KnownFemale, *, on: date | None = None) -> Outlook:
    """Return what is expected of a female.

    Args:
        known: what is on record of her.
        on: as of which local day; None: today where she is.
    """
    day = on or known.on
    layings, profile = known.female.layings, known.profile
    return Outlook(
        expected=expected_laying(known.female, profile, on=day),
        next_clutch=next_clutch(layings, profile, on=day),
        load=breeding_load(layings, profile, on=day),
    )
