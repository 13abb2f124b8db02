"""What holds for every animal that travels to a new home, whatever its profile says.

Source:
    cites-transport, iata-lar, exotic-vet-transport, air-box-second-hand for the
    journey; the others are common practice, no source (docs/sources.md).
"""

from collections.abc import Iterator
from datetime import date

from husbandry.rules.profiles.values import Profile
from husbandry.rules.vocabulary import Standing, Urgency
from placements.rules.packets.documents import SourceLine
from placements.rules.packets.leaving import CallLine, PaperLine
from placements.rules.packets.lines import basis
from placements.rules.packets.plans import Basis, TextLine

REVIEWED_ON = date(2026, 11, 25)
CITES, IATA = "cites-transport", "iata-lar"
VET_PAGE, AIR_BOX = "exotic-vet-transport", "air-box-second-hand"
PRACTICE = "common-practice"
STRAIGHT_HOME = "journey-straight"
SOURCES = (
    SourceLine(
        key=CITES,
        title="CITES: guidelines for the transport of live specimens, as restated",
        kind="standard",
        year=None,
        where="cites.org, rp/3",
    ),
    SourceLine(
        key=IATA,
        title="IATA Live Animals Regulations, accepted by CITES for transport by air "
        "(Resolution Conf. 10.21)",
        kind="standard",
        year=None,
        where="cites.org",
    ),
    SourceLine(
        key=VET_PAGE,
        title="Advice of a veterinary practice for exotic animals, United Kingdom",
        kind="veterinary_sheet",
        year=None,
        where="vets4exotics.com",
    ),
    SourceLine(
        key=AIR_BOX,
        title="Liner of boxes by air rules, quoted at second hand",
        kind="weak_web_page",
        year=None,
        where="a quotation; the rules themselves were not seen",
    ),
)


def _basis(source: str) -> Basis:
    practice = source == PRACTICE
    standing = Standing.COMMON_PRACTICE if practice else Standing.PUBLISHED
    return Basis(source, standing, REVIEWED_ON, "")


def practice_basis() -> Basis:
    """Return that a line is common practice, for which nothing is published."""
    return _basis(PRACTICE)


def _line(id_: str, source: str, text: str) -> TextLine:
    return TextLine(id_, "", text, _basis(source))


JOURNEY = (
    _line(
        "journey-well",
        CITES,
        "Only an animal that is well travels. It is not sedated, and not fed just "
        "before or on the way.",
    ),
    _line(
        "journey-alone",
        CITES,
        "One animal to a box or bag, and never two species together.",
    ),
    _line(
        "journey-warmth",
        VET_PAGE,
        "Keep the inside of the box between 17 and 30 °C (63 and 86 °F), measured "
        "beside the animal.",
    ),
    _line(
        "journey-box",
        AIR_BOX,
        "An insulated box, lined with at least 2 cm (0.8 in) of foam, with holes for "
        "air, dark inside, with a soft floor that gives hold.",
    ),
    _line(
        STRAIGHT_HOME,
        PRACTICE,
        "Straight home, the box held firm and out of the sun. Never leave it in a "
        "parked car.",
    ),
    _line(
        "journey-air",
        IATA,
        "By air or across a border, ask the carrier and the authorities beforehand; "
        "boxes follow the airlines' own rules, and permits have to travel along.",
    ),
)
_UNWELL = _line(
    "before-vet",
    PRACTICE,
    "It is under treatment. Ask the vet whether it may travel, and take over the "
    "treatment in the vet's words.",
)
_BEFORE = (
    _line(
        "before-measured",
        PRACTICE,
        "Its own enclosure is complete and has run for some days, measured by day and "
        "at night.",
    ),
    _line(
        "before-vet-known",
        PRACTICE,
        "The telephone number of a licensed reptile vet lies beside the enclosure, "
        "with who is on duty at night.",
    ),
    _line(
        "before-law",
        PRACTICE,
        "You have asked your own authority whether this kind may be kept and moved "
        "where you live, and hold what it asks for. Local law decides.",
    ),
    _line(
        "before-hands",
        PRACTICE,
        "Nobody at special risk from Salmonella is to care for it; see the cautions.",
    ),
)
_FIRST_DAYS = (
    _line(
        "first-box",
        PRACTICE,
        "Put the open box into the finished enclosure and let it walk out by itself.",
    ),
    _line(
        "first-food",
        PRACTICE,
        "Offer food and water as planned. Many do not eat for the first days; write "
        "down what it takes.",
    ),
    _line(
        "first-watch",
        PRACTICE,
        "Look from afar once a day for the warning signs. A sign of illness goes "
        "before leaving it alone.",
    ),
)
_CALLS = (
    (
        Urgency.NOW,
        "A licensed reptile vet at once, by day or night. If yours does not answer, "
        "the nearest emergency clinic that takes reptiles.",
    ),
    (Urgency.TODAY, "A licensed reptile vet today."),
)


def journey(*, released: bool) -> tuple[TextLine, ...]:
    """Return how it travels; one that is released does not go home.

    Source:
        cites-transport, exotic-vet-transport, air-box-second-hand, iata-lar
    """
    return tuple(line for line in JOURNEY if not released or line.id != STRAIGHT_HOME)


def before_journey(
    papers: tuple[PaperLine, ...], *, under_treatment: bool
) -> Iterator[TextLine]:
    """Yield what to look at before the journey.

    Args:
        papers: that go with the animal, each named.
        under_treatment: a treatment is not over.

    Source:
        common-practice
    """
    if under_treatment:
        yield _UNWELL
    yield from _BEFORE
    if papers:
        numbers = ", ".join(
            f"{paper.kind.value.replace('_', ' ')} {paper.number}" for paper in papers
        )
        yield _line("before-papers", PRACTICE, f"Its papers are in the bag: {numbers}.")


def first_weeks(
    profile: Profile | None, *, first_weighing_on: str
) -> Iterator[TextLine]:
    """Yield how the first weeks go: the profile's rule on settling, then in general.

    Args:
        profile: what else it says of a new home stands among the plan's first
            things; None: there is none.
        first_weighing_on: the day in words; "" where nothing is said of weighing.

    Source:
        common-practice
    """
    rule = profile.settling if profile else None
    if rule is not None:
        text = f"The first {rule.days} days: {rule.text}"
        yield TextLine(rule.id, "", text.strip(), basis(rule.provenance))
    yield from _FIRST_DAYS
    if first_weighing_on:
        yield _line(
            "first-weighing",
            PRACTICE,
            f"Weigh it for the first time on {first_weighing_on}, once it has settled.",
        )


def calls(keeper: str, keeper_contact: str) -> tuple[CallLine, ...]:
    """Return whom to call at a sign of each urgency, the most urgent first.

    Args:
        keeper: the organisation; "" where it has no name on record.
        keeper_contact: how to reach it, in lines.

    Source:
        common-practice
    """
    practice = _basis(PRACTICE)
    told = ", ".join(
        line.strip() for line in keeper_contact.splitlines() if line.strip()
    )
    who = ": ".join(part for part in (keeper or "Whoever gave it to you", told) if part)
    return (
        *(CallLine(urgency, text, practice) for urgency, text in _CALLS),
        CallLine(Urgency.WATCH, f"{who}. We are glad to be asked.", practice),
    )
