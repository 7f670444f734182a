"""What a phone reads from the screen, read here by a reader of our own that shares nothing with the writer.

The reader follows ISO/IEC 18004 (from memory): format bits, masks, the zigzag of bits, byte mode. It mends no damage.
"""

import re
from collections.abc import Callable

import pytest

from putback.faces.web.qr import drawing, lines

ADDRESSES = [
    "http://192.0.2.2:8071/",
    "http://192.168.178.23:8070/",
    "http://10.0.0.7:65535/",
    "http://[fd00::20]:8071/",
]

MASKS: tuple[Callable[[int, int], bool], ...] = (
    lambda row, column: (row + column) % 2 == 0,
    lambda row, column: (row + 0 * column) % 2 == 0,
    lambda row, column: (column + 0 * row) % 3 == 0,
    lambda row, column: (row + column) % 3 == 0,
    lambda row, column: (row // 2 + column // 3) % 2 == 0,
    lambda row, column: row * column % 2 + row * column % 3 == 0,
    lambda row, column: (row * column % 2 + row * column % 3) % 2 == 0,
    lambda row, column: ((row + column) % 2 + row * column % 3) % 2 == 0,
)

Matrix = list[list[bool]]


def without_margin(dark: Matrix) -> Matrix:
    """The code alone; its margin must be four modules wide at least."""
    rows = [at for at, row in enumerate(dark) if any(row)]
    columns = [at for at in range(len(dark[0])) if any(row[at] for row in dark)]
    assert min(rows[0], columns[0], len(dark[0]) - 1 - columns[-1]) >= 4
    assert len(dark) - 1 - rows[-1] >= 4
    return [row[columns[0] : columns[-1] + 1] for row in dark[rows[0] : rows[-1] + 1]]


def read(dark: Matrix) -> str:
    """The text of a small code: one block, byte mode."""
    size = len(dark)
    version = (size - 17) // 4
    assert version in (1, 2, 3), "larger ones have more than one block"
    along = [(8, one) for one in (0, 1, 2, 3, 4, 5, 7, 8)] + [(one, 8) for one in (7, 5, 4, 3, 2, 1, 0)]
    told = int("".join(str(int(dark[row][column])) for row, column in along), 2) ^ 0b101010000010010
    level, mask = told >> 13, MASKS[told >> 10 & 7]
    assert level == 0b00, "level M"

    def is_function(row: int, column: int) -> bool:
        finder = (row < 9 and (column < 9 or column >= size - 8)) or (row >= size - 8 and column < 9)
        middle = size - 7
        aligning = version > 1 and abs(row - middle) <= 2 and abs(column - middle) <= 2
        return finder or aligning or row == 6 or column == 6

    bits = ""
    upward = True
    for right in [one for one in range(size - 1, 0, -2) if one > 6] + [5, 3, 1]:
        for row in range(size - 1, -1, -1) if upward else range(size):
            for column in (right, right - 1):
                if not is_function(row, column):
                    bits += str(int(dark[row][column] ^ mask(row, column)))
        upward = not upward
    assert bits[:4] == "0100", "byte mode"
    count = int(bits[4:12], 2)
    return bytes(int(bits[at : at + 8], 2) for at in range(12, 12 + 8 * count, 8)).decode()


def of_terminal(text: str) -> Matrix:
    """Half blocks, white on black: what is drawn is light."""
    rows: Matrix = []
    for line in text.splitlines():
        colours = re.fullmatch("\x1b\\[97;40m(.*)\x1b\\[0m", line)
        assert colours, "each line says its own colours"
        rows += [[one not in "█▀" for one in colours[1]], [one not in "█▄" for one in colours[1]]]
    return rows


def of_drawing(svg: str) -> Matrix:
    """Strokes one module wide, along the middle of their rows."""
    size = int(re.search(r'fill="#fff" d="M0 0h(\d+)v', svg)[1])  # type: ignore[index]
    dark = [[False] * size for _ in range(size)]
    path = re.search(r'stroke="#000" d="([^"]+)"', svg)[1]  # type: ignore[index]
    x, y = 0.0, 0.0
    for kind, numbers in re.findall(r"([Mmh])([-0-9. ]+)", path):
        moves = [float(one) for one in re.findall(r"-?[0-9.]+", numbers)]
        if kind == "h":
            for at in range(int(x), int(x + moves[0])):
                dark[int(y)][at] = True
            x += moves[0]
        else:
            x, y = (moves[0], moves[1]) if kind == "M" else (x + moves[0], y + moves[1])
    return dark


@pytest.mark.parametrize("address", ADDRESSES)
def test_a_camera_reads_the_address_from_the_terminal(address: str) -> None:
    assert read(without_margin(of_terminal(lines(address)))) == address


@pytest.mark.parametrize("address", ADDRESSES)
def test_a_camera_reads_the_address_from_the_page(address: str) -> None:
    assert read(without_margin(of_drawing(drawing(address)))) == address


def test_the_reader_can_fail() -> None:
    dark = without_margin(of_drawing(drawing(ADDRESSES[0])))
    dark[12][12] ^= True
    dark[13][len(dark) - 1] ^= True
    assert read(dark) != ADDRESSES[0]
