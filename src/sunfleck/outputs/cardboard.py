"""Templates to try with cardboard before ordering: the part laid flat, and the opening it must go through."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sunfleck.geometry.passage.bodies import Body
from sunfleck.geometry.passage.flat import FlatFace, flat_face, goes_first
from sunfleck.geometry.passage.layers import NORMALS, Opening
from sunfleck.geometry.passage.motion import Motion
from sunfleck.geometry.passage.stage import Stage
from sunfleck.outputs.step_words import length_words
from sunfleck.units import System, format_quantity

Floats = NDArray[np.float64]

MILLIMETRES = 1000.0
# Letters and arms of the marks. [mm]
LETTERS = 6.0
ARM = 8.0
# A corner mark for each corner of an outline with no more corners than this.
MOST_CORNERS = 16
ARROW = 60.0  # how far the arrow onto what goes in first reaches in [mm]
# What is drawn larger by less is not told. [m]
TOLD = 2e-4


@dataclass(frozen=True, slots=True)
class DrawnLine:
    """A line of a template.

    Attributes
    ----------
    points : (n, 2) float
        Its corners. [mm]
    cut : bool
        To be cut along; otherwise a mark.
    closed : bool
        Its last corner is joined to its first.
    """

    points: Floats
    cut: bool
    closed: bool


@dataclass(frozen=True, slots=True)
class DrawnWords:
    """Words on a template, beginning at a place. [mm]"""

    at: tuple[float, float]
    words: str


@dataclass(frozen=True, slots=True)
class Template:
    """A full-size drawing.

    Attributes
    ----------
    title : str
        What it is of.
    told : tuple of str
        Sentences for the page plan.
    lines : tuple of DrawnLine
        True to size, from zero to the right and up. [mm]
    words : tuple of DrawnWords
        Beside them.
    """

    title: str
    told: tuple[str, ...]
    lines: tuple[DrawnLine, ...]
    words: tuple[DrawnWords, ...]

    @property
    def size(self) -> tuple[float, float]:
        """Width and height of its lines. [mm]"""
        points = np.concatenate([line.points for line in self.lines])
        width, height = np.ptp(points, axis=0)
        return float(width), float(height)


def part_template(
    name: str, body: Body, system: System, stage: Stage, motion: Motion | None = None
) -> Template:
    """Lay a part flat, full size.

    Parameters
    ----------
    name : str
        The part's. [-]
    body : Body
        Its shape. [-]
    system : str
        ``metric`` or ``us``, for what is said. [-]
    stage : Stage
        The box it goes into. [m]
    motion : Motion, optional
        How it goes in: its first edge is marked. [m]

    Returns
    -------
    template : Template
        Its largest face: the outline to cut, the edges of its relief as marks.
    """
    face = flat_face(body)
    lines = [DrawnLine(line * MILLIMETRES, cut=True, closed=True) for line in face.outline]
    lines += [DrawnLine(line * MILLIMETRES, cut=False, closed=True) for line in face.within]
    for outline in face.outline:
        if len(outline) <= MOST_CORNERS:
            lines += [mark for corner in outline for mark in _cross(corner * MILLIMETRES)]
    width, height = face.size
    told = [f"{length_words(width, system)} x {length_words(height, system)}, seen on its largest face."]
    words = [DrawnWords((12.0, 12.0), name)]
    thick = float(np.ptp(body.outer.nodes @ np.cross(*face.axes)) + 2 * body.outer.radius.max())
    told.append(
        f"The part is {length_words(thick, system)} thick; the cardboard is not: glue blocks on for a true try."
    )
    if face.larger > TOLD:
        larger = format_quantity(face.larger, "length", system, 2)
        told.append(f"Round things stand as polygons round them: up to {larger} larger than the part.")
    if motion is not None and len(motion) > 1:
        first = _first_mark(face, body, motion, stage)
        if first is None:
            told.append("It goes in with this face first.")
        else:
            lines += first[0]
            words.append(first[1])
            told.append("The arrow marks what goes in first.")
    return Template(f"{name}, full size", tuple(told), tuple(lines), tuple(words))


def opening_template(stage: Stage, opening: Opening, clearance: float, system: System) -> Template:
    """Draw an opening, full size, for a frame of cardboard.

    Parameters
    ----------
    stage : Stage
        The box. [m]
    opening : Opening
        One of its. [m]
    clearance : float
        What must stay free on every side. [m]
    system : str
        ``metric`` or ``us``, for what is said. [-]

    Returns
    -------
    template : Template
        The hole to cut, smaller by the clearance on every side, in the clear opening; as seen from outside.
    """
    width, height = (float(each) * MILLIMETRES for each in opening.size)
    less = clearance * MILLIMETRES
    told = [
        f"Clear opening {length_words(opening.size[0], system)} x {length_words(opening.size[1], system)}, as seen from outside."
    ]
    free = [less, less, width - less, height - less]  # left, low, right, high
    lines = [DrawnLine(_rectangle(0.0, 0.0, width, height), cut=False, closed=True)]
    words = []
    leaf = opening.leaf
    if leaf is not None:
        side = {"left": 0, "bottom": 1, "right": 2, "top": 3}[leaf.hinge]
        taken = leaf.thickness * MILLIMETRES
        free[side] += taken if side < 2 else -taken
        at = taken if side < 2 else (width, height)[side - 2] - taken
        ends = [[at, 0.0], [at, height]] if side in (0, 2) else [[0.0, at], [width, at]]
        lines.append(DrawnLine(np.array(ends), cut=False, closed=False))
        told.append(
            f"Hinge on the {leaf.hinge}: the open leaf takes {length_words(leaf.thickness, system)} of it."
        )
    if free[2] - free[0] > 0 and free[3] - free[1] > 0:
        lines.append(DrawnLine(_rectangle(*free), cut=True, closed=True))
        told.append(
            f"Cut along the inner line: it leaves {length_words(clearance, system)} free on every side."
        )
    else:
        told.append(
            f"With {length_words(clearance, system)} free on every side nothing of it is left to cut out."
        )
    words.append(
        DrawnWords((free[0] + 12.0, max(free[1], 0.0) + 12.0), f"{opening.name}: opening, cut out inside")
    )
    lines += [mark for corner in _rectangle(0.0, 0.0, width, height) for mark in _cross(corner)]
    told.append("Leave a rim of cardboard of a hand's width outside the outer line.")
    return Template(
        f"{opening.name}, opening in the {stage.face}, full size", tuple(told), tuple(lines), tuple(words)
    )


def side_by_side(templates: Sequence[Template], gap: float = 60.0) -> Template:
    """Return some templates as one, beside each other. [mm]"""
    lines: list[DrawnLine] = []
    words: list[DrawnWords] = []
    left = 0.0
    for template in templates:
        points = np.concatenate([line.points for line in template.lines])
        by = np.array([left, 0.0]) - points.min(axis=0)
        lines += [DrawnLine(line.points + by, line.cut, line.closed) for line in template.lines]
        words += [DrawnWords((each.at[0] + by[0], each.at[1] + by[1]), each.words) for each in template.words]
        left += template.size[0] + gap
    title = "; ".join(template.title for template in templates)
    return Template(
        title, tuple(told for each in templates for told in each.told), tuple(lines), tuple(words)
    )


def _rectangle(left: float, low: float, right: float, high: float) -> Floats:
    return np.array([[left, low], [right, low], [right, high], [left, high]])


def _cross(at: Floats) -> list[DrawnLine]:
    x, y = at
    arms = (((x - ARM, y), (x + ARM, y)), ((x, y - ARM), (x, y + ARM)))
    return [DrawnLine(np.array(arm, dtype=np.float64), cut=False, closed=False) for arm in arms]


def _first_mark(
    face: FlatFace, body: Body, motion: Motion, stage: Stage
) -> tuple[list[DrawnLine], DrawnWords] | None:
    """An arrow onto the edge that goes in first, from within, and its words."""
    inwards = np.array(NORMALS[stage.face], dtype=np.float64)
    front = float((stage.hole(stage.openings[0]) @ inwards).min())
    ahead = goes_first(motion, body, face, inwards, front)
    if ahead is None:
        return None
    outline = np.concatenate(face.outline) * MILLIMETRES
    far = outline @ ahead
    # Of an edge that is square to the way in both ends are farthest: its middle.
    farthest = outline[far > far.max() - 0.02 * max(float(np.ptp(far)), 1e-6)]
    tip = farthest.mean(axis=0)
    side = "corner" if len(farthest) == 1 else "edge"
    long = min(ARROW, 0.4 * float(np.ptp(far)))
    across = np.array([-ahead[1], ahead[0]])
    foot, barb = tip - long * ahead, tip - 0.25 * long * ahead
    lines = [DrawnLine(np.array([foot, tip]), cut=False, closed=False)]
    lines += [
        DrawnLine(np.array([barb + s * 0.12 * long * across, tip]), cut=False, closed=False)
        for s in (1.0, -1.0)
    ]
    size = outline.max(axis=0)
    at = np.clip(foot + 4.0 * across, [4.0, 4.0], np.maximum(size - [90.0, 10.0], 4.0))
    return lines, DrawnWords((float(at[0]), float(at[1])), f"this {side} goes in first")
