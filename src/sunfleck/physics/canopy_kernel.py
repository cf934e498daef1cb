"""Compiled search for the leafy body that catches a ray."""

from __future__ import annotations

from math import exp, inf, log1p, sqrt

import numpy as np
from numpy.typing import NDArray

from sunfleck.geometry.kernels import kernel

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@kernel
def canopy_kernel(
    canopies: tuple[Floats, Floats, Floats],
    origins: Floats,
    directions: Floats,
    distance: Floats,
    chance: Floats,
    out: Ints,
) -> None:
    """Put into `out` (r,) which canopy catches each ray within its distance [m], -1 for none."""
    centre, half_axes, extinction = canopies
    k = len(extinction)
    enter, leave = np.zeros(k), np.zeros(k)
    for ray in range(len(origins)):
        out[ray] = -1
        length = sqrt(directions[ray, 0] ** 2 + directions[ray, 1] ** 2 + directions[ray, 2] ** 2)
        depth = 0.0
        for j in range(k):
            # The ellipsoid stretched to a unit sphere.
            a, b, c = 0.0, 0.0, -1.0
            for x in range(3):
                o = (origins[ray, x] - centre[j, x]) / half_axes[j, x]
                d = directions[ray, x] / length / half_axes[j, x]
                a, b, c = a + d * d, b + o * d, c + o * o
            squared = b * b - a * c
            root = sqrt(squared) if squared > 0.0 else 0.0
            enter[j] = min(max((-b - root) / a, 0.0), distance[ray])
            leave[j] = min(max((-b + root) / a, 0.0), distance[ray])
            depth += extinction[j] * (leave[j] - enter[j])
        # A ray with the chance u survives until the optical depth -ln(1 - u).
        if depth > -log1p(-chance[ray]):
            out[ray] = _caught_by(enter, leave, extinction, chance[ray])


@kernel
def _caught_by(enter: Floats, leave: Floats, extinction: Floats, chance: float) -> int:
    """Walk from mark to mark to where the ray ends, and choose among the canopies that overlap there."""
    aim, depth, place, caught = -log1p(-chance), 0.0, 0.0, -1
    while True:
        mark, density = inf, 0.0
        for j in range(len(extinction)):
            if place < leave[j]:
                mark = min(mark, enter[j] if enter[j] > place else leave[j])
                if enter[j] <= place:
                    density += extinction[j]
        if mark == inf:
            # A rounding error is all that was left to go.
            return caught
        end = depth + density * (mark - place)
        if density > 0.0:
            # Where between the marks it ends, evenly spread from 0 to 1, serves to choose.
            share = 1.0
            if end > aim:
                share = (exp(-depth) - exp(-aim)) / (exp(-depth) - exp(-end))
            rest = share * density
            for j in range(len(extinction)):
                if enter[j] <= place < leave[j]:
                    caught = j
                    rest -= extinction[j]
                    if rest <= 0.0:
                        break
            if end > aim:
                return caught
        depth, place = end, mark
