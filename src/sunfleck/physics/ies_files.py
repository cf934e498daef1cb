"""Read photometric files of the form IES LM-63."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import replace
from math import radians

from sunfleck.errors import PhotometryError
from sunfleck.physics.ies_numbers import Ended, Numbers
from sunfleck.physics.ies_openings import opening_of
from sunfleck.physics.ies_planes import planes_of
from sunfleck.physics.photometric_text import (
    MOST_CANDELA,
    MOST_INTENSITIES,
    MOST_LUMENS,
    MOST_METRES,
    Findings,
    find_unrising,
    lines_of,
    shown,
)
from sunfleck.physics.photometry import Kind, LampTilt, Photometry

FOOT = 0.3048  # exact since 1959, international yard and pound agreement [m]
EDITIONS = (1991, 1995, 2002, 2019)  # the edition of 1986 has no first line of its own
LAST_WITH_LAMP_FACTOR = 1991
LAST_RESERVED = 2002
KINDS: dict[int, Kind] = {1: "C", 2: "B", 3: "A"}
MOST_TILTS = 1000
MOST_LAMPS = 10_000
MOST_FACTOR = 1e6
MOST_WATTS = 1e6
# What a file tells about itself is kept to this many keywords of this many letters.
MOST_KEYWORDS, MOST_LETTERS = 100, 300
NAMES = ("LUMINAIRE", "LUMCAT", "OTHER", "TEST")
_HEADER = re.compile(r"(?:IESNA:?(\d\d)|IES(?:NA)?:?LM-?63-?(\d{2,4}))(?!\d)")
_TILT = re.compile(r"\s*TILT\s*=(.*)", re.IGNORECASE)
_KEYWORD = re.compile(r"\s*\[([^\]]{1,60})\](.*)")


def read_ies(data: bytes, read_tilt: Callable[[str], bytes] | None = None) -> Photometry:
    r"""Intensities of a luminaire from a file of the form IES LM-63.

    Parameters
    ----------
    data : bytes
        The file: editions of 1986, 1991, 1995, 2002 or 2019. [-]
    read_tilt : callable, optional
        Gets the name after ``TILT=`` and returns that file's bytes, or raises OSError. Without it a file that names
        another is refused. [-]

    Returns
    -------
    photometry : Photometry
        The whole table as type C, candela of the whole luminaire. [cd]

    Raises
    ------
    PhotometryError
        With every problem found. Nothing else is raised, whatever the bytes.

    Notes
    -----
    Candela are those of the table times the multiplier times the ballast factor. The number after the ballast factor
    is a ballast-lamp photometric factor up to 1991 and multiplies too. From 1995 on it is reserved, in 2019 it says
    how the file was made: it does not multiply. (From memory; the `ies2rad` program of the light simulation Radiance
    does the same for each edition, which a test holds.)

    The lamps' table over tilt is kept and not used: it is 1 for a luminaire that is not tilted.

    Examples
    --------
    A lamp that sends 100 cd everywhere below it and nothing above:

    >>> text = "TILT=NONE\n1 -1 1 2 1 1 2 0 0 0\n1 1 5\n0 90\n0\n100 100\n"
    >>> read_ies(text.encode()).intensity_at([[0, 0, -1.0], [0, 0, 1.0]]).tolist()
    [100.0, 0.0]

    References
    ----------
    .. [1] ANSI/IESNA LM-63-02, *Standard File Format for the Electronic Transfer of Photometric Data*: order of the
       fields; what the other editions do differently is from memory.
    """
    findings = Findings()
    lines = lines_of(data)
    tilt_line = next((k for k, line in enumerate(lines) if _TILT.match(line)), len(lines))
    if tilt_line == len(lines):
        needed = "a line TILT=NONE, TILT=INCLUDE or TILT= and a file's name, before the numbers"
        findings.add(0, "lamp tilt", "no line that begins with TILT=", needed)
        findings.stop_if_any()
    edition = _edition(findings, lines[:tilt_line])
    name, keywords = _words(lines[:tilt_line], headed=edition != 1986)
    numbers = Numbers(findings, lines, tilt_line + 1)
    tilt, photometry = None, None
    try:
        tilt = _tilt(findings, lines[tilt_line], tilt_line + 1, numbers, read_tilt)
        photometry = _luminaire(findings, numbers, edition)
    except Ended:
        pass  # and what ended it is among the problems
    findings.stop_if_any()
    assert photometry is not None
    return replace(photometry, name=name, keywords=keywords, tilt=tilt, notes=tuple(findings.notes))


def is_ies(data: bytes) -> bool:
    """Whether a file is of the form IES LM-63, well made or not, by what only that form has.

    Parameters
    ----------
    data : bytes
        The file. [-]

    Returns
    -------
    ies : bool
        True where a line begins with ``TILT=``, or the first one names an edition. [-]

    Raises
    ------
    PhotometryError
        If it is too large, or empty.
    """
    lines = lines_of(data)
    first = next(line for line in lines if line.strip())
    return bool(_HEADER.match("".join(first.split()).upper())) or any(_TILT.match(line) for line in lines)


def _edition(findings: Findings, lines: Sequence[str]) -> int:
    """Year of the edition by the first line that says anything."""
    at, line = next(((k, line) for k, line in enumerate(lines, 1) if line.strip()), (0, ""))
    found = _HEADER.match("".join(line.split()).upper())
    if not found:
        return 1986
    digits = found[1] or found[2]
    year = int(digits) if len(digits) == 4 else int(digits) + (1900 if int(digits) > 50 else 2000)
    if year not in (1986, *EDITIONS):
        known = "IESNA91, IESNA:LM-63-1995, IESNA:LM-63-2002 or IES:LM-63-2019"
        findings.add(
            at, "edition", line, known, "ask for the file in the form of 2002: every program writes it"
        )
        return EDITIONS[-1]
    return year


def _words(lines: Sequence[str], *, headed: bool) -> tuple[str, tuple[tuple[str, str], ...]]:
    """Name of the luminaire, and keywords with their texts; lines of [MORE] are joined to what they go on from."""
    words: list[tuple[str, str]] = []
    labels: list[str] = []
    for line in lines:
        found = _KEYWORD.match(line)
        if not found:
            labels += [line] if line.strip() else []
            continue
        key, text = shown(found[1], 60).upper(), found[2]
        if key == "MORE" and words:
            words[-1] = (words[-1][0], f"{words[-1][1]} {text}"[: 2 * MOST_LETTERS])
        elif len(words) < MOST_KEYWORDS:
            words.append((key, text))
    kept = tuple((key, shown(text, MOST_LETTERS)) for key, text in words)
    by_key = {key: text for key, text in reversed(kept) if text}
    label = shown(" ".join(labels[1 if headed else 0 :][:1]), MOST_LETTERS)
    return next((by_key[key] for key in NAMES if key in by_key), label), kept


def _tilt(
    findings: Findings, line: str, at: int, numbers: Numbers, read_tilt: Callable[[str], bytes] | None
) -> LampTilt | None:
    found = _TILT.match(line)
    wanted = found[1].strip().strip("\"'").strip() if found else ""
    if wanted.upper() == "NONE":
        return None
    if wanted.upper() == "INCLUDE":
        return _tilt_table(findings, numbers)
    if not wanted:
        findings.add(at, "lamp tilt", line, "TILT=NONE, TILT=INCLUDE or TILT= and a file's name")
        return None
    if read_tilt is None:
        fix = "write TILT=NONE if the lamp hangs as it was measured, or TILT=INCLUDE and that file's four lines here"
        findings.add(at, "lamp tilt", line, "the lamp's table within this file", fix)
        return None
    inner = Findings()
    try:
        tilt = _tilt_table(inner, Numbers(inner, lines_of(read_tilt(wanted)), 0))
    except OSError as error:
        findings.add(at, "lamp tilt", line, f"a file that can be read; {error.strerror or 'it could not'}")
        return None
    except PhotometryError as error:
        inner.problems += error.problems
        tilt = None
    except Ended:
        tilt = None
    for problem in inner.problems:
        what = f"{problem.what} (line {problem.line} of {shown(wanted, 60)})"
        findings.add(at, what, problem.wrote, problem.needed, problem.fix)
    return tilt


def _tilt_table(findings: Findings, numbers: Numbers) -> LampTilt | None:
    geometry = numbers.whole("lamp-to-luminaire geometry", 1, 3)
    count = numbers.whole("number of tilt angles", 1, MOST_TILTS)
    if count is None:
        raise Ended  # where the table ends cannot be told
    angles, lines = numbers.some("tilt angles", count, "degrees from 0 to 180")
    factors = [
        numbers.one("tilt factors", f"a number from 0 to {MOST_FACTOR:,.0f}", lambda x: 0 <= x <= MOST_FACTOR)
        for _ in range(count)
    ]
    good = find_unrising(findings, "tilt angles", angles, lines, 0.0, 180.0)
    return LampTilt(geometry, tuple(map(radians, angles)), tuple(factors)) if good and geometry else None


def _luminaire(findings: Findings, numbers: Numbers, edition: int) -> Photometry | None:
    """What the numbers after the tilt say; None where a problem was found."""
    lamps = numbers.whole("number of lamps", 1, MOST_LAMPS)
    lumens = numbers.one(
        "lumens per lamp",
        f"-1 for absolute photometry, or up to {MOST_LUMENS:,.0f} lm",
        lambda x: x == -1 or 0 <= x <= MOST_LUMENS,
    )
    needed = f"above 0, at most {MOST_FACTOR:,.0f}"
    multiplier = numbers.one("candela multiplier", needed, lambda x: 0 < x <= MOST_FACTOR)
    n_vertical = numbers.whole("number of vertical angles", 2, MOST_INTENSITIES)
    n_horizontal = numbers.whole("number of horizontal angles", 1, MOST_INTENSITIES)
    kind = numbers.whole("photometric type (1 is C, 2 is B, 3 is A)", 1, 3)
    units = numbers.whole("units (1 is feet, 2 is metres)", 1, 2)
    metre = FOOT if units == 1 else 1.0
    sizes = [_size(numbers, name, metre) for name in ("width", "length", "height")]
    ballast = numbers.one("ballast factor", needed, lambda x: 0 < x <= MOST_FACTOR)
    further = _further(findings, numbers, edition)
    watts = numbers.one("input watts", f"0 to {MOST_WATTS:,.0f} W", lambda x: 0 <= x <= MOST_WATTS)
    if n_vertical is None or n_horizontal is None:
        raise Ended  # where the angles end cannot be told
    if n_vertical * n_horizontal > MOST_INTENSITIES:
        wrote = f"{n_vertical:,} x {n_horizontal:,}"
        findings.add(0, "size of the table", wrote, f"at most {MOST_INTENSITIES:,} intensities")
        raise Ended
    vertical = numbers.some("vertical angles", n_vertical, "degrees")
    horizontal = numbers.some("horizontal angles", n_horizontal, "degrees")
    factor = multiplier * ballast * further
    most = MOST_CANDELA / factor if factor > 0 else MOST_CANDELA
    table = numbers.table("intensities", (n_horizontal, n_vertical), most)
    _note_rest(findings, numbers)
    if kind is None or lamps is None:
        return None
    planes = planes_of(findings, KINDS[kind], vertical, horizontal, factor * table)
    if not findings.problems and (planes is None or not bool((planes[2] > 0).any())):
        findings.add(0, "intensities", "0 everywhere", "one above 0")
    if findings.problems or planes is None:
        return None
    absolute = lumens <= 0
    if lumens == 0:
        findings.notes.append("Lumens of the lamp are given as 0: taken as absolute photometry.")
    return Photometry(
        *planes,
        opening=opening_of(*sizes),
        stated_lumens=None if absolute else lamps * lumens,
        absolute=absolute,
        watts=watts or None,
        lamps=lamps,
        kind=KINDS[kind],
        form=f"IES LM-63-{edition}",
    )


def _size(numbers: Numbers, name: str, metre: float) -> float:
    needed = f"at most {MOST_METRES / metre:.0f} in the units of the file"
    return metre * numbers.one(f"{name} of the opening", needed, lambda x: abs(x) * metre <= MOST_METRES)


def _further(findings: Findings, numbers: Numbers, edition: int) -> float:
    """Factor in the place after the ballast factor, by edition."""
    if edition <= LAST_WITH_LAMP_FACTOR:
        needed = f"above 0, at most {MOST_FACTOR:,.0f}"
        return numbers.one("ballast-lamp photometric factor", needed, lambda x: 0 < x <= MOST_FACTOR)
    kept = edition <= LAST_RESERVED
    value = numbers.one(
        "place for future use" if kept else "file generation type", "a number", lambda _: True
    )
    if kept and value != 1:
        findings.notes.append(f"The place kept for future use holds {value:g}; it multiplies nothing.")
    return 1.0


def _note_rest(findings: Findings, numbers: Numbers) -> None:
    rest, line = numbers.left()
    if rest:
        s = "" if rest == 1 else "s"
        findings.notes.append(
            f"{rest:,} word{s} after the last intensity, from line {line} on, were left out."
        )
