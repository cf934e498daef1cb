"""What light meets on its way, and what a computation of direct light returns."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from sunfleck.geometry.bvh import Bvh, build_bvh
from sunfleck.geometry.rays import RayScene, TreeRays
from sunfleck.physics.canopies import Canopies
from sunfleck.physics.media import Media

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Tree = tuple[Floats, Ints, Ints, Floats]

NO_TRIANGLES = build_bvh(np.zeros((0, 3, 3)))


@dataclass(frozen=True)
class Scene:
    """What light meets on its way.

    Attributes
    ----------
    bvh : Bvh
        Opaque triangles that stay where they are. [m]
    media : Media
        Thin media. [m]
    bodies : Bvh
        Opaque triangles of the other lamps; apart, because lamps are what is moved. [m]
    canopies : Canopies
        Porous leafy bodies. [m]
    """

    bvh: Bvh
    media: Media
    bodies: Bvh = NO_TRIANGLES
    canopies: Canopies = field(default_factory=Canopies.none)

    @cached_property
    def media_arrays(self) -> MediaArrays:
        """The media as compiled kernels want them."""
        return MediaArrays.of(self.media)

    @cached_property
    def body_rays(self) -> RayScene:
        """Rays into the bodies of the other lamps. [m]"""
        return TreeRays(self.bodies)


@dataclass(frozen=True, slots=True)
class Transfer:
    """Light at n points from one lamp, per watt it gives off, by the media the light has crossed.

    Attributes
    ----------
    groups : (c,) int
        Bit masks in rising order: bit g is set where light has crossed the media group g. Mask 0, light
        that crossed none, is always the first; others only if light arrives with them somewhere. [-]
    vector : (n, c, 3) float
        Vector irradiance, pointing from the point to where the light comes from. [m-2]
    ahead : (n, c, 3) float
        The same of the light that comes from before a plane with the given normal. [m-2]
    facing : (n, c) float
        Irradiance on a plane with the given normal; light from behind the plane does not count. [m-2]

    Notes
    -----
    Media are weighted by their dependence on angle relative to normal incidence only: multiply by their
    normal transmittances. Points or normals that are not finite give NaN.
    """

    groups: Ints
    vector: Floats
    ahead: Floats
    facing: Floats

    def at(self, rows: Ints) -> Transfer:
        """Take points by their numbers, (m,); one may be taken several times."""
        return Transfer(self.groups, self.vector[rows], self.ahead[rows], self.facing[rows])

    def with_rows(self, rows: NDArray[np.bool_], part: Transfer) -> Transfer:
        """Take the points where `rows` (n,) is true from a computation of just these, in order."""
        groups = np.union1d(self.groups, part.groups)
        count = (len(rows), len(groups))
        vector, ahead, facing = np.zeros((*count, 3)), np.zeros((*count, 3)), np.zeros(count)
        # Points that are not known are so in every column.
        unknown = np.isnan(self.facing[:, 0])
        unknown[rows] = np.isnan(part.facing[:, 0])
        vector[unknown], ahead[unknown], facing[unknown] = np.nan, np.nan, np.nan
        for source, chosen in ((self, ~rows), (part, rows)):
            at = np.ix_(chosen, np.searchsorted(groups, source.groups))
            taken = chosen if source is self else slice(None)
            vector[at], ahead[at] = source.vector[taken], source.ahead[taken]
            facing[at] = source.facing[taken]
        # A mask that no light has any more goes, but for mask 0.
        left = (groups == 0) | (np.nan_to_num(vector) != 0).any(axis=(0, 2))
        return Transfer(groups[left], vector[:, left], ahead[:, left], facing[:, left])


@dataclass(frozen=True, slots=True)
class MediaArrays:
    """Media as compiled kernels want them, and how many masks of groups there can be."""

    for_lines: tuple[Floats, Floats, Ints, Ints, Floats]
    for_rays: tuple[Floats, Floats, Floats, Floats, Floats, Ints, Ints, Floats]
    masks: int

    @classmethod
    def of(cls, media: Media) -> MediaArrays:
        """Lay out media for the kernels."""
        o, u, v = media.origin, media.edge_u, media.edge_v
        sizes = np.stack([np.linalg.norm(u, axis=1), np.linalg.norm(v, axis=1)], axis=1)
        unit_u, unit_v = u / sizes[:, :1], v / sizes[:, 1:]
        unit_n = np.cross(unit_u, unit_v)
        frames = np.concatenate([unit_u, unit_v, unit_n], axis=1)
        corners = np.concatenate([o, o + u, o + u + v, o + v], axis=1)
        masks = 1 << (int(media.group.max()) + 1) if len(media) else 1
        # Copies, because a compiled kernel is tied to whether an array may be written to.
        laws = (1 << media.group, media.law.copy(), media.parameters.copy())
        return cls((corners, frames, *laws), (o.copy(), sizes, unit_u, unit_v, unit_n, *laws), masks)


def tree_of(bvh: Bvh) -> Tree:
    """Return a tree as compiled kernels want it.

    Parameters
    ----------
    bvh : Bvh
        Triangles. [m]

    Returns
    -------
    tree : tuple of array
        Nodes (k, 6) [m], left (k,) [-], count (k,) [-], triangles (m, 9). [m]
    """
    return bvh.nodes, bvh.left, bvh.count, bvh.triangles


def canopies_of(canopies: Canopies) -> tuple[Floats, Floats, Floats]:
    """Return leafy bodies as compiled kernels want them.

    Parameters
    ----------
    canopies : Canopies
        The bodies. [m]

    Returns
    -------
    bodies : tuple of array
        Centre (k, 3) [m], half axes (k, 3) [m], extinction (k,). [m-1]
    """
    # Copies, because a compiled kernel is tied to whether an array may be written to.
    return canopies.centre.copy(), canopies.half_axes.copy(), canopies.extinction.copy()
