"""The enclosure as a drawn section: where things stand, to scale."""

from dataclasses import dataclass
from decimal import Decimal

from husbandry.rules.vocabulary import Period, Quantity, Zone
from placements.rules.packets.plans import CarePlan, RoomLine, TargetLine
from placements.rules.packets.printing import quantities
from placements.rules.packets.printing.speech import Speech, word

MOST_WIDTH, MOST_HEIGHT = 250, 270
LEFT, TOP = 76, 66
WORDS_LEFT = 356
LINE_HEIGHT = 14
LEAF_GREENS = ("#93a886", "#7d9471", "#a9ba9c")
# Shares of width and height where leaves hang: cover on both sides, air between.
LEAVES = (
    *((0.02, 0.42), (0.1, 0.47), (0.03, 0.53), (0.16, 0.56), (0.05, 0.62)),
    *((0.2, 0.66), (0.08, 0.71), (0.28, 0.73), (0.72, 0.6), (0.8, 0.64)),
    *((0.7, 0.69), (0.82, 0.74), (0.6, 0.76), (0.03, 0.79), (0.75, 0.81)),
    *((0.04, 0.35), (0.12, 0.39), (0.8, 0.46), (0.82, 0.54)),
)


@dataclass(frozen=True, slots=True)
class PlacedLine:
    """One line of words and its height in the drawing."""

    y: int
    text: str


@dataclass(frozen=True, slots=True)
class Label:
    """Words beside the drawing, and the spot that they point at."""

    y: int
    to_x: int
    to_y: int
    lines: tuple[str, ...]

    @property
    def placed(self) -> tuple[PlacedLine, ...]:
        """Return the lines, each below the one before."""
        return tuple(
            PlacedLine(self.y + 4 + n * LINE_HEIGHT, line)
            for n, line in enumerate(self.lines)
        )


@dataclass(frozen=True, slots=True)
class Leaf:
    """Where a leaf hangs."""

    x: int
    y: int
    colour: str


@dataclass(frozen=True, slots=True)
class Section:
    """Places in drawing units, from the least size that the profile names."""

    title: str
    right: int
    bottom: int
    bin_height: int
    height_words: str
    width_words: str
    labels: tuple[Label, ...]
    left: int = LEFT
    top: int = TOP
    words_left: int = WORDS_LEFT
    words_x: int = WORDS_LEFT + 6

    @property
    def width(self) -> int:
        """Return the inner width."""
        return self.right - self.left

    @property
    def height(self) -> int:
        """Return the inner height."""
        return self.bottom - self.top

    @property
    def whole_height(self) -> int:
        """Return the height of the drawing with what stands around it."""
        return self.bottom + 34

    def across(self, share: float) -> int:
        """Return a place at a share of the width."""
        return self.left + round(share * self.width)

    def down(self, share: float) -> int:
        """Return a place at a share of the height, from the top."""
        return self.top + round(share * self.height)

    @property
    def places(self) -> dict[str, int]:
        """Return where the parts of the drawing stand, by their names."""
        return {
            "middle_x": self.across(0.5),
            "lamp_x": self.across(0.72),
            "cone_left": self.across(0.5),
            "cone_right": self.across(0.94),
            "tube_x": self.across(0.06),
            "tube_width": round(self.width * 0.48),
            "basking_y": self.down(BASKING),
            "basking_low_y": self.down(BASKING + 0.06),
            "middle_y": self.down(MIDDLE),
            "low_y": self.down(LOW),
            "bin_x": self.across(0.3),
            "bin_width": round(self.width * 0.4),
            "bin_y": self.bottom - self.bin_height,
            "height_x": self.left - 34,
            "width_y": self.bottom + 22,
        }

    @property
    def leaves(self) -> tuple[Leaf, ...]:
        """Return the plants' leaves."""
        return tuple(
            Leaf(self.across(x), self.down(y), LEAF_GREENS[n % len(LEAF_GREENS)])
            for n, (x, y) in enumerate(LEAVES)
        )


