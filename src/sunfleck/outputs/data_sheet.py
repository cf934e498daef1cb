"""One library entry as a sheet to print: every value with how well it is known, and its source below it."""

from __future__ import annotations

from dataclasses import dataclass
from io import BytesIO
from textwrap import wrap
from typing import TYPE_CHECKING

from sunfleck.library.browse import Found
from sunfleck.outputs.drawing_library import drawing_settings
from sunfleck.outputs.library_words import field_words, value_text
from sunfleck.outputs.page import LEADING, LETTER, POINTS
from sunfleck.outputs.themes import LIGHT, SMALL, TEXT, TITLE
from sunfleck.units import System

if TYPE_CHECKING:
    from matplotlib.backends.backend_pdf import PdfPages

PAPERS = {"metric": (8.27, 11.69), "us": (8.5, 11.0)}  # A4 and letter [in]
MARGIN = 0.8  # [in]
VALUE_AT = 2.6  # [in] from the left
BASIS_AT = 5.9  # [in] from the left
FOOT = "Ranges in brackets hold nine of ten. What is from memory or common practice was measured by nobody for this sheet."


@dataclass(frozen=True)
class _Line:
    """A line of text at some columns, and the space above it. [in]"""

    parts: tuple[tuple[float, str], ...]
    size: float
    quiet: bool = False
    bold: bool = False
    above: float = 0.0
    keep: bool = False  # with the line after it

    @property
    def height(self) -> float:
        """Of the line with the space above it. [in]"""
        return self.size * LEADING / POINTS + self.above


def data_sheet(found: Found, system: System, stated: str) -> bytes:
    """Return an entry as PDF, on A4 paper or, in US units, on letter paper.

    Parameters
    ----------
    found : Found
        The entry.
    system : str
        ``metric`` or ``us``.
    stated : str
        What the foot of each page says of the program and the library.

    Returns
    -------
    content : bytes
        The file; the same for the same entry.
    """
    content = BytesIO()
    with drawing_settings():
        from matplotlib.backends.backend_pdf import PdfPages  # noqa: PLC0415  # an extra

        width, height = PAPERS[system]
        room = height - 2 * MARGIN - 0.4
        pages: list[list[_Line]] = [[]]
        used = 0.0
        lines = _lines(found, system, width)
        for k, line in enumerate(lines):
            together = line.height + (lines[k + 1].height if line.keep and k + 1 < len(lines) else 0.0)
            if used + together > room:
                pages.append([])
                used = 0.0
            pages[-1].append(line)
            used += line.height
        # No time stamp: the same entry gives the same file.
        with PdfPages(content, metadata={"Title": found.name, "CreationDate": None}) as pdf:
            for number, page in enumerate(pages, start=1):
                _page(pdf, page, (width, height), f"{stated}; page {number} of {len(pages)}")
    return content.getvalue()


def _lines(found: Found, system: System, width: float) -> list[_Line]:
    lines = [
        _Line(((0.0, f"{found.section}/{found.id}"),), SMALL, quiet=True, keep=True),
        *(
            _Line(((0.0, part),), TITLE, bold=True, keep=True)
            for part in _broken(found.name, TITLE * 1.1, width)
        ),
    ]
    for field, value in found.values.items():
        words = field_words(field) + (f", {value.measured_with}" if value.measured_with else "")
        shown = _broken(value_text(found.section, field, value, system), TEXT, VALUE_AT, BASIS_AT)
        name = _broken(words, TEXT, 0.0, VALUE_AT)
        for k in range(max(len(shown), len(name))):
            parts = [(0.0, name[k])] if k < len(name) else []
            parts += [(VALUE_AT, shown[k])] if k < len(shown) else []
            parts += [(BASIS_AT - MARGIN / 2, value.basis)] if k == 0 else []
            lines.append(_Line(tuple(parts), TEXT, above=0.07 if k == 0 else 0.0, keep=True))
        told = value.source + (f". But: {value.note}" if value.note else "")
        broken = _broken(told, SMALL, VALUE_AT, width - 2 * MARGIN)
        lines += [
            _Line(((VALUE_AT, part),), SMALL, quiet=True, keep=k + 1 < len(broken))
            for k, part in enumerate(broken)
        ]
    return lines


def _broken(words: str, size: float, left: float, right: float | None = None) -> list[str]:
    """Break words into lines that fit between two columns, or into a width. [in]"""
    room = left - 2 * MARGIN if right is None else right - left - 0.1
    return wrap(words, max(int(room * POINTS / (size * LETTER)), 8)) or [""]


def _page(pdf: PdfPages, lines: list[_Line], paper: tuple[float, float], foot: str) -> None:
    from matplotlib.backends.backend_agg import FigureCanvasAgg  # noqa: PLC0415  # an extra
    from matplotlib.figure import Figure  # noqa: PLC0415  # an extra

    width, height = paper
    figure = Figure(figsize=paper, facecolor="white")
    FigureCanvasAgg(figure)
    top = height - MARGIN
    for line in lines:
        top -= line.height
        for left, words in line.parts:
            figure.text(
                (MARGIN + left) / width,
                top / height,
                words,
                fontsize=line.size,
                color=LIGHT.quiet if line.quiet else LIGHT.ink,
                fontweight="bold" if line.bold else "normal",
                va="baseline",
            )
    for k, words in enumerate((FOOT, foot)):
        figure.text(
            MARGIN / width, (MARGIN - 0.25 - 0.16 * k) / height, words, fontsize=SMALL, color=LIGHT.quiet
        )
    pdf.savefig(figure, facecolor="white")
