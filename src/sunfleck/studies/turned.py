"""Direct light on planes that are turned to where most light comes from."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sunfleck.physics.emitters import DiscEmitter, LineEmitter
from sunfleck.physics.scene import Transfer
from sunfleck.physics.transport import transfer
from sunfleck.studies.lamp_scenes import LampScene

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Lit:
    """What n receivers get of one lamp, whichever way they face.

    Attributes
    ----------
    emitter : LineEmitter or DiscEmitter
        The lamp.
    lamp : LampScene
        What its light meets.
    points : (n, 3) float
        Receivers. [m]
    transfer : Transfer
        Its light there, facing any way. [m-2]
    """

    emitter: LineEmitter | DiscEmitter
    lamp: LampScene
    points: Floats
    transfer: Transfer

    def turned(self, normals: Floats) -> Transfer:
        """The light with the receivers facing along unit vectors (n, 3).

        A lamp that lies wholly on one side of a plane is its vector there; where a plane cuts one in two, its
        light is computed anew.
        """
        found = self.transfer
        along = np.einsum("nck,nk->nc", found.vector, normals)
        ahead = np.where(along[:, :, None] > 0, found.vector, 0.0)
        facing = np.where(np.isnan(along), along, np.maximum(along, 0.0))
        ahead[np.isnan(along).any(axis=1)] = np.nan
        cut = self._cut(normals) & (np.nan_to_num(found.vector) != 0).any(axis=(1, 2))
        if cut.any():
            part = transfer(self.lamp.scene, self.emitter, self.points[cut], normals[cut])
            at = np.ix_(cut, np.searchsorted(found.groups, part.groups))
            ahead[cut], facing[cut] = 0.0, 0.0
            ahead[at], facing[at] = part.ahead, part.facing
        return Transfer(found.groups, found.vector, ahead, facing)

    def _cut(self, normals: Floats) -> NDArray[np.bool_]:
        """Whether the plane of each receiver cuts the lamp in two, (n,)."""
        if isinstance(self.emitter, DiscEmitter):
            height = np.einsum("nk,nk->n", self.emitter.centre - self.points, normals)
            return np.asarray(np.abs(height) < self.emitter.radius)
        start = np.einsum("nk,nk->n", self.emitter.start - self.points, normals)
        end = np.einsum("nk,nk->n", self.emitter.end - self.points, normals)
        return np.asarray(start * end < 0)
