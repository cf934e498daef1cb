"""Boxes with a door and a panel for the back wall, near the limit: drawn by seed, for tests and for `make soak`."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sunfleck.geometry.passage.bodies import block
from sunfleck.geometry.passage.layers import Opening, World, cabinet
from sunfleck.geometry.passage.motion import Pose
from sunfleck.geometry.passage.rotations import quaternion_of

# Width, height, thickness of a panel along x, z and y of the enclosure.
UPRIGHT = quaternion_of(np.array([[1.0, 0, 0], [0, 0, -1], [0, 1, 0]]))
WALL = 0.02


@dataclass(frozen=True)
class Cabinet:
    """A box, its door (x, z, width, height) in front, and a panel (width, height, thickness) for its back."""

    inside: tuple[float, float, float]
    door: tuple[float, float, float, float]
    panel: tuple[float, float, float]
    at: tuple[float, float]

    def world(self) -> World:
        x, z, width, height = self.door
        return cabinet(self.inside, "front", WALL, [Opening("door", (x, z), (width, height))])

    def goal(self) -> Pose:
        return Pose(UPRIGHT, np.array([self.at[0], self.inside[1] - self.panel[2] / 2, self.at[1]]))

    def body(self):
        return block(self.panel)

    def mirrored(self) -> Cabinet:
        x, z, width, height = self.door
        w = self.inside[0]
        return Cabinet(
            self.inside, (w - x - width, z, width, height), self.panel, (w - self.at[0], self.at[1])
        )


def centred(panel, door, inside=(1.22, 0.71, 1.22)) -> Cabinet:
    """A door and a panel in the middle of front and back."""
    w, _, h = inside
    return Cabinet(inside, ((w - door[0]) / 2, (h - door[1]) / 2, *door), panel, (w / 2, h / 2))


def near_the_limit(seed: int) -> Cabinet:
    """Panels about as large as the door's diagonal, the box's diagonal or the door itself let in."""
    draw = np.random.default_rng(seed)
    w, d, h = draw.uniform(0.6, 1.5), draw.uniform(0.35, 0.9), draw.uniform(0.6, 1.5)
    a, b = w * draw.uniform(0.55, 0.99), h * draw.uniform(0.55, 0.99)
    x, z = draw.uniform(0, w - a), draw.uniform(0, h - b)
    panel = (w * draw.uniform(0.85, 0.995), h * draw.uniform(0.85, 0.995), draw.uniform(0.02, 0.1))
    at = (draw.uniform(panel[0] / 2, w - panel[0] / 2), draw.uniform(panel[1] / 2, h - panel[1] / 2))
    return Cabinet((w, d, h), (x, z, a, b), panel, at)
