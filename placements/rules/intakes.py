"""Whether a delivery can have been, and what it leaves open."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from core.errors import DomainError
from husbandry.rules.assessments import Assessment
from husbandry.rules.vocabulary import FindingKind, Urgency
from placements.rules.vocabulary import IntakeSource

MOST_ANIMALS = 60
LONGEST_PLACE = 200
WATCHED_DAYS = 2
# Of these there is always somebody who handed the animals over.
FROM_SOMEBODY = (
    IntakeSource.TRANSFER_IN,
    IntakeSource.BOUGHT,
    IntakeSource.LENT_TO_US,
)


@dataclass(frozen=True, slots=True)
class Problem:
    """What is wrong with one animal of a delivery.

    Attributes:
        line: its place in the list, from 0.
        field: the input that it is about; "" for the whole line.
        sentence: what is wrong, without the number of the line.
        accepted: what would be accepted.
    """

    line: int
    field: str
    sentence: str
    accepted: str


class IntakeError(DomainError):
    """A delivery cannot be taken in as given; a sentence a line."""

    code = "intake_refused"

    def __init__(
        self,
        sentence: str,
        *,
        fields: dict[str, str] | None = None,
        problems: tuple[Problem, ...] = (),
    ) -> None:
        """Keep what is wrong with which animal beside the sentence."""
        super().__init__(sentence, fields=fields)
        self.problems = problems


@dataclass(frozen=True, slots=True)
class Delivery:
    """How animals came, as it is to be recorded.

    Attributes:
        somebody: it is said from whom.
        arrived_on: the local day; today: the same now.
    """

    source: IntakeSource
    somebody: bool
    found_at: str
    arrived_on: date
    today: date
    animals: int


@dataclass(frozen=True, slots=True)
class UnsureSpecies:
    """An animal in care of which nobody who knows the species has said what it is.

    Attributes:
        animal: its key.
        since_on: the local day on which it came.
        told: what it was said to be; "": nothing.
    """

    animal: int
    since_on: date
    told: str


def refused(problems: Sequence[Problem], codes: Sequence[str]) -> IntakeError:
    """Return the refusal of a delivery for what is wrong with its animals.

    Args:
        problems: at least one.
        codes: of all animals of it, in their order.
    """
    told = sorted(problems, key=lambda p: p.line)
    sentences = [
        f"Animal {p.line + 1} {_named(codes[p.line])}{p.sentence}" for p in told
    ]
    return IntakeError(
        "\n".join(sentences),
        fields={f"animals[{p.line}].{p.field}".rstrip("."): p.accepted for p in told},
        problems=tuple(told),
    )


def _named(code: str) -> str:
    return f"({code}): " if code else "(no code): "


def check_delivery(delivery: Delivery) -> None:
    """Refuse a delivery that cannot have been, whatever animals it brought.

    Args:
        delivery: how they came.

    Raises:
        IntakeError: the day is to come, nobody is named where somebody must have
            handed them over, a stray was found nowhere, or there are none or more
            than sixty animals.

    Source:
        House rule: more than sixty at once are recorded in several deliveries, so
        that one slip does not keep all of them out.
    """
    if delivery.arrived_on > delivery.today:
        raise IntakeError(
            f"{delivery.arrived_on:%d %b %Y} has not come yet; record the arrival once "
            "it has.",
            fields={"arrived_at": "now or earlier"},
        )
    if not 1 <= delivery.animals <= MOST_ANIMALS:
        raise IntakeError(
            f"{delivery.animals} animals cannot be taken in at once: give 1 to "
            f"{MOST_ANIMALS}, the others as another arrival.",
            fields={"animals": f"1 to {MOST_ANIMALS}"},
        )
    if delivery.source in FROM_SOMEBODY and not delivery.somebody:
        raise IntakeError(
            f"Say from whom they came: {delivery.source.value.replace('_', ' ')} "
            "always has another side.",
            fields={"home": "from whom they came"},
        )
    if delivery.source is IntakeSource.BORN_HERE and delivery.somebody:
        raise IntakeError(
            "Animals that were born here came from nobody.", fields={"home": "empty"}
        )
    found_at = delivery.found_at.strip()
    if delivery.source is IntakeSource.STRAY and not found_at:
        raise IntakeError(
            "Say where the stray was found, or that nobody knows: local law on found "
            "animals asks for it.",
            fields={"found_at": "not blank"},
        )
    if len(found_at) > LONGEST_PLACE:
        raise IntakeError(
            f"The place has {len(found_at)} characters; at most {LONGEST_PLACE} are "
            "kept.",
            fields={"found_at": f"at most {LONGEST_PLACE} characters"},
        )


def assess_unsure(facts: Sequence[UnsureSpecies], on: date) -> Iterator[Assessment]:
    """Tell animals of which nobody knows for sure what they are.

    Without the species nothing says what an animal needs: what it is kept by may be
    wrong.

    Args:
        facts: those in care on the day.
        on: the local day; that of arrival is the first.

    Source:
        intake-convention: watched on the first two days, for today from then on.
    """
    for fact in facts:
        days = (on - fact.since_on).days
        yield Assessment(
            FindingKind.SPECIES_UNSURE,
            Urgency.WATCH if days < WATCHED_DAYS else Urgency.TODAY,
            {"told": fact.told, "since_on": fact.since_on.isoformat(), "days": days},
            animal=fact.animal,
        )
