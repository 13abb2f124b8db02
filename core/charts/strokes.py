"""Colours, words and rules that all parts of a drawing share."""

from html import escape

FONT = 'font-family="DejaVu Sans, system-ui, sans-serif" font-size="12"'
WIDTH_OF_A_LETTER = 6.6  # at that size, about
INK, MIDDLE, FAINT, NIGHT, WANTED, EDGE, ALARM = (
    "#22201c",
    "#8d8575",
    "#b9b3a6",
    "#e7e4ec",
    "#d3e4d4",
    "#5d8063",
    "#9a3412",
)


def text(words: str) -> str:
    """Return words that are safe inside SVG: escaped, without control characters."""
    return escape("".join(c if c.isprintable() else " " for c in words))


def words_at(x: float, y: float, written: str, *, most: float) -> str:
    """Write words just right of a place and below it, not beyond `most`."""
    x = min(x + 3, most - WIDTH_OF_A_LETTER * len(written))
    return f'<text x="{x:.1f}" y="{y + 12:.1f}" fill="{INK}">{text(written)}</text>'


def rule(path: str, colour: str, width: str) -> str:
    """Draw a path as a plain rule."""
    return f'<path d="{path}" fill="none" stroke="{colour}" stroke-width="{width}"/>'
