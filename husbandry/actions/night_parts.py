"""What rooms above add to the night: named in the settings, called by the review.

A lower room never asks a higher one: it is told which functions to call (ADR 0012).
"""

import logging
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from django.conf import settings
from django.utils.module_loading import import_string

from core.models import Site
from husbandry.rules.conditions import Readings
from husbandry.rules.night.facts import NightFacts
from husbandry.rules.night.parts import PartAssessment

logger = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Night:
    """One site's night as it was gathered.

    Attributes:
        site: where.
        facts: what is known of it: the local day, its zone, enclosures and probes.
        probe_ids: int64, all probes in use; readings number them by their place.
        readings: those that are in force within the day, and so some from before it.
    """

    site: Site
    facts: NightFacts
    probe_ids: npt.NDArray[np.int64]
    readings: Readings


def nothing_to_write() -> None:
    """Write nothing."""


@dataclass(frozen=True, slots=True)
class NightPart:
    """What one room above says of a night, and what it wants to write of it.

    Attributes:
        assessment: its sightings.
        write: called once, inside the transaction that finishes the review.
    """

    assessment: PartAssessment
    write: Callable[[], None] = nothing_to_write


# Gathers and decides; writes nothing itself.
JudgesNight = Callable[[Night], NightPart]


def judge_parts(night: Night) -> Iterator[NightPart]:
    """Let every room above judge a night; one that fails does not stop the others.

    Args:
        night: as gathered.

    Yields:
        A part each; of one that raised, that it could not be judged.
    """
    for path in settings.NIGHT_PARTS:
        judge: JudgesNight = import_string(path)
        try:
            yield judge(night)
        except Exception as error:
            logger.exception("%s could not judge the night of %s", path, night.site)
            name = path.partition(".")[0]
            yield NightPart(PartAssessment(failures=((name, repr(error)),)))
