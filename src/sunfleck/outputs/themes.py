"""Colours, type sizes and line patterns of the pictures."""

from __future__ import annotations

from dataclasses import dataclass

# Perceptually uniform, and close to the same for people who see red and green alike.
FIELD_COLOURS = "cividis"

# Type sizes. At 390 px width a page of 4.8 in shows 1 pt as 1.13 px. [pt]
TITLE = 14.0
HEADING = 10.5
TEXT = 9.0
SMALL = 8.0

Dashes = tuple[float, tuple[float, ...] | None]
# Patterns, not colours, tell the targets apart. [pt]
FLOOR_DASHES: Dashes = (0.0, (7.0, 3.0))
COMFORT_DASHES: Dashes = (0.0, (5.0, 1.6, 1.3, 1.6, 1.3, 1.6))
CEILING_DASHES: Dashes = (0.0, (1.4, 1.6))


@dataclass(frozen=True, slots=True)
class Theme:
    """One set of colours.

    Attributes
    ----------
    paper, ink, quiet, hair : str
        Ground, text, lesser text, hairlines.
    solid : str
        Places inside something solid.
    mark, casing : str
        Lines over the field, and the wider line below them that keeps them visible everywhere.
    band : str
        The range beside an expected line.
    """

    paper: str
    ink: str
    quiet: str
    hair: str
    solid: str
    mark: str
    casing: str
    band: str


LIGHT = Theme(
    paper="#fbfaf6",
    ink="#23271f",
    quiet="#5f645a",
    hair="#d4d1c6",
    solid="#c9c6bb",
    mark="#ffffff",
    casing="#14202b",
    band="#b9c3cf",
)
DARK = Theme(
    paper="#15181b",
    ink="#ebe8df",
    quiet="#a5aaa2",
    hair="#3a4044",
    solid="#343a3e",
    mark="#ffffff",
    casing="#0b1016",
    band="#46525f",
)


def theme(*, dark: bool) -> Theme:
    """Return the colours for paper or for a dim room."""
    return DARK if dark else LIGHT
