"""A body laid flat: its largest face as lines in a plane, and which side of it goes in first."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sunfleck.errors import DomainError
from sunfleck.geometry.passage.bodies import Body
from sunfleck.geometry.passage.motion import Motion
from sunfleck.geometry.passage.rotations import matrix_of
from sunfleck.geometry.passage.silhouettes import hull, outline_of, pieces_of, shadows

Floats = NDArray[np.float64]

# The edges of more pieces within the outline would be a tangle.
MOST_PIECES = 40
# Less of the direction than this lies in the face: it goes in flat. [-]
FLAT = 0.25


@dataclass(frozen=True, slots=True)
class FlatFace:
    """The largest face of a body.

    Attributes
    ----------
    axes : (2, 3) float
        The body's own directions that lie to the right and up. [-]
    outline : tuple of (m, 2) float
        Closed lines round it; the lowest corner of all lies at zero. [m]
    within : tuple of (m, 2) float
        Closed lines round each of its pieces, such as the blocks of a relief. [m]
    larger : float
        So much wider or higher than the body the outline may be, where round things stand as polygons. [m]
    """

    axes: Floats
    outline: tuple[Floats, ...]
    within: tuple[Floats, ...]
    larger: float

    @property
    def size(self) -> tuple[float, float]:
        """Width and height. [m]"""
        high = np.concatenate(self.outline).max(axis=0)
        return float(high[0]), float(high[1])


def flat_face(body: Body) -> FlatFace:
    """Lay a body flat: seen along the one of its own axes along which it shows most.

    Parameters
    ----------
    body : Body
        What is laid flat. [-]

    Returns
    -------
    face : FlatFace
        With its longer side to the right.

    Raises
    ------
    DomainError
        If it shows no area from any of its own axes.
    """
    pieces = pieces_of(body)
    seen = {look: np.eye(3)[[k for k in range(3) if k != look]] for look in (2, 1, 0)}
    spans = {}
    for look, axes in seen.items():
        shown = shadows(pieces, *axes)
        spans[look] = _area(hull(np.concatenate(shown))) if shown else 0.0
    if max(spans.values()) <= 0.0:
        msg = "nothing to lay flat: the body has no area from any side"
        raise DomainError(msg)
    # Of faces alike the one across its own z, whatever the last binary digit says.
    axes = seen[max(spans, key=lambda look: (round(spans[look], 12), look))]
    lines = outline_of(shadows(pieces, axes[0], axes[1]))
    extent = np.ptp(np.concatenate(lines), axis=0)
    if extent[1] > extent[0]:
        # A quarter turn, no mirror image: what was up lies to the left.
        axes = np.array([axes[1], -axes[0]])
        lines = [np.column_stack([line[:, 1], -line[:, 0]]) for line in lines]
    low = np.concatenate(lines).min(axis=0)
    inner = np.concatenate(shadows(pieces_of(body, inner=True), axes[0], axes[1]) or [np.zeros((1, 2))])
    larger = np.ptp(np.concatenate(lines), axis=0) - np.ptp(inner, axis=0)
    within = shadows(pieces, axes[0], axes[1]) if 1 < len(pieces) <= MOST_PIECES else []
    return FlatFace(
        axes,
        tuple(line - low for line in lines),
        tuple(line - low for line in within),
        max(float(larger.max()), 0.0),
    )


def _area(line: Floats) -> float:
    x, y = line.T
    return float(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2


def goes_first(motion: Motion, body: Body, face: FlatFace, inwards: ArrayLike, front: float) -> Floats | None:
    """Direction on the flat face that goes into the box first.

    Parameters
    ----------
    motion : Motion
        In, in the enclosure's coordinates. [m]
    body : Body
        What moves. [-]
    face : FlatFace
        Of the body. [-]
    inwards : (3,) float
        Across the opening, into the box. [-]
    front : float
        How far along `inwards` the outer side of the wall lies. [m]

    Returns
    -------
    direction : (2,) float or None
        Unit vector on the face; None if the face goes in flat or nothing of it is ever inside.
    """
    into = np.asarray(inwards, dtype=np.float64)
    lever = float((np.linalg.norm(body.outer.nodes - body.centre, axis=1) + body.outer.radius).max())
    for pose in motion.replayed(0.01, lever):
        deep = (body.outer.nodes @ matrix_of(pose.turn).T + pose.place) @ into + body.outer.radius
        if float(deep.max()) >= front:
            flat = face.axes @ (matrix_of(pose.turn).T @ into)
            length = float(np.hypot(*flat))
            return np.asarray(flat / length) if length > FLAT else None
    return None