# Shares of the height, from the top, at which the branches are drawn.
BASKING, MIDDLE, LOW = 0.27, 0.5, 0.7


def section(speech: Speech, plan: CarePlan) -> Section | None:
    """Lay out the section of the enclosure; None where its size is not known."""
    room = plan.room
    if room is None:
        return None
    scale = min(MOST_WIDTH / room.width_cm, MOST_HEIGHT / room.height_cm)
    right = LEFT + round(room.width_cm * scale)
    height = round(room.height_cm * scale)
    return Section(
        title=_title(speech, plan, room),
        right=right,
        bottom=TOP + height,
        bin_height=round(height * 0.15) if plan.laying else 0,
        height_words=speech.say(
            "{length} tall", length=_length(speech, room.height_cm)
        ),
        width_words=speech.say(
            "{width} wide, {depth} deep",
            width=_length(speech, room.width_cm),
            depth=_length(speech, room.depth_cm),
        ),
        labels=_labels(speech, plan, right, height),
    )


def _title(speech: Speech, plan: CarePlan, room: RoomLine) -> str:
    size = quantities.size_both(speech, room.width_cm, room.depth_cm, room.height_cm)
    title = word(
        "Section of the enclosure, at least {size} wide, deep and tall: lamps on top, "
        "the basking branch in the upper third, leaves and branches below."
    )
    with_bin = word(
        "Section of the enclosure, at least {size} wide, deep and tall: lamps on top, "
        "the basking branch in the upper third, leaves and branches below, a laying "
        "bin on the floor."
    )
    return speech.say(with_bin if plan.laying else title, size=size)


def _length(speech: Speech, length_cm: Decimal) -> str:
    return quantities.length_both(speech, length_cm)


def _labels(
    speech: Speech, plan: CarePlan, right: int, height: int
) -> tuple[Label, ...]:
    def label(at: float, to_y: float, inwards: float, *lines: str) -> Label:
        to_x = right - round((right - LEFT) * inwards)
        return Label(TOP + round(height * at), to_x, TOP + round(height * to_y), lines)

    say, day, night = speech.say, Period.DAY, Period.NIGHT
    lamps = say("Heat lamp and UVB tube"), say("on top of the screen, out of reach")
    distance = (
        say("Lamp to its back"),
        say("measure where its back will be,"),
        say(
            "then write it here: ______ {unit}", unit="in" if speech.imperial else "cm"
        ),
    )
    basking = say("Basking branch, by day"), *_wanted(speech, plan, Zone.BASKING, day)
    rest = (
        say("Rest of the enclosure, by day"),
        *_wanted(speech, plan, Zone.AMBIENT, day),
    )
    dark = (
        say("Whole enclosure, at night"),
        say("every light off"),
        *_wanted(speech, plan, Zone.AMBIENT, night),
    )
    found = (
        label(-0.09, -0.04, 0.3, *lamps),
        label(0.06, 0.15, 0.3, *distance),
        label(0.24, BASKING, 0.2, *basking),
        label(0.44, MIDDLE, 0.1, *rest),
        label(0.64, LOW, 0.1, *dark),
    )
    if plan.laying is None:
        return found
    laying = say("Laying bin"), say("moist, and deep enough to dig in")
    return *found, label(0.89, 0.93, 0.4, *laying)


def _wanted(
    speech: Speech, plan: CarePlan, zone: Zone, period: Period
) -> tuple[str, ...]:
    return tuple(
        _wanted_of(speech, t)
        for t in plan.targets
        if (t.zone, t.period) == (zone, period)
    )


def _wanted_of(speech: Speech, target: TargetLine) -> str:
    band = quantities.wanted_both(speech, target.low, target.high, target.quantity)
    if target.quantity is Quantity.HUMIDITY_PCT:
        return speech.say("humidity {band}", band=band)
    return band
