"""One idea: what a module supports is a row of bits, the top bit of the first byte for the first number.

Source: SAE J1979 / ISO 15031-5, answers to PID 00, 20, 40 and their like in services 01, 02, 06 and 09.
"""

SPAN = 0x20
"""Numbers that one row of bits speaks for."""


def supported(base: int, data: bytes) -> tuple[int, ...]:
    """The numbers that a row of bits names.

    Args:
        base: the number that was asked: 0x00, 0x20, 0x40 and so on; the first bit is the number after it.
        data: the bits, four bytes; fewer say less.

    >>> [f"{pid:02X}" for pid in supported(0x00, bytes.fromhex("88000001"))]
    ['01', '05', '20']
    """
    width = 8 * len(data)
    row = int.from_bytes(data, "big")
    return tuple(base + 1 + place for place in range(width) if row >> (width - 1 - place) & 1)


def more_follow(base: int, data: bytes) -> bool:
    """Whether the module has more numbers after these, so that the next row is worth asking.

    >>> more_follow(0x00, bytes.fromhex("88000001"))
    True
    """
    return base + SPAN in supported(base, data)
