"""Read a drawn QR code back, by ISO/IEC 18004 and nothing of the drawing program.

Tables from memory of the standard. Only codes of one block are read: versions 1 and 2,
and version 3 at levels L and M. Damage is noticed, not mended. Bytes are read as UTF-8,
as cameras do; the standard's own alphabet would be Latin-1.
"""

import re
from collections.abc import Iterator

Matrix = list[list[bool]]
LEVELS = {0b01: "L", 0b00: "M", 0b11: "Q", 0b10: "H"}
# Codewords of data, of all codewords, by version and level.
DATA = {
    **{(1, level): n for level, n in zip("LMQH", (19, 16, 13, 9), strict=True)},
    **{(2, level): n for level, n in zip("LMQH", (34, 28, 22, 16), strict=True)},
    **{(3, level): n for level, n in zip("LM", (55, 44), strict=True)},
}
MASKS = (
    lambda i, j: (i + j) % 2 == 0,
    lambda i, j: i % 2 == 0,
    lambda i, j: j % 3 == 0,
    lambda i, j: (i + j) % 3 == 0,
    lambda i, j: (i // 2 + j // 3) % 2 == 0,
    lambda i, j: i * j % 2 + i * j % 3 == 0,
    lambda i, j: (i * j % 2 + i * j % 3) % 2 == 0,
    lambda i, j: ((i + j) % 2 + i * j % 3) % 2 == 0,
)
FORMAT_MASK = 0b101010000010010
SIGNS = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:"


def matrix_of(svg: str) -> Matrix:
    """Return the dark modules that strokes of a drawing make, without the margin."""
    width = int(re.findall(r"width='(\d+)'", svg)[0])
    path = re.findall(r"stroke='#000' d='([^']+)'", svg)[0]
    dark = [[False] * width for _ in range(width)]
    x = y = 0.0
    for verb, first, second in re.findall(r"([Mmh])(-?[\d.]+) ?(-?[\d.]+)?", path):
        if verb == "h":
            for column in range(int(x), int(x) + int(first)):
                dark[int(y)][column] = True
            x += int(first)
        else:
            x, y = (
                (float(first), float(second))
                if verb == "M"
                else (x + float(first), y + float(second))
            )
    edge = next(n for n, row in enumerate(dark) if any(row))
    assert edge >= 2, "a phone needs some white around the code"
    return [row[edge : width - edge] for row in dark[edge : width - edge]]


def read(svg: str) -> str:
    """Return the text that a camera would read."""
    dark = matrix_of(svg)
    version = (len(dark) - 17) // 4
    level, mask = _format(dark)
    words = _codewords(dark, version, mask)
    data = DATA[version, level]
    assert not any(_syndromes(words, len(words) - data)), "the code is damaged"
    return _text("".join(f"{word:08b}" for word in words[:data]))


def _format(dark: Matrix) -> tuple[str, int]:
    spots = [(8, n) for n in (0, 1, 2, 3, 4, 5, 7, 8)]
    spots += [(n, 8) for n in (7, 5, 4, 3, 2, 1, 0)]
    bits = int("".join(str(int(dark[i][j])) for i, j in spots), 2) ^ FORMAT_MASK
    return LEVELS[bits >> 13], bits >> 10 & 0b111


def _reserved(i: int, j: int, size: int) -> bool:
    corner = (i < 9 and (j < 9 or j >= size - 8)) or (i >= size - 8 and j < 9)
    aligned = size > 21 and max(abs(i - size + 7), abs(j - size + 7)) <= 2
    return corner or aligned or 6 in (i, j)


def _codewords(dark: Matrix, version: int, mask: int) -> list[int]:
    assert version in (1, 2, 3)
    bits = "".join(
        str(int(dark[i][j] ^ MASKS[mask](i, j))) for i, j in _walk(len(dark))
    )
    return [int(bits[n : n + 8], 2) for n in range(0, len(bits) - 7, 8)]


def _walk(size: int) -> Iterator[tuple[int, int]]:
    """Yield modules of data in pairs of columns, from the right, up and down."""
    right = [j for j in range(size - 1, 0, -2) if j > 6] + [5, 3, 1]
    for turn, column in enumerate(right):
        rows = range(size) if turn % 2 else range(size - 1, -1, -1)
        for i in rows:
            for j in (column, column - 1):
                if not _reserved(i, j, size):
                    yield i, j


def _times(a: int, b: int) -> int:
    """Multiply in the field of 256 elements, modulo x⁸ + x⁴ + x³ + x² + 1."""
    product = 0
    while b:
        product ^= a if b & 1 else 0
        a = a << 1 ^ (0x11D if a & 0x80 else 0)
        b >>= 1
    return product


def _syndromes(words: list[int], many: int) -> list[int]:
    """Return the Reed–Solomon syndromes; all are nought where nothing is damaged."""
    found, root = [], 1
    for _ in range(many):
        value = 0
        for word in words:
            value = _times(value, root) ^ word
        found.append(value)
        root = _times(root, 2)
    return found


def _text(bits: str) -> str:
    """Return the text of the segments, for versions below 10."""
    read, place = "", 0

    def take(many: int) -> int:
        nonlocal place
        place += many
        return int(bits[place - many : place], 2)

    while len(bits) - place >= 4 and (mode := take(4)):
        if mode == 0b0001:
            length = take(10)
            for many in [3] * (length // 3) + [length % 3] * bool(length % 3):
                read += f"{take(3 * many + 1):0{many}d}"
        elif mode == 0b0010:
            length = take(9)
            for _ in range(length // 2):
                pair = take(11)
                read += SIGNS[pair // 45] + SIGNS[pair % 45]
            read += SIGNS[take(6)] if length % 2 else ""
        else:
            assert mode == 0b0100, f"mode {mode} is not read here"
            length = take(8)
            read += bytes(take(8) for _ in range(length)).decode("utf-8")
    return read
