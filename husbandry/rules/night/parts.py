"""What a room above adds to a night, as the night takes it."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from husbandry.rules.findings import Seen
from husbandry.rules.night.assessing import Assessment
from husbandry.rules.night.facts import NightFacts
from husbandry.rules.policies import decided


@dataclass(frozen=True, slots=True)
class PartAssessment:
    """What one room above says of a night.

    Attributes:
        seen: sightings, undecided ones included, each key once.
        supersedes: keys of sightings that are said better by one of these.
        failures: (who or what, error) of what could not be judged.
    """

    seen: tuple[Seen, ...] = ()
    supersedes: frozenset[str] = frozenset()
    failures: tuple[tuple[str, str], ...] = ()


def with_parts(
    assessment: Assessment, parts: Iterable[PartAssessment], facts: NightFacts
) -> Assessment:
    """Return what a night says together with what the rooms above say of it.

    Args:
        assessment: of the animals and their enclosures.
        parts: of the rooms above, in their order.
        facts: what is known of the night: what the site decided holds for all.
    """
    parts = tuple(parts)
    dropped = frozenset[str]().union(*(part.supersedes for part in parts))
    kept = [seen for seen in assessment.seen if seen.key not in dropped]
    added = [seen for part in parts for seen in part.seen]
    return replace(
        assessment,
        seen=(*kept, *decided(added, facts.policies)),
        failures=(
            *assessment.failures,
            *(failure for part in parts for failure in part.failures),
        ),
    )
