"""What speaks for and against an application, in words."""

from dataclasses import dataclass

from placements.rules.applications.matching import Match, Matter, Reason, Side
from staff.units import day

_SIDES = {
    (Matter.ASKED_FOR, Side.FOR): "asked for this very animal",
    (Matter.ASKED_FOR, Side.AGAINST): "asked for another animal",
    (Matter.SEX, Side.FOR): "wishes for this sex",
    (Matter.SEX, Side.AGAINST): "wishes for the other sex",
    (Matter.SEX, Side.NOT_KNOWN): "wishes for a {stated}; this one's sex is not known",
    (Matter.MEASURING, Side.FOR): "measures temperature and humidity",
    (Matter.MEASURING, Side.AGAINST): "does not measure temperature and humidity",
    (Matter.TREATMENT, Side.FOR): "would take one that needs treatment, as this does",
    (Matter.TREATMENT, Side.AGAINST): "would take none that needs treatment; this does",
}
_STATED = {
    (Matter.EXPERIENCE, "species"): "has kept this species",
    (Matter.EXPERIENCE, "relatives"): "has kept relatives of it",
    (Matter.EXPERIENCE, "other"): "has kept other reptiles",
    (Matter.EXPERIENCE, "none"): "has kept no reptile yet",
    (Matter.ENCLOSURE, "ready"): "says that the enclosure is complete and running",
    (Matter.ENCLOSURE, "building"): "is still building the enclosure",
    (Matter.ENCLOSURE, "planned"): "has no enclosure yet",
    (Matter.UVB, "linear_t5"): "says that a T5 tube gives UVB",
    (Matter.UVB, "linear_t8"): "has a T8 tube; its care profile asks for a T5 tube",
    (Matter.UVB, "compact"): "has a compact lamp; its care profile asks for a T5 tube",
    (Matter.UVB, "none"): "has no UVB lamp yet",
}
_NOT_SAID = {
    Matter.EXPERIENCE: "what they have kept",
    Matter.ENCLOSURE: "whether the enclosure is ready",
    Matter.UVB: "which lamp gives UVB",
    Matter.MEASURING: "whether they measure",
    Matter.TREATMENT: "whether they would take one that needs treatment",
}


@dataclass(frozen=True, slots=True)
class MatchRow:
    """An application in the list of those that an animal may suit."""

    id: int
    home: str
    stands: str
    pros: tuple[str, ...]
    cons: tuple[str, ...]
    not_known: tuple[str, ...]


def match_row(found: Match) -> MatchRow:
    """Return a match in words."""
    applied = found.applied
    return MatchRow(
        id=applied.id,
        home=applied.home_name,
        stands=f"{applied.state.value}, since {day(applied.since)}",
        pros=_told(found, Side.FOR),
        cons=_told(found, Side.AGAINST),
        not_known=_told(found, Side.NOT_KNOWN),
    )


def _told(found: Match, side: Side) -> tuple[str, ...]:
    return tuple(reason_told(reason) for reason in found.on(side))


def reason_told(reason: Reason) -> str:
    """Return one reason as a part of a sentence."""
    said = _STATED.get((reason.matter, reason.stated))
    if said and reason.side is not Side.NOT_KNOWN:
        return said
    told = _SIDES.get((reason.matter, reason.side))
    return told.format(stated=reason.stated) if told else _NOT_SAID[reason.matter]
