"""Read photometric files of the form EULUMDAT."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import nan, radians

import numpy as np
from numpy.typing import NDArray

from sunfleck.errors import PhotometryError
from sunfleck.physics.photometric_planes import full_circle, mirrored
from sunfleck.physics.photometric_text import (
    MOST_CANDELA,
    MOST_INTENSITIES,
    MOST_LUMENS,
    MOST_METRES,
    Findings,
    find_unrising,
    lines_of,
    number_of,
    shown,
)
from sunfleck.physics.photometry import Opening, Photometry, Shape

Floats = NDArray[np.float64]
MILLIMETRE = 1e-3
MOST_SETS = 20
MOST_LAMPS = 10_000
MOST_WATTS = 1e6
MOST_FACTOR = 1e6
DIRECT_RATIOS = 10
TEXTS = ("report", "name", "number", "file", "date")
LETTERS = 300
# Programs write 89.99 for what is meant. [deg]
NEAR = 0.02
ALL, ONE, ABOUT_C0, ABOUT_C90, ABOUT_BOTH = range(5)
# What the number of planes must be a multiple of, so that those on the mirrors are among them.
MULTIPLE = {ALL: 1, ONE: 1, ABOUT_C0: 2, ABOUT_C90: 4, ABOUT_BOTH: 4}


def read_eulumdat(data: bytes) -> Photometry:
    r"""Intensities of a luminaire from a file of the form EULUMDAT.

    Parameters
    ----------
    data : bytes
        The file. [-]

    Returns
    -------
    photometry : Photometry
        The whole table, candela of the whole luminaire with the lumens of all lamp sets together. [cd]

    Raises
    ------
    PhotometryError
        With every problem found. Nothing else is raised, whatever the bytes.

    Notes
    -----
    Candela are those of the table (per 1000 lm) times the conversion factor times the lumens of the lamp sets over
    1000. A number of lamps below zero marks absolute photometry: the lumens are then the luminaire's own (from the
    note of 2009 on absolute photometry in EULUMDAT as other programs quote it). The luminous length lies along
    C90-C270: C0 is square to a long lamp (from memory).

    Some programs leave out the last of the five lines of text before the sizes. A file that can be read with some
    missing, and not otherwise, is read so, and a note says it.

    References
    ----------
    .. [1] A. W. Stockmar, "EULUMDAT/2 - Extended version of a well established luminaire data format," CIBSE National
       Lighting Conference, pp. 353-362, 1998. As tabled by three programs' manuals.

    Examples
    --------
    A lamp of 500 lm that sends 200 cd for each 1000 lm everywhere below it:

    >>> head = ["a maker", "1", "1", "1", "0", "2", "90", *5 * [""], *11 * ["0"], "1", "0"]
    >>> sets, ratios, table = ["1", "1", "a lamp", "500", "", "", "7"], 10 * ["0"], ["0", "0", "90", "200", "200"]
    >>> p = read_eulumdat("\n".join([*head, *sets, *ratios, *table]).encode())
    >>> p.intensity_at([[0, 0, -1.0], [0, 0, 1.0]]).tolist(), p.watts
    ([100.0, 0.0], 7.0)
    """
    lines = lines_of(data)
    while lines and not lines[-1].strip():
        lines.pop()
    first = _Reading(lines, missing=0)
    found = first.photometry()
    if found is not None:
        return found
    for missing in range(1, len(TEXTS) + 1):
        found = _Reading(lines, missing).photometry()
        if found is not None:
            return found
    raise PhotometryError(first.findings.problems, more=first.findings.more)


class _Short(Exception):
    """The file ends before what is needed; that is put down already."""


class _Reading:
    """One attempt to read the lines, with so many lines of text missing before the sizes."""

    def __init__(self, lines: Sequence[str], missing: int) -> None:
        self.findings = Findings()
        self._lines = lines
        self._missing = missing
        self._at = 0

    def photometry(self) -> Photometry | None:
        """Return what was read; None where a problem was found."""
        try:
            found = self._read()
        except _Short:
            return None
        return None if self.findings.problems else found

    def _read(self) -> Photometry | None:
        company = self._text("company")
        self._number("type of luminaire (Ityp)", "0 to 3", lambda x: 0 <= x <= 3, blank=0.0)
        symmetry = self._whole("symmetry (Isym)", 0, 4)
        n_planes = self._whole("number of C planes (Mc)", 1, MOST_INTENSITIES)
        self._text("distance between C planes")
        n_angles = self._whole("number of intensities in each plane (Ng)", 2, MOST_INTENSITIES)
        self._text("distance between intensities")
        texts = {name: self._text(name) for name in TEXTS[: len(TEXTS) - self._missing]}
        if self._missing:
            s = "" if self._missing == 1 else "s"
            self.findings.notes.append(
                f"{self._missing} line{s} of text before the sizes of the luminaire are missing."
            )
        for name in ("length", "width", "height"):
            self._size(f"{name} of the luminaire")
        opening = self._opening()
        self._text("downward flux fraction")
        ratio = self._number("light output ratio, %", "0 to 200", lambda x: 0 <= x <= 200, blank=0.0) / 100
        factor = self._factor()
        tilt = self._number("tilt in measurement, degrees", "-180 to 180", lambda x: abs(x) <= 180, blank=0.0)
        lamps, lumens, watts, types, absolute = self._sets()
        self._skip(DIRECT_RATIOS, "direct ratios")
        table = self._planes(symmetry, n_planes, n_angles, factor, lumens if lumens > 0 else 1000.0)
        if self.findings.problems or table is None:
            return None
        if tilt:
            self.findings.notes.append(
                f"Measured with the luminaire tilted by {tilt:g} degrees; not turned back."
            )
        if absolute and lumens == 0:
            self.findings.notes.append("Absolute photometry without lumens: the table is taken as candela.")
        words = {"company": company, **texts, "lamp": ", ".join(filter(None, types))}
        return Photometry(
            *table,
            opening=opening,
            stated_lumens=lumens or None,
            output_ratio=ratio or None,
            absolute=absolute,
            watts=watts or None,
            lamps=lamps,
            name=texts.get("name") or texts.get("number") or company,
            keywords=tuple((key.upper(), text) for key, text in words.items() if text),
            form="EULUMDAT",
            measured_tilt=radians(tilt),
            notes=tuple(self.findings.notes),
        )

    def _opening(self) -> Opening:
        length, width = self._size("length of the luminous area"), self._size("width of the luminous area")
        height = max(
            self._size(f"height of the luminous area towards {c}") for c in ("C0", "C90", "C180", "C270")
        )
        if width == 0:
            shape: Shape = "upright cylinder" if height > 0 else "round"
            return (
                Opening(shape, length, length, height) if length > 0 else Opening("point", 0.0, 0.0, height)
            )
        return Opening("box" if height > 0 else "rectangle", width, length, height)

    def _factor(self) -> float:
        factor = self._number(
            "conversion factor", f"0 to {MOST_FACTOR:,.0f}", lambda x: 0 <= x <= MOST_FACTOR, 1.0
        )
        if factor == 0:
            self.findings.notes.append("The conversion factor for intensities is 0: taken as 1.")
            return 1.0
        return factor

    def _sets(self) -> tuple[int, float, float, list[str], bool]:
        """Lamps, lumens and watts of all sets together, their names, and whether the photometry is absolute."""
        count = self._whole("number of lamp sets", 1, MOST_SETS)
        if count is None:
            raise _Short  # where the table begins cannot be told
        lamps, lumens, watts, types, absolute = 0, 0.0, 0.0, [], False
        for k in range(1, count + 1):
            of = f"of lamp set {k}" if count > 1 else "of the lamp set"
            number = self._whole(f"number of lamps {of}", -MOST_LAMPS, MOST_LAMPS, but=0)
            at = self._at + 2
            types.append(self._text(f"type of lamp {of}"))
            needed = f"0 to {MOST_LUMENS:,.0f} lm"
            lumens += self._number(f"lumens {of}", needed, lambda x: 0 <= x <= MOST_LUMENS)
            self._skip(2, f"colour of the light {of}")
            watts += self._number(
                f"watts {of}", f"0 to {MOST_WATTS:,.0f}", lambda x: 0 <= x <= MOST_WATTS, 0.0
            )
            lamps += abs(number or 0)
            absolute = absolute or (number or 0) < 0
        if lumens == 0 and not absolute:
            fix = "write the lamp's lumens, or a number of lamps of -1 where the table is of the luminaire as a whole"
            self.findings.add(
                at, "lumens of the lamps", "0", "above 0: intensities are per 1000 lm of them", fix
            )
        if count > 1:
            self.findings.notes.append(
                f"{count} lamp sets, added up; should they be alternatives, it is too bright."
            )
        return lamps, lumens, watts, types, absolute

    def _planes(
        self, symmetry: int | None, n_planes: int | None, n_angles: int | None, factor: float, lumens: float
    ) -> tuple[Floats, Floats, Floats] | None:
        """Angles and table over a full circle; None where a problem was found."""
        if symmetry is None or n_planes is None or n_angles is None:
            return None
        if n_planes % MULTIPLE[symmetry] and n_planes > 1:
            needed = f"a multiple of {MULTIPLE[symmetry]} with a symmetry of {symmetry}"
            self.findings.add(4, "number of C planes (Mc)", f"{n_planes}", needed)
            return None
        stored = _stored(symmetry, n_planes)
        if len(stored) * n_angles > MOST_INTENSITIES:
            wrote = f"{len(stored):,} x {n_angles:,}"
            self.findings.add(4, "size of the table", wrote, f"at most {MOST_INTENSITIES:,} intensities")
            return None
        c, c_lines = self._numbers("angles of C planes", n_planes, "degrees")
        g, g_lines = self._numbers("angles of intensities", n_angles, "degrees")
        good = find_unrising(self.findings, "angles of C planes", c, c_lines, 0.0, 360.0)
        good = find_unrising(self.findings, "angles of intensities", g, g_lines, 0.0, 180.0) and good
        scale = factor * lumens / 1000
        most = MOST_CANDELA / scale if scale > 0 else MOST_CANDELA
        needed = f"{len(stored):,} x {n_angles:,} numbers from 0 to {most:,.0f}"
        values, at = self._numbers("intensities", len(stored) * n_angles, needed)
        table = np.array(values).reshape(len(stored), n_angles)
        for k in np.flatnonzero((table < 0) | (table > most)):
            self.findings.add(at[k], "intensities", f"{values[k]:g}", f"0 to {most:,.0f}")
        self._note_rest()
        if not good or self.findings.problems:
            return None
        if not bool((table > 0).any()):
            self.findings.add(at[0], "intensities", "0 everywhere", "one above 0")
        angles = self._stored_angles(symmetry, np.array(c), c_lines, stored)
        ends = g[0] if abs(g[0]) > NEAR and abs(g[0] - 90) > NEAR else None
        if ends is not None:
            self.findings.add(g_lines[0], "first angle of intensities", f"{ends:g}", "0 or 90")
        if angles is None or self.findings.problems:
            return None
        if min(abs(g[-1] - 90), abs(g[-1] - 180)) > NEAR:
            self.findings.notes.append(f"The table ends {g[-1]:g} degrees from the aim; nothing goes beyond.")
        gap = 360.0 + angles[0] - angles[-1]
        if symmetry == ALL and len(angles) > 1 and gap > 2 * float(np.diff(angles).max()):
            self.findings.notes.append(
                f"There is no plane beyond {angles[-1]:g} degrees: taken as straight to 360."
            )
        return np.radians(g), *_unfolded(symmetry, angles, scale * table)

    def _stored_angles(
        self, symmetry: int, c: Floats, lines: list[int], stored: Sequence[int]
    ) -> Floats | None:
        """Angles of the stored planes, rising; None where the symmetry's own are not among them."""
        if len(stored) == 1:
            return np.zeros(1)
        ends = {ABOUT_C0: (0.0, 180.0), ABOUT_C90: (270.0, 90.0), ABOUT_BOTH: (0.0, 90.0)}
        for k, end in zip((stored[0], stored[-1]), ends.get(symmetry, ()), strict=False):
            if abs(c[k] - end) > NEAR:
                what = f"angle of C plane {k + 1}"
                self.findings.add(lines[k], what, f"{c[k]:g}", f"{end:g} with a symmetry of {symmetry}")
        own = c[list(stored)]
        if symmetry == ABOUT_C90:
            own = np.where(own > 180.0, own - 360.0, own)
        if symmetry in ends:
            low, high = {ABOUT_C0: (0.0, 180.0), ABOUT_C90: (-90.0, 90.0), ABOUT_BOTH: (0.0, 90.0)}[symmetry]
            own[0], own[-1] = low, high
        return own

    def _note_rest(self) -> None:
        rest = sum(1 for line in self._lines[self._at :] if line.strip())
        if rest:
            s = "" if rest == 1 else "s"
            self.findings.notes.append(f"{rest:,} line{s} after the last intensity were left out.")

    def _line(self, what: str) -> str:
        if self._at >= len(self._lines):
            needed = "a line for it, and what comes after it"
            self.findings.add(len(self._lines), what, "nothing: the file ends here", needed)
            raise _Short
        self._at += 1
        return self._lines[self._at - 1].strip()

    def _skip(self, count: int, what: str) -> None:
        for _ in range(count):
            self._line(what)

    def _text(self, what: str) -> str:
        return shown(self._line(what), LETTERS)

    def _number(
        self, what: str, needed: str, good: Callable[[float], bool], blank: float | None = None
    ) -> float:
        """Take a line as a number; nan where it is not as needed, which is put down."""
        line = self._line(what)
        if not line and blank is not None:
            return blank
        value = number_of(line.replace(",", "."))
        if value is None or not good(value):
            self.findings.add(self._at, what, line, needed)
            return nan
        return value

    def _whole(self, what: str, low: int, high: int, but: int | None = None) -> int | None:
        needed = f"a whole number from {low:,} to {high:,}{'' if but is None else f' but {but}'}"
        value = self._number(what, needed, lambda x: low <= x <= high and x == int(x) and x != but)
        return int(value) if value == value else None  # noqa: PLR0124  # a nan is put down already

    def _size(self, what: str) -> float:
        most = MOST_METRES / MILLIMETRE
        return MILLIMETRE * self._number(f"{what}, mm", f"0 to {most:,.0f}", lambda x: 0 <= x <= most, 0.0)

    def _numbers(self, what: str, count: int, needed: str) -> tuple[list[float], list[int]]:
        """Take a line for each number; nan where one is none, which is put down."""
        lines = range(self._at + 1, self._at + count + 1)
        if lines[-1] > len(self._lines):
            have = len(self._lines) - self._at
            fix = "check the numbers of planes and angles in lines 4 and 6, and whether the file is whole"
            self.findings.add(
                len(self._lines), what, f"{have:,} of them, then the file ends", f"{count:,}", fix
            )
            raise _Short
        return [self._number(what, needed, lambda _: True) for _ in lines], list(lines)


def _stored(symmetry: int, n_planes: int) -> list[int]:
    """Indices of the planes that the file holds intensities of, in its order."""
    if symmetry == ONE or n_planes == 1:
        return [0]
    if symmetry == ALL:
        return list(range(n_planes))
    if symmetry == ABOUT_C90:
        return [(3 * n_planes // 4 + k) % n_planes for k in range(n_planes // 2 + 1)]
    return list(range(n_planes // (2 if symmetry == ABOUT_C0 else 4) + 1))


def _unfolded(symmetry: int, angles: Floats, table: Floats) -> tuple[Floats, Floats]:
    """Planes over the full circle from those of one part of it."""
    if len(angles) > 1:
        if symmetry in (ABOUT_C90, ABOUT_BOTH):
            angles, table = mirrored(angles, table, 90.0)
        if symmetry in (ABOUT_C0, ABOUT_BOTH):
            angles, table = mirrored(angles, table, 180.0)
    return full_circle(angles, table)
