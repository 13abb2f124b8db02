"""A night of a site's eggs, compared with how they are to be kept."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from clutches.rules.facts import ClutchNight
from clutches.rules.incubation.climate import IncubatorClimate
from clutches.rules.incubation.excursions import assess_excursions
from clutches.rules.incubation.looks import assess_looks, assess_unplaced
from clutches.rules.incubation.silence import assess_silence
from clutches.rules.incubation.sums import sums_of
from clutches.rules.incubation.wishes import Wish, wishes_of
from husbandry.rules.assessments import Assessment
from husbandry.rules.findings import key_of
from husbandry.rules.vocabulary import FindingKind, Urgency


@dataclass(frozen=True, slots=True)
class IncubationFound:
    """What a night says of eggs, and what it says better than the probes' own review.

    Attributes:
        supersedes: keys of sightings of silent probes that lie among eggs.
    """

    assessments: tuple[Assessment, ...]
    supersedes: frozenset[str]


def assess_incubation(night: ClutchNight, climate: IncubatorClimate) -> IncubationFound:
    """Compare each box's incubator with the phase of the eggs in it.

    Args:
        night: what is known of the site's eggs.
        climate: what was measured in its incubators.

    Returns:
        What is wrong; undecided where the data are too thin to say that all was well.

    Source:
        incubation-convention.
    """
    # What was measured at another site before eggs came from there is not known here.
    wishes = tuple(w for w in wishes_of(night) if w.incubator in climate.bounds)
    silent = tuple(assess_silence(night, climate))
    return IncubationFound(
        assessments=(
            *assess_excursions(sums_of(wishes, climate)),
            *_unjudged(wishes, climate),
            *(one.assessment for one in silent),
            *assess_looks(night),
            *assess_unplaced(night),
        ),
        supersedes=frozenset(
            key_of(FindingKind.NO_DATA, "probe", probe.id)
            for one in silent
            for probe in one.probes
        ),
    )


def _unjudged(
    wishes: Sequence[Wish], climate: IncubatorClimate
) -> Iterator[Assessment]:
    """Leave open what an incubator without a probe can neither show nor deny."""
    for wish in wishes:
        if climate.among_eggs(wish.incubator):
            continue
        for period in wish.periods:
            for kind in (FindingKind.EGGS_TOO_WARM, FindingKind.EGGS_TOO_COOL):
                yield Assessment(
                    kind=kind,
                    urgency=Urgency.WATCH,
                    facts={},
                    detail=wish.detail(period),
                    decided=False,
                    enclosure=wish.incubator,
                )
