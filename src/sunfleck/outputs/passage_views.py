"""The directions in which the steps of a motion are looked at."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sunfleck.geometry.boxes import Face
from sunfleck.geometry.passage.layers import frame_of_face

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class View:
    """A direction one looks in.

    Attributes
    ----------
    words : str
        What stands below it.
    right, up, look : (3,) float
        Axes of the picture and the direction of sight, in the enclosure's. [-]
    """

    words: str
    right: tuple[float, float, float]
    up: tuple[float, float, float]
    look: tuple[float, float, float]

    @property
    def axes(self) -> Floats:
        """Its right and up, a column each (3, 2)."""
        return np.array([self.right, self.up], dtype=np.float64).T


FROM_ABOVE = View("from above", (1, 0, 0), (0, 1, 0), (0, 0, -1))
FROM_THE_FRONT = View("from the front", (1, 0, 0), (0, 0, 1), (0, 1, 0))
FROM_THE_RIGHT = View("from the right", (0, 1, 0), (0, 0, 1), (-1, 0, 0))
SECONDS: dict[Face, tuple[View, View]] = {
    "front": (FROM_ABOVE, FROM_THE_RIGHT),
    "back": (FROM_ABOVE, FROM_THE_RIGHT),
    "left": (FROM_ABOVE, FROM_THE_FRONT),
    "right": (FROM_ABOVE, FROM_THE_FRONT),
    "top": (FROM_THE_FRONT, FROM_THE_RIGHT),
    "bottom": (FROM_THE_FRONT, FROM_THE_RIGHT),
}
SIDE_WORDS: dict[Face, str] = {
    "front": "from the front", "back": "from the back", "left": "from the left",
    "right": "from the right", "top": "from above", "bottom": "from below",
}  # fmt: skip


def face_view(face: Face) -> View:
    """Return the view onto a face from outside."""
    right, up, look = frame_of_face(np.ones(3), face, 1.0).axes
    return View(SIDE_WORDS[face], _three(-right), _three(up), _three(look))


def _three(vector: Floats) -> tuple[float, float, float]:
    x, y, z = (float(value) + 0.0 for value in vector)
    return (x, y, z)
