"""What a motion takes place in, as a person sees it: the box, its openings, what stands in it."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from sunfleck.geometry.boxes import Face
from sunfleck.geometry.passage.layers import Opening, World, cabinet

Floats = NDArray[np.float64]


def _nothing() -> Floats:
    return np.zeros((0, 2, 3))


@dataclass(frozen=True, slots=True)
class Stage:
    """A box with its openings in one face, as drawn and as written for replay.

    Attributes
    ----------
    inside : (3,) float
        Width, depth and height inside. [m]
    face : str
        Face the openings are in.
    wall : float
        Thickness of that face. [m]
    openings : tuple of Opening
        All of them.
    standing : (k, 2, 3) float
        Boxes round what is installed already; enclosure coordinates. [m]
    names : tuple of str
        What each of them is called; may be empty.
    """

    inside: tuple[float, float, float]
    face: Face
    wall: float
    openings: tuple[Opening, ...]
    standing: Floats = field(default_factory=_nothing)
    names: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        object.__setattr__(self, "standing", np.asarray(self.standing, dtype=np.float64).reshape(-1, 2, 3))

    def world(self) -> World:
        """Return the same in layers, as the question of passage takes it."""
        return cabinet(self.inside, self.face, self.wall, self.openings, self.standing)

    def hole(self, opening: Opening) -> Floats:
        """Low and high corner (2, 3) of an opening through the wall. [m]"""
        low, high = np.zeros(3), np.asarray(self.inside, dtype=np.float64)
        across = {"left": 0, "right": 0, "front": 1, "back": 1, "bottom": 2, "top": 2}[self.face]
        far = self.face in ("right", "back", "top")
        low[across], high[across] = (high[across], high[across] + self.wall) if far else (-self.wall, 0.0)
        for axis, at, size in zip(
            (k for k in range(3) if k != across), opening.at, opening.size, strict=True
        ):
            low[axis], high[axis] = at, at + size
        return np.array([low, high])
