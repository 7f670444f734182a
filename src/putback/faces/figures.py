"""One idea: a computed figure is shown to four digits, the ends of a band to three, a given one as it was given."""

from putback.core.fasten.answer import Band, Figure


def figure(value: Figure | None) -> str:
    """A figure for people.

    >>> figure(21.4285714), figure(48940.0), figure("1-3-2-4"), figure(True)
    ('21.43', '48940', '1-3-2-4', 'yes')
    """
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return f"{value:.0f}" if abs(value) >= 1000 else f"{value:.4g}"
    return str(value)


def band_end(value: float) -> str:
    """An end of a band: three digits, as it is an estimate of how far something may be off.

    >>> band_end(16.667), band_end(1234.5)
    ('16.7', '1234')
    """
    return f"{value:.0f}" if abs(value) >= 1000 else f"{value:.3g}"


def band_words(band: Band, unit: str) -> str:
    """A band for people.

    >>> band_words((18.21, 30.38), "kN")
    '18.2 to 30.4 kN'
    """
    return f"{band_end(band[0])} to {band_end(band[1])} {unit}".removesuffix(" -").rstrip()
