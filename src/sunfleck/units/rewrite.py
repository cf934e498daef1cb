"""Write another length as a person wrote one: in the same unit, with fractions where they use them."""

from __future__ import annotations

import re
from math import floor, isfinite

from sunfleck.errors import UnitError
from sunfleck.units.parse import parse_quantity
from sunfleck.units.table import INCH, UNITS, Unit

FINEST_METRIC = 1e-3
"""A pencil and a tape do no better. [m]"""
PARTS_OF_AN_INCH = 16
"""What a builder's tape is divided into. [-]"""

_VULGAR = "½¼¾⅛⅜⅝⅞"
_AMOUNT = re.compile(
    rf"[0-9.{_VULGAR}][0-9./⁄\s{_VULGAR}-]*?(?P<space>\s*)(?P<word>[^0-9\s./⁄{_VULGAR}-][^0-9{_VULGAR}]*)"
)
_LENGTHS: dict[str, Unit] = {word: unit for unit in UNITS if unit.kind == "length" for word in unit.spellings}
_SIGNS = str.maketrans({"′": "'", "’": "'", "″": '"', "”": '"'})
_METRIC = ("um", "mm", "cm", "m")


def length_like(written: str, metres: float) -> str:
    r"""Write a length in the unit in which another one is written, to 1 mm or 1/16 in.

    Parameters
    ----------
    written : str
        A length as a person wrote it; what :func:`~sunfleck.units.parse_quantity` reads.
    metres : float
        The length to write. [m]

    Returns
    -------
    text : str
        In the same unit or units, spelt alike, with fractions of an inch unless there were decimals; what was written
        itself where it says just that length.

    Raises
    ------
    UnitError
        If what was written is no length, or the new one is no finite number.

    Examples
    --------
    >>> [length_like(old, 0.3825) for old in ("12 cm", "1.5 m", "300mm", "15 in", "15.5 in", "1 ft 2 in", "1'")]
    ['38.2 cm', '0.382 m', '382mm', '15 1/16 in', '15.0625 in', '1 ft 3 1/16 in', '1\'3 1/16"']
    >>> length_like("47 1/2 in", 1.2065), length_like("-3 in", -0.0508)
    ('47 1/2 in', '-2 in')
    """
    if not isfinite(metres):
        raise UnitError(str(metres), "a length that is a finite number")
    if abs(parse_quantity(written, "length") - metres) < 1e-9:
        return written
    found = [(m["space"], m["word"].strip(" \t-.")) for m in _AMOUNT.finditer(written)]
    words = [(space, word) for space, word in found if word.translate(_SIGNS) in _LENGTHS]
    space, word = words[0] if words else (" ", "cm")
    unit = _LENGTHS[word.translate(_SIGNS)]
    name, sign = unit.spellings[0], "-" if metres < 0 else ""
    if name in _METRIC:
        number = floor(abs(metres) / FINEST_METRIC + 0.5 - 1e-9)
        text = _decimals(number * FINEST_METRIC / unit.factor, 3)
        return f"{sign if number else ''}{text}{space}{word}"
    parts = floor(abs(metres) / INCH * PARTS_OF_AN_INCH + 0.5 - 1e-9)
    sign = sign if parts else ""
    if "." in written or name == "yd":
        number_of = parts * INCH / PARTS_OF_AN_INCH / unit.factor
        # As many as a sixteenth of an inch needs, whatever the unit.
        return f"{sign}{_decimals(number_of, 5 if name == 'yd' else 4)}{space}{word}"
    if name == "in":
        return f"{sign}{_mixed(parts)}{space}{word}"
    feet, rest = divmod(parts, 12 * PARTS_OF_AN_INCH)
    if len(words) == 1 and not rest:
        return f"{sign}{feet}{space}{word}"
    inches = words[1] if len(words) > 1 else (space, {"'": '"', "′": "″", "’": "”"}.get(word, "in"))
    behind = f"{_mixed(rest)}{inches[0]}{inches[1]}"
    between = " " if space or " " in written.strip() else ""
    return f"{sign}{feet}{space}{word}{between}{behind}" if feet else f"{sign}{behind}"


def _decimals(number: float, most: int) -> str:
    text = f"{number:.{most}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _mixed(parts: int) -> str:
    whole, rest = divmod(parts, PARTS_OF_AN_INCH)
    if not rest:
        return str(whole)
    below = PARTS_OF_AN_INCH
    while rest % 2 == 0:
        rest, below = rest // 2, below // 2
    return f"{whole} {rest}/{below}" if whole else f"{rest}/{below}"
