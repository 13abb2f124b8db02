"""The demo's homes, and the animals that left before its first night: a table, invented."""

from dataclasses import dataclass

from husbandry.rules.vocabulary import Sex
from placements.rules.vocabulary import PlacementKind

HOME = "Household Sandelhas"
HOME_CONTACT = (
    "Household Sandelhas, 12 Travessa do Poço, Vescora (invented for the demo)"
)
HOME_NOTES = "Visited on the twelfth day: enclosure complete, warm and misted."
PINTAS_FROM = "Household Verdugal"
PAIR_FROM = "Household Almeixar"
CAME_WITH = {
    PINTAS_FROM: "A glass case of 45 × 45 × 60 cm and a lamp of no name.",
    PAIR_FROM: "A cardboard box.",
}
WISHES_FOR_JUNCO = "Household Cortelhe"
INVENTED = "Vescora (invented for the demo)"


@dataclass(frozen=True, slots=True)
class Gone:
    """An animal that left before the first night.

    Attributes:
        due_back_night: of a stay with a foster home.
        answered_night: when its home answered the question after two weeks; None: it
            has not.
        report_night: when its home wrote by itself, of a weight that nobody here has
            read yet.
    """

    code: str
    name: str
    sex: Sex
    home: str
    kind: PlacementKind
    left_night: int
    due_back_night: int | None = None
    answered_night: int | None = None
    report_night: int | None = None


GONE = (
    Gone(
        "V-0601", "Trovisco", Sex.MALE, "Household Bragandil", PlacementKind.ADOPTION,
        left_night=-20,
    ),
    Gone(
        "V-0602", "Esteva", Sex.FEMALE, "Household Lumiaral", PlacementKind.FOSTER,
        left_night=-30, due_back_night=9, answered_night=1,
    ),
    Gone(
        "V-0603", "Medronho", Sex.MALE, "Household Penhascosa", PlacementKind.SALE,
        left_night=-4, answered_night=10, report_night=12,
    ),
)  # fmt: skip
