"""A template as DXF: release 12 of that open format in plain ASCII, millimetres, which every cutter's program reads.

Written from the published group codes: a file is pairs of lines, a code and a value. Only what a template
needs: layers, lines, closed polylines, text. From memory of the published reference; held in the tests
against another program's reader.
"""

from __future__ import annotations

from collections.abc import Iterable

from sunfleck.outputs.cardboard import LETTERS, Template

# Layer and its colour number (7: black on white, white on black; 1: red; 8: grey).
LAYERS = (("CUT", 1), ("MARK", 8), ("WORDS", 7))
DIGITS = 4  # of a coordinate [decimals of a mm]

Pairs = Iterable[tuple[int, str | int | float]]


def dxf_text(template: Template) -> str:
    """Return a template as a DXF drawing.

    Parameters
    ----------
    template : Template
        What to draw. [mm]

    Returns
    -------
    text : str
        ASCII, one millimetre a unit; layers ``CUT``, ``MARK`` and ``WORDS``.
    """
    points = [point for line in template.lines for point in line.points]
    low = [min(float(point[k]) for point in points) for k in (0, 1)]
    high = [max(float(point[k]) for point in points) for k in (0, 1)]
    pairs: list[tuple[int, str | int | float]] = [
        (999, _plain(f"{template.title}; millimetres, full size")),
        (0, "SECTION"), (2, "HEADER"),
        (9, "$ACADVER"), (1, "AC1009"),
        (9, "$INSUNITS"), (70, 4),
        (9, "$MEASUREMENT"), (70, 1),
        (9, "$EXTMIN"), (10, low[0]), (20, low[1]), (30, 0.0),
        (9, "$EXTMAX"), (10, high[0]), (20, high[1]), (30, 0.0),
        (0, "ENDSEC"),
        (0, "SECTION"), (2, "TABLES"),
        (0, "TABLE"), (2, "LTYPE"), (70, 1),
        (0, "LTYPE"), (2, "CONTINUOUS"), (70, 0), (3, "Solid line"), (72, 65), (73, 0), (40, 0.0),
        (0, "ENDTAB"),
        (0, "TABLE"), (2, "LAYER"), (70, len(LAYERS)),
    ]  # fmt: skip
    for name, colour in LAYERS:
        pairs += [(0, "LAYER"), (2, name), (70, 0), (62, colour), (6, "CONTINUOUS")]
    pairs += [(0, "ENDTAB"), (0, "ENDSEC"), (0, "SECTION"), (2, "ENTITIES")]
    for line in template.lines:
        layer = "CUT" if line.cut else "MARK"
        if len(line.points) == 2 and not line.closed:
            (x0, y0), (x1, y1) = line.points
            pairs += [(0, "LINE"), (8, layer), *_point(x0, y0), (11, x1), (21, y1), (31, 0.0)]
            continue
        pairs += [(0, "POLYLINE"), (8, layer), (66, 1), *_point(0.0, 0.0), (70, int(line.closed))]
        for x, y in line.points:
            pairs += [(0, "VERTEX"), (8, layer), *_point(x, y)]
        pairs += [(0, "SEQEND"), (8, layer)]
    for words in template.words:
        pairs += [(0, "TEXT"), (8, "WORDS"), *_point(*words.at), (40, LETTERS), (1, _plain(words.words))]
    pairs += [(0, "ENDSEC"), (0, "EOF")]
    return "".join(f"{code:3d}\n{_value(value)}\n" for code, value in pairs)


def _point(x: float, y: float) -> Pairs:
    return ((10, float(x)), (20, float(y)), (30, 0.0))


def _value(value: str | int | float) -> str:
    if isinstance(value, float):
        # + 0.0 turns minus zero into zero.
        return f"{round(value, DIGITS) + 0.0:.{DIGITS}f}"
    return str(value)


def _plain(words: str) -> str:
    """Words on one line of ASCII: another sign by its number, and no ``%%``, which DXF reads as a command."""
    one_line = "".join(sign if sign.isprintable() else " " for sign in words).replace("%%", "% %")
    return "".join(sign if sign.isascii() else f"\\U+{ord(sign):04X}" for sign in one_line)[:250]
