"""Branches: a path with a diameter at every point, swept into a closed surface."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sunfleck.errors import DomainError

SIDES = 16


@dataclass(frozen=True, slots=True)
class Chain:
    """A branch: straight tapering pieces between the points of a path.

    Attributes
    ----------
    path : (k, 3) float
        Points of the axis, k of at least two, no two neighbours the same. [m]
    radius : (k,) float
        Radius at each of them, above zero. [m]
    """

    path: NDArray[np.float64]
    radius: NDArray[np.float64]

    def __post_init__(self) -> None:
        if self.path.ndim != 2 or self.path.shape[1] != 3 or len(self.path) < 2:
            msg = f"a branch needs a path of two or more points; got shape {self.path.shape}"
            raise DomainError(msg)
        if not bool((np.linalg.norm(np.diff(self.path, axis=0), axis=1) > 0).all()):
            msg = "a branch needs neighbouring points that differ; got the same point twice"
            raise DomainError(msg)
        if self.radius.shape != (len(self.path),) or not bool((self.radius > 0).all()):
            msg = f"a branch needs one radius above zero for each of its {len(self.path)} points"
            raise DomainError(msg)

    @property
    def length(self) -> float:
        """Length of the axis. [m]"""
        return float(np.linalg.norm(np.diff(self.path, axis=0), axis=1).sum())

    def at(self, along: ArrayLike) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
        """Axis point (n, 3), unit direction (n, 3) and radius (n,) at distances `along` (n,). [m]"""
        steps = np.linalg.norm(np.diff(self.path, axis=0), axis=1)
        knots = np.concatenate([[0.0], np.cumsum(steps)])
        s = np.clip(np.asarray(along, dtype=np.float64), 0.0, knots[-1])
        piece = np.clip(np.searchsorted(knots, s, side="right") - 1, 0, len(steps) - 1)
        share = (s - knots[piece]) / steps[piece]
        direction = np.diff(self.path, axis=0)[piece] / steps[piece, None]
        point = self.path[piece] + share[:, None] * (self.path[piece + 1] - self.path[piece])
        radius = self.radius[piece] + share * (self.radius[piece + 1] - self.radius[piece])
        return point, direction, radius

    def triangles(self, sides: int = SIDES) -> NDArray[np.float64]:
        """A closed surface of flat-ended rings, (m, 3, 3).

        Each ring is a regular polygon with the area of the true circle, so that the branch
        throws as much shadow as a round one; normals point outwards. [m]
        """
        rings = self._rings(sides)
        around = np.roll(np.arange(sides), -1)
        side_a = np.stack([rings[:-1], rings[:-1, around], rings[1:]], axis=2).reshape(-1, 3, 3)
        side_b = np.stack([rings[:-1, around], rings[1:, around], rings[1:]], axis=2).reshape(-1, 3, 3)
        first, last = (np.broadcast_to(centre, rings[0].shape) for centre in (self.path[0], self.path[-1]))
        start = np.stack([first, rings[0, around], rings[0]], axis=1)
        end = np.stack([last, rings[-1], rings[-1, around]], axis=1)
        return np.concatenate([side_a, side_b, start, end])

    def _rings(self, sides: int) -> NDArray[np.float64]:
        steps = np.diff(self.path, axis=0)
        steps = steps / np.linalg.norm(steps, axis=1)[:, None]
        tangents = np.concatenate([steps[:1], steps[:-1] + steps[1:], steps[-1:]])
        # A path that doubles back has no bisector; the incoming direction then serves.
        flat = np.linalg.norm(tangents, axis=1) < 1e-9
        tangents[flat] = np.concatenate([steps, steps[-1:]])[flat]
        tangents /= np.linalg.norm(tangents, axis=1)[:, None]
        turn = np.arange(sides) * 2 * np.pi / sides
        fair = np.sqrt(2 * np.pi / (sides * np.sin(2 * np.pi / sides)))
        rings = []
        u = any_perpendicular(tangents[0])
        for centre, tangent, radius in zip(self.path, tangents, self.radius, strict=True):
            # Carry the frame along, so that the surface does not twist between rings.
            u = u - (u @ tangent) * tangent
            u = u / np.linalg.norm(u) if np.linalg.norm(u) > 1e-9 else any_perpendicular(tangent)
            v = np.cross(tangent, u)
            rings.append(centre + fair * radius * (np.outer(np.cos(turn), u) + np.outer(np.sin(turn), v)))
        return np.array(rings)

    def distance(self, points: ArrayLike) -> NDArray[np.float64]:
        """Distance of `points` (n, 3) from the round surface; negative inside. [m]"""
        p = np.asarray(points, dtype=np.float64)
        best = np.full(len(p), np.inf)
        for a, b, ra, rb in zip(
            self.path[:-1], self.path[1:], self.radius[:-1], self.radius[1:], strict=True
        ):
            axis = b - a
            share = np.clip((p - a) @ axis / (axis @ axis), 0.0, 1.0)
            gap = np.linalg.norm(p - a - share[:, None] * axis, axis=1) - (ra + share * (rb - ra))
            best = np.minimum(best, gap)
        return best

    def contains(self, points: ArrayLike, margin: float = 0.0) -> NDArray[np.bool_]:
        """Whether each of `points` (n, 3) lies inside, or within `margin` of it. [m]"""
        return self.distance(points) < margin


def any_perpendicular(direction: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return a unit vector square to `direction`, always the same one for the same input.

    Parameters
    ----------
    direction : (3,) float
        Any vector but zero. [-]

    Returns
    -------
    perpendicular : (3,) float
        Unit vector. [-]
    """
    helper = np.zeros(3)
    helper[int(np.argmin(np.abs(direction)))] = 1.0
    square = np.cross(direction, helper)
    return np.asarray(square / np.linalg.norm(square))
