"""A pedigree as SVG text: words first, a shape by sex, no colour that means anything.

Like every drawing here it has presentation attributes only, so that a strict content
security policy lets it through and it also stands alone in print.
"""

from collections.abc import Iterator, Sequence

from clutches.rules.pedigrees.ancestry import Kin, Place
from clutches.rules.pedigrees.layouts import (
    LINE,
    MOST_CANDIDATES,
    PADDING,
    WIDE,
    Box,
    Layout,
    lay_out,
)
from clutches.rules.pedigrees.words import (
    SEXES,
    Inbreeding,
    told_candidates,
    told_hatched,
    told_inbreeding,
    told_path,
)
from core.charts.strokes import FONT, INK, MIDDLE, text
from husbandry.rules.vocabulary import Sex

LETTERS, BOLD_LETTERS = 27, 22
"""As many fit into a box."""
ROUND, CUT = 15, 9
DESCRIPTION = (
    "The animal stands at the left, its parents to the right of it, the dam above the "
    "sire. Boxes with round ends are females, square ones males, those with cut "
    "corners are of unknown sex; the word stands in each. Dotted boxes are parents "
    "that are not known. The same letter marks the same animal. The list below the "
    "drawing says the same."
)


def draw_pedigree(places: Sequence[Place], inbreeding: Inbreeding | None) -> str:
    """Return a pedigree as SVG text.

    Args:
        places: as `ancestry.places_of` returns them; the first is the animal.
        inbreeding: of the animal; None: nothing is said of it.

    Returns:
        One `svg` element with a title and a description, coordinates rounded to
        tenths; the same pedigree gives the same text.
    """
    said = () if inbreeding is None else _wrapped(told_inbreeding(inbreeding))
    layout = lay_out(places, extra_lines=len(said))
    parts = [
        *_joints(layout),
        *_box(layout.boxes[0], said),
        *(part for box in layout.boxes[1:] for part in _box(box, ())),
    ]
    width, height = f"{layout.width:.0f}", f"{layout.height:.0f}"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="pedigree" role="img" '
        f'viewBox="0 0 {width} {height}" width="{width}" height="{height}" {FONT}>'
        f"<title>{text(_title(places))}</title><desc>{text(DESCRIPTION)}</desc>"
        f"{''.join(parts)}</svg>"
    )


def size_of(places: Sequence[Place], inbreeding: Inbreeding | None) -> tuple[int, int]:
    """Return width and height of a pedigree's drawing, for the page around it."""
    said = () if inbreeding is None else _wrapped(told_inbreeding(inbreeding))
    layout = lay_out(places, extra_lines=len(said))
    return round(layout.width), round(layout.height)


def _title(places: Sequence[Place]) -> str:
    kin = places[0].kin
    generations = max(len(place.path) for place in places)
    label = kin.label if kin else ""
    many = "1 generation" if generations == 1 else f"{generations} generations"
    return f"Pedigree of {label}: {many} of ancestors."


def _wrapped(words: str) -> tuple[str, ...]:
    lines = [""]
    for word in words.split(" "):
        longer = f"{lines[-1]} {word}".strip()
        if len(longer) > LETTERS:
            lines.append(word)
        else:
            lines[-1] = longer
    return tuple(lines)


def _cut(words: str, most: int = LETTERS) -> str:
    return words if len(words) <= most else f"{words[: most - 1]}…"


def _joints(layout: Layout) -> Iterator[str]:
    for young, parent in layout.joints:
        one, other = layout.boxes[young], layout.boxes[parent]
        start, end = one.x + WIDE, other.x
        half = (start + end) / 2
        yield (
            f'<path d="M{start:.1f} {one.middle:.1f}H{half:.1f}V{other.middle:.1f}'
            f'H{end:.1f}" fill="none" stroke="{MIDDLE}" stroke-width="1"/>'
        )


def _box(box: Box, said: Sequence[str]) -> Iterator[str]:
    place = box.place
    if place.kin is not None:
        yield _shape(box, place.kin.sex)
        lines = (_cut(place.kin.label, BOLD_LETTERS), _beside(place, place.kin), *said)
        yield from _lines(box, lines, bold=True)
        return
    yield _outline(box, 'stroke-dasharray="2 4"')
    part = told_path(place.path[-1:])
    if not place.candidates:
        yield from _lines(box, (f"{part} not known",), bold=False)
        return
    told = list(told_candidates(place))
    if len(told) > MOST_CANDIDATES:
        more = len(told) - MOST_CANDIDATES + 1
        told = [*told[: MOST_CANDIDATES - 1], f"and {more} more"]
    yield from _lines(box, (f"{part} is one of:", *map(_cut, told)), bold=False)


def _beside(place: Place, kin: Kin) -> str:
    told = [SEXES[kin.sex], told_hatched(kin)]
    if place.mark:
        told.append(f"same: {place.mark}")
    return _cut(", ".join(filter(None, told)))


def _lines(box: Box, lines: Sequence[str], *, bold: bool) -> Iterator[str]:
    for number, words in enumerate(lines):
        y = box.y + PADDING / 2 + 11 + number * LINE
        weight = ' font-weight="600"' if bold and not number else ""
        yield (
            f'<text x="{box.x + 9:.1f}" y="{y:.1f}" fill="{INK}"{weight}>'
            f"{text(words)}</text>"
        )


def _shape(box: Box, sex: Sex) -> str:
    if sex is Sex.FEMALE:
        return _outline(box, f'rx="{ROUND}"')
    if sex is Sex.MALE:
        return _outline(box, "")
    across, down = WIDE - 2 * CUT, box.height - 2 * CUT
    return (
        f'<path d="M{box.x + CUT:.1f} {box.y:.1f}h{across}l{CUT} {CUT}v{down:.1f}'
        f"l-{CUT} {CUT}h-{across}l-{CUT} -{CUT}v-{down:.1f}z"
        f'" fill="none" stroke="{INK}" stroke-width="1"/>'
    )


def _outline(box: Box, how: str) -> str:
    return (
        f'<rect x="{box.x:.1f}" y="{box.y:.1f}" width="{WIDE}" '
        f'height="{box.height:.1f}" {how} fill="none" stroke="{INK}" stroke-width="1"/>'
    )
