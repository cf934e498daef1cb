"""Writers of both forms of photometric files, by the published order of their fields.

They share nothing with the readers: no constant, no function, no idea of symmetry. What is written is what was
measured, plane by plane; what it means on the other side of a mirror is for `folded` and the tests to say.

Order of IES LM-63: ANSI/IESNA LM-63-02 and a page on the format, as the project's notes quote them. Order of
EULUMDAT: three tables of the format in manuals of programs; the six lines of a lamp set and what follows: from memory.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.interpolate import RegularGridInterpolator

HEADERS = ("", "IESNA91", "IESNA:LM-63-1995", "IESNA:LM-63-2002", "IES:LM-63-2019")


@dataclass(frozen=True)
class Layout:
    """How a file is typed, as different programs do."""

    newline: str = "\r\n"
    between: str = " "
    each_line: int = 10
    ends: str = "\r\n"
    encoding: str = "ascii"
    mark: bytes = b""
    indent: str = ""
    digits: int = 12

    def number(self, value: float) -> str:
        return f"{value:.{self.digits}g}"

    def numbers(self, values) -> str:
        words = [self.number(value) for value in np.ravel(values)]
        rows = [words[k : k + self.each_line] for k in range(0, len(words), self.each_line)]
        return self.newline.join(self.indent + self.between.join(row) for row in rows)


PLAIN = Layout()


def write_ies(
    vertical,
    horizontal,
    table,
    *,
    header="IESNA:LM-63-2002",
    words=("[TEST] a test", "[MANUFAC] a maker", "[LUMINAIRE] a lamp for a test"),
    tilt="NONE",
    tilt_table=None,
    lamps=1,
    lumens=-1.0,
    multiplier=1.0,
    kind=1,
    units=2,
    size=(0.0, 0.0, 0.0),
    ballast=1.0,
    further=1.0,
    watts=10.0,
    more=(),
    layout=PLAIN,
) -> bytes:
    """Write IES LM-63; the table is (horizontal, vertical)."""
    lines = [header] if header else []
    lines += [*words, f"TILT={tilt}"]
    if tilt_table is not None:
        geometry, angles, factors = tilt_table
        lines += [str(geometry), str(len(angles)), layout.numbers(angles), layout.numbers(factors)]
    counts = [lamps, lumens, multiplier, len(vertical), len(horizontal), kind, units, *size]
    lines += [layout.numbers(counts), layout.numbers([ballast, further, watts])]
    lines += [layout.numbers(vertical), layout.numbers(horizontal)]
    lines += [layout.numbers(row) for row in np.asarray(table, float)]
    lines += [str(each) for each in more]
    text = layout.newline.join(lines) + layout.ends
    return layout.mark + text.encode(layout.encoding)


def write_eulumdat(
    c_angles,
    g_angles,
    stored,
    *,
    symmetry=0,
    sets=((1, "a lamp", 1000.0, "3000 K", "80", 10.0),),
    texts=("a report", "a lamp for a test", "a number", "a file", "a day"),
    luminous=(0.0, 0.0),
    heights=(0.0, 0.0, 0.0, 0.0),
    ratio=100.0,
    factor=1.0,
    tilt=0.0,
    decimal=".",
    newline="\r\n",
    ends="\r\n",
    encoding="latin-1",
) -> bytes:
    """Write EULUMDAT: all C angles, and the planes that the symmetry stores in the order it stores them."""

    def number(value):
        return f"{value:.12g}".replace(".", decimal)

    c, g = list(c_angles), list(g_angles)
    step_c = c[1] - c[0] if len(c) > 1 else 0.0
    lines = [
        "a maker",
        "1" if symmetry == 1 else "3",
        str(symmetry),
        str(len(c)),
        number(step_c),
        str(len(g)),
    ]
    lines += [number(g[1] - g[0]), *texts]
    lines += [number(value) for value in (100.0, 50.0, 20.0, *luminous, *heights, 100.0, ratio, factor, tilt)]
    lines.append(str(len(sets)))
    for count, kind, flux, colour, rendering, watts in sets:
        lines += [str(count), kind, number(flux), colour, rendering, number(watts)]
    lines += [number(0.5)] * 10
    lines += [number(value) for value in (*c, *g, *np.ravel(stored))]
    return (newline.join(lines) + ends).encode(encoding)


def between(h, v, table, at_h, at_v):
    """Bilinear values by another library; 0 beyond the vertical angles."""
    h, v, table = np.asarray(h, float), np.asarray(v, float), np.asarray(table, float)
    at_h, at_v = np.broadcast_arrays(np.asarray(at_h, float), np.asarray(at_v, float))
    if len(h) == 1:
        h, table = np.array([0.0, 360.0]), np.repeat(table, 2, axis=0)
        at_h = at_h % 360
    inside = (at_v >= v[0]) & (at_v <= v[-1])
    places = np.stack([at_h, np.clip(at_v, v[0], v[-1])], axis=-1)
    return np.where(inside, RegularGridInterpolator((h, v), table)(places), 0.0)


def directions(h, v):
    """Unit vectors of type C angles in degrees: down is -z, 0 along +x, 90 along +y."""
    h, v = np.broadcast_arrays(np.radians(h), np.radians(v))
    return np.stack([np.sin(v) * np.cos(h), np.sin(v) * np.sin(h), -np.cos(v)], axis=-1)
