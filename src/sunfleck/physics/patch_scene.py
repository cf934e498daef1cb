"""Patches and leafy bodies that light goes to and fro between, and what a ray among them meets first."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sunfleck.geometry.patches import Patches, normals_and_areas
from sunfleck.geometry.rays import RayScene, ray_scene
from sunfleck.physics.canopies import Canopies
from sunfleck.physics.canopy_kernel import canopy_kernel

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True)
class PatchScene:
    """Patches and leafy bodies that light goes to and fro between.

    Attributes
    ----------
    patches : Patches
        Surfaces in pieces. [m]
    canopies : Canopies
        Porous leafy bodies, each a patch as well. [m]
    shared_rays : RayScene or None
        Rays into the triangles of `patches`, in the same order, if they were made before. [m]

    Notes
    -----
    Patches are numbered through: those of the surfaces, then the canopies in order, then one last number
    for *outside*: nothing is met, or a black side.
    """

    patches: Patches
    canopies: Canopies = field(default_factory=Canopies.none)
    shared_rays: RayScene | None = None

    @property
    def outside(self) -> int:
        """Number of patches and canopies, and with it the number that stands for outside. [-]"""
        return len(self.patches) + len(self.canopies)

    @cached_property
    def rays(self) -> RayScene:
        """Rays into the triangles. [m]"""
        return self.shared_rays or ray_scene(self.patches.triangles)

    @cached_property
    def normals(self) -> Floats:
        """Unit vectors on the fronts of the triangles, (t, 3). [-]"""
        return normals_and_areas(self.patches.triangles)[0]

    def first_event(self, origins: ArrayLike, directions: ArrayLike, chance: ArrayLike) -> Ints:
        r"""Which patch or canopy catches rays first.

        Parameters
        ----------
        origins, directions : (r, 3) float
            Where rays begin and go; lengths of directions do not matter. [m]
        chance : (r,) float
            From 0 to below 1, spread evenly over the rays: decides in which canopy on its way, if in any,
            a ray ends. [-]

        Returns
        -------
        patch : (r,) int
            Number of the patch, canopy or outside. [-]

        Raises
        ------
        DomainError
            If shapes are wrong, a coordinate is not finite or a direction has no length.

        Notes
        -----
        A ray survives the optical depth :math:`\tau = \sum_j k_j L_j` of the canopies on its way with
        probability :math:`e^{-\tau}`. It ends at the depth :math:`-\ln(1 - u)` for the chance u, where
        it is caught by one of the canopies that overlap there in proportion to their extinction.
        """
        return np.minimum(self.first_event_or_black(origins, directions, chance), self.outside)

    def first_event_or_black(self, origins: ArrayLike, directions: ArrayLike, chance: ArrayLike) -> Ints:
        """See :meth:`first_event`; black sides are told from the open by one number more than outside."""
        distance, triangle = self.rays.first_hit(origins, directions)
        way = np.asarray(directions, dtype=np.float64)
        hit = np.flatnonzero(triangle >= 0)
        patch = np.full(len(triangle), self.outside, dtype=np.int64)
        if len(hit):
            on = triangle[hit]
            against = np.einsum("rx,rx->r", self.normals[on], way[hit]) < 0
            patch[hit] = np.where(against, self.patches.front[on], self.patches.back[on])
            patch[patch < 0] = self.outside + 1
        if len(self.canopies):
            canopy = np.empty(len(patch), dtype=np.int64)
            # Copies, because a compiled kernel is tied to whether an array may be written to.
            o, d, reach, u = (np.array(v, dtype=np.float64) for v in (origins, way, distance, chance))
            c = self.canopies
            canopy_kernel((c.centre.copy(), c.half_axes.copy(), c.extinction.copy()), o, d, reach, u, canopy)
            patch = np.where(canopy >= 0, len(self.patches) + canopy, patch)
        return patch
