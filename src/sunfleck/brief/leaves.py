"""How much the leaves shade is not known: two factors, and the box with some of its leaves gone."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from sunfleck.brief.factors import Factor, FactorTable
from sunfleck.brief.surfaces import NamedSurface
from sunfleck.geometry.boxes import Box
from sunfleck.geometry.bvh import Bvh, build_bvh
from sunfleck.physics.canopies import Canopies
from sunfleck.plan.models import Plan

# Leaf area by eye, one standard deviation. Common practice, no source.
COVER = 0.25
# What two standard deviations are: half of the leaves. Light through leaves grows faster than they go, so the slope is
# taken from there, and lies above the truth between.
GONE = 2 * COVER
EVERY = round(1 / GONE)


@dataclass(frozen=True, eq=False)
class LeafCover:
    """What is not known of a plan's leaves.

    Attributes
    ----------
    column : int
        Factor of the light behind leaves: more or fewer of them than written.
    lost : int
        One-sided shift: gaps that open where none were, because leaves are trimmed, eaten or dead.
    crowns : tuple of Box
        Where the leaves are. [m]
    solid : (m, 3, 3) float
        Every opaque triangle with two standard deviations of the leaves gone. [m]
    canopies : Canopies
        Porous crowns as much thinner. [m]
    """

    column: int
    lost: int
    crowns: tuple[Box, ...]
    solid: NDArray[np.float64]
    canopies: Canopies

    @cached_property
    def bvh(self) -> Bvh:
        """The opaque triangles as a tree, made when ranges are asked for. [m]"""
        return build_bvh(self.solid)


def leaf_cover(
    plan: Plan, surfaces: Sequence[NamedSurface], canopies: Canopies, table: FactorTable
) -> LeafCover | None:
    """Return what is not known of a plan's leaves, or None where it has no plants.

    Parameters
    ----------
    plan : Plan
        A checked plan.
    surfaces : sequence of NamedSurface
        Everything opaque; those with the sides of a leaf are plants, two triangles a leaf.
    canopies : Canopies
        Its porous crowns. [m]
    table : FactorTable
        Collects the factors.

    Returns
    -------
    cover : LeafCover or None
        Factors, and the box with half of the leaves gone.
    """
    if not plan.plants:
        return None
    source = "leaf area by eye is a quarter off, and grows or is trimmed; taken alike for all plants"
    column = table.add(
        Factor(
            "leaves:cover", "light behind leaves: fewer or more than written", COVER, COVER, source, "common practice"
        )
    )  # fmt: skip
    lost = table.add(
        Factor(
            id="leaves:lost",
            label="leaves trimmed, eaten or dead since, in quarters of all",
            spread_low=0.0,
            spread_high=COVER,
            source="half of the worlds lose none, the others up to half of their leaves",
            basis="common practice",
            shift=True,
            one_sided=True,
        )
    )
    thinned = [_thinned(surface) for surface in surfaces if surface.opaque]
    solid = np.concatenate([np.zeros((0, 3, 3)), *thinned])
    thinner = Canopies(canopies.centre, canopies.half_axes, (1.0 - GONE) * canopies.extinction)
    return LeafCover(column, lost, tuple(_crown(plan, k) for k in range(len(plan.plants))), solid, thinner)


def _thinned(surface: NamedSurface) -> NDArray[np.float64]:
    if surface.sides != "leaf":
        return surface.triangles
    # Where a leaf stands in the list says nothing of where it hangs: every second goes.
    leaf = np.arange(len(surface.triangles)) % (len(surface.triangles) // 2)
    return np.asarray(surface.triangles[leaf % EVERY != EVERY - 1])


def _crown(plan: Plan, k: int) -> Box:
    plant = plan.plants[k]
    leaf = plant.leaf.length / 2 if plant.leaf is not None else 0.0
    half = np.array([plant.crown.radius, plant.crown.radius, plant.crown.height / 2]) + leaf
    middle = np.array(plant.crown.middle)
    return Box(middle - half, middle + half)
