"""A panel as boxes at its final place, and what straight cuts leave of it: pieces, seams, trimmed edges."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sunfleck.errors import DomainError
from sunfleck.geometry.passage.bodies import Body, block, relief

Floats = NDArray[np.float64]
CutKind = Literal["uncut", "one cut", "parallel cuts", "T", "cross", "several cuts"]
Rectangle = tuple[float, float, float, float]

# Shorter or narrower leftovers of a box are sawdust. [m]
SLIVER = 1e-6


@dataclass(frozen=True, slots=True)
class Line:
    """A line along which a cut is not seen, or follows the panel's own relief.

    Attributes
    ----------
    axis : int
        0, 1, 2: the cut stands square to the enclosure's x, y or z.
    at : float
        Where, along that axis. [m]
    reason : str
        Why there, in words: ``behind the main limb``.
    """

    axis: int
    at: float
    reason: str


@dataclass(frozen=True, slots=True)
class Seam:
    """A cut, as long as it is.

    Attributes
    ----------
    axis : int
        It stands square to this axis of the enclosure.
    at : float
        Its middle along that axis. [m]
    first, last : float
        From where to where it runs, along the panel's other axis. [m]
    reason : str
        Why there; "" where nothing hides it.
    """

    axis: int
    at: float
    first: float
    last: float
    reason: str

    @property
    def length(self) -> float:
        """How much there is to seal. [m]"""
        return self.last - self.first


@dataclass(frozen=True, slots=True)
class Panel:
    """A flat thing at its final place.

    Attributes
    ----------
    boxes : (k, 2, 3) float
        Low and high corners in the enclosure's coordinates. [m]
    normal : int
        Axis it is thin along.
    """

    boxes: Floats
    normal: int

    @property
    def plane(self) -> tuple[int, int]:
        """The two axes it lies along."""
        first, second = (axis for axis in range(3) if axis != self.normal)
        return first, second

    @property
    def bounds(self) -> Floats:
        """Low and high corner of all of it (2, 3). [m]"""
        return np.array([self.boxes[:, 0].min(axis=0), self.boxes[:, 1].max(axis=0)])

    @property
    def rectangle(self) -> Rectangle:
        """From, to along its first axis, from, to along its second. [m]"""
        (a, b), ends = self.plane, self.bounds
        return float(ends[0, a]), float(ends[1, a]), float(ends[0, b]), float(ends[1, b])

    def within(self, rectangle: Rectangle) -> Floats:
        """Boxes (k, 2, 3) of what lies within a rectangle of its plane; none where nothing does. [m]"""
        clipped = self.boxes.copy()
        for axis, low, high in zip(self.plane, rectangle[::2], rectangle[1::2], strict=True):
            clipped[:, :, axis] = np.clip(clipped[:, :, axis], low, high)
        return clipped[((clipped[:, 1] - clipped[:, 0]) > SLIVER).all(axis=1)]


def panel_of(boxes: ArrayLike, normal: int | None = None) -> Panel:
    """A panel, plain or with relief.

    Parameters
    ----------
    boxes : (k, 2, 3) float
        Low and high corner of each of its blocks, at its final place in the enclosure's coordinates. [m]
    normal : int, optional
        Axis it is thin along; where it is least when left out. [-]

    Returns
    -------
    panel : Panel
        The same as arrays.

    Raises
    ------
    DomainError
        If there is no block, or one has no extent.
    """
    corners = np.asarray(boxes, dtype=np.float64)
    if (
        corners.ndim != 3
        or corners.shape[1:] != (2, 3)
        or len(corners) == 0
        or not bool((np.isfinite(corners[:, 0]) & (corners[:, 1] > corners[:, 0])).all())
    ):
        msg = f"a panel needs blocks with a low and a high corner above it; got shape {corners.shape}"
        raise DomainError(msg)
    if normal is None:
        normal = int(np.argmin(corners[:, 1].max(axis=0) - corners[:, 0].min(axis=0)))
    return Panel(corners, normal)


def in_one_piece(boxes: Floats) -> bool:
    """Whether boxes hang together: each shares a face with another, and so on to all.

    Parameters
    ----------
    boxes : (k, 2, 3) float
        Low and high corners. [m]

    Returns
    -------
    one : bool
        False where there is none.
    """
    if len(boxes) == 0:
        return False
    reached, waiting = {0}, [0]
    while waiting:
        here = boxes[waiting.pop()]
        shared = np.minimum(here[1], boxes[:, 1]) - np.maximum(here[0], boxes[:, 0])
        beside = (shared > -SLIVER).all(axis=1) & ((shared > SLIVER).sum(axis=1) >= 2)
        new = set(np.flatnonzero(beside).tolist()) - reached
        reached |= new
        waiting += sorted(new)
    return len(reached) == len(boxes)


def body_of(boxes: Floats) -> tuple[Body, Floats]:
    """The rigid body of a piece, and where its own origin lies at its place.

    Parameters
    ----------
    boxes : (k, 2, 3) float
        At its place. [m]

    Returns
    -------
    body : Body
        About the middle of the box round it, unturned.
    middle : (3,) float
        That middle, in the enclosure's coordinates. [m]
    """
    middle = (boxes[:, 0].min(axis=0) + boxes[:, 1].max(axis=0)) / 2
    if len(boxes) == 1:
        return block(boxes[0, 1] - boxes[0, 0]), middle
    return relief(boxes - middle), middle


def relief_lines(panel: Panel, reason: str = "along the edge of its relief") -> tuple[Line, ...]:
    """Lines along which a panel's own relief begins or ends.

    Parameters
    ----------
    panel : Panel
        With relief; a plain one has no such line. [-]
    reason : str
        What is said of them. [-]

    Returns
    -------
    lines : tuple of Line
        Every height and width at which one of its blocks begins or ends within it.
    """
    found = []
    rectangle = panel.rectangle
    for axis, low, high in zip(panel.plane, rectangle[::2], rectangle[1::2], strict=True):
        ends = np.unique(np.round(panel.boxes[:, :, axis].ravel(), 6))
        found += [Line(axis, float(at), reason) for at in ends if low + SLIVER < at < high - SLIVER]
    return tuple(found)


def trimmed(panel: Panel, inside: ArrayLike, edge: float) -> Panel:
    """The panel with its edges taken back from the walls beside it.

    Parameters
    ----------
    panel : Panel
        At its place. [-]
    inside : (3,) float
        Extent of the box inside. [m]
    edge : float
        What stays free between each edge and the wall beside it, to be sealed. [m]

    Returns
    -------
    panel : Panel
        The same where no edge is nearer than that to a wall.
    """
    extent = np.asarray(inside, dtype=np.float64)
    a, b = panel.plane
    boxes = panel.within((edge, float(extent[a]) - edge, edge, float(extent[b]) - edge))
    return Panel(boxes, panel.normal) if len(boxes) else panel


def kind_of(seams: Sequence[Seam]) -> CutKind:
    """Name what the cuts look like.

    Parameters
    ----------
    seams : sequence of Seam
        All of them, those in one line joined. [-]

    Returns
    -------
    kind : str
        In a builder's word.
    """
    if len(seams) <= 1:
        return "one cut" if seams else "uncut"
    if len({seam.axis for seam in seams}) == 1:
        return "parallel cuts"
    if len(seams) > 2:
        return "several cuts"
    one, other = seams
    crossing = one.first < other.at < one.last and other.first < one.at < other.last
    return "cross" if crossing else "T"


def joined(seams: Sequence[Seam], gap: float) -> tuple[Seam, ...]:
    """Seams in one line that meet are one.

    Parameters
    ----------
    seams : sequence of Seam
        As cut. [-]
    gap : float
        Width of a seam: two that end on both sides of another are that far apart. [m]

    Returns
    -------
    seams : tuple of Seam
        In order of axis and place.
    """
    out: list[Seam] = []
    for seam in sorted(seams, key=lambda s: (s.axis, s.at, s.first)):
        before = out[-1] if out else None
        if (
            before is not None
            and before.axis == seam.axis
            and abs(before.at - seam.at) < SLIVER
            and seam.first - before.last <= gap + SLIVER
        ):
            out[-1] = Seam(seam.axis, before.at, before.first, seam.last, before.reason)
        else:
            out.append(seam)
    return tuple(out)
