"""Bytes of a photometric file as lines and numbers, and everything in them that cannot be read."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from math import isfinite, isnan

from sunfleck.errors import FileProblem, PhotometryError

MOST_BYTES = 2_000_000
MOST_INTENSITIES = 100_000
# More than this many problems are counted, not told: the tenth of a kind teaches nothing.
TOLD = 20
# A word longer than this is not one a person reads to the end.
SHOWN = 60
# More than any lamp on earth: what passes this is a slipped digit or unit.
MOST_CANDELA = 1e10
MOST_LUMENS = 1e9
MOST_METRES = 100.0
# The least step between two angles of a table. [deg]
LEAST_STEP = 1e-3

_LINE_END = re.compile(r"\r\n|\r|\n")
# DOS ended a text with this sign; what comes after it was never part of the text.
_END_OF_TEXT = "\x1a"
# No `nan`, no `inf`, no `1_000`: what float() reads beyond numbers of the formats. Old programs write D exponents.
_NUMBER = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eEdD][+-]?\d{1,3})?", re.ASCII)
_UNSHOWABLE = re.compile(
    "[\x00-\x1f\x7f-\x9f\u2028\u2029\u200e\u200f\u202a-\u202e\u2066-\u2069\ud800-\udfff\ufeff]+"
)


@dataclass
class Findings:
    """What was found wrong with a file so far, and what was assumed.

    Attributes
    ----------
    problems : list of FileProblem
        Those that will be told.
    more : int
        How many others there are.
    notes : list of str
        What was assumed or left out.
    """

    problems: list[FileProblem] = field(default_factory=list)
    more: int = 0
    notes: list[str] = field(default_factory=list)

    def add(self, line: int, what: str, wrote: str, needed: str, fix: str | None = None) -> None:
        """Put down a problem; what was written is shortened and made showable."""
        if len(self.problems) < TOLD:
            self.problems.append(FileProblem(line, what, shown(wrote, SHOWN) or "nothing", needed, fix))
        else:
            self.more += 1

    def stop_if_any(self) -> None:
        """Raise PhotometryError when a problem was found."""
        if self.problems:
            raise PhotometryError(self.problems, more=self.more)


def lines_of(data: bytes) -> list[str]:
    """Lines of a text file in any of the encodings photometric files come in.

    Parameters
    ----------
    data : bytes
        The file. [-]

    Returns
    -------
    lines : list of str
        Without their ends; without what follows the sign that ends a text in DOS. [-]

    Raises
    ------
    PhotometryError
        If the file is larger than 2 MB, or holds nothing but space.
    """
    findings = Findings()
    if len(data) > MOST_BYTES:
        fix = "check that this is a photometric file: they have some tens of kilobytes"
        findings.add(0, "size", f"{len(data):,} bytes", f"at most {MOST_BYTES:,} bytes", fix)
        findings.stop_if_any()
    text = _decoded(data).split(_END_OF_TEXT, 1)[0]
    if not text.strip():
        findings.add(0, "content", "nothing", "the text of an IES LM-63 or EULUMDAT file")
        findings.stop_if_any()
    return _LINE_END.split(text)


def number_of(word: str) -> float | None:
    """Number that a word of a file is, or None.

    Parameters
    ----------
    word : str
        Without space around it; the decimal sign is a point. [-]

    Returns
    -------
    number : float or None
        None where it is no finite decimal number. [-]
    """
    if not _NUMBER.fullmatch(word):
        return None
    number = float(word.replace("d", "e").replace("D", "e"))
    return number if isfinite(number) else None


def shown(text: str, most: int) -> str:
    """Text of a file on one line, fit to be shown.

    Parameters
    ----------
    text : str
        As it stands in the file. [-]
    most : int
        How many letters are shown. [-]

    Returns
    -------
    text : str
        Signs that would break a line or turn the text around are spaces; what is too long ends in three dots. [-]
    """
    line = " ".join(_UNSHOWABLE.sub(" ", text[: 8 * most]).split())
    return line if len(line) <= most else line[: most - 3].rstrip() + "..."


def find_unrising(
    findings: Findings, what: str, angles: list[float], lines: list[int], low: float, high: float
) -> bool:
    """Whether angles rise within a range; where they do not, each is put down.

    Parameters
    ----------
    findings : Findings
        Gets what is wrong. [-]
    what : str
        Which angles they are. [-]
    angles : list of float
        In the file's order. [deg]
    lines : list of int
        Line of each. [-]
    low, high : float
        The range. [deg]

    Returns
    -------
    good : bool
        True where nothing was wrong. [-]
    """
    good, last = True, low - 2 * LEAST_STEP
    for angle, line in zip(angles, lines, strict=True):
        if isnan(angle):
            good = False  # put down already as no number
        elif not low <= angle <= high:
            findings.add(line, what, f"{angle:g}", f"degrees from {low:g} to {high:g}")
            good = False
        else:
            if angle < last + LEAST_STEP:
                findings.add(line, what, f"{angle:g}", f"rising angles: more than the {last:g} before it")
                good = False
            last = angle
    return good


def _decoded(data: bytes) -> str:
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return data.decode("utf-16", errors="replace")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        # Every byte is a letter of Latin-1; a mark of UTF-8 before such a text is none of its letters.
        return data.removeprefix(b"\xef\xbb\xbf").decode("latin-1")
